//! Where things are.

use std::env;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::error::Failure;
use crate::run::output_of;

/// The workspace, and the tools that work on it.
pub struct Context {
    /// The folder of the root `Cargo.toml`.
    pub root: PathBuf,
    /// Where cargo builds to.
    pub target: PathBuf,
    /// The cargo that runs this.
    cargo: OsString,
}

impl Context {
    /// Finds the workspace that this was built from.
    pub fn find() -> Result<Self, Failure> {
        let here = Path::new(env!("CARGO_MANIFEST_DIR"));
        let root = here.parent().unwrap_or(here).to_path_buf();
        let cargo = env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
        let mut context = Self { root, target: PathBuf::new(), cargo };
        context.target = target_folder(&context.metadata(&context.root.join("Cargo.toml"), &["--no-deps"])?)?;
        Ok(context)
    }

    /// A path in the workspace.
    pub fn path(&self, relative: &str) -> PathBuf {
        self.root.join(relative)
    }

    /// `program`, to be run at the root of the workspace.
    pub fn command(&self, program: impl AsRef<std::ffi::OsStr>) -> Command {
        let mut command = Command::new(program);
        command.current_dir(&self.root);
        command
    }

    /// Cargo with these arguments.
    pub fn cargo(&self, arguments: &[&str]) -> Command {
        let mut command = self.command(&self.cargo);
        command.args(arguments);
        command
    }

    /// What cargo knows about the workspace of `manifest`.
    pub fn metadata(&self, manifest: &Path, arguments: &[&str]) -> Result<Value, Failure> {
        let mut command = self.cargo(&["metadata", "--format-version", "1"]);
        command.arg("--manifest-path").arg(manifest).args(arguments);
        let text = output_of(&mut command)?;
        serde_json::from_str(&text).map_err(|error| Failure::unexpected("cargo metadata", error))
    }

    /// The program, built for use.
    pub fn release_program(&self) -> PathBuf {
        self.target.join("release").join(format!("crosshatch{}", env::consts::EXE_SUFFIX))
    }
}

fn target_folder(metadata: &Value) -> Result<PathBuf, Failure> {
    let folder = metadata["target_directory"].as_str();
    folder.map(PathBuf::from).ok_or_else(|| Failure::unexpected("cargo metadata", "no target folder"))
}
