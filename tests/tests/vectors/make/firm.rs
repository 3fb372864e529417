//! Two invented firms with their people. Every key follows from one byte, so that anybody can make these vectors again.

use std::convert::Infallible;

use chrono::{DateTime, Utc};
use rand_core::{TryCryptoRng, TryRng};
use seal::{
    certificate::{Certificate, Firm, Person, Role, certify_issuer, certify_person, create_root},
    chain::Chain,
    key::PrivateKey,
    revocation::{Reason, Revocation, RevocationList},
    signature::Signer,
};
use sha2::{Digest as _, Sha256};

/// When the reader looks.
pub const NOW: &str = "2026-11-25T12:00:00Z";
/// When the report was entered into the log.
pub const ENTERED: &str = "2026-11-24T13:05:00Z";

pub fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

pub fn key(seed: u8) -> PrivateKey {
    PrivateKey::from_seed(&[seed; 32])
}

/// Serial numbers that repeat: SHA-256 over a name and a count.
struct Serials(&'static str, u32);

impl TryRng for Serials {
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

    fn try_fill_bytes(&mut self, bytes: &mut [u8]) -> Result<(), Infallible> {
        for piece in bytes.chunks_mut(32) {
            self.1 += 1;
            piece.copy_from_slice(&Sha256::digest(format!("{} {}", self.0, self.1))[..piece.len()]);
        }
        Ok(())
    }
}

impl TryCryptoRng for Serials {}

/// A firm whose root has the key of `seed`, its issuer that of the next one.
pub struct House {
    pub name: &'static str,
    pub root: Certificate,
    pub issuer: Certificate,
    seed: u8,
}

/// Somebody with a certificate of a firm's.
pub struct Hired {
    pub seed: u8,
    pub certificate: Certificate,
}

impl House {
    pub fn found(name: &'static str, seed: u8) -> Self {
        let mut serials = Serials(name, u32::from(seed) << 8);
        let (firm, from) = (Firm { name: name.into() }, at("2026-01-01T00:00:00Z"));
        let root = create_root(&key(seed), &firm, from, &mut serials).unwrap();
        let issuer = certify_issuer(&key(seed), &root, &firm, key(seed + 1).public(), from, &mut serials).unwrap();
        Self { name, root, issuer, seed }
    }

    pub fn hire(&self, name: &'static str, role: Role, seed: u8) -> Hired {
        self.hire_from("2026-01-01T00:00:00Z", name, role, seed)
    }

    /// The same, certified from this time on.
    pub fn hire_from(&self, from: &str, name: &'static str, role: Role, seed: u8) -> Hired {
        let person = Person { name: name.into(), organization: self.name.into(), role };
        let (from, mut serials) = (at(from), Serials(name, u32::from(seed) << 8));
        let issuer = key(self.seed + 1);
        let certificate =
            certify_person(&issuer, &self.issuer, &person, key(seed).public(), from, &mut serials).unwrap();
        Hired { seed, certificate }
    }

    pub fn signer(&self, who: &Hired) -> Signer {
        let chain = Chain::new(who.certificate.clone(), self.issuer.clone(), self.root.clone()).unwrap();
        Signer::new(key(who.seed), chain).unwrap()
    }

    /// The issuer's list: who is revoked, since when.
    pub fn list(&self, number: u64, (from, to): (&str, &str), revoked: &[(&Certificate, &str)]) -> String {
        publish(&key(self.seed + 1), &self.issuer, number, (from, to), revoked)
    }

    /// The root's list of issuers.
    pub fn root_list(&self, number: u64, (from, to): (&str, &str), revoked: &[(&Certificate, &str)]) -> String {
        publish(&key(self.seed), &self.root, number, (from, to), revoked)
    }
}

fn publish(
    key: &PrivateKey,
    authority: &Certificate,
    number: u64,
    (from, to): (&str, &str),
    revoked: &[(&Certificate, &str)],
) -> String {
    let revocations: Vec<Revocation> = revoked
        .iter()
        .map(|(who, since)| Revocation { serial: who.serial(), since: at(since), reason: Reason::KeyCompromise })
        .collect();
    RevocationList::publish(key, authority, number, (at(from), at(to)), &revocations).unwrap().to_pem()
}
