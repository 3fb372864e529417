//! Every address, and who may ask it.

use std::{
    collections::BTreeMap,
    path::PathBuf,
    sync::{Arc, LazyLock, Mutex, PoisonError},
    time::Duration,
};

use axum::{
    Json, Router,
    body::{Body, Bytes},
    extract::{DefaultBodyLimit, MatchedPath, Request, State},
    handler::HandlerWithoutStateExt as _,
    http::{HeaderMap, HeaderValue, Method, StatusCode, header},
    middleware::{self, Next},
    response::{IntoResponse, Response},
};
use log::{CHECKPOINT, EntryKind};
use model::DeviceId;
use schemars::JsonSchema;
use seal::signature::LoneSignature;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sync::Issued;
use tower_http::{services::ServeDir, set_header::SetResponseHeaderLayer};
use utoipa::openapi::OpenApi;
use utoipa_axum::{router::OpenApiRouter, routes};

use super::{
    answer::Refusal,
    document::{describe, refusals},
    input::{At, Sent, Told},
};
use crate::{
    enrol::{OfficeWorld, digest_token, let_in},
    entering::may_enter,
    keeper::LogKeeper,
    papers::{CHANGING, LOG_KEY, REVOKED, ROOT, STATEMENTS, read_paper},
    store::{Blobs, Device, FirmId, OfficeRows, Shelf},
};

/// The office's answers are small, and so is what it is asked.
const MOST_BYTES: usize = 16 * 1024;
/// No code is longer, in bytes.
const MOST_CODE: usize = 64;
/// Whoever asks may look at whole files for ever.
const FOR_EVER: &str = "public, max-age=31536000, immutable";

/// The office as it is served.
pub struct Office {
    /// Who may speak to it, what they wrote and sealed, and what it shows to whom.
    pub rows: Arc<dyn OfficeRows>,
    /// The files that everybody may read.
    pub shelf: Arc<dyn Shelf>,
    /// Their photographs and recordings.
    pub blobs: Arc<dyn Blobs>,
    /// The logs that it keeps.
    pub logs: BTreeMap<FirmId, Mutex<LogKeeper>>,
    /// Clock and randomness.
    pub world: Arc<dyn OfficeWorld>,
    /// The folder of the field app's pages, where this office gives them out as well.
    pub pages: Option<PathBuf>,
    /// Whether an authority is asked for a timestamp of each report: devices ask for what lacks one only then.
    pub stamps: bool,
    /// Where a line about each request goes: what was asked, what came, how long it took; never who or what about.
    pub tell: Box<dyn Fn(&str) + Send + Sync>,
}

pub(super) type Shared = State<Arc<Office>>;

refusals! {
    OfNothing: ;
    OfReadiness: FAILED;
    OfLog: NOT_THERE, FAILED;
    OfEnrolling: FORM, CODE, FAILED;
    OfEntering: WHO, SPOILT, FORM, NOT_OURS, NO_ROOT, NOT_THERE, FAILED;
}

/// Every address with what is told of it. What is none of these is a page, or nothing.
fn addresses() -> (Router<Arc<Office>>, OpenApi) {
    OpenApiRouter::new()
        .routes(routes!(health))
        .routes(routes!(ready))
        .routes(routes!(tell_document))
        .routes(routes!(read_log))
        .routes(routes!(enrol))
        .routes(routes!(enter))
        .merge(super::sync::addresses())
        .merge(super::reports::addresses())
        .merge(super::links::addresses())
        .merge(super::certificates::addresses())
        .merge(super::desk::addresses())
        .split_for_parts()
}

/// What the office can be asked, as an `OpenAPI` 3.1 document.
pub fn describe_api() -> Value {
    describe(addresses().1)
}

/// All addresses; each request is answered within that time or not at all.
pub fn routes(office: Arc<Office>, within: Duration) -> Router {
    let (pages, patient) = (office.pages.clone(), Arc::clone(&office));
    let routes = addresses().0.method_not_allowed_fallback(|| async { Refusal::NOT_THERE });
    let routes = match pages {
        Some(folder) => routes.fallback_service(give_pages(&folder)),
        None => routes.fallback(|| async { Refusal::NOT_THERE }),
    };
    routes
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn(move |request, next| in_time(Arc::clone(&patient), within, request, next)))
        .layer(middleware::from_fn(guard))
        .layer(middleware::from_fn_with_state(Arc::clone(&office), tell))
        .with_state(office)
}

/// The field app, from the same origin as the office, so that its pages ask nobody else. Each page carries its own policy;
/// the office adds that nobody may frame it.
fn give_pages(folder: &std::path::Path) -> Router {
    let missing = (|| async { Refusal::NOT_THERE }).into_service();
    let with = |name, value| SetResponseHeaderLayer::overriding(name, HeaderValue::from_static(value));
    Router::new()
        .fallback_service(ServeDir::new(folder).not_found_service(missing))
        .layer(with(header::CONTENT_SECURITY_POLICY, "frame-ancestors 'none'"))
        .layer(with(header::CACHE_CONTROL, "no-cache"))
}

