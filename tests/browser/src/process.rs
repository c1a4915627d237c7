//! A child process that says on its output where it listens.

use std::io::{BufRead, BufReader, Read};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use crate::error::{Outcome, RigError};

/// A running child; it is ended when dropped.
#[derive(Debug)]
pub(crate) struct Service {
    child: Child,
    log: Arc<Mutex<String>>,
}

impl Service {
    /// Starts `command` and waits until `address` recognises a line of its output.
    ///
    /// Its output is read to the end in the background, so the child never blocks on a full pipe.
    pub(crate) fn start<T>(
        mut command: Command,
        patience: Duration,
        address: impl Fn(&str) -> Option<T>,
    ) -> Outcome<(Self, T)> {
        let program = format!("{command:?}");
        let mut child = command
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .map_err(|source| RigError::CannotStart { program: program.clone(), source })?;

        let log = Arc::new(Mutex::new(String::new()));
        let (sender, lines) = channel();
        if let Some(stdout) = child.stdout.take() {
            drain(stdout, sender.clone(), Arc::clone(&log));
        }
        if let Some(stderr) = child.stderr.take() {
            drain(stderr, sender, Arc::clone(&log));
        }

        let service = Self { child, log };
        match wait_for_line(&lines, patience, address) {
            Some(found) => Ok((service, found)),
            None => Err(RigError::NoAddress { program, seconds: patience.as_secs(), output: service.log() }),
        }
    }

    /// What the child has printed so far, both streams in the order of arrival.
    pub(crate) fn log(&self) -> String {
        self.log.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Ends the child at once, as `kill -9` does.
    pub(crate) fn kill(&mut self) {
        // An error here means that it has ended already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }

    /// Waits up to `patience` for the child to end by itself; true when it did.
    pub(crate) fn ends_within(&mut self, patience: Duration) -> bool {
        let until = Instant::now() + patience;
        while Instant::now() < until {
            if matches!(self.child.try_wait(), Ok(Some(_)) | Err(_)) {
                return true;
            }
            thread::sleep(Duration::from_millis(20));
        }
        false
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        self.kill();
    }
}

fn drain(stream: impl Read + Send + 'static, lines: Sender<String>, log: Arc<Mutex<String>>) {
    thread::spawn(move || {
        for line in BufReader::new(stream).lines().map_while(Result::ok) {
            let mut log = log.lock().unwrap_or_else(PoisonError::into_inner);
            log.push_str(&line);
            log.push('\n');
            drop(log);
            // Nobody listens once the address is known; the log goes on.
            let _ = lines.send(line);
        }
    });
}

fn wait_for_line<T>(
    lines: &Receiver<String>,
    patience: Duration,
    address: impl Fn(&str) -> Option<T>,
) -> Option<T> {
    let until = Instant::now() + patience;
    loop {
        match lines.recv_timeout(until.saturating_duration_since(Instant::now())) {
            Ok(line) => {
                if let Some(found) = address(&line) {
                    return Some(found);
                }
            }
            Err(RecvTimeoutError::Timeout | RecvTimeoutError::Disconnected) => return None,
        }
    }
}
