//! The program on a free port of the loopback with a folder of its own, and a small browser for it.

#![allow(dead_code, reason = "each test file uses a part of it")]

use crosshatch::server::{App, listen};
use crosshatch::workbench::Workbench;
use serde_json::{Value, json};
use std::net::{IpAddr, Ipv4Addr};
use std::path::PathBuf;
use std::sync::atomic::{AtomicU32, Ordering};
use std::thread::JoinHandle;
use tempfile::TempDir;
use tokio::sync::oneshot;
use ureq::Agent;

/// A running server; stopped when it is dropped.
pub struct Program {
    pub base: String,
    pub token: String,
    agent: Agent,
    stop: Option<oneshot::Sender<()>>,
    thread: Option<JoinHandle<()>>,
    folder: Option<TempDir>,
    process: Option<std::process::Child>,
}

/// An answer.
pub struct Answer {
    pub status: u16,
    pub headers: ureq::http::HeaderMap,
    pub body: String,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.body).unwrap_or_else(|e| panic!("{e}: {}", self.body))
    }

    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).and_then(|v| v.to_str().ok()).unwrap_or("")
    }
}

pub const FOUR: &str = "/engine/hill-climb-four";

static KEYS: AtomicU32 = AtomicU32::new(0);

/// A reading with a key of its own; `fields` go over the usual ones.
pub fn reading(feature: &str, text: &str, fields: &Value) -> Value {
    let key = format!("test-{}", KEYS.fetch_add(1, Ordering::Relaxed));
    let mut reading = json!({
        "delivery_key": key, "feature": feature, "text": text, "unit": "mm", "instrument": "B1",
        "temperature": "20 °C", "held": ["torque_plate"], "sheet": "bores",
    });
    if let (Some(reading), Some(fields)) = (reading.as_object_mut(), fields.as_object()) {
        reading.extend(fields.clone());
    }
    reading
}

impl Program {
    /// Opens a new folder, so with the demo.
    pub fn start() -> Self {
        let folder = TempDir::new().expect("a folder");
        let mut program = Self::start_in(folder.path().join("data"));
        program.folder = Some(folder);
        program
    }

    /// Opens a folder.
    pub fn start_in(data: PathBuf) -> Self {
        let (address_out, address_in) = std::sync::mpsc::channel();
        let (stop, stopped) = oneshot::channel::<()>();
        let thread = std::thread::spawn(move || {
            let runtime = tokio::runtime::Runtime::new().expect("a runtime");
            runtime.block_on(async move {
                let listening = listen(IpAddr::V4(Ipv4Addr::LOCALHOST), Some(0)).await.expect("a port");
                let bench = Workbench::open(&data, "tester").expect("a workbench");
                let app = App::new(bench).expect("an app");
                address_out.send(listening.address).expect("somebody waits");
                listening.serve(app, async { stopped.await.unwrap_or_default() }).await;
            });
        });
        let base = format!("http://{}", address_in.recv().expect("an address"));
        Self::at(base, Some(stop), Some(thread))
    }

    /// A program of its own on a new folder, so that it can be killed.
    pub fn start_process() -> Self {
        use std::io::BufRead;
        let folder = TempDir::new().expect("a folder");
        let mut process = std::process::Command::new(env!("CARGO_BIN_EXE_crosshatch"))
            .args(["open", "--port", "0", "--data"])
            .arg(folder.path().join("data"))
            .stdout(std::process::Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut lines = std::io::BufReader::new(process.stdout.take().expect("its output")).lines();
        let line = lines.next().expect("a line").expect("UTF-8");
        let base = line.split_whitespace().find(|w| w.starts_with("http://")).expect("an address");
        let mut program = Self::at(base.trim_end_matches('/').to_owned(), None, None);
        (program.folder, program.process) = (Some(folder), Some(process));
        program
    }

    /// Ends it from one moment to the next, and gives the folder back.
    pub fn kill(mut self) -> TempDir {
        let mut process = self.process.take().expect("a process");
        process.kill().expect("it was running");
        process.wait().expect("its end");
        self.folder.take().expect("a folder")
    }

    fn at(base: String, stop: Option<oneshot::Sender<()>>, thread: Option<JoinHandle<()>>) -> Self {
        let agent: Agent =
            Agent::config_builder().http_status_as_error(false).max_redirects(0).build().into();
        let mut program =
            Self { base, token: String::new(), agent, stop, thread, folder: None, process: None };
        let shelf = program.get("/").body;
        let at = shelf.find("crosshatch-token\" content=\"").expect("a token") + 27;
        shelf[at..].split('"').next().expect("its end").clone_into(&mut program.token);
        program
    }

    pub fn get(&self, path: &str) -> Answer {
        self.get_with(path, &[])
    }

    pub fn get_with(&self, path: &str, headers: &[(&str, &str)]) -> Answer {
        let mut request = self.agent.get(format!("{}{path}", self.base));
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        answer(request.call().expect("an answer"))
    }

    pub fn post_reading(&self, engine: &str, body: &Value) -> Answer {
        self.post_body(
            &format!("{engine}/readings"),
            "application/json",
            &body.to_string(),
            &[("x-crosshatch-token", &self.token)],
        )
    }

    pub fn post_body(&self, path: &str, kind: &str, body: &str, headers: &[(&str, &str)]) -> Answer {
        let mut request = self.agent.post(format!("{}{path}", self.base)).header("content-type", kind);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        answer(request.send(body).expect("an answer"))
    }

    /// Posts a form of our own pages.
    pub fn post_form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let mut all = vec![("_token", self.token.as_str())];
        all.extend(fields);
        let body: Vec<String> = all.iter().map(|(k, v)| format!("{}={}", encode(k), encode(v))).collect();
        self.post_body(path, "application/x-www-form-urlencoded", &body.join("&"), &[])
    }

    /// Stops and gives the folder back.
    pub fn stop(mut self) -> Option<TempDir> {
        self.end();
        self.folder.take()
    }

    fn end(&mut self) {
        if let Some(mut process) = self.process.take() {
            let _ = process.kill().and_then(|()| process.wait().map(drop));
        }
        drop(self.stop.take());
        if let Some(thread) = self.thread.take() {
            assert!(thread.join().is_ok(), "the server broke");
        }
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        if !std::thread::panicking() {
            self.end();
        }
    }
}

fn answer(mut response: ureq::http::Response<ureq::Body>) -> Answer {
    let (status, headers) = (response.status().as_u16(), response.headers().clone());
    let body = response
        .body_mut()
        .with_config()
        .limit(64 << 20)
        .lossy_utf8(true)
        .read_to_string()
        .unwrap_or_default();
    Answer { status, headers, body }
}

fn encode(text: &str) -> String {
    text.bytes()
        .map(|b| if b.is_ascii_alphanumeric() { char::from(b).to_string() } else { format!("%{b:02X}") })
        .collect()
}
