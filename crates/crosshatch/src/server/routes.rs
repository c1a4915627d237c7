//! Every address and who answers it.

use super::app::App;
use super::errors::Fault;
use super::handlers::{
    assets, backups, changes, document, engine, finding, fits, new, new_file, operations, parts, plan, power,
    reading_log, readings, sheet, shelf,
};
use super::{guard, headers, size};
use axum::Router;
use axum::extract::{DefaultBodyLimit, Request};
use axum::http::{StatusCode, Uri};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use std::time::Duration;

/// The most bytes of a request that carries a document or a file of readings: 4 MiB of text, as a form writes it
/// (each byte may take three).
pub const DOCUMENT_BODY: usize = 12 << 20;
/// The most bytes of any other request.
pub const OTHER_BODY: usize = 2 << 20;

/// A request that is not done by then is given up.
const PATIENCE: Duration = Duration::from_secs(30);

/// The whole server.
pub fn router(app: App) -> Router {
    let scripts = Router::new()
        .route("/engine/{id}/readings", post(readings::take))
        .route_layer(from_fn_with_state(app.clone(), guard::token_in_header));
    let large = Router::new()
        .route("/new/file", get(new_file::show).post(new_file::take_in))
        .route("/engine/{id}/document", get(document::show).post(document::save))
        .route("/engine/{id}/readings.csv", get(reading_log::download).post(reading_log::import))
        .layer(DefaultBodyLimit::max(DOCUMENT_BODY))
        .layer(from_fn(|request, next| size::at_most(DOCUMENT_BODY, request, next)));
    let small = Router::new()
        .route("/", get(shelf::show))
        .route("/new", get(new::show).post(new::start))
        .route("/engine/{id}", get(engine::show))
        .route("/engine/{id}/sheet/{sheet}", get(sheet::show))
        .route("/engine/{id}/fits", get(fits::show))
        .route("/engine/{id}/plan", get(plan::show))
        .route("/engine/{id}/power", get(power::show))
        .route("/engine/{id}/power/progress", get(power::progress))
        .route("/engine/{id}/power/inputs", get(power::inputs))
        .route("/engine/{id}/power/inside", get(power::inside))
        .route("/engine/{id}/power/finding", get(power::finding))
        .route("/engine/{id}/power/choices", get(power::choices))
        .route("/engine/{id}/power/compare", get(power::compare))
        .route("/engine/{id}/power/run", post(power::run))
        .route("/engine/{id}/power/resume", post(power::resume))
        .route("/engine/{id}/power/stop", post(power::stop))
        .route("/engine/{id}/power/go-on", post(power::go_on))
        .route("/engine/{id}/power/study/{study}", post(power::study))
        .route("/engine/{id}/power/calibrate", get(power::calibration).post(power::adjust))
        .route("/engine/{id}/power/calibrate/file", post(power::curve_file))
        .route("/engine/{id}/finding", get(finding::show))
        .route("/engine/{id}/parts", get(parts::index))
        .route("/engine/{id}/parts/{section}", get(parts::show).post(parts::save))
        .route("/engine/{id}/document.toml", get(document::download))
        .route("/engine/{id}/document/version/{version}", get(document::version))
        .route("/engine/{id}/document/changes", get(document::changes))
        .route("/engine/{id}/readings", get(reading_log::show))
        .route("/engine/{id}/operations", post(operations::record))
        .route("/engine/{id}/readings/back", post(reading_log::take_back))
        .route("/engine/{id}/away", post(shelf::put_away))
        .route("/engine/{id}/operations/back", post(operations::take_back))
        .route("/engine/{id}/changes", get(changes::show))
        .route("/engine/{id}/moment", get(changes::moment))
        .route("/backups", get(backups::show).post(backups::make))
        .route("/backups/{file}", get(backups::download))
        .route("/static/{file}", get(assets::file))
        .merge(scripts)
        .layer(DefaultBodyLimit::max(OTHER_BODY))
        .layer(from_fn(|request, next| size::at_most(OTHER_BODY, request, next)));
    small
        .merge(large)
        .fallback(nothing_here)
        .method_not_allowed_fallback(not_so)
        .layer(from_fn(in_time))
        .layer(from_fn(guard::only_our_pages))
        .layer(from_fn(headers::on_every_answer))
        .with_state(app)
}

/// An address with a stroke at its end is the one without it; anything else is not here.
async fn nothing_here(uri: Uri) -> Response {
    let path = uri.path().trim_end_matches('/');
    // Only below our own pages: "//elsewhere/" would lead to another server.
    if path.len() < uri.path().len() && path.starts_with('/') && !path.starts_with("//") {
        let at = uri.query().map_or_else(|| path.to_owned(), |query| format!("{path}?{query}"));
        return Redirect::permanent(&at).into_response();
    }
    Fault::missing("There is no page at this address.").into_response()
}

async fn not_so() -> Fault {
    Fault::new(StatusCode::METHOD_NOT_ALLOWED, "Not this way", "This address is not asked in that way.")
}

async fn in_time(request: Request, next: Next) -> Response {
    match tokio::time::timeout(PATIENCE, next.run(request)).await {
        Ok(response) => response,
        Err(_) => Fault::new(
            StatusCode::REQUEST_TIMEOUT,
            "Too slow",
            "The request did not arrive in time. Send it again.",
        )
        .into_response(),
    }
}
