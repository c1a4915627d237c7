//! The browser driver: one process that opens any number of browsers.

use std::env;
use std::io::{Read, Write};
use std::net::{Ipv4Addr, TcpStream};
use std::path::PathBuf;
use std::process::Command;
use std::time::Duration;

use tempfile::TempDir;
use thirtyfour::common::capabilities::chromium::ChromiumLikeCapabilities;
use thirtyfour::{ChromeCapabilities, LoggingPrefsLogLevel, WebDriver};

use crate::error::Outcome;
use crate::process::Service;
use crate::session::Session;
use crate::viewport::Viewport;

const PATIENCE: Duration = Duration::from_secs(30);

/// Where Debian's packages put the two; another place is given in the variable.
const DRIVER: (&str, &str) = ("CROSSHATCH_CHROMEDRIVER", "chromedriver");
const BROWSER: (&str, &str) = ("CROSSHATCH_CHROMIUM", "/usr/bin/chromium");

/// How Chromium is started.
///
/// The sandbox is off because the tests run as root in CI, where it cannot start; the rig opens
/// only our own pages on the loopback. The rest keeps the browser from calling anyone and makes
/// pictures equal on every machine.
const FLAGS: [&str; 15] = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-default-apps",
    "--disable-sync",
    "--no-first-run",
    "--no-default-browser-check",
    "--no-proxy-server",
    "--hide-scrollbars",
    "--force-color-profile=srgb",
    "--font-render-hinting=none",
];

/// A running driver on a free port; it closes its browsers and ends when dropped.
#[derive(Debug)]
pub struct Driver {
    service: Service,
    port: u16,
    /// One folder for each browser; they are removed after the browsers have ended.
    profiles: TempDir,
}

impl Driver {
    /// Starts the driver.
    ///
    /// # Errors
    /// When it is not installed or does not say its port within half a minute.
    pub fn start() -> Outcome<Self> {
        let mut command = Command::new(env::var_os(DRIVER.0).unwrap_or_else(|| DRIVER.1.into()));
        command.arg("--port=0");
        let (service, port) = Service::start(command, PATIENCE, port_in)?;
        Ok(Self { service, port, profiles: TempDir::new()? })
    }

    /// Opens a browser of its own, with an empty profile, on a screen of the given size.
    ///
    /// # Errors
    /// When the browser does not start.
    pub async fn open(&self, viewport: Viewport) -> Outcome<Session> {
        let profile = tempfile::tempdir_in(self.profiles.path())?.keep();
        let browser = env::var_os(BROWSER.0).map_or_else(|| PathBuf::from(BROWSER.1), PathBuf::from);

        let mut capabilities = ChromeCapabilities::new();
        capabilities.set_binary(&browser.to_string_lossy())?;
        for flag in FLAGS {
            capabilities.add_arg(flag)?;
        }
        capabilities.add_arg(&format!("--user-data-dir={}", profile.display()))?;
        capabilities.add_arg(&format!("--window-size={},{}", viewport.width, viewport.height))?;
        capabilities.set_browser_log_level(LoggingPrefsLogLevel::All)?;

        let driver = WebDriver::new(format!("http://127.0.0.1:{}", self.port), capabilities).await?;
        let session = Session::new(driver);
        session.resize(viewport).await?;
        Ok(session)
    }

    /// Asks the driver to close its browsers and to end.
    fn shut_down(&self) -> std::io::Result<()> {
        let mut stream = TcpStream::connect((Ipv4Addr::LOCALHOST, self.port))?;
        stream.set_read_timeout(Some(Duration::from_secs(5)))?;
        stream.write_all(b"GET /shutdown HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n")?;
        let mut answer = Vec::new();
        stream.read_to_end(&mut answer)?;
        Ok(())
    }
}

impl Drop for Driver {
    fn drop(&mut self) {
        // Killing the driver alone would leave its browsers running.
        if self.shut_down().is_ok() {
            self.service.ends_within(Duration::from_secs(5));
        }
    }
}

/// The port in the line that `chromedriver --port=0` prints once it listens.
fn port_in(line: &str) -> Option<u16> {
    line.rsplit_once("started successfully on port ")?.1.trim_end_matches('.').parse().ok()
}

#[cfg(test)]
mod tests {
    use super::port_in;

    #[test]
    fn reads_the_port_out_of_the_start_line() {
        assert_eq!(port_in("ChromeDriver was started successfully on port 38211."), Some(38211));
        assert_eq!(port_in("Starting ChromeDriver 156.0 on port 0"), None);
    }
}
