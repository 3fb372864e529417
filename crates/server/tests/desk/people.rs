//! A firm's root, issuer and inspector, the same each time from the firm's name; what they sign needs no file.

use chrono::{DateTime, Utc};
use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};
use seal::{
    certificate::{Certificate, Firm, Person, Role, certify_issuer, certify_person, create_root},
    chain::Chain,
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
    revocation::{Reason, Revocation, RevocationList},
    signature::{Form, SignedMessage, Signer, sign_detached},
};
use sync::Issued;

/// Founded on 2026-01-01.
pub struct People {
    pub root: Certificate,
    issuer: Certificate,
    issuer_key: PrivateKey,
    pub inspector: Signer,
}

impl People {
    pub fn of(name: &str) -> Self {
        let mut rng = ChaCha20Rng::from_seed(*Sha256Digest::of(name.as_bytes()).as_bytes());
        let firm = Firm { name: name.to_owned() };
        let from = at("2026-01-01T00:00:00Z");
        let [root_key, issuer_key, key] = std::array::from_fn(|_| PrivateKey::generate(&mut rng));
        let root = create_root(&root_key, &firm, from, &mut rng).unwrap();
        let issuer = certify_issuer(&root_key, &root, &firm, issuer_key.public(), from, &mut rng).unwrap();
        let ines = Person { name: "Ines Okafor-Lind".into(), organization: name.to_owned(), role: Role::Inspector };
        let person = certify_person(&issuer_key, &issuer, &ines, key.public(), from, &mut rng).unwrap();
        let chain = Chain::new(person, issuer.clone(), root.clone()).unwrap();
        Self { root, issuer, issuer_key, inspector: Signer::new(key, chain).unwrap() }
    }

    /// The list on which the inspector's key is revoked since that time.
    pub fn revoke(&self, since: DateTime<Utc>) -> RevocationList {
        let serial = self.inspector.chain().person().serial();
        let revocation = Revocation { serial, since, reason: Reason::KeyCompromise };
        let times = (since, since + chrono::TimeDelta::days(30));
        RevocationList::publish(&self.issuer_key, &self.issuer, 1, times, &[revocation]).unwrap()
    }

    /// The inspector's signature over the report of that name.
    pub fn sign(&self, report: &str) -> Vec<u8> {
        sign_detached(&digest(report), &self.inspector).unwrap()
    }
}

fn at(time: &str) -> DateTime<Utc> {
    time.parse().unwrap()
}

/// SHA-512 of what is signed; a name stands in for a file.
fn digest(report: &str) -> [u8; 64] {
    let half = *Sha256Digest::of(report.as_bytes()).as_bytes();
    std::array::from_fn(|place| half[place % 32])
}

pub fn identity(report: &str) -> ReportIdentity {
    ReportIdentity(Sha256Digest::of(&digest(report)))
}

/// The value in a signature, of which a receipt speaks.
pub fn signature_value(signature: &[u8]) -> Vec<u8> {
    SignedMessage::parse(signature, Form::Detached).unwrap().signature().to_vec()
}

/// What a device of that firm sends for the receipt of a report of that name.
pub fn to_enter(of: &str, report: &str) -> String {
    carry(&People::of(of).sign(report))
}

pub fn carry(signature: &[u8]) -> String {
    serde_json::to_string(&Issued::carry(signature)).unwrap()
}
