//! What the tests of this crate share.

use std::convert::Infallible;

use rand_core::{TryCryptoRng, TryRng};
use sha2::{Digest as _, Sha256};

/// A repeatable stream of bytes: SHA-256 over a name and a counter.
pub(crate) struct FixedRng {
    name: String,
    counter: u64,
}

impl FixedRng {
    pub(crate) fn new(name: &str) -> Self {
        Self { name: name.to_owned(), counter: 0 }
    }
}

impl TryRng for FixedRng {
    type Error = Infallible;

    fn try_next_u32(&mut self) -> Result<u32, Infallible> {
        let mut bytes = [0; 4];
        self.try_fill_bytes(&mut bytes)?;
        Ok(u32::from_le_bytes(bytes))
    }

    fn try_next_u64(&mut self) -> Result<u64, Infallible> {
        let mut bytes = [0; 8];
        self.try_fill_bytes(&mut bytes)?;
        Ok(u64::from_le_bytes(bytes))
    }

    fn try_fill_bytes(&mut self, destination: &mut [u8]) -> Result<(), Infallible> {
        for piece in destination.chunks_mut(32) {
            self.counter += 1;
            let block = Sha256::digest(format!("{} {}", self.name, self.counter));
            piece.copy_from_slice(&block[..piece.len()]);
        }
        Ok(())
    }
}

impl TryCryptoRng for FixedRng {}

/// An instant written as in RFC 3339.
pub(crate) fn at(text: &str) -> chrono::DateTime<chrono::Utc> {
    text.parse().unwrap()
}
