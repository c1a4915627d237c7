//! A file to keep: its kind and its name in the headers.

use axum::http::HeaderName;
use axum::http::header;

/// Headers of a download. The name is made of an engine's id or of our own words, so it needs no quoting.
pub(super) fn attachment(kind: &'static str, name: &str) -> [(HeaderName, String); 2] {
    [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ]
}
