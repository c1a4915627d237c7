//! Crosshatch: the engine as measured, for workshops that rebuild competition engines.
//!
//! Three rooms:
//! * [`workbench`]: the typed layer over the store: documents and log entries in, engine, findings and plan out.
//! * [`server`]: routes, one handler file for each page, errors, headers. No SQL, no physics.
//! * [`commands`]: the command line, one file for each verb.

pub mod commands;
pub mod server;
pub mod workbench;

use std::ffi::OsString;
use std::process::ExitCode;

/// An assessment makes tens of thousands of short texts; this allocator hands them out in half the time of the system's.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Runs the program with its arguments, the first of which is its own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    commands::run(arguments)
}
