//! An engine from a file, with the readings beside it.

use super::super::app::App;
use super::super::errors::{Fault, Page};
use super::form::refused;
use super::problem;
use crate::workbench::{Error, Outside};
use ::engine::document::{Diagnostic, text_of};
use axum::extract::State;
use axum::extract::multipart::{Multipart, MultipartRejection};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use pages::FromFile;

/// GET /new/file: the form stands on the page for a new engine.
pub(in crate::server) async fn show() -> Redirect {
    Redirect::to("/new#from-file")
}

/// Names of the files in messages.
const DOCUMENT: &str = "engine.toml";
const READINGS: &str = "readings.csv";

/// What was sent, as it came.
#[derive(Default)]
struct Sent {
    token: String,
    name: String,
    document: Vec<u8>,
    readings: Vec<u8>,
}

/// POST /new/file
pub(in crate::server) async fn take_in(
    State(app): State<App>,
    parts: Result<Multipart, MultipartRejection>,
) -> Result<Response, Fault> {
    let parts = parts.map_err(|rejection| refused(rejection.status(), &rejection.body_text()))?;
    let sent = read(parts).await?;
    app.check_token(Some(&sent.token))?;
    app.work(move |app| kept(app, &sent)).await
}

async fn read(mut parts: Multipart) -> Result<Sent, Fault> {
    let wrong = |error: axum::extract::multipart::MultipartError| refused(error.status(), &error.body_text());
    let mut sent = Sent::default();
    while let Some(part) = parts.next_field().await.map_err(wrong)? {
        let name = part.name().unwrap_or_default().to_owned();
        let file = part.file_name().map(str::to_owned);
        let bytes = part.bytes().await.map_err(wrong)?.to_vec();
        match name.as_str() {
            "_token" => sent.token = String::from_utf8_lossy(&bytes).into_owned(),
            "file" => sent.name = String::from_utf8_lossy(&bytes).into_owned(),
            "document" | "document_file" if !bytes.is_empty() => {
                sent.name = file.unwrap_or(sent.name);
                sent.document = bytes;
            }
            "readings" | "readings_file" if !bytes.is_empty() => sent.readings = bytes,
            _ => {}
        }
    }
    Ok(sent)
}

fn kept(app: &App, sent: &Sent) -> Result<Response, Fault> {
    let name = if sent.name.trim().is_empty() { DOCUMENT } else { sent.name.trim() };
    let texts = text_of(&sent.document, name).and_then(|d| Ok((d, text_of(&sent.readings, READINGS)?)));
    let (document, readings) = match texts {
        Ok(texts) => texts,
        Err(unreadable) => return Ok(shown_again(app, sent, name, &[*unreadable])),
    };
    // A form sends line ends as the web does.
    let (document, readings) = (document.replace("\r\n", "\n"), readings.replace("\r\n", "\n"));
    let beside = Outside { name: READINGS, text: &readings };
    let beside = (!readings.trim().is_empty()).then_some(beside);
    match app.bench.take_in(Outside { name, text: &document }, beside) {
        Ok(taken) => {
            let at = format!("/engine/{}?done=taken-{}", taken.id, taken.readings);
            Ok(Redirect::to(&at).into_response())
        }
        Err(Error::Document(diagnostics)) => Ok(shown_again(app, sent, name, &diagnostics)),
        Err(other) => Err(other.into()),
    }
}

fn shown_again(app: &App, sent: &Sent, name: &str, diagnostics: &[Diagnostic]) -> Response {
    let of = |readings: bool| -> Vec<pages::Diagnostic> {
        diagnostics.iter().filter(|d| (d.file == READINGS) == readings).map(problem).collect()
    };
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).replace("\r\n", "\n");
    let again = FromFile {
        file: name.to_owned(),
        document: text(&sent.document),
        readings: text(&sent.readings),
        document_problems: of(false),
        reading_problems: of(true),
    };
    let html = pages::from_file_page(&app.token, &again);
    (StatusCode::UNPROCESSABLE_ENTITY, Page(html)).into_response()
}