/// So many times as long as any other request a piece of a photograph may take: one of 1 MiB comes in the usual five
/// minutes over a link of 30 kbit/s, where a phone would otherwise send it again and again and never get it through.
const PATIENCE: u32 = 10;

/// Whoever sends a body drop by drop is not waited for, and a stranger no longer than for a small one.
async fn in_time(office: Arc<Office>, within: Duration, request: Request, next: Next) -> Response {
    let is_piece = request.method() == Method::PUT && request.uri().path().starts_with("/v1/blobs/");
    let headers = request.headers().clone();
    let is_patient = is_piece && aside(&office, move |office| know(office, &headers)).await.is_ok();
    let within = if is_patient { within * PATIENCE } else { within };
    match tokio::time::timeout(within, next.run(request)).await {
        Ok(response) => response,
        Err(_) => Refusal::LATE.into_response(),
    }
}

/// What a browser that strays here may do with the answers: nothing.
async fn guard(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [(header::X_CONTENT_TYPE_OPTIONS, "nosniff"), (header::REFERRER_POLICY, "no-referrer")] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    let nothing = HeaderValue::from_static("default-src 'none'; frame-ancestors 'none'");
    headers.entry(header::CONTENT_SECURITY_POLICY).or_insert(nothing);
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}

/// A line for each request. The address is that of the table, never the one that was asked: it may name a person's report.
async fn tell(State(office): Shared, matched: Option<MatchedPath>, request: Request, next: Next) -> Response {
    let begun = tokio::time::Instant::now();
    let method = request.method().clone();
    let response = next.run(request).await;
    let line = json!({
        "at": office.world.now().to_rfc3339(),
        "method": method.as_str(),
        "route": matched.as_ref().map_or("none", MatchedPath::as_str),
        "status": response.status().as_u16(),
        "ms": begun.elapsed().as_millis() as u64,
    });
    (office.tell)(&line.to_string());
    response
}

/// Does something with the stores on a thread that may wait.
pub(super) async fn aside<T: Send + 'static>(
    office: &Arc<Office>,
    work: impl FnOnce(&Office) -> Result<T, Refusal> + Send + 'static,
) -> Result<T, Refusal> {
    let office = Arc::clone(office);
    tokio::task::spawn_blocking(move || work(&office)).await.map_err(|_| Refusal::FAILED)?
}

/// Says that the office is open
#[utoipa::path(get, path = "/health", responses((status = 200, description = "It is.", body = String), OfNothing))]
async fn health() -> &'static str {
    "ok\n"
}

static DOCUMENT: LazyLock<Bytes> = LazyLock::new(|| describe_api().to_string().into());

/// Says what the office can be asked
///
/// This document.
#[utoipa::path(
    get,
    path = "/openapi.json",
    responses(
        (status = 200, description = "OpenAPI 3.1.", body = std::collections::BTreeMap<String, Value>,
            content_type = "application/json"),
        OfNothing,
    ),
)]
async fn tell_document() -> impl IntoResponse {
    ([(header::CONTENT_TYPE, "application/json")], DOCUMENT.clone())
}

/// Says that the office and its store can work
#[utoipa::path(get, path = "/ready", responses((status = 200, description = "They can.", body = String), OfReadiness))]
async fn ready(State(office): Shared) -> Result<&'static str, Refusal> {
    aside(&office, |office| {
        for firm in office.logs.keys() {
            office.rows.list_devices(firm)?;
        }
        Ok("ready\n")
    })
    .await
}

/// Reads a file of a firm's public log
///
/// The signed head is `checkpoint`; tiles and entries stand where C2SP tlog-tiles puts them; beside them are the firm's
/// papers. `path` may have several parts.
#[utoipa::path(
    get,
    path = "/log/{firm}/{*path}",
    params(
        ("firm" = String, Path, description = "The firm.", pattern = "^[a-z0-9][a-z0-9-]{0,39}$"),
        ("path" = String, Path, description = "The file."),
    ),
    responses(
        (status = 200, description = "The file.",
            content((String = "text/plain; charset=utf-8"), (Vec<u8> = "application/octet-stream"))),
        OfLog,
    ),
)]
async fn read_log(State(office): Shared, At((firm, path)): At<(String, String)>) -> Result<impl IntoResponse, Refusal> {
    let firm: FirmId = firm.parse().map_err(|_| Refusal::NOT_THERE)?;
    let changes = path == CHECKPOINT || CHANGING.contains(&path.as_str());
    let is_text = changes || path.starts_with(STATEMENTS);
    let bytes = aside(&office, move |office| {
        // A path that is none of a shelf is not there; nothing else is told of it.
        office.shelf.read(&firm, &path).ok().flatten().ok_or(Refusal::NOT_THERE)
    })
    .await?;
    let kind = if is_text { "text/plain; charset=utf-8" } else { "application/octet-stream" };
    let keep = if changes { "no-cache" } else { FOR_EVER };
    Ok(([(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, keep)], Body::from(bytes)))
}

/// A device with a code.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct Enrolment {
    /// May be left out where the office is one firm's alone.
    #[serde(default)]
    firm: Option<String>,
    /// What the office made, as it was typed.
    #[schemars(length(max = MOST_CODE))]
    code: String,
    /// The device's name for itself.
    device: DeviceId,
}

