//! The program: command line and server. Everything is in the library beside it.

use std::process::ExitCode;

fn main() -> ExitCode {
    crosshatch::run(std::env::args_os())
}
