//! A request that says that it is too large is let run out before it is refused: a browser that is cut off in the
//! middle of sending shows its person a broken connection instead of our answer.

use super::errors::Fault;
use axum::body::{Body, HttpBody};
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::pin::Pin;
use std::time::Duration;

/// More than this is not listened to in any case.
const LISTEN: usize = 64 << 20;

/// How long a refused request is listened to.
const BRIEFLY: Duration = Duration::from_secs(2);

/// Refuses requests that name a larger size. What comes without a size is cut off by the body limit of the routes.
pub(super) async fn at_most(most: usize, request: Request, next: Next) -> Response {
    let said = request
        .headers()
        .get(header::CONTENT_LENGTH)
        .and_then(|size| size.to_str().ok()?.parse::<usize>().ok());
    if said.is_none_or(|size| size <= most) {
        return next.run(request).await;
    }
    let_run_out(request.into_body()).await;
    too_large().into_response()
}

/// The answer to what is too large.
pub(super) fn too_large() -> Fault {
    let what = "This is larger than is taken: a document or a file of readings has at most 4 MiB, anything else 2 MiB.";
    Fault::new(StatusCode::PAYLOAD_TOO_LARGE, "Too large", what)
}

/// A request that is refused unread is let run out for a moment: a connection that is closed on a body half sent shows
/// its person a broken line instead of the reason.
pub(super) async fn let_run_out_briefly(body: Body) {
    let _ = tokio::time::timeout(BRIEFLY, let_run_out(body)).await;
}

async fn let_run_out(mut body: Body) {
    let mut left = LISTEN;
    while let Some(Ok(frame)) = std::future::poll_fn(|context| Pin::new(&mut body).poll_frame(context)).await
    {
        let size = frame.data_ref().map_or(0, axum::body::Bytes::len);
        if size >= left {
            return;
        }
        left -= size;
    }
}