/// A device that is in: what it may do, and by which root and log the firm is known.
#[derive(Serialize, JsonSchema)]
pub(super) struct Enrolled {
    /// What the device shows with every request. It is told this once; the office keeps its digest alone.
    token: String,
    /// Its firm.
    firm: String,
    /// What it may do: Inspector, Dealer or Office.
    role: &'static str,
    /// The firm's root, PEM, where the office was told it.
    root: Option<String>,
    /// The key of the firm's log, where it is shown.
    log: Option<String>,
}

/// Lets a device in that has a code
#[utoipa::path(
    post,
    path = "/v1/enrol",
    request_body(content = ref("#/components/schemas/Enrolment"), content_type = "application/json"),
    responses(
        (status = 200, description = "It is in.",
            body = ref("#/components/schemas/Enrolled"), content_type = "application/json"),
        OfEnrolling,
    ),
)]
async fn enrol(State(office): Shared, Sent(body): Sent) -> Result<Json<Enrolled>, Refusal> {
    let asked: Enrolment = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
    let firm: FirmId = match &asked.firm {
        Some(firm) => firm.parse().map_err(|_| Refusal::CODE)?,
        None => only_firm(&office).ok_or(Refusal::FORM)?,
    };
    if asked.code.len() > MOST_CODE {
        return Err(Refusal::FORM);
    }
    let name = firm.clone();
    let token = aside(&office, move |office| {
        Ok(let_in(office.rows.as_ref(), office.world.as_ref(), &firm, (&asked.code, asked.device.as_str()))?)
    })
    .await?;
    let token = token.ok_or(Refusal::CODE)?;
    aside(&office, move |office| {
        let device = office.rows.find_device(&digest_token(&token))?.ok_or(Refusal::FAILED)?;
        let paper = |paper| read_paper(office.shelf.as_ref(), &name, paper);
        let (root, log) = (paper(ROOT)?, paper(LOG_KEY)?);
        Ok(Json(Enrolled { token, firm: name.as_str().to_owned(), role: device.role.name(), root, log }))
    })
    .await
}

fn only_firm(office: &Office) -> Option<FirmId> {
    let mut firms = office.logs.keys();
    firms.next().filter(|_| firms.next().is_none()).cloned()
}

/// The device that asks, by its token.
pub(super) fn know(office: &Office, headers: &HeaderMap) -> Result<Device, Refusal> {
    let token = headers.get(header::AUTHORIZATION).and_then(|value| value.to_str().ok()?.strip_prefix("Bearer "));
    let found = office.rows.find_device(&digest_token(token.ok_or(Refusal::WHO)?))?;
    found.ok_or(Refusal::WHO)
}

/// Enters an issued report into the log of the device's firm
///
/// By its signature; the firm is the device's own: no address names one. What was not sealed under its root by somebody who
/// may sign is not entered; what stands in the log keeps its receipt, and asking twice enters it once.
#[utoipa::path(
    post,
    path = "/v1/receipts",
    params(("Content-Digest" = Option<String>, Header, description = "The body's SHA-256, as RFC 9530 has it.")),
    request_body(content = ref("#/components/schemas/Issued"), content_type = "application/json"),
    responses(
        (status = 200, description = "The log's receipt.", body = String, content_type = "text/plain; charset=utf-8"),
        OfEntering,
    ),
    security(("token" = [])),
)]
async fn enter(State(office): Shared, headers: HeaderMap, sent: Told) -> Result<Response, Refusal> {
    let receipt = aside(&office, move |office| {
        let device = know(office, &headers)?;
        // A signature that was spoilt on the way would be refused for good.
        let body = sent.arrived_or_untold()?.bytes;
        let (firm, now) = (&device.firm, office.world.now());
        let asked: Issued = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        let signature = LoneSignature::parse(&asked.read().ok_or(Refusal::FORM)?).map_err(|_| Refusal::NOT_OURS)?;
        let entry = signature.log_entry(now);
        let kind = EntryKind::Issued { report: entry.report, signature: entry.signature };
        let root = read_paper(office.shelf.as_ref(), firm, ROOT)?.ok_or(Refusal::NO_ROOT)?;
        let list = read_paper(office.shelf.as_ref(), firm, REVOKED)?;
        let keeper = office.logs.get(firm).ok_or(Refusal::NOT_THERE)?;
        let mut keeper = keeper.lock().unwrap_or_else(PoisonError::into_inner);
        let stands = if let Some(stands) = keeper.find(&kind) {
            stands
        } else {
            may_enter(&signature, &root, list.as_deref(), now).map_err(|_| Refusal::NOT_OURS)?;
            keeper.enter(&[kind], now)?.first().copied().ok_or(Refusal::FAILED)?
        };
        Ok(keeper.receipt(&stands).ok_or(Refusal::FAILED)?.to_text())
    })
    .await?;
    Ok((StatusCode::OK, [(header::CONTENT_TYPE, "text/plain; charset=utf-8")], receipt).into_response())
}
