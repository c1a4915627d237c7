//! The program under test, on a data folder of its own.

use std::env;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

use tempfile::TempDir;

use crate::error::{Outcome, RigError};
use crate::process::Service;

/// A fresh data folder is filled with the demo at the first start; a busy machine takes its time.
const PATIENCE: Duration = Duration::from_mins(1);

/// The program, serving on a free port of the loopback.
#[derive(Debug)]
pub struct Program {
    service: Service,
    address: String,
    folder: Folder,
}

#[derive(Debug)]
enum Folder {
    Own(TempDir),
    Given(PathBuf),
}

impl Program {
    /// Starts the program on a new, empty data folder, which is removed afterwards.
    ///
    /// # Errors
    /// When the program is not built, does not start, or does not print its address within a minute.
    pub fn start() -> Outcome<Self> {
        let folder = TempDir::new()?;
        let (service, address) = serve(folder.path(), 0)?;
        Ok(Self { service, address, folder: Folder::Own(folder) })
    }

    /// Starts the program on the data folder `folder`, which stays.
    ///
    /// # Errors
    /// As [`Program::start`].
    pub fn start_in(folder: impl Into<PathBuf>) -> Outcome<Self> {
        let folder = folder.into();
        let (service, address) = serve(&folder, 0)?;
        Ok(Self { service, address, folder: Folder::Given(folder) })
    }

    /// The power goes out: kills the program without a warning, and starts it on the same folder.
    ///
    /// The new one listens elsewhere; ask [`Program::url`] again.
    ///
    /// # Errors
    /// As [`Program::start`].
    pub fn restart_after_power_cut(&mut self) -> Outcome {
        self.service.kill();
        (self.service, self.address) = serve(self.data_folder(), 0)?;
        Ok(())
    }

    /// The power goes out, and stays out until [`Program::start_again_at_the_same_address`].
    pub fn power_cut(&mut self) {
        self.service.kill();
    }

    /// Starts the program again on the same folder and the same port, so that open pages find it.
    ///
    /// # Errors
    /// As [`Program::start`]; also when the port was taken meanwhile.
    pub fn start_again_at_the_same_address(&mut self) -> Outcome {
        let port = self.address.rsplit(':').next().and_then(|port| port.parse().ok());
        let port = port.ok_or_else(|| RigError::NeverHappened {
            what: "an address with a port".to_owned(),
            seconds: 0,
        })?;
        (self.service, self.address) = serve(self.data_folder(), port)?;
        Ok(())
    }

    /// The full address of `path`, which starts with a slash.
    pub fn url(&self, path: &str) -> String {
        format!("{}{path}", self.address)
    }

    /// Where the program keeps its data.
    pub fn data_folder(&self) -> &Path {
        match &self.folder {
            Folder::Own(folder) => folder.path(),
            Folder::Given(folder) => folder,
        }
    }

    /// What the program printed so far.
    pub fn log(&self) -> String {
        self.service.log()
    }
}

/// Port 0: any that is free.
fn serve(folder: &Path, port: u16) -> Outcome<(Service, String)> {
    let mut command = Command::new(executable()?);
    command.arg("serve").arg("--data").arg(folder).args(["--port", &port.to_string()]);
    Service::start(command, PATIENCE, address_in)
}

/// `CROSSHATCH_BIN`, or else the release build beside this test, or else the debug build.
fn executable() -> Outcome<PathBuf> {
    if let Some(path) = env::var_os("CROSSHATCH_BIN").map(PathBuf::from) {
        return if path.is_file() { Ok(path) } else { Err(RigError::NoProgram { path }) };
    }
    let target = target_folder()?;
    let name = format!("crosshatch{}", env::consts::EXE_SUFFIX);
    let release = target.join("release").join(&name);
    let debug = target.join("debug").join(&name);
    if release.is_file() {
        Ok(release)
    } else if debug.is_file() {
        Ok(debug)
    } else {
        Err(RigError::NoProgram { path: release })
    }
}

/// The target folder that this very test was built into.
pub(crate) fn target_folder() -> Outcome<PathBuf> {
    let this = env::current_exe()?;
    let profile = this.ancestors().find(|folder| folder.ends_with("debug") || folder.ends_with("release"));
    match profile.and_then(Path::parent) {
        Some(target) => Ok(target.to_path_buf()),
        None => Err(RigError::NoProgram { path: this }),
    }
}

/// The loopback address in a line that the program prints, without a slash at its end.
fn address_in(line: &str) -> Option<String> {
    let start = line.find("http://")?;
    let address = line[start..].split(|c: char| c.is_whitespace() || "\"'<>()".contains(c)).next()?;
    Some(address.trim_end_matches(['/', '.', ',']).to_owned())
}

#[cfg(test)]
mod tests {
    use super::address_in;

    #[test]
    fn reads_the_address_out_of_a_sentence() {
        let line = "Open http://127.0.0.1:41873/ in a browser on this machine.";
        assert_eq!(address_in(line).as_deref(), Some("http://127.0.0.1:41873"));
        assert_eq!(address_in("loading the demo"), None);
    }
}
