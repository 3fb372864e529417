//! Requests and the bytes of their connections.

use std::sync::Arc;

use axum::{
    extract::{MatchedPath, Request, State},
    http::Method,
    middleware::Next,
    response::Response,
};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio_util::io::{InspectReader, InspectWriter};

use super::{Metrics, OfRequest, OfRoute};

/// Where pieces come in: one that is not taken is counted as such, whatever the reason.
const PIECES: &str = "/v1/blobs/{sha256}/{nth}";

/// Counts a request under the address that it fell on; never under the one that was asked, which may name a person's report.
pub(crate) async fn count_request(
    State(metrics): State<Arc<Metrics>>,
    matched: Option<MatchedPath>,
    request: Request,
    next: Next,
) -> Response {
    let begun = tokio::time::Instant::now();
    let route = matched.as_ref().map_or("none", MatchedPath::as_str).to_owned();
    let method = name_method(request.method());
    let response = next.run(request).await;
    let status = response.status();
    if route == PIECES && method == "PUT" && status.is_client_error() {
        metrics.piece("refused");
    }
    let of = OfRequest { route, method, status: status.as_u16() };
    metrics.requests.get_or_create(&of).inc();
    let of = OfRoute { route: of.route, method };
    metrics.request_seconds.get_or_create(&of).observe(begun.elapsed().as_secs_f64());
    response
}

/// Whoever makes up methods makes up no series.
fn name_method(method: &Method) -> &'static str {
    match *method {
        Method::GET => "GET",
        Method::POST => "POST",
        Method::PUT => "PUT",
        Method::DELETE => "DELETE",
        Method::HEAD => "HEAD",
        Method::OPTIONS => "OPTIONS",
        Method::PATCH => "PATCH",
        _ => "other",
    }
}

/// The connection, with what comes and goes over it counted.
pub(crate) fn wire<S: AsyncRead + AsyncWrite>(metrics: &Metrics, stream: S) -> impl AsyncRead + AsyncWrite + use<S> {
    let (received, sent) = (metrics.received.clone(), metrics.sent.clone());
    let reading = InspectReader::new(stream, move |bytes: &[u8]| {
        received.inc_by(bytes.len() as u64);
    });
    InspectWriter::new(reading, move |bytes: &[u8]| {
        sent.inc_by(bytes.len() as u64);
    })
}
