//! Links: whoever has one sees one thing, with no account and no name. Devices make and close them.

use std::sync::Arc;

use axum::{
    Json,
    body::Body,
    extract::{DefaultBodyLimit, State},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
};
use chrono::{DateTime, Utc};
use model::Sha256;
use schemars::JsonSchema;
use seal::{certificate::Role, sealing::add_token};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use utoipa_axum::{
    router::{OpenApiRouter, UtoipaMethodRouterExt as _},
    routes,
};

use super::{
    answer::Refusal,
    document::refusals,
    input::{At, Number, Sent},
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

refusals! {
    OfLinks: WHO, FAILED;
    OfMaking: WHO, FORM, NOT_THERE, FAILED;
    OfOne: WHO, NOT_THERE, FAILED;
    OfWriting: WHO, FORM, FAILED;
    OfLink: SHOWS_NOTHING, NOT_THERE, FAILED;
    OfReplying: SHOWS_NOTHING, NOT_THERE, FORM, ENOUGH_REPLIES, FAILED;
}

pub(super) fn addresses() -> OpenApiRouter<Arc<Office>> {
    OpenApiRouter::new()
        .routes(routes!(list_links, make_link))
        .routes(routes!(close_link))
        .routes(routes!(keep_letter).layer(DefaultBodyLimit::max(MOST_LETTER)))
        .routes(routes!(read_letter))
        .routes(routes!(open_link))
        .routes(routes!(read_report))
        .routes(routes!(reply).layer(DefaultBodyLimit::max(MOST_LETTER)))
}

/// A link that is to be made.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(super) struct ToMake {
    /// `report:` and the report's identity, or `letter:` and its number.
    #[schemars(with = "String", extend("pattern" = "^(report:[0-9a-f]{64}|letter:[0-9]{1,19})$"))]
    shows: Shows,
    /// For whom it is.
    #[schemars(length(max = MOST_LABEL))]
    label: String,
    /// How long it shows something.
    #[schemars(range(min = 1, max = MOST_DAYS))]
    days: i64,
}

/// A link that was made. Its secret is told this once and kept nowhere.
#[derive(Serialize, JsonSchema)]
pub(super) struct MadeLink {
    /// Its number among the firm's.
    number: u64,
    /// What opens it.
    secret: String,
    /// When it ends.
    #[schemars(with = "DateTime<Utc>")]
    until: String,
}

/// Makes a link that shows one report or letter to whoever has it
#[utoipa::path(
    post,
    path = "/v1/links",
    request_body(content = ref("#/components/schemas/ToMake"), content_type = "application/json"),
    responses(
        (status = 200, description = "The link.",
            body = ref("#/components/schemas/MadeLink"), content_type = "application/json"),
        OfMaking,
    ),
    security(("token" = [])),
)]
async fn make_link(State(office): Shared, headers: HeaderMap, Sent(body): Sent) -> Result<Json<MadeLink>, Refusal> {
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
        Ok(Json(MadeLink { number, secret, until: until.to_rfc3339() }))
    })
    .await
}

/// A firm's links, the newest first.
#[derive(Serialize, JsonSchema)]
#[serde(transparent)]
pub(super) struct ListedLinks(Vec<ListedLink>);

/// A link as the firm sees it.
#[derive(Serialize, JsonSchema)]
pub(super) struct ListedLink {
    /// Its number.
    number: u64,
    /// What it shows: `report:` and an identity, or `letter:` and a number.
    shows: String,
    /// For whom it is.
    label: String,
    /// When it was made.
    #[schemars(with = "DateTime<Utc>")]
    made_at: String,
    /// When it ends.
    #[schemars(with = "DateTime<Utc>")]
    until: String,
    /// When it was closed, if it was.
    #[schemars(with = "Option<DateTime<Utc>>")]
    closed_at: Option<String>,
    /// How often it was opened.
    opened: u64,
    /// When it was opened last.
    #[schemars(with = "Option<DateTime<Utc>>")]
    opened_at: Option<String>,
}

impl From<Link> for ListedLink {
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

/// Lists the firm's links, the newest first
///
/// A dealer's device sees its own.
#[utoipa::path(
    get,
    path = "/v1/links",
    responses(
        (status = 200, description = "Links, closed ones too.",
            body = ref("#/components/schemas/ListedLinks"), content_type = "application/json"),
        OfLinks,
    ),
    security(("token" = [])),
)]
async fn list_links(State(office): Shared, headers: HeaderMap) -> Result<Json<ListedLinks>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let links = office.rows.list_links(&device.firm)?;
        let may_see = |link: &Link| device.role != Role::Dealer || link.device == device.device;
        Ok(Json(ListedLinks(links.into_iter().filter(may_see).map(ListedLink::from).collect())))
    })
    .await
}

/// Closes a link for good
#[utoipa::path(
    delete,
    path = "/v1/links/{number}",
    params(("number" = u64, Path, description = "The link's number.")),
    responses((status = 204, description = "It shows nothing any more."), OfOne),
    security(("token" = [])),
)]
async fn close_link(
    State(office): Shared,
    At(Number(number)): At<Number>,
    headers: HeaderMap,
) -> Result<StatusCode, Refusal> {
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

/// The number of a letter that is kept.
#[derive(Serialize, JsonSchema)]
pub(super) struct NumberedLetter {
    /// Its number among the firm's.
    number: u64,
}

/// Keeps a letter of questions
#[utoipa::path(
    post,
    path = "/v1/letters",
    request_body(content = std::collections::BTreeMap<String, Value>, content_type = "application/json",
        description = "The letter, an object."),
    responses(
        (status = 200, description = "It is kept under this number.",
            body = ref("#/components/schemas/NumberedLetter"), content_type = "application/json"),
        OfWriting,
    ),
    extensions(("x-most-bytes" = json!(MOST_LETTER))),
    security(("token" = [])),
)]
async fn keep_letter(
    State(office): Shared,
    headers: HeaderMap,
    Sent(body): Sent,
) -> Result<Json<NumberedLetter>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let letter = canonical(&body)?;
        let number = office.rows.keep_letter(&device.firm, &letter, &device.device, office.world.now())?;
        Ok(Json(NumberedLetter { number }))
    })
    .await
}

