//! The page that Prometheus reads, at an address of its own.

use std::sync::Arc;

use axum::{Router, extract::State, http::header, response::IntoResponse, routing::get};
use prometheus_client::encoding::prometheus_text::CONTENT_TYPE;

use super::Metrics;
use crate::{
    http::{Office, Refusal},
    keeper::read_head,
};

#[derive(Clone)]
struct Watch {
    metrics: Arc<Metrics>,
    office: Arc<Office>,
    name_firms: bool,
}

/// `/metrics` and nothing else. Firms are named in it only where `name_firms` says so.
pub fn metrics_routes(metrics: Arc<Metrics>, office: Arc<Office>, name_firms: bool) -> Router {
    Router::new().route("/metrics", get(show)).fallback(|| async { Refusal::NOT_THERE }).with_state(Watch {
        metrics,
        office,
        name_firms,
    })
}

async fn show(State(watch): State<Watch>) -> impl IntoResponse {
    let Watch { metrics, office, name_firms } = watch;
    let looked = tokio::task::spawn_blocking(move || {
        look_at_logs(&metrics, &office, name_firms);
        metrics.to_text()
    });
    looked.await.map(|text| ([(header::CONTENT_TYPE, CONTENT_TYPE)], text)).map_err(|_| Refusal::FAILED)
}

/// What is shown is asked, not what is being entered: nobody waits for a log here. One whose head cannot be read keeps the
/// size that it had; that it failed stands among the store's failures.
fn look_at_logs(metrics: &Metrics, office: &Office, name_firms: bool) {
    let sizes = office.logs.keys().filter_map(|firm| {
        let head = read_head(office.shelf.as_ref(), firm).ok()?;
        Some((firm, head.map_or(0, |head| head.size())))
    });
    if name_firms {
        for (firm, size) in sizes {
            metrics.log_has(Some(firm.as_str()), size);
        }
    } else {
        metrics.log_has(None, sizes.map(|(_, size)| size).sum());
    }
}
