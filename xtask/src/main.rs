//! Set-up, tests, pictures, schema and benches of the workspace, as `cargo xtask COMMAND`.
//!
//! Nothing of the program is linked in here, so this builds in seconds and runs on a tree that
//! does not compile.
#![allow(clippy::print_stdout, reason = "a command line that reports to its terminal")]

mod context;
mod error;
mod run;
mod steps;
mod tally;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::context::Context;
use crate::error::Failure;

#[derive(Parser)]
#[command(name = "cargo xtask", about = "Set-up, tests, pictures, schema and benches of the workspace")]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Install what the tests need, then run all of them
    Test {
        /// Run this step only; repeat for several
        #[arg(long = "only", value_name = "STEP")]
        only: Vec<String>,
        /// Name the steps and stop
        #[arg(long)]
        list: bool,
    },
    /// Install what the tests need: system packages, Python environment, accessibility checker
    SetUp,
    /// Make the pictures of the documentation again, from the program in a browser
    Screenshots,
    /// Write the JSON Schema of the engine document
    Schema {
        /// Compare only, and say how to repair
        #[arg(long)]
        check: bool,
    },
    /// Run the named benchmarks, or all of them
    Bench {
        /// Bench targets, such as `assess`
        names: Vec<String>,
    },
}

fn main() -> ExitCode {
    match run_command(Arguments::parse().command) {
        Ok(code) => code,
        Err(failure) => {
            eprintln!("error: {failure}");
            ExitCode::FAILURE
        }
    }
}

fn run_command(command: Command) -> Result<ExitCode, Failure> {
    let context = Context::find()?;
    match command {
        Command::Test { list: true, .. } => {
            steps::list();
            Ok(ExitCode::SUCCESS)
        }
        Command::Test { only, list: false } => steps::test(&context, &only),
        Command::SetUp => steps::set_up::all(&context).map(|_| ExitCode::SUCCESS),
        Command::Screenshots => steps::browser::pictures(&context).map(|()| ExitCode::SUCCESS),
        Command::Schema { check: true } => steps::schema::check(&context).map(|_| ExitCode::SUCCESS),
        Command::Schema { check: false } => steps::schema::write(&context).map(|()| ExitCode::SUCCESS),
        Command::Bench { names } => steps::bench::run_named(&context, &names).map(|()| ExitCode::SUCCESS),
    }
}
