//! From the field to the verdict: twenty clients on the loopback type readings into the demo engine, each waiting for the
//! answer of the one before. Prints percentiles of the time until the fragments are back, reading flushed to the disk
//! and engine assessed, and in the same run that of a request that does nothing.
//!
//! `cargo bench -p crosshatch --bench field_to_verdict`; the issue asks for the 95th percentile under 50 ms.

#![allow(clippy::print_stdout, reason = "a bench prints what it measured")]

use crosshatch::server::{App, listen};
use crosshatch::workbench::Workbench;
use serde_json::{Value, json};
use std::net::{IpAddr, Ipv4Addr};
use std::sync::{Barrier, Mutex};
use std::time::{Duration, Instant};
use ureq::Agent;

const CLIENTS: usize = 20;
const READINGS_EACH: usize = 50;
const ENGINE: &str = "/engine/hill-climb-four";

fn main() -> Result<(), Box<dyn std::error::Error>> {
    // `cargo test --benches` calls with --test: one round then, as a smoke test.
    let each = if std::env::args().any(|a| a == "--test") { 1 } else { READINGS_EACH };
    let folder = tempfile::tempdir()?;
    let runtime = tokio::runtime::Runtime::new()?;
    let listening = runtime.block_on(listen(IpAddr::V4(Ipv4Addr::LOCALHOST), Some(0)))?;
    let base = format!("http://{}", listening.address);
    let app = App::new(Workbench::open(&folder.path().join("data"), "bench")?)?;
    let (stop, stopped) = tokio::sync::oneshot::channel::<()>();
    let server = runtime.spawn(listening.serve(app, async { stopped.await.unwrap_or_default() }));

    let page = ask(&agent(), &base, "/")?;
    let token = page
        .split("crosshatch-token\" content=\"")
        .nth(1)
        .and_then(|t| t.split('"').next())
        .ok_or("no token")?;
    let places = places(&ask(&agent(), &base, &format!("{ENGINE}/changes?after=0&sheet=bores"))?)?;
    println!("{CLIENTS} clients, {each} readings each, on the demo ({} places of the bores)", places.len());

    let lone = run(1, each * 4, |agent, client, n| post(agent, &base, token, &places, client + 100, n));
    report("one client, reading to verdict", &lone);
    let nothing =
        run(CLIENTS, each, |agent, _, _| timed(|| ask(agent, &base, "/static/favicon.svg").map(drop)));
    report("twenty clients, a request that does nothing", &nothing);
    let readings = run(CLIENTS, each, |agent, client, n| post(agent, &base, token, &places, client, n));
    report("twenty clients, reading to verdict", &readings);
    println!(
        "ratio of the 95th percentiles, reading to nothing: {:.1}",
        percentile(&readings, 95.0).as_secs_f64() / percentile(&nothing, 95.0).as_secs_f64()
    );
    let log = ask(&agent(), &base, &format!("{ENGINE}/readings.csv"))?;
    println!("readings in the log at the end: {}", log.lines().count() - 1);
    drop(stop);
    runtime.block_on(server)?;
    Ok(())
}

type Failed = Box<dyn std::error::Error>;

fn agent() -> Agent {
    Agent::config_builder().http_status_as_error(false).build().into()
}

fn ask(agent: &Agent, base: &str, path: &str) -> Result<String, Failed> {
    Ok(agent
        .get(format!("{base}{path}"))
        .call()?
        .into_body()
        .with_config()
        .limit(64 << 20)
        .read_to_string()?)
}

/// Places of the sheet with the value that stands there.
fn places(changes: &str) -> Result<Vec<(String, String)>, Failed> {
    let json: Value = serde_json::from_str(changes)?;
    let cells = json["cells"].as_object().ok_or("no cells")?;
    let shown = |cell: &Value| cell["shown"].as_str().unwrap_or_default().to_owned();
    Ok(cells
        .iter()
        .filter(|(f, _)| f.starts_with("block.bore."))
        .map(|(f, cell)| (f.clone(), shown(cell)))
        .collect())
}

/// Every request of every client at once, each client one after the other.
fn run(clients: usize, each: usize, work: impl Fn(&Agent, usize, usize) -> Duration + Sync) -> Vec<Duration> {
    let all = Mutex::new(Vec::new());
    let start = Barrier::new(clients);
    std::thread::scope(|scope| {
        for client in 0..clients {
            let (all, start, work) = (&all, &start, &work);
            scope.spawn(move || {
                let agent = agent();
                start.wait();
                let times: Vec<Duration> = (0..each).map(|n| work(&agent, client, n)).collect();
                all.lock().unwrap_or_else(std::sync::PoisonError::into_inner).extend(times);
            });
        }
    });
    let mut times = all.into_inner().unwrap_or_default();
    times.sort_unstable();
    times
}

fn timed(work: impl FnOnce() -> Result<(), Failed>) -> Duration {
    let start = Instant::now();
    if let Err(problem) = work() {
        panic!("{problem}");
    }
    start.elapsed()
}

/// A second reading of a place, as the key R sends it: always taken, so every request stores and assesses.
fn post(
    agent: &Agent,
    base: &str,
    token: &str,
    places: &[(String, String)],
    client: usize,
    n: usize,
) -> Duration {
    let (feature, shown) = &places[(client * 7 + n) % places.len()];
    let body = json!({
        "delivery_key": format!("bench-{client}-{n}"), "feature": feature, "text": shown, "unit": "mm", "instrument": "B1",
        "temperature": "20 °C", "held": ["torque_plate"], "repeat": true, "confirmed": true, "sheet": "bores",
    })
    .to_string();
    timed(|| {
        let answer = agent
            .post(format!("{base}{ENGINE}/readings"))
            .header("content-type", "application/json")
            .header("x-crosshatch-token", token)
            .send(&body)?;
        let status = answer.status();
        let text = answer.into_body().read_to_string()?;
        if status == 200 { Ok(()) } else { Err(format!("{status}: {text}").into()) }
    })
}

fn percentile(sorted: &[Duration], share: f64) -> Duration {
    let place = (share / 100.0 * sorted.len() as f64).ceil() as usize;
    sorted.get(place.clamp(1, sorted.len().max(1)) - 1).copied().unwrap_or_default()
}

fn report(what: &str, sorted: &[Duration]) {
    let ms = |share: f64| percentile(sorted, share).as_secs_f64() * 1e3;
    println!(
        "{what}: median {:.1} ms, 95th percentile {:.1} ms, 99th {:.1} ms, worst {:.1} ms ({} requests)",
        ms(50.0),
        ms(95.0),
        ms(99.0),
        ms(100.0),
        sorted.len()
    );
}
