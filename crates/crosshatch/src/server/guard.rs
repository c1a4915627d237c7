//! Who may ask: only pages of this very server, through the loopback.
//!
//! A page elsewhere that makes a browser on this machine ask us shows itself by its Host (a name of its own that points
//! to 127.0.0.1) or its Origin; and it cannot read the token that every change has to carry.

use super::app::App;
use super::errors::Fault;
use super::size::let_run_out_briefly;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, Method, StatusCode, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Header that carries the token of scripts.
pub(super) const TOKEN_HEADER: &str = "x-crosshatch-token";

/// Refuses what comes under a foreign name or from a foreign page.
pub(super) async fn only_our_pages(request: Request, next: Next) -> Response {
    match check(request.method(), request.uri(), request.headers()) {
        Ok(()) => next.run(request).await,
        Err(fault) => {
            let_run_out_briefly(request.into_body()).await;
            fault.into_response()
        }
    }
}

fn refused(what: &str) -> Fault {
    Fault { links: Vec::new(), ..Fault::new(StatusCode::FORBIDDEN, "Not from here", what) }
}

fn check(method: &Method, uri: &Uri, headers: &HeaderMap) -> Result<(), Fault> {
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok())
        .or_else(|| uri.authority().map(axum::http::uri::Authority::as_str));
    let Some(host) = host.filter(|host| is_loopback(host)) else {
        return Err(refused("This server answers to http://127.0.0.1 and http://localhost only."));
    };
    let foreign = || refused("This came from a page of another server, so it was not taken.");
    let origin = headers.get(header::ORIGIN).map(|origin| origin.to_str().unwrap_or("?"));
    match origin {
        // With "no-referrer" a browser does not name the origin of a form; the token speaks for it.
        None | Some("null") => {}
        Some(origin) if origin.strip_prefix("http://").is_some_and(|o| o.eq_ignore_ascii_case(host)) => {}
        Some(_) => return Err(foreign()),
    }
    let site = headers.get("sec-fetch-site").and_then(|site| site.to_str().ok());
    let changes = !matches!(*method, Method::GET | Method::HEAD);
    if changes && !matches!(site, None | Some("same-origin" | "none")) {
        return Err(foreign());
    }
    Ok(())
}

/// A name of the loopback, with or without a port.
fn is_loopback(host: &str) -> bool {
    let name = match host.strip_prefix('[') {
        Some(rest) => return rest.split_once(']').is_some_and(|(name, port)| name == "::1" && is_port(port)),
        None => host.split_once(':').map_or((host, ""), |(name, _)| (name, &host[name.len()..])),
    };
    let (name, port) = name;
    matches!(name.to_ascii_lowercase().as_str(), "127.0.0.1" | "localhost") && is_port(port)
}

fn is_port(text: &str) -> bool {
    text.is_empty() || text.strip_prefix(':').is_some_and(|p| p.parse::<u16>().is_ok())
}

impl App {
    /// Is this the token of our pages? Compares all of it whatever differs.
    pub(super) fn check_token(&self, given: Option<&str>) -> Result<(), Fault> {
        let (own, given) = (self.token.as_bytes(), given.unwrap_or_default().as_bytes());
        let differ = own.iter().zip(given).fold(own.len() ^ given.len(), |d, (a, b)| d | usize::from(a ^ b));
        if differ == 0 {
            return Ok(());
        }
        let what =
            "The page that this came from is too old, or not ours. Load it again; nothing was changed.";
        Err(Fault::new(StatusCode::FORBIDDEN, "Load the page again", what))
    }
}

/// Layer for the routes of scripts: the token stands in a header.
pub(super) async fn token_in_header(State(app): State<App>, request: Request, next: Next) -> Response {
    let given = request.headers().get(TOKEN_HEADER).and_then(|token| token.to_str().ok());
    match app.check_token(given) {
        Ok(()) => next.run(request).await,
        Err(fault) => {
            let_run_out_briefly(request.into_body()).await;
            fault.json()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check_headers(method: &Method, pairs: &[(&'static str, &str)]) -> bool {
        let mut headers = HeaderMap::new();
        for (name, value) in pairs {
            headers.insert(*name, value.parse().expect("a value"));
        }
        check(method, &Uri::from_static("/"), &headers).is_ok()
    }

    #[test]
    fn only_names_of_the_loopback_are_answered() {
        for good in ["127.0.0.1", "127.0.0.1:7117", "localhost:80", "LOCALHOST", "[::1]:7117", "[::1]"] {
            assert!(is_loopback(good), "{good}");
        }
        for bad in [
            "",
            "crosshatch.example",
            "127.0.0.1.example",
            "127.0.0.1:x",
            "[::2]",
            "192.168.0.4:7117",
            "localhost:7117:1",
        ] {
            assert!(!is_loopback(bad), "{bad}");
        }
    }

    #[test]
    fn foreign_pages_are_refused() {
        assert!(check_headers(
            &Method::POST,
            &[("host", "localhost:7117"), ("origin", "http://localhost:7117")]
        ));
        assert!(check_headers(
            &Method::POST,
            &[("host", "localhost:7117"), ("origin", "null"), ("sec-fetch-site", "same-origin")]
        ));
        assert!(!check_headers(
            &Method::POST,
            &[("host", "localhost:7117"), ("origin", "http://localhost:9000")]
        ));
        assert!(!check_headers(
            &Method::POST,
            &[("host", "localhost:7117"), ("origin", "https://a.example")]
        ));
        assert!(!check_headers(
            &Method::POST,
            &[("host", "localhost:7117"), ("origin", "null"), ("sec-fetch-site", "cross-site")]
        ));
        assert!(!check_headers(&Method::GET, &[]));
    }
}
