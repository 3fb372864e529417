//! Certificates: a device asks for one, and fetches it when the firm's issuer, which is elsewhere, has signed it.

use std::sync::Arc;

use axum::{
    Json,
    extract::State,
    http::{HeaderMap, StatusCode},
};
use schemars::JsonSchema;
use seal::certificate::CertificateAsked;
use serde::Serialize;
use utoipa_axum::{router::OpenApiRouter, routes};

use super::{
    answer::Refusal,
    document::refusals,
    input::Told,
    routes::{Office, Shared, aside, know},
};
use crate::papers::{REVOKED, read_paper};

refusals! {
    OfAsking: WHO, SPOILT, FORM, FAILED;
    OfFetching: WHO, NOT_THERE, FAILED;
}

pub(super) fn addresses() -> OpenApiRouter<Arc<Office>> {
    OpenApiRouter::new().routes(routes!(fetch_certificate, ask_certificate))
}

/// Asks for a certificate
///
/// For a key that stays on its device. Another request takes the place of the one before.
#[utoipa::path(
    post,
    path = "/v1/certificate",
    params(("Content-Digest" = String, Header, description = "The body's SHA-256, as RFC 9530 has it.")),
    request_body(content = String, content_type = "application/x-pem-file", description = "A request of PKCS #10, PEM."),
    responses((status = 204, description = "The request is kept."), OfAsking),
    security(("token" = [])),
)]
async fn ask_certificate(State(office): Shared, headers: HeaderMap, sent: Told) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let body = sent.arrived()?.bytes;
        let pem = std::str::from_utf8(&body).map_err(|_| Refusal::FORM)?;
        CertificateAsked::parse_pem(pem).map_err(|_| Refusal::FORM)?;
        office.rows.ask_certificate(&device.firm, &device.device, pem, office.world.now())?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// What a device's request came to.
#[derive(Serialize, JsonSchema)]
pub(super) struct Given {
    /// The certificate with its issuer and root, PEM; null while none was given.
    chain: Option<String>,
    /// The firm's list of what is revoked, PEM.
    revoked: Option<String>,
}

/// Fetches the certificate that was given for the device's request
#[utoipa::path(
    get,
    path = "/v1/certificate",
    responses(
        (status = 200, description = "The request is here, and this was given for it.",
            body = ref("#/components/schemas/Given"), content_type = "application/json"),
        OfFetching,
    ),
    security(("token" = [])),
)]
async fn fetch_certificate(State(office): Shared, headers: HeaderMap) -> Result<Json<Given>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let row = office.rows.certificate(&device.firm, &device.device)?.ok_or(Refusal::NOT_THERE)?;
        let revoked = read_paper(office.shelf.as_ref(), &device.firm, REVOKED)?;
        Ok(Json(Given { chain: row.chain, revoked }))
    })
    .await
}
