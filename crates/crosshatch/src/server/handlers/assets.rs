//! Style, scripts and fonts, embedded in the program.

use super::super::errors::Fault;
use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// GET /static/{file}
pub(in crate::server) async fn file(Path(file): Path<String>) -> Response {
    match pages::asset(&file) {
        // The address carries a tag of the contents, so a browser may keep it for long.
        Some((bytes, mime)) => {
            let keep = "public, max-age=31536000, immutable";
            ([(header::CONTENT_TYPE, mime), (header::CACHE_CONTROL, keep)], bytes).into_response()
        }
        None => Fault::missing(format!("There is no file \"{file}\".")).into_response(),
    }
}
