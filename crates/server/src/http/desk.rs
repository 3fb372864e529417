//! What the office's own devices do at a desk: let devices in, shut them out, see what they ask for. And whose a root is, for
//! everybody.

use std::sync::Arc;

use axum::{
    Json,
    extract::State,
    http::{HeaderMap, StatusCode},
};
use chrono::{DateTime, Utc};
use schemars::JsonSchema;
use seal::certificate::{Certificate, CertificateAsked, Role};
use serde::{Deserialize, Serialize};
use utoipa_axum::{router::OpenApiRouter, routes};

use super::{
    answer::Refusal,
    document::refusals,
    input::{At, Sent},
    routes::{Office, Shared, aside, know},
};
use crate::{
    enrol::{CODE_MINUTES, make_code},
    papers::{ROOT, read_paper},
    store::{CertificateRow, Device},
};

/// What the office calls a device, in so many letters.
const MOST_LABEL: usize = 80;

refusals! {
    OfDesk: WHO, NOT_FOR_YOU, FAILED;
    OfDevice: WHO, NOT_FOR_YOU, NOT_THERE, FAILED;
    OfCodes: WHO, NOT_FOR_YOU, FORM, FAILED;
    OfRoots: NOT_THERE, FAILED;
}

pub(super) fn addresses() -> OpenApiRouter<Arc<Office>> {
    OpenApiRouter::new()
        .routes(routes!(list_devices))
        .routes(routes!(shut_out))
        .routes(routes!(make_code_for))
        .routes(routes!(find_firm))
}

/// The device that asks, if it is one of the office's own.
fn know_office(office: &Office, headers: &HeaderMap) -> Result<Device, Refusal> {
    let device = know(office, headers)?;
    if device.role == Role::Office { Ok(device) } else { Err(Refusal::NOT_FOR_YOU) }
}

/// A firm's devices, in the order of their names.
#[derive(Serialize, JsonSchema)]
#[serde(transparent)]
pub(super) struct KnownDevices(Vec<KnownDevice>);

/// A device as the office knows it.
#[derive(Serialize, JsonSchema)]
pub(super) struct KnownDevice {
    /// Its name.
    device: String,
    /// What the office calls it.
    label: String,
    /// What it may do: Inspector, Dealer or Office.
    role: &'static str,
    /// When it was let in.
    #[schemars(with = "DateTime<Utc>")]
    since: String,
    /// When it was shut out; null while it is in.
    #[schemars(with = "Option<DateTime<Utc>>")]
    shut_out: Option<String>,
    /// What it asked to be certified as, if it did.
    certificate: Option<AskedCertificate>,
    /// Entries of it that stand against others of the same name.
    forks: usize,
}

/// What a device asked to be certified as; its key's fingerprint is for the eye.
#[derive(Serialize, JsonSchema)]
pub(super) struct AskedCertificate {
    /// The person.
    name: Option<String>,
    /// What the person is to do.
    role: Option<&'static str>,
    /// SHA-256 of the key.
    fingerprint: Option<String>,
    /// When it was asked for.
    #[schemars(with = "DateTime<Utc>")]
    asked_at: String,
    /// When it was given; null while it was not.
    #[schemars(with = "Option<DateTime<Utc>>")]
    given_at: Option<String>,
}

/// Lists the firm's devices, those that were shut out too
///
/// For the office's own devices.
#[utoipa::path(
    get,
    path = "/v1/devices",
    responses(
        (status = 200, description = "In the order of their names.",
            body = ref("#/components/schemas/KnownDevices"), content_type = "application/json"),
        OfDesk,
    ),
    security(("token" = [])),
)]
async fn list_devices(State(office): Shared, headers: HeaderMap) -> Result<Json<KnownDevices>, Refusal> {
    aside(&office, move |office| {
        let firm = know_office(office, &headers)?.firm;
        let asked = office.rows.list_certificates(&firm)?;
        let (devices, forks) = (office.rows.list_devices(&firm)?, office.rows.forks(&firm)?);
        let told = devices.into_iter().map(|device| KnownDevice {
            certificate: asked.iter().find(|row| row.device == device.device).map(tell_asked),
            forks: forks.iter().filter(|fork| fork.entry.id.device.as_str() == device.device).count(),
            device: device.device,
            label: device.label,
            role: device.role.name(),
            since: device.since.to_rfc3339(),
            shut_out: device.revoked.map(|at| at.to_rfc3339()),
        });
        Ok(Json(KnownDevices(told.collect())))
    })
    .await
}

