//! What a person asks the firm's issuer for: a certificate for a key of the person's own (PKCS #10, RFC 2986).

use der::Encode as _;
use x509_cert::{
    builder::{Builder as _, RequestBuilder},
    request::CertReq,
};

use super::{Certificate, Person, Subject, SubjectError};
use crate::{
    asn1::{decode_canonical, from_pem, to_pem},
    key::{KeyError, PrivateKey, PublicKey},
};

/// No request of ours comes near this.
const MOST_BYTES: usize = 4 * 1024;
const PEM_LABEL: &str = "CERTIFICATE REQUEST";

/// A request whose signature fits: whoever asks has the private half of the key.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CertificateAsked {
    person: Person,
    key: PublicKey,
    der: Vec<u8>,
}

impl CertificateAsked {
    /// Asks for a certificate for this key.
    pub fn sign(person: &Person, key: &PrivateKey) -> Result<Self, AskedError> {
        let subject =
            Subject { name: person.name.clone(), organization: person.organization.clone(), role: Some(person.role) };
        let builder = RequestBuilder::new(subject.to_name()?).map_err(AskedError::Build)?;
        let built = builder.build::<_, ed25519_dalek::Signature>(key.signing_key()).map_err(AskedError::Build)?;
        Self::parse_der(&built.to_der().map_err(AskedError::NotDer)?)
    }

    /// Reads exactly one PEM block `CERTIFICATE REQUEST`: canonical DER, an Ed25519 key, a person's subject, a signature
    /// that fits.
    pub fn parse_pem(pem: &str) -> Result<Self, AskedError> {
        if pem.len() > 2 * MOST_BYTES {
            return Err(AskedError::TooLarge { got: pem.len() });
        }
        Self::parse_der(&from_pem(PEM_LABEL, pem).ok_or(AskedError::NotPem)?)
    }

    fn parse_der(der: &[u8]) -> Result<Self, AskedError> {
        if der.len() > MOST_BYTES {
            return Err(AskedError::TooLarge { got: der.len() });
        }
        let asked: CertReq = decode_canonical(der).map_err(AskedError::NotDer)?;
        let spki = &asked.info.public_key;
        let key = PublicKey::parse(spki.subject_public_key.as_bytes().unwrap_or_default()).map_err(AskedError::Key)?;
        if spki.to_der().map_err(AskedError::NotDer)? != key.to_spki_der() {
            return Err(AskedError::KeyNotEd25519);
        }
        let signed = asked.info.to_der().map_err(AskedError::NotDer)?;
        key.check(&signed, asked.signature.as_bytes().unwrap_or_default()).map_err(AskedError::Key)?;
        let Subject { name, organization, role } = Subject::read(&asked.info.subject)?;
        let role = role.ok_or(SubjectError::Shape)?;
        Ok(Self { person: Person { name, organization, role }, key, der: der.to_vec() })
    }

    /// The request as a PEM block.
    pub fn to_pem(&self) -> String {
        to_pem(PEM_LABEL, &self.der)
    }

    /// Who asks, as the certificate would name the person.
    pub fn person(&self) -> &Person {
        &self.person
    }

    /// The key that the certificate would speak of.
    pub fn key(&self) -> PublicKey {
        self.key
    }

    /// Is this the certificate that was asked for: the same person, the same key?
    pub fn is_answered_by(&self, certificate: &Certificate) -> bool {
        let Person { name, organization, role } = &self.person;
        certificate.key() == self.key
            && certificate.subject().is_ok_and(|subject| {
                subject.name == *name && subject.organization == *organization && subject.role == Some(*role)
            })
    }
}

/// Why a request was not made, or refused.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AskedError {
    /// More bytes than any request of ours.
    #[error("a request of {got} bytes, expected at most {MOST_BYTES}")]
    TooLarge {
        /// Its length in bytes.
        got: usize,
    },
    /// Not one PEM block of that name.
    #[error("not a PEM block `{PEM_LABEL}`")]
    NotPem,
    /// Not canonical DER of a request.
    #[error("not a certificate request in canonical DER")]
    NotDer(#[source] der::Error),
    /// The key or the signature is refused.
    #[error("the request's key or signature is refused")]
    Key(#[source] KeyError),
    /// The key is of another kind.
    #[error("the request's key is not an Ed25519 key without parameters")]
    KeyNotEd25519,
    /// A name that may not stand in a certificate.
    #[error(transparent)]
    Subject(#[from] SubjectError),
    /// The request could not be encoded.
    #[error("the request could not be built")]
    Build(#[source] x509_cert::builder::Error),
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        certificate::{Role, certify_person},
        fixture::{TestFirm, at},
    };

    fn person() -> Person {
        Person {
            name: "Ines Okafor-Lind".into(),
            organization: "Harbour & Vale Inspections".into(),
            role: Role::Inspector,
        }
    }

    #[test]
    fn a_request_reads_back_and_a_changed_one_is_refused() {
        let key = PrivateKey::from_seed(&[7; 32]);
        let asked = CertificateAsked::sign(&person(), &key).unwrap();
        let read = CertificateAsked::parse_pem(&asked.to_pem()).unwrap();
        assert_eq!((read.person(), read.key()), (&person(), key.public()));
        // RFC 2986 §4.2: the signature is over the request's information, so that any change of a name breaks it.
        let name = asked.der.windows(4).position(|four| four == b"Ines").unwrap();
        for (place, byte) in [(name, b'J'), (asked.der.len() - 1, asked.der[asked.der.len() - 1] ^ 1)] {
            let mut changed = asked.der.clone();
            changed[place] = byte;
            assert!(matches!(CertificateAsked::parse_der(&changed), Err(AskedError::Key(_))), "{place}");
        }
        assert!(matches!(CertificateAsked::parse_pem("hello"), Err(AskedError::NotPem)));
        let long = "x".repeat(3 * MOST_BYTES);
        assert!(matches!(CertificateAsked::parse_pem(&long), Err(AskedError::TooLarge { .. })));
        let nobody = Person { name: " ".into(), ..person() };
        assert!(matches!(CertificateAsked::sign(&nobody, &key), Err(AskedError::Subject(_))));
    }

    #[test]
    fn the_answer_is_the_certificate_of_that_person_for_that_key() {
        let mut firm = TestFirm::found("North Bay");
        let key = PrivateKey::from_seed(&[7; 32]);
        let asked = CertificateAsked::sign(&person(), &key).unwrap();
        let mut answered_with = |person: &Person, key: PublicKey| {
            let from = at("2026-01-02T00:00:00Z");
            let issued = certify_person(&firm.issuer_key, &firm.issuer, person, key, from, &mut firm.rng);
            asked.is_answered_by(&issued.unwrap())
        };
        assert!(answered_with(&person(), key.public()));
        assert!(!answered_with(&person(), PrivateKey::from_seed(&[8; 32]).public()));
        assert!(!answered_with(&Person { name: "Maja Holt".into(), ..person() }, key.public()));
        assert!(!answered_with(&Person { organization: "South Bay".into(), ..person() }, key.public()));
        assert!(!answered_with(&Person { role: Role::Office, ..person() }, key.public()));
    }
}
