//! Certificates: a device asks for one, and fetches it when the firm's issuer, which is elsewhere, has signed it.

use std::sync::Arc;

use axum::{
    Json, Router,
    body::Bytes,
    extract::State,
    http::{HeaderMap, StatusCode},
    routing::get,
};
use seal::certificate::CertificateAsked;
use serde_json::{Value, json};

use super::{
    answer::Refusal,
    routes::{Office, Shared, aside, know},
    sync::arrived,
};
use crate::papers::{REVOKED, read_paper};

pub(super) fn routes() -> Router<Arc<Office>> {
    Router::new().route("/v1/certificate", get(fetch).post(ask))
}

async fn ask(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        arrived(&headers, &body)?;
        let pem = std::str::from_utf8(&body).map_err(|_| Refusal::FORM)?;
        CertificateAsked::parse_pem(pem).map_err(|_| Refusal::FORM)?;
        office.rows.ask_certificate(&device.firm, &device.device, pem, office.world.now())?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// What was given for the device's request, and the firm's list of what is revoked; null while nothing was given.
async fn fetch(State(office): Shared, headers: HeaderMap) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let row = office.rows.certificate(&device.firm, &device.device)?.ok_or(Refusal::NOT_THERE)?;
        let list = read_paper(office.shelf.as_ref(), &device.firm, REVOKED)?;
        Ok(Json(json!({ "chain": row.chain, "revoked": list })))
    })
    .await
}