fn tell_asked(row: &CertificateRow) -> AskedCertificate {
    let asked = CertificateAsked::parse_pem(&row.request).ok();
    AskedCertificate {
        name: asked.as_ref().map(|asked| asked.person().name.clone()),
        role: asked.as_ref().map(|asked| asked.person().role.name()),
        fingerprint: asked.as_ref().map(|asked| asked.key().fingerprint().0.to_hex()),
        asked_at: row.asked_at.to_rfc3339(),
        given_at: row.given_at.map(|at| at.to_rfc3339()),
    }
}

/// Shuts a device out, at once
///
/// For the office's own devices.
#[utoipa::path(
    delete,
    path = "/v1/devices/{device}",
    params(("device" = String, Path, description = "The device's name.")),
    responses((status = 204, description = "It is out."), OfDevice),
    security(("token" = [])),
)]
async fn shut_out(State(office): Shared, At(device): At<String>, headers: HeaderMap) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let firm = know_office(office, &headers)?.firm;
        let done = office.rows.shut_out(&firm, &device, office.world.now())?;
        if done { Ok(StatusCode::NO_CONTENT) } else { Err(Refusal::NOT_THERE) }
    })
    .await
}

/// A device that is to be let in.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ToLetIn {
    /// What the office calls it.
    #[schemars(length(min = 1, max = MOST_LABEL))]
    label: String,
    /// What it may do.
    #[schemars(extend("enum" = Role::ALL.map(Role::name)))]
    role: String,
}

/// A code that lets one device in.
#[derive(Serialize, JsonSchema)]
pub(super) struct NewCode {
    /// What is typed on the device.
    code: String,
    /// How long it is good.
    minutes: i64,
}

/// Makes a code that lets a device in
///
/// It is good once, for a few minutes and a few wrong answers. For the office's own devices.
#[utoipa::path(
    post,
    path = "/v1/codes",
    request_body(content = ref("#/components/schemas/ToLetIn"), content_type = "application/json"),
    responses(
        (status = 200, description = "The code.",
            body = ref("#/components/schemas/NewCode"), content_type = "application/json"),
        OfCodes,
    ),
    security(("token" = [])),
)]
async fn make_code_for(State(office): Shared, headers: HeaderMap, Sent(body): Sent) -> Result<Json<NewCode>, Refusal> {
    aside(&office, move |office| {
        let firm = know_office(office, &headers)?.firm;
        let ToLetIn { label, role } = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        let role = Role::parse(&role).ok_or(Refusal::FORM)?;
        let fits = !label.trim().is_empty() && label.chars().count() <= MOST_LABEL;
        if !fits || label.contains(char::is_control) {
            return Err(Refusal::FORM);
        }
        let code = make_code(office.rows.as_ref(), office.world.as_ref(), &firm, (&label, role))?;
        Ok(Json(NewCode { code, minutes: CODE_MINUTES }))
    })
    .await
}

/// Whose root that is.
#[derive(Serialize, JsonSchema)]
pub(super) struct RootOf {
    /// The firm, as its log's addresses name it.
    firm: String,
}

/// Says whose root that is
///
/// So that a reader who has a report finds what its firm says today.
#[utoipa::path(
    get,
    path = "/roots/{fingerprint}",
    params(("fingerprint" = String, Path, description = "SHA-256 of the root, in hexadecimal digits.")),
    responses(
        (status = 200, description = "A firm of this office has it.",
            body = ref("#/components/schemas/RootOf"), content_type = "application/json"),
        OfRoots,
    ),
)]
async fn find_firm(State(office): Shared, At(fingerprint): At<String>) -> Result<Json<RootOf>, Refusal> {
    aside(&office, move |office| {
        for firm in office.logs.keys() {
            let root = read_paper(office.shelf.as_ref(), firm, ROOT)?;
            let root = root.and_then(|pem| Certificate::parse_pem(&pem).ok());
            if root.is_some_and(|root| root.fingerprint().0.to_hex() == fingerprint) {
                return Ok(Json(RootOf { firm: firm.as_str().to_owned() }));
            }
        }
        Err(Refusal::NOT_THERE)
    })
    .await
}
