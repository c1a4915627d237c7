//! The steps of `cargo xtask test`, one file each where there is more to it than a command.

pub mod bench;
pub mod browser;
mod dependencies;
mod fuzz;
mod licences;
mod links;
mod reference;
pub mod schema;
pub mod set_up;
mod tree;

use std::process::ExitCode;
use std::time::{Duration, Instant};

use crate::context::Context;
use crate::error::Failure;
use crate::run::{count_tests, run};
use crate::tally::Tally;

/// One step: a word to call it by, and what it does.
struct Step {
    name: &'static str,
    heading: &'static str,
    run: fn(&Context) -> Result<Tally, Failure>,
}

/// In the order in which a failure is cheapest to learn of.
const STEPS: [Step; 15] = [
    Step { name: "set-up", heading: "What the tests need is installed", run: set_up::all },
    Step { name: "format", heading: "Source is formatted", run: format },
    Step { name: "tree", heading: "No path of a machine and no registry host in the tree", run: tree::check },
    Step { name: "links", heading: "Links in the documentation resolve", run: links::check },
    Step { name: "dependencies", heading: "Nothing forbidden is depended on", run: dependencies::check },
    Step {
        name: "licences",
        heading: "Licences and sources of all packages are allowed",
        run: licences::check,
    },
    Step { name: "lint", heading: "Lints", run: lint },
    Step { name: "api-docs", heading: "API documentation builds without a warning", run: api_docs },
    Step { name: "tests", heading: "Unit, property and document tests", run: tests },
    Step { name: "doc-tests", heading: "Examples in the API documentation", run: doc_tests },
    Step { name: "reference", heading: "Reference data comes out again", run: reference::check },
    Step { name: "fuzz", heading: "Fuzzing for a bounded time", run: fuzz::all },
    Step { name: "release", heading: "Release build", run: release },
    Step { name: "schema", heading: "The written JSON Schema is the program's own", run: schema::check },
    Step { name: "browser", heading: "Browser tests", run: browser::tests },
];

/// Prints the names of the steps.
pub fn list() {
    for step in &STEPS {
        println!("{:14} {}", step.name, step.heading);
    }
}

/// Runs all steps, or those named, and closes with the count of checks.
pub fn test(context: &Context, only: &[String]) -> Result<ExitCode, Failure> {
    let chosen = choose(only)?;
    let mut total = Tally::default();
    let mut times = Vec::new();
    for (number, step) in chosen.iter().enumerate() {
        println!("\n== {}/{} {}: {}", number + 1, chosen.len(), step.name, step.heading);
        let start = Instant::now();
        let (tally, stop) = match (step.run)(context) {
            Ok(tally) => (tally, false),
            Err(failure) => {
                println!("error: {failure}");
                // Without what the tests need, every later failure would only be noise.
                (Tally::FAILED, step.name == "set-up")
            }
        };
        total += tally;
        println!("-- {}: {tally} ({})", step.name, in_words(start.elapsed()));
        times.push((step.name, tally, start.elapsed()));
        if stop {
            let left_out: Vec<_> = chosen[number + 1..].iter().map(|step| step.name).collect();
            println!("stopped; not run: {}", left_out.join(", "));
            break;
        }
    }
    close(total, &times);
    Ok(if total.failed == 0 { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}

fn choose(only: &[String]) -> Result<Vec<&'static Step>, Failure> {
    if only.is_empty() {
        return Ok(STEPS.iter().collect());
    }
    let known = || STEPS.iter().map(|step| step.name).collect::<Vec<_>>().join(", ");
    for name in only {
        if !STEPS.iter().any(|step| step.name == name) {
            return Err(Failure::NoSuch { kind: "step", name: name.clone(), known: known() });
        }
    }
    Ok(STEPS.iter().filter(|step| only.iter().any(|name| name == step.name)).collect())
}

fn close(total: Tally, times: &[(&str, Tally, Duration)]) {
    println!("\n== Summary");
    for (name, tally, time) in times {
        println!("{name:14} {:>9}   {tally}", in_words(*time));
    }
    println!("{:14} {:>9}", "together", in_words(times.iter().map(|(_, _, time)| *time).sum()));
    println!("\n{total}");
}

fn in_words(time: Duration) -> String {
    match time.as_secs() {
        seconds if seconds < 60 => format!("{:.1} s", time.as_secs_f64()),
        seconds => format!("{} min {:02} s", seconds / 60, seconds % 60),
    }
}

fn format(context: &Context) -> Result<Tally, Failure> {
    run(&mut context.cargo(&["fmt", "--all", "--check"]))?;
    // The fuzz targets are a workspace of their own.
    run(&mut context.cargo(&["fmt", "--manifest-path", "fuzz/Cargo.toml", "--check"]))?;
    Ok(Tally::PASSED)
}

fn lint(context: &Context) -> Result<Tally, Failure> {
    run(&mut context.cargo(&[
        "clippy",
        "--workspace",
        "--all-targets",
        "--keep-going",
        "--",
        "-D",
        "warnings",
    ]))?;
    Ok(Tally::PASSED)
}

fn api_docs(context: &Context) -> Result<Tally, Failure> {
    let mut command = context.cargo(&["doc", "--workspace", "--no-deps"]);
    run(command.env("RUSTDOCFLAGS", "-D warnings"))?;
    Ok(Tally::PASSED)
}

fn tests(context: &Context) -> Result<Tally, Failure> {
    let arguments =
        ["test", "--workspace", "--exclude", "browser_tests", "--lib", "--bins", "--tests", "--no-fail-fast"];
    count_tests(&mut context.cargo(&arguments))
}

fn doc_tests(context: &Context) -> Result<Tally, Failure> {
    count_tests(&mut context.cargo(&[
        "test",
        "--workspace",
        "--exclude",
        "browser_tests",
        "--doc",
        "--no-fail-fast",
    ]))
}

/// Builds the program as people use it.
fn release(context: &Context) -> Result<Tally, Failure> {
    build_release(context)?;
    Ok(Tally::PASSED)
}

/// Builds the program unless it is built already.
fn build_release(context: &Context) -> Result<(), Failure> {
    run(&mut context.cargo(&["build", "--release", "--package", "crosshatch"]))
}
