//! Links: whoever has one sees one thing, with no account and no name. Devices make and close them.

use std::sync::Arc;

use axum::{
    Json, Router,
    body::{Body, Bytes},
    extract::{DefaultBodyLimit, Path, State},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
    routing::{get, post},
};
use model::Sha256;
use seal::{certificate::Role, sealing::add_token};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::{
    answer::Refusal,
    routes::{Office, Shared, aside, know},
};
use crate::{
    link::{Shows, digest_secret, draw_secret},
    papers::timestamp_path,
    store::{Link, NewLink, StoreError},
    taking::read_whole,
};

/// How long a link may show something.
const MOST_DAYS: i64 = 366;
/// For whom it is, in so many letters.
const MOST_LABEL: usize = 120;
/// A letter or a reply, in bytes.
const MOST_LETTER: usize = 256 * 1024;
/// So many replies to one letter: whoever answers may correct himself, and not for ever.
const MOST_REPLIES: u64 = 20;

pub(super) fn routes() -> Router<Arc<Office>> {
    Router::new()
        .route("/v1/links", get(list).post(make))
        .route("/v1/links/{number}", axum::routing::delete(close))
        .route("/v1/letters", post(keep_letter).layer(DefaultBodyLimit::max(MOST_LETTER)))
        .route("/v1/letters/{number}", get(read_letter))
        .route("/link/{secret}", get(open))
        .route("/link/{secret}/report.pdf", get(read_report))
        .route("/link/{secret}/reply", post(reply).layer(DefaultBodyLimit::max(MOST_LETTER)))
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ToMake {
    shows: Shows,
    label: String,
    days: i64,
}

async fn make(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let ToMake { shows, label, days } = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        if !(1..=MOST_DAYS).contains(&days) || label.chars().count() > MOST_LABEL || label.contains(char::is_control) {
            return Err(Refusal::FORM);
        }
        let sent_by = match &shows {
            Shows::Report(identity) => office.rows.report(&device.firm, identity)?.map(|report| report.device),
            Shows::Letter(number) => office.rows.letter(&device.firm, *number)?.map(|letter| letter.device),
        };
        // A dealer shows what is the dealer's own.
        if sent_by.is_none_or(|of| device.role == Role::Dealer && of != device.device) {
            return Err(Refusal::NOT_THERE);
        }
        let (secret, digest) = draw_secret(office.world.as_ref()).map_err(StoreError::from)?;
        let (made_at, shows) = (office.world.now(), shows.to_string());
        let until = made_at + chrono::TimeDelta::days(days);
        let link = NewLink { secret: &digest, shows: &shows, label: &label, device: &device.device, made_at, until };
        let number = office.rows.open_link(&device.firm, &link)?;
        Ok(Json(json!({ "number": number, "secret": secret, "until": until.to_rfc3339() })))
    })
    .await
}

#[derive(Serialize)]
struct Listed {
    number: u64,
    shows: String,
    label: String,
    made_at: String,
    until: String,
    closed_at: Option<String>,
    opened: u64,
    opened_at: Option<String>,
}

impl From<Link> for Listed {
    fn from(link: Link) -> Self {
        Self {
            number: link.number,
            shows: link.shows,
            label: link.label,
            made_at: link.made_at.to_rfc3339(),
            until: link.until.to_rfc3339(),
            closed_at: link.closed_at.map(|at| at.to_rfc3339()),
            opened: link.opened,
            opened_at: link.opened_at.map(|at| at.to_rfc3339()),
        }
    }
}

async fn list(State(office): Shared, headers: HeaderMap) -> Result<Json<Vec<Listed>>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let links = office.rows.list_links(&device.firm)?;
        let may_see = |link: &Link| device.role != Role::Dealer || link.device == device.device;
        Ok(Json(links.into_iter().filter(may_see).map(Listed::from).collect()))
    })
    .await
}

async fn close(State(office): Shared, Path(number): Path<u64>, headers: HeaderMap) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        if device.role == Role::Dealer {
            let links = office.rows.list_links(&device.firm)?;
            let is_own = |link: &Link| link.number == number && link.device == device.device;
            if !links.iter().any(is_own) {
                return Err(Refusal::NOT_THERE);
            }
        }
        let closed = office.rows.close_link(&device.firm, number, office.world.now())?;
        if closed { Ok(StatusCode::NO_CONTENT) } else { Err(Refusal::NOT_THERE) }
    })
    .await
}

async fn keep_letter(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let letter = canonical(&body)?;
        let number = office.rows.keep_letter(&device.firm, &letter, &device.device, office.world.now())?;
        Ok(Json(json!({ "number": number })))
    })
    .await
}

