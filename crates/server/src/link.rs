//! The secret of a link, and what a link shows.

use std::{fmt, str::FromStr};

use model::{Salt, Sha256};
use serde::Deserialize;

use crate::{
    enrol::{OfficeWorld, digest_token},
    store::SecretDigest,
};

/// 128 random bits: nobody comes upon a link by trying.
const SECRET_BYTES: usize = 16;

/// What a link shows.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(try_from = "String")]
pub enum Shows {
    /// The report of this identity.
    Report(Sha256),
    /// The firm's letter of this number, with its replies.
    Letter(u64),
}

/// Something that no link shows.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("got {got:?}, expected report: and an identity, or letter: and a number")]
pub struct ShowsError {
    /// What came.
    pub got: String,
}

impl fmt::Display for Shows {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Report(identity) => write!(f, "report:{identity}"),
            Self::Letter(number) => write!(f, "letter:{number}"),
        }
    }
}

impl FromStr for Shows {
    type Err = ShowsError;

    fn from_str(text: &str) -> Result<Self, ShowsError> {
        let shows = match text.split_once(':') {
            Some(("report", identity)) => identity.parse().ok().map(Self::Report),
            // No store counts further.
            Some(("letter", number)) => {
                number.parse().ok().filter(|number| i64::try_from(*number).is_ok()).map(Self::Letter)
            }
            _ => None,
        };
        shows.ok_or_else(|| ShowsError { got: text.chars().take(80).collect() })
    }
}

impl TryFrom<String> for Shows {
    type Error = ShowsError;

    fn try_from(text: String) -> Result<Self, ShowsError> {
        text.parse()
    }
}

/// A new secret, and what is kept of it.
pub(crate) fn draw_secret(world: &dyn OfficeWorld) -> std::io::Result<(String, SecretDigest)> {
    let mut bytes = [0; SECRET_BYTES];
    world.fill_random(&mut bytes)?;
    let secret = Salt::new(bytes).to_string();
    let digest = digest_token(&secret);
    Ok((secret, digest))
}

/// What is kept of a secret; none for what cannot be one.
pub(crate) fn digest_secret(secret: &str) -> Option<SecretDigest> {
    let fits = secret.len() == 2 * SECRET_BYTES && secret.bytes().all(|byte| byte.is_ascii_hexdigit());
    fits.then(|| digest_token(secret))
}
