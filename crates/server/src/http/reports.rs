//! Sealed reports that devices bring, and statements that take one back.

use std::sync::{Arc, PoisonError};

use axum::{
    Json,
    extract::{DefaultBodyLimit, State},
    http::HeaderMap,
};
use schemars::JsonSchema;
use serde::Serialize;
use sync::{Bring, Brought};
use utoipa_axum::{
    router::{OpenApiRouter, UtoipaMethodRouterExt as _},
    routes,
};

use super::{
    answer::Refusal,
    document::refusals,
    input::Told,
    routes::{Office, Shared, aside, know},
    sync::name,
};
use crate::{
    entering::read_statement,
    papers::{REVOKED, ROOT, read_paper, show_statement},
    taking::{TakeError, Takes, take_report},
};

/// A statement with its chain is a few kB.
const MOST_STATEMENT: usize = 64 * 1024;

refusals! {
    OfReports: WHO, SPOILT, FORM, NO_ROOT, NOT_OURS, FAILED;
    OfStatements: WHO, SPOILT, FORM, NO_ROOT, NOT_OURS, NOT_THERE, FAILED;
}

pub(super) fn addresses() -> OpenApiRouter<Arc<Office>> {
    OpenApiRouter::new()
        .routes(routes!(bring_report))
        .routes(routes!(state).layer(DefaultBodyLimit::max(MOST_STATEMENT)))
}

/// Brings a sealed report
///
/// The device says which file it has. Where the office lacks it, the pieces that it has are named, and the rest is sent to
/// `/v1/blobs/{sha256}`; then this is asked again, and the report is looked at. Only what is sealed under the firm's root is
/// taken.
#[utoipa::path(
    post,
    path = "/v1/reports",
    params(("Content-Digest" = String, Header, description = "The body's SHA-256, as RFC 9530 has it.")),
    request_body(content = ref("#/components/schemas/Bring"), content_type = "application/json"),
    responses(
        (status = 200, description = "The report is here, or these pieces of it.",
            body = ref("#/components/schemas/Brought"), content_type = "application/json"),
        OfReports,
    ),
    security(("token" = [])),
)]
async fn bring_report(State(office): Shared, headers: HeaderMap, sent: Told) -> Result<Json<Brought>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let body = sent.arrived()?.bytes;
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

/// Where a statement stands in the log.
#[derive(Serialize, JsonSchema)]
pub(super) struct Stated {
    /// Its entry, counted from 0.
    entry: u64,
    /// When it was entered.
    #[schemars(with = "chrono::DateTime<chrono::Utc>")]
    at: String,
}

/// Shows a signed statement and enters it into the log
///
/// From then on whoever looks sees that the report does not stand.
#[utoipa::path(
    post,
    path = "/v1/statements",
    params(("Content-Digest" = String, Header, description = "The body's SHA-256, as RFC 9530 has it.")),
    request_body(content = String, content_type = "application/x-pem-file",
        description = "The statement, PEM, signed by the report's own signer or the firm's office."),
    responses(
        (status = 200, description = "It is shown and entered.",
            body = ref("#/components/schemas/Stated"), content_type = "application/json"),
        OfStatements,
    ),
    extensions(("x-most-bytes" = json!(MOST_STATEMENT))),
    security(("token" = [])),
)]
async fn state(State(office): Shared, headers: HeaderMap, sent: Told) -> Result<Json<Stated>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let body = sent.arrived()?.bytes;
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
        Ok(Json(Stated { entry: first.index, at: first.entry.at.to_rfc3339() }))
    })
    .await
}
