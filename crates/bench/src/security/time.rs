//! No request takes for ever: neither one whose body trickles in nor one that keeps the processor busy.

use axum::extract::{Request, State};
use axum::http::StatusCode;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::size::takes_photos;
use crate::app::App;
use crate::errors::Fault;

/// Gives up on a request that takes longer than the limits allow. Photos come over slow networks and get more time.
pub async fn limit(State(app): State<App>, request: Request, next: Next) -> Response {
    let limits = app.limits();
    let time = if takes_photos(request.uri().path()) { limits.upload } else { limits.request };
    match tokio::time::timeout(time, next.run(request)).await {
        Ok(response) => response,
        Err(_) => too_slow().into_response(),
    }
}

fn too_slow() -> Fault {
    Fault::new(
        StatusCode::REQUEST_TIMEOUT,
        "too-slow",
        "That took too long",
        "The request did not finish in the time that it is given.",
    )
    .with_help("Send it again. A large photo over a slow network: make it smaller first.")
}
