//! From what went wrong to a page (or to JSON, for scripts): one place.

use crate::workbench::Error;
use axum::Json;
use axum::http::{StatusCode, header};
use axum::response::{Html, IntoResponse, Response};
use serde_json::json;

/// A page that went well.
#[derive(Debug)]
pub(super) struct Page(pub String);

impl IntoResponse for Page {
    fn into_response(self) -> Response {
        Html(self.0).into_response()
    }
}

/// What went wrong, as a page says it.
#[derive(Debug)]
pub(super) struct Fault {
    pub status: StatusCode,
    pub title: &'static str,
    pub what: Vec<String>,
    pub links: Vec<(String, String)>,
}

impl Fault {
    pub fn new(status: StatusCode, title: &'static str, what: impl Into<String>) -> Self {
        Self { status, title, what: vec![what.into()], links: vec![("/".to_owned(), "Shelf".to_owned())] }
    }

    pub fn missing(what: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, "Not here", what)
    }

    pub fn broken() -> Self {
        let what = "The work on this page broke off. What was called saved is saved; load the page again.";
        Self::new(StatusCode::INTERNAL_SERVER_ERROR, "This went wrong", what)
    }

    pub fn link(mut self, href: impl Into<String>, label: impl Into<String>) -> Self {
        self.links.insert(0, (href.into(), label.into()));
        self
    }

    /// The same for a script.
    pub fn json(self) -> Response {
        (self.status, Json(json!({ "error": self.what.join(" ") }))).into_response()
    }
}

impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        let html = pages::error_page(self.status.as_u16(), self.title, &self.what, &self.links);
        (self.status, [(header::CACHE_CONTROL, "no-store")], Html(html)).into_response()
    }
}

impl From<Error> for Fault {
    fn from(error: Error) -> Self {
        let what = error.to_string();
        match error {
            Error::Store(inner) => from_store(&inner, what),
            Error::Conflict { .. } => Self::new(StatusCode::CONFLICT, "Changed meanwhile", what),
            Error::Running => Self::new(StatusCode::CONFLICT, "Runs already", what),
            Error::Document(_)
            | Error::Power(_)
            | Error::Reading(_)
            | Error::Fields(_)
            | Error::Part(_)
            | Error::Asked(_)
            | Error::Newcomer(_) => Self::new(StatusCode::UNPROCESSABLE_ENTITY, "Not taken", what),
            Error::NotKept(_) | Error::BrokenOff => {
                Self::new(StatusCode::SERVICE_UNAVAILABLE, "Not kept", what)
            }
            Error::NoDocument(_) | Error::Entry { .. } | Error::Result { .. } | Error::NoRandomNumbers(_) => {
                Self::new(StatusCode::INTERNAL_SERVER_ERROR, "This went wrong", what)
            }
        }
    }
}

fn from_store(error: &store::Error, what: String) -> Fault {
    use store::Error as E;
    match error {
        E::UnknownEngine { .. } | E::UnknownVersion { .. } | E::UnknownResult { .. } => Fault::missing(what),
        E::Conflict { .. } | E::EngineExists { .. } | E::DeliveryKeyReused { .. } => {
            Fault::new(StatusCode::CONFLICT, "Not taken", what)
        }
        E::Invalid { .. } | E::TooLarge { .. } | E::BodyNotJson { .. } => {
            Fault::new(StatusCode::UNPROCESSABLE_ENTITY, "Not taken", what)
        }
        _ => Fault::new(StatusCode::INTERNAL_SERVER_ERROR, "The record has trouble", what),
    }
}
