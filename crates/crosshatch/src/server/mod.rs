//! The server: routes, a handler file for each page, errors turned into pages in one place, headers in one layer.
//! It listens on the loopback only: people on the shop's network need names and passphrases, which are not there yet.

mod app;
mod errors;
mod fragments;
mod guard;
mod handlers;
mod headers;
mod notices;
mod routes;
pub(crate) mod serve;
mod size;

pub use app::App;
pub use routes::{DOCUMENT_BODY, OTHER_BODY, router};
pub use serve::{DEFAULT_PORT, Listening, ServeError, listen};
