//! What devices ask while they sync: each by its token, in its own firm alone.

use std::sync::Arc;

use axum::{
    Json, Router,
    body::{Body, Bytes},
    extract::{DefaultBodyLimit, Path, State},
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse, Response},
    routing::{get, post},
};
use model::{DeviceId, Sha256};
use seal::certificate::Role;
use sync::{
    Ask, Finish, Follow, Forked, MOST_ASKED_BYTES, MOST_BLOB_BYTES, MOST_ENTRY_BYTES, PIECE_BYTES, content_digest,
    pieces,
};

use super::{
    answer::Refusal,
    routes::{Office, Shared, aside, know},
};
use crate::{
    enrol::digest_token,
    exchange::{ExchangeError, exchange},
    store::{Device, Joined},
};

/// As many bytes of entries as are told at once, with room for what surrounds them.
const MOST_TOLD: usize = 2 * (MOST_ASKED_BYTES + MOST_ENTRY_BYTES);

pub(super) fn routes() -> Router<Arc<Office>> {
    Router::new()
        .route("/v1/sync", post(sync_entries).layer(DefaultBodyLimit::max(MOST_TOLD)))
        .route("/v1/follow", post(follow))
        .route("/v1/blobs/{sha256}", post(finish))
        .route(
            "/v1/blobs/{sha256}/{nth}",
            get(read_piece).put(put_piece).layer(DefaultBodyLimit::max(PIECE_BYTES as usize)),
        )
}

/// The device's name, as entries have it.
pub(super) fn name(device: &Device) -> Result<DeviceId, Refusal> {
    device.device.parse().map_err(|_| Refusal::WHO)
}

/// What arrived is what was sent.
pub(super) fn arrived(headers: &HeaderMap, body: &[u8]) -> Result<(), Refusal> {
    match headers.get("content-digest").map(|value| value.to_str()) {
        Some(Ok(told)) if told == content_digest(body) => Ok(()),
        _ => Err(Refusal::SPOILT),
    }
}

async fn sync_entries(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<Response, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        arrived(&headers, &body)?;
        let ask: Ask = serde_json::from_slice(&body).map_err(|_| Refusal::FORM)?;
        let stores = (office.rows.as_ref(), office.blobs.as_ref(), office.world.as_ref());
        let others = device.role != Role::Dealer;
        match exchange(stores, (&device.firm, &name(&device)?), &ask, others) {
            Ok(answer) => Ok(Json(answer).into_response()),
            Err(ExchangeError::Forked { at }) => Ok((StatusCode::CONFLICT, Json(Forked { at })).into_response()),
            Err(ExchangeError::Unfit { .. }) => Err(Refusal::UNFIT),
            Err(ExchangeError::Store(error)) => Err(error.into()),
        }
    })
    .await
}

async fn follow(State(office): Shared, headers: HeaderMap, body: Bytes) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let before = know(office, &headers)?;
        arrived(&headers, &body)?;
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

async fn put_piece(
    State(office): Shared,
    Path((sha256, nth)): Path<(String, u64)>,
    headers: HeaderMap,
    body: Bytes,
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
        arrived(&headers, &body)?;
        office.blobs.stage(&device.firm, &id, &sha256, nth, &body)?;
        Ok(StatusCode::NO_CONTENT)
    })
    .await
}

async fn finish(
    State(office): Shared,
    Path(sha256): Path<String>,
    headers: HeaderMap,
    body: Bytes,
) -> Result<StatusCode, Refusal> {
    aside(&office, move |office| {
        let device = know(office, &headers)?;
        arrived(&headers, &body)?;
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

async fn read_piece(
    State(office): Shared,
    Path((sha256, nth)): Path<(String, u64)>,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    let bytes = aside(&office, move |office| {
        let device = know(office, &headers)?;
        // What colleagues photographed is not a dealer's to see.
        if device.role == Role::Dealer {
            return Err(Refusal::NOT_FOR_YOU);
        }
        let sha256: Sha256 = sha256.parse().map_err(|_| Refusal::NOT_THERE)?;
        office.blobs.piece(&device.firm, &sha256, nth)?.ok_or(Refusal::NOT_THERE)
    })
    .await?;
    Ok(([(header::CONTENT_TYPE, "application/octet-stream")], Body::from(bytes)).into_response())
}
