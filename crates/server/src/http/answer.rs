//! Faults as answers: a code for programs, a sentence, and what to do.

use axum::{
    Json,
    http::StatusCode,
    response::{IntoResponse, Response},
};
use schemars::JsonSchema;
use serde::Serialize;

use crate::{keeper::KeepError, store::StoreError};

/// Why a request was refused.
#[derive(Serialize, JsonSchema)]
pub(super) struct Refused {
    fault: Fault,
}

/// A fault, for programs and for people.
#[derive(Serialize, JsonSchema)]
struct Fault {
    /// Which one, for programs.
    code: &'static str,
    /// What happened.
    message: &'static str,
    /// What to do.
    hint: &'static str,
}

/// A fault as it is answered.
#[derive(Debug)]
pub struct Refusal {
    status: StatusCode,
    code: &'static str,
    message: &'static str,
    hint: &'static str,
}

impl Refusal {
    pub const fn new(status: StatusCode, code: &'static str, message: &'static str, hint: &'static str) -> Self {
        Self { status, code, message, hint }
    }

    pub(super) const fn status(&self) -> StatusCode {
        self.status
    }

    pub(super) const fn code(&self) -> &'static str {
        self.code
    }

    pub(super) const fn message(&self) -> &'static str {
        self.message
    }

    pub const NOT_THERE: Self = Self::new(
        StatusCode::NOT_FOUND,
        "not-there",
        "there is nothing at this address",
        "look at the spelling of the address",
    );
    pub const WHO: Self = Self::new(
        StatusCode::UNAUTHORIZED,
        "who-is-it",
        "the office does not know this device, or has shut it out",
        "ask the office for a code and let the device in again",
    );
    pub const CODE: Self = Self::new(
        StatusCode::FORBIDDEN,
        "code-refused",
        "this code is not good, was used, or is too old",
        "ask the office for a new one; after five wrong answers every open code ends",
    );
    pub const FORM: Self = Self::new(
        StatusCode::BAD_REQUEST,
        "request-refused",
        "the request could not be read",
        "send JSON with the fields of this address, each a text of its form",
    );
    pub const UNFIT: Self = Self::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "told-what-is-not-so",
        "what was told is not this device's, or is not what it says it is; nothing of it was taken",
        "open the app again: it looks through its notebook and says what it finds",
    );
    pub const SPOILT: Self = Self::new(
        StatusCode::CONFLICT,
        "spoilt-on-the-way",
        "what came is not what was sent",
        "send it again, with its digest in Content-Digest",
    );
    pub const NOT_WANTED: Self = Self::new(
        StatusCode::NOT_FOUND,
        "not-wanted",
        "no entry of this device speaks of these bytes",
        "send the entry first",
    );
    /// Not a passing fault: a device that waited for its end would keep all else back.
    pub const NO_ROOT: Self = Self::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "office-without-root",
        "the office was not told the firm's root, so it cannot tell the firm's reports from others",
        "ask the office to show the firm's root first: rimside office show OFFICE --firm FIRM",
    );
    pub const NOT_OURS: Self = Self::new(
        StatusCode::UNPROCESSABLE_ENTITY,
        "not-the-firms",
        "it was not signed under this firm's root by somebody who may sign, or its signature does not stand",
        "let the firm's office certify the key that signs",
    );
    pub const NOT_FOR_YOU: Self = Self::new(
        StatusCode::FORBIDDEN,
        "not-for-this-device",
        "this device was not let in for that",
        "ask the office to let it in anew as what it is to be",
    );
    pub const SHOWS_NOTHING: Self = Self::new(
        StatusCode::NOT_FOUND,
        "shows-nothing",
        "this link shows nothing: it was closed, has ended, or was not copied whole",
        "ask whoever gave it to you for the original",
    );
    pub const ENOUGH_REPLIES: Self = Self::new(
        StatusCode::CONFLICT,
        "enough-replies",
        "this letter was answered as often as it can be",
        "ask whoever wrote it for another one",
    );
    pub const TWICE: Self = Self::new(
        StatusCode::BAD_REQUEST,
        "said-twice",
        "a header that may stand once stands there twice",
        "send it once",
    );
    pub const LARGE: Self = Self::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "too-large",
        "the request says that it is larger than anything that is taken here",
        "send it in the pieces that its address takes",
    );
    pub const OFTEN: Self = Self::new(
        StatusCode::TOO_MANY_REQUESTS,
        "too-often",
        "more was asked than is answered in a minute",
        "wait as long as Retry-After says, then ask again",
    );
    pub const LATE: Self = Self::new(
        StatusCode::REQUEST_TIMEOUT,
        "too-slow",
        "the request did not come whole in time",
        "ask again on a better connection",
    );
    pub const FAILED: Self = Self::new(
        StatusCode::SERVICE_UNAVAILABLE,
        "office-failed",
        "the office could not do it; whether it was done all the same is not known",
        "ask again: what stands already is found and not done twice",
    );
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let fault = Fault { code: self.code, message: self.message, hint: self.hint };
        (self.status, Json(Refused { fault })).into_response()
    }
}

/// What failed inside is for the office's own log, not for whoever asks.
impl From<StoreError> for Refusal {
    fn from(_: StoreError) -> Self {
        Self::FAILED
    }
}

impl From<KeepError> for Refusal {
    fn from(_: KeepError) -> Self {
        Self::FAILED
    }
}
