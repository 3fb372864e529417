//! Every address, and who may ask it.

use std::{
    collections::BTreeMap,
    path::PathBuf,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use axum::{
    Json, Router,
    body::Body,
    extract::{DefaultBodyLimit, MatchedPath, Path, Request, State},
    handler::HandlerWithoutStateExt as _,
    http::{HeaderMap, HeaderValue, StatusCode, header},
    middleware::{self, Next},
    response::{IntoResponse, Response},
    routing::{get, post},
};
use log::{CHECKPOINT, EntryKind};
use seal::signature::LoneSignature;
use serde::Deserialize;
use serde_json::json;
use sync::Issued;
use tower_http::{services::ServeDir, set_header::SetResponseHeaderLayer};

use super::answer::Refusal;
use crate::{
    enrol::{OfficeWorld, digest_token, let_in},
    entering::may_enter,
    keeper::LogKeeper,
    papers::{CHANGING, LOG_KEY, REVOKED, ROOT, STATEMENTS, read_paper},
    store::{Blobs, Device, FirmId, OfficeRows, Shelf},
};

/// The office's answers are small, and so is what it is asked.
const MOST_BYTES: usize = 16 * 1024;
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
    /// Where a line about each request goes: what was asked, what came, how long it took; never who or what about.
    pub tell: Box<dyn Fn(&str) + Send + Sync>,
}

pub(super) type Shared = State<Arc<Office>>;

/// All addresses; each request is answered within that time or not at all.
pub fn routes(office: Arc<Office>, within: Duration) -> Router {
    let pages = office.pages.clone();
    let routes = Router::new()
        .route("/health", get(|| async { "ok\n" }))
        .route("/ready", get(ready))
        .route("/log/{firm}/{*path}", get(read_log))
        .route("/v1/enrol", post(enrol))
        .route("/v1/receipts", post(enter))
        .merge(super::sync::routes())
        .merge(super::reports::routes())
        .merge(super::links::routes())
        .merge(super::certificates::routes())
        .merge(super::desk::routes())
        .method_not_allowed_fallback(|| async { Refusal::NOT_THERE });
    let routes = match pages {
        Some(folder) => routes.fallback_service(give_pages(&folder)),
        None => routes.fallback(|| async { Refusal::NOT_THERE }),
    };
    routes
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn(move |request, next| in_time(within, request, next)))
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

/// Whoever sends a body drop by drop is not waited for.
async fn in_time(within: Duration, request: Request, next: Next) -> Response {
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

async fn ready(State(office): Shared) -> Result<&'static str, Refusal> {
    aside(&office, |office| {
        for firm in office.logs.keys() {
            office.rows.list_devices(firm)?;
        }
        Ok("ready\n")
    })
    .await
}

async fn read_log(
    State(office): Shared,
    Path((firm, path)): Path<(String, String)>,
) -> Result<impl IntoResponse, Refusal> {
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

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Enrolment {
    /// May be left out where the office is one firm's alone.
    #[serde(default)]
    firm: Option<String>,
    code: String,
    device: String,
}

async fn enrol(State(office): Shared, body: axum::body::Bytes) -> Result<Json<serde_json::Value>, Refusal> {
    let asked: Enrolment = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
    let firm: FirmId = match &asked.firm {
        Some(firm) => firm.parse().map_err(|_| Refusal::CODE)?,
        None => only_firm(&office).ok_or(Refusal::FORM)?,
    };
    let fits = |text: &str| text.bytes().all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-');
    if asked.device.is_empty() || asked.device.len() > 64 || !fits(&asked.device) || asked.code.len() > 64 {
        return Err(Refusal::FORM);
    }
    let name = firm.clone();
    let token = aside(&office, move |office| {
        Ok(let_in(office.rows.as_ref(), office.world.as_ref(), &firm, (&asked.code, &asked.device))?)
    })
    .await?;
    let token = token.ok_or(Refusal::CODE)?;
    // With its token a device is told what it may do, and by which root and log the firm is known.
    aside(&office, move |office| {
        let device = office.rows.find_device(&digest_token(&token))?.ok_or(Refusal::WHO)?;
        let paper = |paper| read_paper(office.shelf.as_ref(), &name, paper);
        Ok(Json(json!({
            "token": token, "firm": name.as_str(), "role": device.role.name(),
            "root": paper(ROOT)?, "log": paper(LOG_KEY)?,
        })))
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

/// Enters an issued report by its signature; its receipt comes back. The firm is the device's own: no address names one. What
/// was not sealed under its root by somebody who may sign is not entered; what stands in the log keeps its receipt.
async fn enter(State(office): Shared, headers: HeaderMap, body: axum::body::Bytes) -> Result<Response, Refusal> {
    let receipt = aside(&office, move |office| {
        let device = know(office, &headers)?;
        // A signature that was spoilt on the way would be refused for good.
        if headers.contains_key("content-digest") {
            super::sync::arrived(&headers, &body)?;
        }
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
