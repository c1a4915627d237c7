//! Installing what the tests need: Debian's packages, a Python environment, the accessibility checker.
//!
//! Each part looks first whether it is there, so a second run costs nothing.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};

use crate::context::Context;
use crate::error::Failure;
use crate::run::{output_of, run, succeeds};
use crate::tally::Tally;

/// A command that the tests call, and the Debian package that holds it.
struct Tool {
    command: &'static str,
    package: &'static str,
}

const CHROMIUM: Tool = Tool { command: "chromium", package: "chromium" };
const DRIVER: Tool = Tool { command: "chromedriver", package: "chromium-driver" };
/// libFuzzer is C++.
const CPP: Tool = Tool { command: "c++", package: "g++" };
const PYTHON: Tool = Tool { command: "python3", package: "python3" };
const NPM: Tool = Tool { command: "npm", package: "npm" };

/// What a whole run builds from nothing and writes beside it, GB (measured: 6.2 on a fresh clone).
const DISK_FOR_A_RUN: f64 = 7.0;

/// Everything.
pub fn all(context: &Context) -> Result<Tally, Failure> {
    disk(context)?;
    browser(context)?;
    python(context)?;
    fuzzing(context)?;
    Ok(Tally::passed(4))
}

/// Room for what is still to be built: a full disk shows up as a linker that crashes, far from its cause.
fn disk(context: &Context) -> Result<(), Failure> {
    let built = size_of(context, &context.target)?;
    let free = figure(&output_of(context.command("df").args(["--output=avail", "-B1", "."]))?, "df")?;
    let needed = DISK_FOR_A_RUN * 1e9 - built;
    println!("{:.1} GB of disk are free, {:.1} GB are built already", free / 1e9, built / 1e9);
    if free < needed {
        return Err(Failure::Check(format!(
            "{:.1} GB of disk are free where the checkout stands, and the tests need about {:.1} GB: make room",
            free / 1e9,
            needed / 1e9
        )));
    }
    Ok(())
}

/// What a folder holds, in bytes; nothing if it is not there.
fn size_of(context: &Context, folder: &Path) -> Result<f64, Failure> {
    if !folder.exists() {
        return Ok(0.0);
    }
    figure(&output_of(context.command("du").args(["-s", "-B1"]).arg(folder))?, "du")
}

/// The first number in what a command printed.
fn figure(printed: &str, command: &str) -> Result<f64, Failure> {
    let number = printed.split_whitespace().find_map(|word| word.parse().ok());
    number.ok_or_else(|| Failure::unexpected(command, format!("no size in `{printed}`")))
}

/// Chromium, its driver and the accessibility checker.
pub fn browser(context: &Context) -> Result<(), Failure> {
    tool(context, &CHROMIUM)?;
    tool(context, &DRIVER)?;
    axe(context)
}

/// A C++ compiler.
pub fn fuzzing(context: &Context) -> Result<(), Failure> {
    tool(context, &CPP)
}

/// The Python environment with the reference libraries; returns its interpreter.
pub fn python(context: &Context) -> Result<PathBuf, Failure> {
    tool(context, &PYTHON)?;
    let requirements = context.path("reference/requirements.txt");
    let folder = context.path("reference/.venv");
    let interpreter = folder.join("bin/python");
    let stamp = folder.join("installed-requirements.txt");
    if interpreter.exists() && same_text(&requirements, &stamp)? {
        println!("the Python environment is there");
        return Ok(interpreter);
    }

    let create = || {
        let mut command = context.command("python3");
        command.args(["-m", "venv", "--clear"]).arg(&folder);
        command
    };
    if run(&mut create()).is_err() {
        // Debian ships this part of Python by itself.
        apt_install(context, "python3-venv")?;
        run(&mut create())?;
    }
    let mut install = context.command(&interpreter);
    install.args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "--requirement"]);
    run(install.arg(&requirements))?;
    fs::copy(&requirements, &stamp).map_err(Failure::file(&stamp))?;
    Ok(interpreter)
}

/// axe-core, exactly as locked.
fn axe(context: &Context) -> Result<(), Failure> {
    let lock = context.path("tests/browser/package-lock.json");
    let stamp = context.path("tests/browser/node_modules/installed-lock.json");
    if context.path("tests/browser/node_modules/axe-core/axe.min.js").exists() && same_text(&lock, &stamp)? {
        println!("the accessibility checker is there");
        return Ok(());
    }
    tool(context, &NPM)?;
    let mut command = context.command("npm");
    run(command.arg("ci").current_dir(context.path("tests/browser")))?;
    fs::copy(&lock, &stamp).map_err(Failure::file(&stamp))?;
    Ok(())
}

fn tool(context: &Context, tool: &Tool) -> Result<(), Failure> {
    if let Some(path) = on_path(tool.command) {
        println!("{} is there: {}", tool.command, path.display());
        return Ok(());
    }
    apt_install(context, tool.package)?;
    if on_path(tool.command).is_some() {
        return Ok(());
    }
    let reason = format!("it was installed, but there is still no `{}` on the PATH", tool.command);
    Err(Failure::NoPackage { package: tool.package.to_owned(), reason })
}

/// Installs one package, or says which one could not be had.
fn apt_install(context: &Context, package: &str) -> Result<(), Failure> {
    let missing = |reason: String| Failure::NoPackage { package: package.to_owned(), reason };
    if on_path("apt-get").is_none() {
        return Err(missing(
            "this system has no apt-get; install it by hand and put it on the PATH".to_owned(),
        ));
    }
    let as_root = if succeeds(context.command("test").args(["-w", "/var/lib/dpkg"])) {
        None
    } else if succeeds(context.command("sudo").args(["--non-interactive", "true"])) {
        Some("sudo")
    } else {
        return Err(missing(format!("not root; run `apt-get install {package}` as root")));
    };
    let apt_get = |arguments: &[&str]| {
        let mut command = context.command(as_root.unwrap_or("apt-get"));
        if as_root.is_some() {
            command.arg("apt-get");
        }
        command.args(arguments).env("DEBIAN_FRONTEND", "noninteractive");
        command
    };
    let install = ["install", "--yes", "--no-install-recommends", package];
    run(&mut apt_get(&["update", "--quiet"])).map_err(|error| missing(error.to_string()))?;
    run(&mut apt_get(&install)).map_err(|error| missing(error.to_string()))
}

fn on_path(command: &str) -> Option<PathBuf> {
    let path = env::var_os("PATH")?;
    env::split_paths(&path).map(|folder| folder.join(command)).find(|file| file.is_file())
}

fn same_text(wanted: &Path, stamp: &Path) -> Result<bool, Failure> {
    let wanted = fs::read(wanted).map_err(Failure::file(wanted))?;
    Ok(fs::read(stamp).is_ok_and(|stamp| stamp == wanted))
}
