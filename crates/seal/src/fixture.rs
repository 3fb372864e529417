//! What the tests of this crate share, those beside the code and those in `tests/`.

#![allow(dead_code, reason = "each test file uses its own part")]

use std::convert::Infallible;

use rand_core::{TryCryptoRng, TryRng};
use sha2::{Digest as _, Sha256};

use seal::{
    certificate::{Certificate, Firm, Person, Role, certify_issuer, certify_person, create_root},
    chain::Chain,
    key::PrivateKey,
    signature::Signer,
};

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

/// A firm of invented people for tests, repeatable from its name.
pub(crate) struct TestFirm {
    pub(crate) firm: Firm,
    pub(crate) rng: FixedRng,
    pub(crate) root: Certificate,
    pub(crate) root_key: PrivateKey,
    pub(crate) issuer: Certificate,
    pub(crate) issuer_key: PrivateKey,
}

impl TestFirm {
    /// Founded on 2026-01-01.
    pub(crate) fn found(name: &str) -> Self {
        let mut rng = FixedRng::new(name);
        let firm = Firm { name: name.to_owned() };
        let from = at("2026-01-01T00:00:00Z");
        let root_key = PrivateKey::generate(&mut rng);
        let issuer_key = PrivateKey::generate(&mut rng);
        let root = create_root(&root_key, &firm, from, &mut rng).unwrap();
        let issuer = certify_issuer(&root_key, &root, &firm, issuer_key.public(), from, &mut rng).unwrap();
        Self { firm, rng, root, root_key, issuer, issuer_key }
    }

    /// A person certified on 2026-01-01, for two years.
    pub(crate) fn hire(&mut self, name: &str, role: Role) -> Signer {
        let key = PrivateKey::generate(&mut self.rng);
        let person = Person { name: name.to_owned(), organization: self.firm.name.clone(), role };
        let from = at("2026-01-01T00:00:00Z");
        let certificate =
            certify_person(&self.issuer_key, &self.issuer, &person, key.public(), from, &mut self.rng).unwrap();
        let chain = Chain::new(certificate, self.issuer.clone(), self.root.clone()).unwrap();
        Signer::new(key, chain).unwrap()
    }
}
