//! What devices ask while they sync: each by its token, in its own firm alone.

use std::sync::Arc;

use axum::{
    Json,
    body::Body,
    extract::{DefaultBodyLimit, State},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
};
use model::{DeviceId, Sha256};
use schemars::JsonSchema;
use seal::certificate::Role;
use sync::{
    Answer, Ask, Finish, Follow, Forked, MOST_ASKED_BYTES, MOST_BLOB_BYTES, MOST_ENTRY_BYTES, MOST_UNSTAMPED,
    PIECE_BYTES, Stamp, pieces,
};
use utoipa_axum::{
    router::{OpenApiRouter, UtoipaMethodRouterExt as _},
    routes,
};

use super::{
    answer::{Refusal, Refused},
    document::refusals,
    input::{At, Told},
    routes::{Office, Shared, aside, know},
};
use crate::{
    enrol::digest_token,
    exchange::{ExchangeError, exchange},
    papers::timestamp_path,
    store::{Device, FirmId, Joined, StoreError},
};

/// As many bytes of entries as are told at once, with room for what surrounds them.
const MOST_TOLD: usize = 2 * (MOST_ASKED_BYTES + MOST_ENTRY_BYTES);

refusals! {
    OfSync: WHO, SPOILT, FORM, UNFIT, FAILED;
    OfFinishing: WHO, SPOILT, FORM, NOT_THERE, NOT_WANTED, FAILED;
    OfReading: WHO, NOT_FOR_YOU, NOT_THERE, FAILED;
}

pub(super) fn addresses() -> OpenApiRouter<Arc<Office>> {
    OpenApiRouter::new()
        .routes(routes!(sync_entries).layer(DefaultBodyLimit::max(MOST_TOLD)))
        .routes(routes!(follow))
        .routes(routes!(finish_blob))
        .routes(routes!(read_piece, put_piece).layer(DefaultBodyLimit::max(PIECE_BYTES as usize)))
}

/// Why nothing of what was told was taken, where it stands against what is here.
#[derive(JsonSchema)]
#[serde(untagged)]
#[expect(dead_code, reason = "the document asks for its form alone")]
pub(super) enum NotTaken {
    /// It was spoilt on the way.
    Spoilt(Refused),
    /// Another entry of this device and number is here.
    Forked(Forked),
}

/// The device's name, as entries have it.
pub(super) fn name(device: &Device) -> Result<DeviceId, Refusal> {
    device.device.parse().map_err(|_| Refusal::WHO)
}

/// Tells what the device wrote, and answers what it has not seen
///
/// Asking twice does nothing twice.
#[utoipa::path(
    post,
    path = "/v1/sync",
    params(("Content-Digest" = String, Header, description = "The body's SHA-256, as RFC 9530 has it.")),
    request_body(content = ref("#/components/schemas/Ask"), content_type = "application/json"),
    responses(
        OfSync,
        (status = 200, description = "What was told is here, safely.",
            body = ref("#/components/schemas/Answer"), content_type = "application/json"),
        (status = 409, description = "`spoilt-on-the-way`: what came is not what was sent; or another entry of this device \
            and number is here, and nothing of what was told was taken.",
            body = ref("#/components/schemas/NotTaken"), content_type = "application/json"),
    ),
    extensions(("x-most-bytes" = json!(MOST_TOLD))),
    security(("token" = [])),
)]
async fn sync_entries(State(office): Shared, headers: HeaderMap, sent: Told) -> Result<Response, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let body = sent.arrived()?.bytes;
        let ask: Ask = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        let stores = (office.rows.as_ref(), office.blobs.as_ref(), office.world.as_ref());
        let others = device.role != Role::Dealer;
        match exchange(stores, (&device.firm, &name(&device)?), &ask, others) {
            Ok(answer) => {
                let stamps = find_stamps(office, &device.firm, ask.unstamped.as_deref())?;
                Ok(Json(Answer { stamps, ..answer }).into_response())
            }
            Err(ExchangeError::Forked { at }) => Ok((StatusCode::CONFLICT, Json(Forked { at })).into_response()),
            Err(ExchangeError::Unfit { .. }) => Err(Refusal::UNFIT),
            Err(ExchangeError::Store(error)) => Err(error.into()),
        }
    })
    .await
}

/// The timestamps that came for these reports; none where no authority is asked, or nobody knows of them.
fn find_stamps(office: &Office, firm: &FirmId, reports: Option<&[Sha256]>) -> Result<Option<Vec<Stamp>>, StoreError> {
    let Some(reports) = reports.filter(|_| office.stamps) else { return Ok(None) };
    let token = |identity: &Sha256| {
        let token = office.shelf.read(firm, &timestamp_path(identity))?;
        Ok(token.map(|token| Stamp::carry(*identity, &token)))
    };
    let asked = reports.iter().take(MOST_UNSTAMPED);
    asked.filter_map(|identity| token(identity).transpose()).collect::<Result<_, _>>().map(Some)
}

