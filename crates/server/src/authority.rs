//! An authority for timestamps, asked over HTTP or HTTPS (RFC 3161 §3.4).

use std::{io, time::Duration};

use crate::address::{Address, AddressError, Answered};

/// A token with its certificates has some kB; nothing larger would fit into a report.
const MOST_BYTES: usize = 64 * 1024;
const QUESTION: &str = "application/timestamp-query";
const ANSWER: &str = "application/timestamp-reply";

/// How long an authority usually has for its answer.
pub const AUTHORITY_LIMIT: Duration = Duration::from_secs(20);

/// The way to an authority. It answers within a limit of its own, or fails.
pub trait AskAuthority: Send + Sync {
    /// Sends a question (`TimeStampReq`, DER); the answer comes back as it was given (`TimeStampResp`, DER), not looked at.
    ///
    /// # Errors
    /// [`AuthorityError`].
    fn ask(&self, question: &[u8]) -> Result<Vec<u8>, AuthorityError>;
}

/// Why an authority gave no answer.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AuthorityError {
    /// It was not reached, or did not answer to the end.
    #[error("the authority was not reached: {0}")]
    Unreached(#[from] io::Error),
    /// It answered otherwise.
    #[error("the authority answered with the status {got}, expected 200")]
    Status {
        /// Its status.
        got: u16,
    },
    /// What is at the address is no authority.
    #[error("the authority answered with {got:?}, expected {ANSWER}")]
    Kind {
        /// What it said that it sends.
        got: String,
    },
}

/// An authority at an address of the web.
#[derive(Debug, Clone)]
pub struct HttpAuthority(Address);

impl HttpAuthority {
    /// The authority at this address, which answers within that time.
    ///
    /// # Errors
    /// [`AddressError`].
    pub fn parse(address: &str, limit: Duration) -> Result<Self, AddressError> {
        Address::parse(address, limit).map(Self)
    }

    /// The same, with these authorities (PEM) for the address's own certificate and nobody else.
    ///
    /// # Errors
    /// [`AddressError`].
    pub fn parse_trusting(address: &str, limit: Duration, roots: &str) -> Result<Self, AddressError> {
        Address::parse_trusting(address, limit, roots).map(Self)
    }
}

impl AskAuthority for HttpAuthority {
    fn ask(&self, question: &[u8]) -> Result<Vec<u8>, AuthorityError> {
        let answered = self.0.post((QUESTION, ANSWER), question, MOST_BYTES)?;
        match answered {
            Answered { status, .. } if status != 200 => Err(AuthorityError::Status { got: status }),
            Answered { kind, .. } if kind != ANSWER => Err(AuthorityError::Kind { got: kind }),
            Answered { bytes, .. } => Ok(bytes),
        }
    }
}