async fn read_letter(
    State(office): Shared,
    Path(number): Path<u64>,
    headers: HeaderMap,
) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let letter = office.rows.letter(&device.firm, number)?;
        let letter = letter.filter(|letter| device.role != Role::Dealer || letter.device == device.device);
        Ok(Json(tell_letter(&letter.ok_or(Refusal::NOT_THERE)?)))
    })
    .await
}

/// A letter with its replies as they came.
fn tell_letter(letter: &crate::store::LetterRow) -> Value {
    let text = |text: &str| serde_json::from_str::<Value>(text).unwrap_or(Value::Null);
    let replies = letter.replies.iter().map(|(reply, at)| json!({ "reply": text(reply), "at": at.to_rfc3339() }));
    json!({
        "letter": text(&letter.letter),
        "written_at": letter.written_at.to_rfc3339(),
        "replies": replies.collect::<Vec<_>>(),
    })
}

/// JSON, spelt as it came in meaning and in one way.
fn canonical(body: &[u8]) -> Result<String, Refusal> {
    let value: Value = serde_json::from_slice(body).map_err(|_| Refusal::FORM)?;
    let is_object = value.is_object();
    let bytes = model::canonical_json(&value).map_err(|_| Refusal::FORM)?;
    String::from_utf8(bytes).ok().filter(|_| is_object).ok_or(Refusal::FORM)
}

fn find(office: &Office, secret: &str) -> Result<(Link, Shows), Refusal> {
    let digest = digest_secret(secret).ok_or(Refusal::SHOWS_NOTHING)?;
    let link = office.rows.find_link(&digest, office.world.now())?.ok_or(Refusal::SHOWS_NOTHING)?;
    let shows = link.shows.parse().map_err(|_| Refusal::SHOWS_NOTHING)?;
    Ok((link, shows))
}

/// What the link shows; each time that it is asked is counted.
async fn open(State(office): Shared, Path(secret): Path<String>) -> Result<Json<Value>, Refusal> {
    aside(&office, move |office| {
        let (link, shows) = find(office, &secret)?;
        let shown = match shows {
            Shows::Report(identity) => {
                let report = office.rows.report(&link.firm, &identity)?.ok_or(Refusal::SHOWS_NOTHING)?;
                json!({ "report": { "identity": report.identity, "length": report.length } })
            }
            Shows::Letter(number) => {
                let letter = office.rows.letter(&link.firm, number)?.ok_or(Refusal::SHOWS_NOTHING)?;
                json!({ "letter": tell_letter(&letter) })
            }
        };
        office.rows.count_opening(&link.firm, link.number, office.world.now())?;
        Ok(Json(json!({ "firm": link.firm.as_str(), "until": link.until.to_rfc3339(), "shows": shown })))
    })
    .await
}

async fn read_report(State(office): Shared, Path(secret): Path<String>) -> Result<Response, Refusal> {
    let bytes = aside(&office, move |office| {
        let (link, shows) = find(office, &secret)?;
        let Shows::Report(identity) = shows else { return Err(Refusal::SHOWS_NOTHING) };
        let report: Option<Sha256AndLength> =
            office.rows.report(&link.firm, &identity)?.map(|report| (report.sha256, report.length));
        let (sha256, length) = report.ok_or(Refusal::SHOWS_NOTHING)?;
        let bytes = read_whole(office.blobs.as_ref(), &link.firm, &sha256, length)?;
        let token = office.shelf.read(&link.firm, &timestamp_path(&identity))?;
        // Where the room is too small for the token, or has one already, the report goes as it came.
        Ok(token.and_then(|token| add_token(&bytes, &token).ok()).unwrap_or(bytes))
    })
    .await?;
    let named =
        [(header::CONTENT_TYPE, "application/pdf"), (header::CONTENT_DISPOSITION, "inline; filename=\"report.pdf\"")];
    Ok((named, Body::from(bytes)).into_response())
}

type Sha256AndLength = (Sha256, u64);

/// Whoever has a letter's link may answer it; what was answered before stays.
async fn reply(State(office): Shared, Path(secret): Path<String>, body: Bytes) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let (link, shows) = find(office, &secret)?;
        let Shows::Letter(number) = shows else { return Err(Refusal::SHOWS_NOTHING) };
        let reply = canonical(&body)?;
        let kept = office.rows.keep_reply(&link.firm, number, &reply, MOST_REPLIES, office.world.now())?;
        if kept { Ok(StatusCode::NO_CONTENT) } else { Err(Refusal::ENOUGH_REPLIES) }
    })
    .await
}
