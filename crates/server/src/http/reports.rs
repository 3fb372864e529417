//! Sealed reports that devices bring, and statements that take one back.

use std::sync::{Arc, PoisonError};

use axum::{
    Json, Router,
    body::Bytes,
    extract::{DefaultBodyLimit, State},
    http::HeaderMap,
    routing::post,
};
use serde_json::{Value, json};
use sync::{Bring, Brought};

use super::{
    answer::Refusal,
    routes::{Office, Shared, aside, know},
    sync::{arrived, name},
};
use crate::{
    entering::read_statement,
    papers::{REVOKED, ROOT, read_paper, show_statement},
    taking::{TakeError, Takes, take_report},
};

/// A statement with its chain is a few kB.
const MOST_STATEMENT: usize = 64 * 1024;

pub(super) fn routes() -> Router<Arc<Office>> {
    Router::new()
        .route("/v1/reports", post(bring))
        .route("/v1/statements", post(state).layer(DefaultBodyLimit::max(MOST_STATEMENT)))
}

async fn bring(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<Json<Brought>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        arrived(&headers, &body)?;
        let brought: Bring = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        let takes = Takes {
            rows: office.rows.as_ref(),
            blobs: office.blobs.as_ref(),
            shelf: office.shelf.as_ref(),
            now: office.world.now(),
        };
        let id = name(&device)?;
        match take_report(takes, (&device.firm, &id), &brought) {
            Ok(answer) => Ok(Json(answer)),
            Err(TakeError::Store(error)) => Err(error.into()),
            Err(TakeError::NoRoot) => Err(Refusal::NO_ROOT),
            Err(TakeError::TooLarge { .. } | TakeError::NotOurs(_)) => Err(Refusal::NOT_OURS),
        }
    })
    .await
}

/// Shows a signed statement and enters it into the log: from then on whoever looks sees that the report does not stand.
async fn state(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        arrived(&headers, &body)?;
        let (firm, now) = (&device.firm, office.world.now());
        let shelf = office.shelf.as_ref();
        let root = read_paper(shelf, firm, ROOT)?.ok_or(Refusal::NO_ROOT)?;
        let list = read_paper(shelf, firm, REVOKED)?;
        let pem = std::str::from_utf8(&body).map_err(|_| Refusal::FORM)?;
        let (kind, signed) = read_statement(pem, &root, list.as_deref(), now).map_err(|_| Refusal::NOT_OURS)?;
        show_statement(shelf, firm, &kind, signed.to_pem().as_bytes())?;
        let keeper = office.logs.get(firm).ok_or(Refusal::NOT_THERE)?;
        let mut keeper = keeper.lock().unwrap_or_else(PoisonError::into_inner);
        let entered = keeper.enter(&[kind], now)?;
        let first = entered.first().ok_or(Refusal::FAILED)?;
        Ok(Json(json!({ "entry": first.index, "at": first.entry.at.to_rfc3339() })))
    })
    .await
}