/// Lets a device go on under a new name, after its own row forked
#[utoipa::path(
    post,
    path = "/v1/follow",
    params(("Content-Digest" = String, Header, description = "The body's SHA-256, as RFC 9530 has it.")),
    request_body(content = ref("#/components/schemas/Follow"), content_type = "application/json"),
    responses((status = 204, description = "The new name is in, with the token that was told."), OfSync),
    security(("token" = [])),
)]
async fn follow(State(office): Shared, headers: HeaderMap, sent: Told) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let before = know(office, &headers)?;
        let body = sent.arrived()?.bytes;
        let Follow { device, token } = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        if token.len() != 64 || !token.bytes().all(|byte| byte.is_ascii_hexdigit()) {
            return Err(Refusal::FORM);
        }
        let now = office.world.now();
        if !office.rows.follow(&before, device.as_str(), &digest_token(&token), now)? {
            return Err(Refusal::UNFIT);
        }
        // What the row before still lacks, the new name may have.
        office.rows.share_wanted(&before.firm, &name(&before)?, &device)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Puts a piece of a photograph, a recording or a report in its place
///
/// Only what an entry of the device speaks of is taken.
#[utoipa::path(
    put,
    path = "/v1/blobs/{sha256}/{nth}",
    params(
        ("sha256" = String, Path, description = "SHA-256 of the whole file.", pattern = "^[0-9a-f]{64}$"),
        ("nth" = u64, Path, description = "Which piece of 1048576 bytes, from 0; the last one may be shorter."),
        ("Content-Digest" = String, Header, description = "The piece's SHA-256, as RFC 9530 has it."),
    ),
    request_body(content = Vec<u8>, content_type = "application/octet-stream"),
    responses((status = 204, description = "The piece, or the whole file, is here."), OfFinishing),
    extensions(("x-most-bytes" = json!(PIECE_BYTES))),
    security(("token" = [])),
)]
async fn put_piece(
    State(office): Shared,
    At((sha256, nth)): At<(String, u64)>,
    headers: HeaderMap,
    sent: Told,
) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let sha256: Sha256 = sha256.parse().map_err(|_| Refusal::NOT_THERE)?;
        let id = name(&device)?;
        // Only what an entry speaks of is taken, so that nobody stores here what he likes.
        if !office.rows.is_wanted(&device.firm, &id, &sha256)? {
            let is_here = office.rows.blob(&device.firm, &sha256)?.is_some();
            return if is_here { Ok(StatusCode::NO_CONTENT) } else { Err(Refusal::NOT_WANTED) };
        }
        if nth >= pieces(MOST_BLOB_BYTES) {
            return Err(Refusal::FORM);
        }
        office.blobs.stage(&device.firm, &id, &sha256, nth, &sent.arrived()?)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

/// Says that all pieces of a file are there
#[utoipa::path(
    post,
    path = "/v1/blobs/{sha256}",
    params(
        ("sha256" = String, Path, description = "SHA-256 of the whole file.", pattern = "^[0-9a-f]{64}$"),
        ("Content-Digest" = String, Header, description = "The body's SHA-256, as RFC 9530 has it."),
    ),
    request_body(content = ref("#/components/schemas/Finish"), content_type = "application/json"),
    responses((status = 204, description = "The file is here whole, safely."), OfFinishing),
    security(("token" = [])),
)]
async fn finish_blob(
    State(office): Shared,
    At(sha256): At<String>,
    headers: HeaderMap,
    sent: Told,
) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        let body = sent.arrived()?.bytes;
        let sha256: Sha256 = sha256.parse().map_err(|_| Refusal::NOT_THERE)?;
        let Finish { length } = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        let id = name(&device)?;
        if office.rows.blob(&device.firm, &sha256)?.is_some() {
            return Ok(StatusCode::NO_CONTENT);
        }
        if !office.rows.is_wanted(&device.firm, &id, &sha256)? || length > MOST_BLOB_BYTES {
            return Err(Refusal::NOT_WANTED);
        }
        match office.blobs.join(&device.firm, &id, &sha256, length)? {
            Joined::Whole => {
                office.rows.keep_blob(&device.firm, &sha256, length)?;
                Ok(StatusCode::NO_CONTENT)
            }
            Joined::Missing | Joined::OtherBytes => Err(Refusal::SPOILT),
        }
    })
    .await
}

/// Reads a piece of a photograph or recording
///
/// Not for a dealer's device.
#[utoipa::path(
    get,
    path = "/v1/blobs/{sha256}/{nth}",
    params(
        ("sha256" = String, Path, description = "SHA-256 of the whole file.", pattern = "^[0-9a-f]{64}$"),
        ("nth" = u64, Path, description = "Which piece of 1048576 bytes, from 0; beyond the end it is empty."),
    ),
    responses(
        (status = 200, description = "The piece.", body = Vec<u8>, content_type = "application/octet-stream"),
        OfReading,
    ),
    security(("token" = [])),
)]
async fn read_piece(
    State(office): Shared,
    At((sha256, nth)): At<(String, u64)>,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    let bytes = aside(&office, move |office| {
        let device = know(office, &headers)?;
        // What colleagues photographed is not a dealer's to see.
        if device.role == Role::Dealer {
            return Err(Refusal::NOT_FOR_YOU);
        }
        let sha256: Sha256 = sha256.parse().map_err(|_| Refusal::NOT_THERE)?;
        // No file is longer, and a place beyond all of them is none that a disk could be asked for.
        let nth = nth.min(pieces(MOST_BLOB_BYTES));
        office.blobs.piece(&device.firm, &sha256, nth)?.ok_or(Refusal::NOT_THERE)
    })
    .await?;
    Ok(([(header::CONTENT_TYPE, "application/octet-stream")], Body::from(bytes)).into_response())
}