/// A letter with its replies as they came.
#[derive(Serialize, JsonSchema)]
pub(super) struct KeptLetter {
    /// The letter.
    letter: Value,
    /// When it was kept.
    #[schemars(with = "DateTime<Utc>")]
    written_at: String,
    /// Its replies, in their order.
    replies: Vec<KeptReply>,
}

/// A reply as it came.
#[derive(Serialize, JsonSchema)]
pub(super) struct KeptReply {
    /// The reply.
    reply: Value,
    /// When it came.
    #[schemars(with = "DateTime<Utc>")]
    at: String,
}

/// Reads a letter with its replies
///
/// A dealer's device reads its own.
#[utoipa::path(
    get,
    path = "/v1/letters/{number}",
    params(("number" = u64, Path, description = "The letter's number.")),
    responses(
        (status = 200, description = "The letter.",
            body = ref("#/components/schemas/KeptLetter"), content_type = "application/json"),
        OfOne,
    ),
    security(("token" = [])),
)]
async fn read_letter(
    State(office): Shared,
    At(Number(number)): At<Number>,
    headers: HeaderMap,
) -> Result<Json<KeptLetter>, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let letter = office.rows.letter(&device.firm, number)?;
        let letter = letter.filter(|letter| device.role != Role::Dealer || letter.device == device.device);
        Ok(Json(tell_letter(&letter.ok_or(Refusal::NOT_THERE)?)))
    })
    .await
}

fn tell_letter(letter: &crate::store::LetterRow) -> KeptLetter {
    let text = |text: &str| serde_json::from_str::<Value>(text).unwrap_or(Value::Null);
    let replies = letter.replies.iter().map(|(reply, at)| KeptReply { reply: text(reply), at: at.to_rfc3339() });
    KeptLetter { letter: text(&letter.letter), written_at: letter.written_at.to_rfc3339(), replies: replies.collect() }
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

/// What a link shows to whoever has it.
#[derive(Serialize, JsonSchema)]
pub(super) struct Opened {
    /// Whose it is, as the log's addresses name the firm.
    firm: String,
    /// When the link ends.
    #[schemars(with = "DateTime<Utc>")]
    until: String,
    /// What it shows.
    shows: Shown,
}

/// A report or a letter.
#[derive(Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub(super) enum Shown {
    /// A report, which is read at `report.pdf` below.
    Report {
        /// Its identity.
        identity: Sha256,
        /// Bytes of its file.
        length: u64,
    },
    /// A letter with its replies.
    Letter(KeptLetter),
}

/// Says what a link shows
///
/// Each time that it is asked is counted.
#[utoipa::path(
    get,
    path = "/link/{secret}",
    params(("secret" = String, Path, description = "The link's secret.")),
    responses(
        (status = 200, description = "What it shows.",
            body = ref("#/components/schemas/Opened"), content_type = "application/json"),
        OfLink,
    ),
)]
async fn open_link(State(office): Shared, At(secret): At<String>) -> Result<Json<Opened>, Refusal> {
    aside(&office, move |office| {
        let (link, shows) = find(office, &secret)?;
        let shown = match shows {
            Shows::Report(identity) => {
                let report = office.rows.report(&link.firm, &identity)?.ok_or(Refusal::SHOWS_NOTHING)?;
                Shown::Report { identity: report.identity, length: report.length }
            }
            Shows::Letter(number) => {
                let letter = office.rows.letter(&link.firm, number)?.ok_or(Refusal::SHOWS_NOTHING)?;
                Shown::Letter(tell_letter(&letter))
            }
        };
        office.rows.count_opening(&link.firm, link.number, office.world.now())?;
        Ok(Json(Opened { firm: link.firm.as_str().to_owned(), until: link.until.to_rfc3339(), shows: shown }))
    })
    .await
}

/// Reads the report that a link shows
#[utoipa::path(
    get,
    path = "/link/{secret}/report.pdf",
    params(("secret" = String, Path, description = "The link's secret.")),
    responses(
        (status = 200, description = "The sealed report.", body = Vec<u8>, content_type = "application/pdf"),
        OfLink,
    ),
)]
async fn read_report(State(office): Shared, At(secret): At<String>) -> Result<Response, Refusal> {
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

/// Replies to the letter that a link shows
///
/// What was answered before stays.
#[utoipa::path(
    post,
    path = "/link/{secret}/reply",
    params(("secret" = String, Path, description = "The link's secret.")),
    request_body(content = std::collections::BTreeMap<String, Value>, content_type = "application/json",
        description = "The reply, an object."),
    responses((status = 204, description = "It is kept."), OfReplying),
    extensions(("x-most-bytes" = json!(MOST_LETTER))),
)]
async fn reply(State(office): Shared, At(secret): At<String>, Sent(body): Sent) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let (link, shows) = find(office, &secret)?;
        let Shows::Letter(number) = shows else { return Err(Refusal::SHOWS_NOTHING) };
        let reply = canonical(&body)?;
        let kept = office.rows.keep_reply(&link.firm, number, &reply, MOST_REPLIES, office.world.now())?;
        if kept { Ok(StatusCode::NO_CONTENT) } else { Err(Refusal::ENOUGH_REPLIES) }
    })
    .await
}
