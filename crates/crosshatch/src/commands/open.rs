//! `open`: serve the pages on this machine until the person stops it.

use super::arguments::{Common, OpenArguments};
use super::folder::{folder, refused};
use super::report::{Answer, Outcome, Report};
use crate::server::serve::asked_to_stop;
use crate::server::{App, listen};
use crate::workbench::Workbench;
use serde_json::json;
use std::io::Write as _;
use std::net::{IpAddr, Ipv4Addr};

pub(super) fn run(arguments: &OpenArguments, common: &Common) -> Answer {
    let folder = folder(common)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .map_err(|problem| Report::refused(format!("the system gives no threads: {problem}")))?;
    runtime.block_on(async {
        // The port first: a folder that is made for nothing helps nobody.
        let listening = listen(arguments.listen.unwrap_or(IpAddr::V4(Ipv4Addr::LOCALHOST)), arguments.port)
            .await
            .map_err(Report::refused)?;
        let bench =
            Workbench::open(&folder, arguments.who.as_deref().unwrap_or("bench")).map_err(|e| refused(&e))?;
        let app = App::new(bench).map_err(|e| refused(&e))?;
        let address = format!("http://{}/", listening.address);
        let shown = folder.display().to_string();
        announce(&address, &shown, common.json);
        listening.serve(app, asked_to_stop()).await;
        let text = "Stopped. Everything that was called saved is in the data folder.\n";
        Ok(Report::new(
            Outcome::Good,
            text.to_owned(),
            json!({ "address": address, "data": shown, "stopped": true }),
        ))
    })
}

/// Says where it is, before the first page is asked for.
fn announce(address: &str, folder: &str, json: bool) {
    let text = if json {
        let line = json!({ "crosshatch": 1, "command": "open", "address": address, "data": folder });
        format!("{line}\n")
    } else {
        format!("Open {address} in a browser on this machine.\nData folder: {folder}\nStop it with Ctrl+C.\n")
    };
    let mut out = std::io::stdout().lock();
    // A reader that closed its end does not want to know.
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}
