//! Running commands, and counting the tests that they run.

use std::io::{BufRead, BufReader, Write};
use std::process::{Command, ExitStatus, Stdio};

use crate::error::Failure;
use crate::tally::Tally;

/// The command as a person would type it.
fn typed(command: &Command) -> String {
    let words = std::iter::once(command.get_program()).chain(command.get_args());
    words.map(|word| word.to_string_lossy().into_owned()).collect::<Vec<_>>().join(" ")
}

/// Runs a command whose output a person sees.
pub fn run(command: &mut Command) -> Result<(), Failure> {
    println!("$ {}", typed(command));
    let status = command.stdin(Stdio::null()).status().map_err(|source| cannot_start(command, source))?;
    if status.success() { Ok(()) } else { Err(failed(command, status)) }
}

/// Runs a command for its standard output.
pub fn output_of(command: &mut Command) -> Result<String, Failure> {
    let child = command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::inherit());
    let output = child.output().map_err(|source| cannot_start(command, source))?;
    if !output.status.success() {
        return Err(failed(command, output.status));
    }
    String::from_utf8(output.stdout).map_err(|error| Failure::unexpected(typed(command), error))
}

/// Runs a test command, shows its output, and counts the tests in it.
///
/// A command that fails without a failed test (it did not compile, or was killed) counts as one
/// failed check, and one that runs no test at all as well.
pub fn count_tests(command: &mut Command) -> Result<Tally, Failure> {
    println!("$ {}", typed(command));
    let child = command.stdin(Stdio::null()).stdout(Stdio::piped()).spawn();
    let mut child = child.map_err(|source| cannot_start(command, source))?;

    let mut tally = Tally::default();
    if let Some(stdout) = child.stdout.take() {
        let mut terminal = std::io::stdout();
        for line in BufReader::new(stdout).split(b'\n') {
            let line = line.map_err(Failure::file("standard output of the tests"))?;
            let text = String::from_utf8_lossy(&line);
            if let Some(counts) = Tally::in_line(&text) {
                tally += counts;
            }
            // A closed terminal must not end the tests.
            let _ = writeln!(terminal, "{text}");
        }
    }
    let status = child.wait().map_err(|source| cannot_start(command, source))?;

    if !status.success() && tally.failed == 0 {
        println!("{}", failed(command, status));
        tally += Tally::FAILED;
    } else if tally == Tally::default() {
        println!("`{}` ran no test", typed(command));
        tally += Tally::FAILED;
    }
    Ok(tally)
}

/// Whether the command can be run at all and succeeds; its output is not shown.
pub fn succeeds(command: &mut Command) -> bool {
    let quiet = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    quiet.status().is_ok_and(|status| status.success())
}

fn cannot_start(command: &Command, source: std::io::Error) -> Failure {
    Failure::CannotStart { command: typed(command), source }
}

fn failed(command: &Command, status: ExitStatus) -> Failure {
    Failure::CommandFailed { command: typed(command), status: status.to_string() }
}
