//! What the office's own devices do at a desk: let devices in, shut them out, see what they ask for. And whose a root is, for
//! everybody.

use std::sync::Arc;

use axum::{
    Json, Router,
    body::Bytes,
    extract::{Path, State},
    http::{HeaderMap, StatusCode},
    routing::{get, post},
};
use seal::certificate::{Certificate, CertificateAsked, Role};
use serde::Deserialize;
use serde_json::{Value, json};

use super::{
    answer::Refusal,
    routes::{Office, Shared, aside, know},
};
use crate::{
    enrol::{CODE_MINUTES, make_code},
    papers::{ROOT, read_paper},
    store::{CertificateRow, Device},
};

/// What the office calls a device, in so many letters.
const MOST_LABEL: usize = 80;

pub(super) fn routes() -> Router<Arc<Office>> {
    Router::new()
        .route("/v1/devices", get(list))
        .route("/v1/devices/{device}", axum::routing::delete(shut_out))
        .route("/v1/codes", post(code))
        .route("/roots/{fingerprint}", get(find_firm))
}

/// The device that asks, if it is one of the office's own.
fn know_office(office: &Office, headers: &HeaderMap) -> Result<Device, Refusal> {
    let device = know(office, headers)?;
    if device.role == Role::Office { Ok(device) } else { Err(Refusal::NOT_FOR_YOU) }
}

async fn list(State(office): Shared, headers: HeaderMap) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let firm = know_office(office, &headers)?.firm;
        let asked = office.rows.list_certificates(&firm)?;
        let (devices, forks) = (office.rows.list_devices(&firm)?, office.rows.forks(&firm)?);
        let told = devices.iter().map(|device| {
            let certificate = asked.iter().find(|row| row.device == device.device).map(tell_asked);
            json!({
                "device": device.device, "label": device.label, "role": device.role.name(),
                "since": device.since.to_rfc3339(), "shut_out": device.revoked.map(|at| at.to_rfc3339()),
                "certificate": certificate,
                "forks": forks.iter().filter(|fork| fork.entry.id.device.as_str() == device.device).count(),
            })
        });
        Ok(Json(Value::Array(told.collect())))
    })
    .await
}

/// What a device asked to be certified as; its key's fingerprint is for the eye.
fn tell_asked(row: &CertificateRow) -> Value {
    let asked = CertificateAsked::parse_pem(&row.request).ok();
    json!({
        "name": asked.as_ref().map(|asked| asked.person().name.clone()),
        "role": asked.as_ref().map(|asked| asked.person().role.name()),
        "fingerprint": asked.as_ref().map(|asked| asked.key().fingerprint().0.to_hex()),
        "asked_at": row.asked_at.to_rfc3339(),
        "given_at": row.given_at.map(|at| at.to_rfc3339()),
    })
}

async fn shut_out(
    State(office): Shared,
    Path(device): Path<String>,
    headers: HeaderMap,
) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let firm = know_office(office, &headers)?.firm;
        let done = office.rows.shut_out(&firm, &device, office.world.now())?;
        if done { Ok(StatusCode::NO_CONTENT) } else { Err(Refusal::NOT_THERE) }
    })
    .await
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ToLetIn {
    label: String,
    role: String,
}

async fn code(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let firm = know_office(office, &headers)?.firm;
        let ToLetIn { label, role } = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        let role = Role::parse(&role).ok_or(Refusal::FORM)?;
        let fits = !label.trim().is_empty() && label.chars().count() <= MOST_LABEL;
        if !fits || label.contains(char::is_control) {
            return Err(Refusal::FORM);
        }
        let code = make_code(office.rows.as_ref(), office.world.as_ref(), &firm, (&label, role))?;
        Ok(Json(json!({ "code": code, "minutes": CODE_MINUTES })))
    })
    .await
}

/// Whose root that is, so that a reader who has a report finds what its firm says today.
async fn find_firm(State(office): Shared, Path(fingerprint): Path<String>) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        for firm in office.logs.keys() {
            let root = read_paper(office.shelf.as_ref(), firm, ROOT)?;
            let root = root.and_then(|pem| Certificate::parse_pem(&pem).ok());
            if root.is_some_and(|root| root.fingerprint().0.to_hex() == fingerprint) {
                return Ok(Json(json!({ "firm": firm.as_str() })));
            }
        }
        Err(Refusal::NOT_THERE)
    })
    .await
}
