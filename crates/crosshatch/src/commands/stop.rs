//! A long computation on the command line: progress on the standard error, Ctrl+C stops it and keeps what is done.

use engine::power::Progress;
use std::io::{IsTerminal, Write};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

/// Watches for Ctrl+C and writes how far the work is.
#[derive(Debug)]
pub(super) struct Watched {
    stop: Arc<AtomicBool>,
    written: AtomicUsize,
    live: bool,
    line: Mutex<()>,
}

impl Watched {
    /// Begins to watch. A second Ctrl+C ends the program at once.
    pub(super) fn begin() -> Self {
        let stop = Arc::new(AtomicBool::default());
        let seen = Arc::clone(&stop);
        let _ = std::thread::Builder::new().name("ctrl-c".to_owned()).spawn(move || {
            let Ok(runtime) = tokio::runtime::Builder::new_current_thread().enable_all().build() else {
                return;
            };
            runtime.block_on(async {
                if tokio::signal::ctrl_c().await.is_ok() {
                    seen.store(true, Ordering::Relaxed);
                    let _ = writeln!(
                        std::io::stderr(),
                        "\nStopping at the end of this cycle; what is done is kept."
                    );
                }
                if tokio::signal::ctrl_c().await.is_ok() {
                    std::process::exit(130);
                }
            });
        });
        let live = std::io::stderr().is_terminal();
        Self { stop, written: AtomicUsize::new(usize::MAX), live, line: Mutex::default() }
    }

    /// Notes progress; false when the work is to stop.
    pub(super) fn goes_on(&self, progress: Progress) -> bool {
        if self.written.swap(progress.done, Ordering::Relaxed) != progress.done {
            let _held = self.line.lock();
            let end = if self.live { "\r" } else { "\n" };
            let _ = write!(std::io::stderr(), "{} of {} done{end}", progress.done, progress.of);
        }
        !self.stop.load(Ordering::Relaxed)
    }

    /// Ends the line of progress.
    pub(super) fn end(&self) {
        if self.live {
            let _ = writeln!(std::io::stderr());
        }
    }
}
