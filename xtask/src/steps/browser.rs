//! The pages in headless Chromium, and the pictures of the documentation.

use crate::context::Context;
use crate::error::Failure;
use crate::run::{count_tests, run};
use crate::steps::{build_release, set_up};
use crate::tally::Tally;

/// Every scenario, against the release build.
pub fn tests(context: &Context) -> Result<Tally, Failure> {
    set_up::browser(context)?;
    build_release(context)?;
    let mut command = context.cargo(&["test", "--package", "browser_tests", "--no-fail-fast", "--"]);
    // Each scenario runs a browser, a driver and a server of its own.
    command.arg("--test-threads=2").env("CROSSHATCH_BIN", context.release_program());
    let tally = count_tests(&mut command)?;
    println!("pictures of these tests: {}", context.target.join("browser").display());
    Ok(tally)
}

/// Makes `docs/pictures/` again.
pub fn pictures(context: &Context) -> Result<(), Failure> {
    set_up::browser(context)?;
    build_release(context)?;
    let mut command =
        context.cargo(&["run", "--quiet", "--package", "browser_tests", "--bin", "pictures", "--"]);
    run(command.arg("docs/pictures").env("CROSSHATCH_BIN", context.release_program()))
}
