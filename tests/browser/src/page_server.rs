//! A tiny server of fixed pages, for testing the rig without the program.

use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::net::{Ipv4Addr, TcpListener, TcpStream};
use std::sync::Arc;
use std::thread;

use crate::error::Outcome;

/// As strict as the program's own policy: nothing but inline style, so the rig proves that it gets by.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; connect-src 'self'; frame-ancestors 'none'";

/// A path and what is served there.
#[derive(Clone, Copy, Debug)]
pub struct Page {
    /// Starts with a slash.
    pub path: &'static str,
    /// The whole document.
    pub html: &'static str,
}

/// Serves pages on a free port of the loopback, for as long as the test's process lives.
#[derive(Debug)]
pub struct PageServer {
    port: u16,
}

impl PageServer {
    /// Starts serving.
    ///
    /// # Errors
    /// When no port can be had.
    pub fn start(pages: &[Page]) -> Outcome<Self> {
        let pages: Arc<BTreeMap<_, _>> = Arc::new(pages.iter().map(|page| (page.path, page.html)).collect());
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
        let port = listener.local_addr()?.port();
        thread::spawn(move || {
            for stream in listener.incoming().flatten() {
                let pages = Arc::clone(&pages);
                // A browser opens connections ahead of need and leaves them silent.
                thread::spawn(move || answer(&stream, &pages));
            }
        });
        Ok(Self { port })
    }

    /// The full address of `path`.
    pub fn url(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }
}

fn answer(mut stream: &TcpStream, pages: &BTreeMap<&str, &str>) -> std::io::Result<()> {
    let mut reader = BufReader::new(stream);
    let mut request = String::new();
    reader.read_line(&mut request)?;
    let mut header = String::new();
    while reader.read_line(&mut header)? > 2 {
        header.clear();
    }
    let path = request.split(' ').nth(1).unwrap_or("/");
    let (status, body) = match pages.get(path) {
        Some(html) => ("200 OK", *html),
        None => ("404 Not Found", ""),
    };
    write!(
        stream,
        "HTTP/1.1 {status}\r\nContent-Type: text/html; charset=utf-8\r\nContent-Length: {}\r\n\
         Content-Security-Policy: {POLICY}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    )
}
