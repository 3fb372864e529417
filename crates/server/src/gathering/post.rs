//! Asking a witness over HTTP or HTTPS.

use std::{io, time::Duration};

use super::AskWitness;
use crate::address::{Address, AddressError};

/// A few signature lines, or a size.
const MOST_BYTES: usize = 64 * 1024;
const TEXT: &str = "text/plain; charset=utf-8";

/// A witness at a prefix of addresses (C2SP `tlog-witness`, "Interface").
#[derive(Debug, Clone)]
pub struct HttpWitness(Address);

impl HttpWitness {
    /// The witness at this prefix of addresses, which answers within that time.
    ///
    /// # Errors
    /// [`AddressError`]: also for an address with a query, below which there is nothing.
    pub fn parse(address: &str, limit: Duration) -> Result<Self, AddressError> {
        Self::at(address, Address::parse(address, limit)?)
    }

    /// The same, with these authorities (PEM) for its certificate and nobody else.
    ///
    /// # Errors
    /// [`AddressError`].
    pub fn parse_trusting(address: &str, limit: Duration, roots: &str) -> Result<Self, AddressError> {
        Self::at(address, Address::parse_trusting(address, limit, roots)?)
    }

    fn at(text: &str, prefix: Address) -> Result<Self, AddressError> {
        if prefix.has_query() {
            return Err(AddressError::Shape { got: text.to_owned() });
        }
        Ok(Self(prefix.below("add-checkpoint")))
    }
}

impl AskWitness for HttpWitness {
    fn add_checkpoint(&self, request: &str) -> io::Result<(u16, String)> {
        let answered = self.0.post((TEXT, "text/plain"), request.as_bytes(), MOST_BYTES)?;
        Ok((answered.status, String::from_utf8(answered.bytes).map_err(io::Error::other)?))
    }
}
