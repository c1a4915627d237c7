//! Coverage-guided fuzzing of everything that reads what people send, for a bounded time.
//!
//! The targets in `fuzz/` are the usual libFuzzer ones, and `cargo fuzz` runs them as well. That
//! tool wants a nightly compiler for its address checker; our code is free of `unsafe`, so the same
//! targets are built here with the stable compiler, instrumented for coverage only.

use std::fs;
use std::path::{Path, PathBuf};

use tempfile::TempDir;

use crate::context::Context;
use crate::error::Failure;
use crate::run::{output_of, run};
use crate::steps::set_up;
use crate::steps::tree::files;
use crate::tally::Tally;

/// A target, and where its first inputs come from.
struct Target {
    name: &'static str,
    /// Kept inputs in `fuzz/corpus/NAME` are always taken; these files by their ending too.
    examples: &'static str,
    /// Longest input in bytes: long enough for every shape, short enough for many tries.
    longest: u32,
}

const TARGETS: [Target; 3] = [
    Target { name: "document", examples: "toml", longest: 16_384 },
    Target { name: "readings", examples: "csv", longest: 4_096 },
    Target { name: "quantity", examples: "", longest: 64 },
];

const SECONDS_EACH: u32 = 20;

/// What `cargo fuzz` tells the compiler, less the address checker.
const FLAGS: &str = "--cfg fuzzing -Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 \
    -Cllvm-args=-sanitizer-coverage-inline-8bit-counters -Cllvm-args=-sanitizer-coverage-pc-table \
    -Cllvm-args=-sanitizer-coverage-trace-compares -Cdebug-assertions -Coverflow-checks";

/// One check for each target.
pub fn all(context: &Context) -> Result<Tally, Failure> {
    set_up::fuzzing(context)?;
    let programs = build(context)?;
    let mut tally = Tally::default();
    for target in &TARGETS {
        tally += match fuzz(context, target, &programs.join(target.name)) {
            Ok(()) => Tally::PASSED,
            Err(failure) => {
                println!("{}: {failure}", target.name);
                Tally::FAILED
            }
        };
    }
    Ok(tally)
}

/// Builds all targets and returns the folder that they are in.
fn build(context: &Context) -> Result<PathBuf, Failure> {
    // Naming the machine keeps build scripts and macros free of the instrumentation.
    let machine = output_of(context.command("rustc").arg("-vV"))?;
    let machine = machine.lines().find_map(|line| line.strip_prefix("host: "));
    let machine = machine.ok_or_else(|| Failure::unexpected("rustc -vV", "no `host`"))?;

    let folder = context.target.join("fuzz");
    let mut command = context.cargo(&["build", "--release", "--manifest-path", "fuzz/Cargo.toml"]);
    run(command.args(["--target", machine]).arg("--target-dir").arg(&folder).env("RUSTFLAGS", FLAGS))?;
    Ok(folder.join(machine).join("release"))
}

fn fuzz(context: &Context, target: &Target, program: &Path) -> Result<(), Failure> {
    let found = context.target.join("fuzz/found").join(target.name);
    fs::create_dir_all(&found).map_err(Failure::file(&found))?;
    let inputs = TempDir::new().map_err(Failure::file("a temporary folder"))?;
    copy_examples(context, target, inputs.path())?;

    let mut command = context.command(program);
    command.arg(inputs.path());
    command.arg(format!("-max_total_time={SECONDS_EACH}")).arg(format!("-max_len={}", target.longest));
    command.args(["-timeout=10", "-rss_limit_mb=2048", "-print_final_stats=1", "-verbosity=0"]);
    command.arg(format!("-artifact_prefix={}/", found.display()));
    let dictionary = context.path(&format!("fuzz/{}.dict", target.name));
    if dictionary.exists() {
        command.arg(format!("-dict={}", dictionary.display()));
    }
    println!("{}: {SECONDS_EACH} s; inputs that break it are kept in {}", target.name, found.display());
    run(&mut command)
}

fn copy_examples(context: &Context, target: &Target, folder: &Path) -> Result<(), Failure> {
    let kept = context.path(&format!("fuzz/corpus/{}", target.name));
    let mut sources = if kept.exists() { files(&kept)? } else { Vec::new() };
    let examples = files(&context.path("examples"))?;
    sources.extend(
        examples.into_iter().filter(|file| file.extension().is_some_and(|end| end == target.examples)),
    );
    if sources.is_empty() {
        return Err(Failure::Check(format!("{} has no inputs to start from", target.name)));
    }
    for (number, source) in sources.iter().enumerate() {
        fs::copy(source, folder.join(format!("example-{number}"))).map_err(Failure::file(source))?;
    }
    Ok(())
}
