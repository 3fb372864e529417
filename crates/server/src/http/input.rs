//! What comes with a request, refused as everything here is refused where it cannot be taken.

use axum::{
    RequestExt as _,
    body::Bytes,
    extract::{FromRequest, FromRequestParts, Path, Request},
    http::{HeaderValue, StatusCode, request::Parts},
};
use bytes::BytesMut;
use futures_util::StreamExt as _;
use model::Sha256;
use serde::{Deserialize, de::DeserializeOwned};
use sha2::Digest as _;
use sync::tell_digest;

use super::answer::Refusal;
use crate::store::Digested;

/// A body that came whole.
pub(super) struct Sent(pub Bytes);

impl<S: Send + Sync> FromRequest<S> for Sent {
    type Rejection = Refusal;

    async fn from_request(request: Request, state: &S) -> Result<Self, Refusal> {
        Bytes::from_request(request, state).await.map(Self).map_err(|rejection| match rejection.status() {
            StatusCode::PAYLOAD_TOO_LARGE => Refusal::LARGE,
            _ => Refusal::FORM,
        })
    }
}

/// A body that came whole, its digest reckoned while it came, and what its sender told of it.
pub(super) struct Told {
    body: Digested,
    digest: Option<HeaderValue>,
}

impl Told {
    /// What arrived, if it is what was sent.
    pub(super) fn arrived(self) -> Result<Digested, Refusal> {
        match self.digest {
            Some(told) if told == tell_digest(&self.body.sha256) => Ok(self.body),
            _ => Err(Refusal::SPOILT),
        }
    }

    /// What arrived, if it is what was sent or nothing was told of that.
    pub(super) fn arrived_or_untold(self) -> Result<Digested, Refusal> {
        if self.digest.is_none() { Ok(self.body) } else { self.arrived() }
    }
}

impl<S: Send + Sync> FromRequest<S> for Told {
    type Rejection = Refusal;

    async fn from_request(request: Request, _state: &S) -> Result<Self, Refusal> {
        let told = request.headers().get("content-digest").cloned();
        let mut frames = request.into_limited_body().into_data_stream();
        let (mut bytes, mut digest) = (BytesMut::new(), sha2::Sha256::new());
        while let Some(frame) = frames.next().await {
            let frame = frame.map_err(|error| if is_too_long(&error) { Refusal::LARGE } else { Refusal::FORM })?;
            digest.update(&frame);
            bytes.extend_from_slice(&frame);
        }
        let body = Digested { bytes: bytes.freeze(), sha256: Sha256::new(digest.finalize().into()) };
        Ok(Self { body, digest: told })
    }
}

fn is_too_long(error: &axum::Error) -> bool {
    let mut source = std::error::Error::source(error);
    while let Some(error) = source {
        if error.is::<http_body_util::LengthLimitError>() {
            return true;
        }
        source = error.source();
    }
    false
}

/// A number under which a store may have something: databases count to 2^63 - 1, and beyond it there is nothing.
#[derive(Clone, Copy, Deserialize)]
#[serde(try_from = "u64")]
pub(super) struct Number(pub u64);

impl TryFrom<u64> for Number {
    type Error = std::num::TryFromIntError;

    fn try_from(number: u64) -> Result<Self, Self::Error> {
        i64::try_from(number).map(|_| Self(number))
    }
}

/// What stands in the address; one in which something else stands is none.
pub(super) struct At<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for At<T> {
    type Rejection = Refusal;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Refusal> {
        Path::from_request_parts(parts, state).await.map(|Path(at)| Self(at)).map_err(|_| Refusal::NOT_THERE)
    }
}
