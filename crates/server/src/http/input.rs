//! What comes with a request, refused as everything here is refused where it cannot be taken.

use axum::{
    body::Bytes,
    extract::{FromRequest, FromRequestParts, Path, Request},
    http::{StatusCode, request::Parts},
};
use serde::{Deserialize, de::DeserializeOwned};

use super::answer::Refusal;

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
