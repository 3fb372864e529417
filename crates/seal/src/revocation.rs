//! Certificate revocation lists (RFC 5280 §5): what an authority has taken back, and since when.

use std::collections::BTreeMap;

use base16ct::lower::{decode_vec, encode_string};
use chrono::{DateTime, Utc};
use const_oid::{AssociatedOid as _, db::rfc8410::ID_ED_25519};
use der::{
    Decode as _, Encode as _,
    asn1::{BitString, OctetString},
};
use x509_cert::{
    certificate::Version,
    crl::{CertificateList, RevokedCert, TbsCertList},
    ext::{
        Extension, ToExtension as _,
        pkix::{AuthorityKeyIdentifier, CrlNumber, CrlReason},
    },
    serial_number::SerialNumber,
};

use crate::{
    asn1::{bare_algorithm, decode_canonical, from_asn1_time, from_pem, to_asn1_time, to_pem},
    certificate::Certificate,
    key::PrivateKey,
};

/// Why a certificate was revoked.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// Not said.
    Unspecified,
    /// The private key is or may be in other hands.
    KeyCompromise,
    /// The person works for another firm.
    AffiliationChanged,
    /// Replaced by a new certificate.
    Superseded,
    /// The person or firm has stopped this work.
    CessationOfOperation,
    /// The right to sign was taken away.
    PrivilegeWithdrawn,
}

impl Reason {
    const fn to_asn1(self) -> CrlReason {
        match self {
            Self::Unspecified => CrlReason::Unspecified,
            Self::KeyCompromise => CrlReason::KeyCompromise,
            Self::AffiliationChanged => CrlReason::AffiliationChanged,
            Self::Superseded => CrlReason::Superseded,
            Self::CessationOfOperation => CrlReason::CessationOfOperation,
            Self::PrivilegeWithdrawn => CrlReason::PrivilegeWithdrawn,
        }
    }

    /// A hold or a removal, which can be taken back, is not of our profile.
    const fn from_asn1(reason: CrlReason) -> Option<Self> {
        match reason {
            CrlReason::Unspecified => Some(Self::Unspecified),
            CrlReason::KeyCompromise => Some(Self::KeyCompromise),
            CrlReason::AffiliationChanged => Some(Self::AffiliationChanged),
            CrlReason::Superseded => Some(Self::Superseded),
            CrlReason::CessationOfOperation => Some(Self::CessationOfOperation),
            CrlReason::PrivilegeWithdrawn => Some(Self::PrivilegeWithdrawn),
            _ => None,
        }
    }

    /// In words.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Unspecified => "no reason given",
            Self::KeyCompromise => "key compromised",
            Self::AffiliationChanged => "works for another firm",
            Self::Superseded => "replaced by a new certificate",
            Self::CessationOfOperation => "has stopped this work",
            Self::PrivilegeWithdrawn => "right to sign withdrawn",
        }
    }
}

/// One revoked certificate.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Revocation {
    /// The certificate's serial number in lower-case hexadecimal, as [`Certificate::serial`] gives it.
    pub serial: String,
    /// Since when nothing signed with its key counts.
    pub since: DateTime<Utc>,
    /// Why.
    pub reason: Reason,
}

/// A revocation list of our profile. Who signed it is for [`RevocationList::check`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RevocationList {
    der: Vec<u8>,
    inner: CertificateList,
    number: u64,
    authority_key: Vec<u8>,
    this_update: DateTime<Utc>,
    next_update: DateTime<Utc>,
    revoked: BTreeMap<String, Revocation>,
}

/// Some ten thousand entries.
const MOST_BYTES: usize = 1024 * 1024;
const PEM_LABEL: &str = "X509 CRL";

impl RevocationList {
    /// Signs a list: its running number, when it was made, when the next one is due, and all revocations so far.
    pub fn publish(
        authority_key: &PrivateKey,
        authority: &Certificate,
        number: u64,
        (this_update, next_update): (DateTime<Utc>, DateTime<Utc>),
        revocations: &[Revocation],
    ) -> Result<Self, RevocationError> {
        if authority.key() != authority_key.public() {
            return Err(RevocationError::KeyOfAnother);
        }
        let name = authority.inner().tbs_certificate().subject().clone();
        // The library's own list builder copies the authority's authority as key identifier; ours names the signer's.
        let identifier = AuthorityKeyIdentifier {
            key_identifier: Some(OctetString::new(authority_key.public().identifier())?),
            ..Default::default()
        };
        let extensions =
            vec![(&CrlNumber::try_from(number)?).to_extension(&name, &[])?, (&identifier).to_extension(&name, &[])?];
        let mut revoked = Vec::new();
        for revocation in revocations {
            revoked.push(to_entry(revocation)?);
        }
        let body = TbsCertList {
            version: Version::V2,
            signature: bare_algorithm(ID_ED_25519),
            issuer: name,
            this_update: to_asn1_time(this_update)?,
            next_update: Some(to_asn1_time(next_update)?),
            revoked_certificates: (!revoked.is_empty()).then_some(revoked),
            crl_extensions: Some(extensions),
        };
        let signature = authority_key.sign(&body.to_der()?);
        let list = CertificateList {
            tbs_cert_list: body,
            signature_algorithm: bare_algorithm(ID_ED_25519),
            signature: BitString::from_bytes(&signature)?,
        };
        Self::parse_der(&list.to_der()?)
    }

    /// Reads canonical DER of our profile; anything that could narrow a list's scope is refused with the unknown
    /// extension that says so.
    pub fn parse_der(der: &[u8]) -> Result<Self, RevocationError> {
        if der.len() > MOST_BYTES {
            return Err(RevocationError::TooLarge { got: der.len() });
        }
        let inner: CertificateList = decode_canonical(der)?;
        let body = &inner.tbs_cert_list;
        let algorithm = bare_algorithm(ID_ED_25519);
        if body.version != Version::V2 || body.signature != algorithm || inner.signature_algorithm != algorithm {
            return Err(RevocationError::Profile("version 2, signed with Ed25519"));
        }
        let (number, authority_key) = read_extensions(body.crl_extensions.as_deref().unwrap_or_default())?;
        let this_update = from_asn1_time(body.this_update);
        let next_update =
            body.next_update.map(from_asn1_time).ok_or(RevocationError::Profile("a date of the next list"))?;
        let mut revoked = BTreeMap::new();
        for entry in body.revoked_certificates.iter().flatten() {
            let revocation = read_entry(entry)?;
            if revoked.insert(revocation.serial.clone(), revocation).is_some() {
                return Err(RevocationError::Profile("each certificate once"));
            }
        }
        Ok(Self { der: der.to_vec(), number, authority_key, this_update, next_update, revoked, inner })
    }

    /// Reads exactly one PEM block `X509 CRL`.
    pub fn parse_pem(pem: &str) -> Result<Self, RevocationError> {
        if pem.len() > 2 * MOST_BYTES {
            return Err(RevocationError::TooLarge { got: pem.len() });
        }
        Self::parse_der(&from_pem(PEM_LABEL, pem).ok_or(RevocationError::NotPem)?)
    }

    /// The list as a PEM block.
    pub fn to_pem(&self) -> String {
        to_pem(PEM_LABEL, &self.der)
    }

    /// The canonical DER.
    pub fn as_der(&self) -> &[u8] {
        &self.der
    }

    /// The running number.
    pub fn number(&self) -> u64 {
        self.number
    }

    /// When the list was made.
    pub fn this_update(&self) -> DateTime<Utc> {
        self.this_update
    }

    /// When a newer one is due.
    pub fn next_update(&self) -> DateTime<Utc> {
        self.next_update
    }

    /// All revocations, by serial number.
    pub fn list_revocations(&self) -> Vec<&Revocation> {
        self.revoked.values().collect()
    }

    /// What the list says of a certificate.
    pub fn find_revocation(&self, certificate: &Certificate) -> Option<&Revocation> {
        self.revoked.get(&certificate.serial())
    }

    /// Is this the list of that authority: its name, its key's identifier, its signature?
    pub fn check(&self, authority: &Certificate) -> Result<(), RevocationError> {
        let body = &self.inner.tbs_cert_list;
        if body.issuer != *authority.inner().tbs_certificate().subject()
            || self.authority_key != authority.key().identifier()
        {
            return Err(RevocationError::OfAnother);
        }
        let signature = self.inner.signature.as_bytes().unwrap_or_default();
        authority.key().check(&body.to_der()?, signature).map_err(|_| RevocationError::Signature)
    }
}

fn to_entry(revocation: &Revocation) -> Result<RevokedCert, RevocationError> {
    let serial =
        parse_serial(&revocation.serial).ok_or_else(|| RevocationError::Serial { got: revocation.serial.clone() })?;
    let name = x509_cert::name::Name::default();
    let extensions = match revocation.reason {
        // RFC 5280 §5.3.1: rather absent than unspecified.
        Reason::Unspecified => None,
        reason => Some(vec![(&reason.to_asn1()).to_extension(&name, &[])?]),
    };
    Ok(RevokedCert {
        serial_number: SerialNumber::new(&serial)?,
        revocation_date: to_asn1_time(revocation.since)?,
        crl_entry_extensions: extensions,
    })
}

fn parse_serial(text: &str) -> Option<Vec<u8>> {
    (1..=40).contains(&text.len()).then(|| decode_vec(text).ok())?
}

fn read_entry(entry: &RevokedCert) -> Result<Revocation, RevocationError> {
    let reason = match entry.crl_entry_extensions.as_deref() {
        None => Reason::Unspecified,
        Some([Extension { extn_id, critical: false, extn_value }]) if *extn_id == CrlReason::OID => {
            Reason::from_asn1(CrlReason::from_der(extn_value.as_bytes())?)
                .ok_or(RevocationError::Profile("a final reason for each revocation"))?
        }
        Some(_) => return Err(RevocationError::Profile("at most a reason with each revocation")),
    };
    let serial = encode_string(entry.serial_number.as_bytes());
    Ok(Revocation { serial, since: from_asn1_time(entry.revocation_date), reason })
}

/// Exactly the list's number and the authority's key identifier.
fn read_extensions(extensions: &[Extension]) -> Result<(u64, Vec<u8>), RevocationError> {
    const EXPECTED: RevocationError = RevocationError::Profile("exactly a number and the authority's key identifier");
    let find = |oid| extensions.iter().find(|extension| extension.extn_id == oid && !extension.critical);
    let (Some(number), Some(key), 2) = (find(CrlNumber::OID), find(AuthorityKeyIdentifier::OID), extensions.len())
    else {
        return Err(EXPECTED);
    };
    let number = CrlNumber::from_der(number.extn_value.as_bytes())?;
    let digits = number.0.as_bytes();
    if digits.len() > 8 {
        return Err(RevocationError::Profile("a number below 2^64"));
    }
    let number = digits.iter().fold(0, |sum, byte| sum << 8 | u64::from(*byte));
    let key = AuthorityKeyIdentifier::from_der(key.extn_value.as_bytes())?;
    match key.key_identifier {
        Some(identifier) if key.authority_cert_issuer.is_none() && key.authority_cert_serial_number.is_none() => {
            Ok((number, identifier.as_bytes().to_vec()))
        }
        _ => Err(EXPECTED),
    }
}

/// Why a revocation list was not made, or refused.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum RevocationError {
    /// More bytes than any list of ours.
    #[error("a revocation list of {got} bytes, expected at most {MOST_BYTES}")]
    TooLarge {
        /// Its length in bytes.
        got: usize,
    },
    /// Not one PEM block named X509 CRL.
    #[error("not a PEM block `X509 CRL`")]
    NotPem,
    /// Not canonical DER of a revocation list.
    #[error("not a revocation list in canonical DER")]
    NotDer(#[from] der::Error),
    /// Another shape than ours.
    #[error("a revocation list of another profile, expected {0}")]
    Profile(&'static str),
    /// A serial number that is not an even count of at most 40 lower-case hexadecimal digits.
    #[error("the serial number `{got}`, expected lower-case hexadecimal digits in pairs, at most 40")]
    Serial {
        /// The text as given.
        got: String,
    },
    /// The private key is not that of the authority's certificate.
    #[error("the private key does not belong to the authority's certificate")]
    KeyOfAnother,
    /// The list names another authority or key.
    #[error("the revocation list is of another authority")]
    OfAnother,
    /// The signature under the list does not stand.
    #[error("the revocation list is not signed by the authority that it names")]
    Signature,
}

#[cfg(test)]
mod other_shapes;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        certificate::{Firm, Role, certify_issuer},
        fixture::{FixedRng, TestFirm, at},
    };

    fn week() -> (DateTime<Utc>, DateTime<Utc>) {
        (at("2026-03-01T00:00:00Z"), at("2026-03-08T00:00:00Z"))
    }

    #[test]
    fn a_list_says_who_is_revoked_since_when_and_why() {
        let mut firm = TestFirm::found("North Bay");
        let gone = firm.hire("Maja Holt", Role::Inspector);
        let stays = firm.hire("Iver Sund", Role::Inspector);
        let revocation = Revocation {
            serial: gone.chain().person().serial(),
            since: at("2026-02-27T10:00:00Z"),
            reason: Reason::KeyCompromise,
        };
        let list =
            RevocationList::publish(&firm.issuer_key, &firm.issuer, 300, week(), std::slice::from_ref(&revocation))
                .unwrap();
        let list = RevocationList::parse_pem(&list.to_pem()).unwrap();
        list.check(&firm.issuer).unwrap();
        assert_eq!(list.number(), 300);
        assert_eq!((list.this_update(), list.next_update()), week());
        assert_eq!(list.find_revocation(gone.chain().person()), Some(&revocation));
        assert_eq!(list.find_revocation(stays.chain().person()), None);
    }

    #[test]
    fn a_list_of_another_authority_is_refused() {
        let firm = TestFirm::found("North Bay");
        let namesake = TestFirm { rng: FixedRng::new("x"), ..TestFirm::found("South Bay") };
        let list = RevocationList::publish(&firm.issuer_key, &firm.issuer, 1, week(), &[]).unwrap();
        assert!(matches!(list.check(&firm.root), Err(RevocationError::OfAnother)));
        assert!(matches!(list.check(&namesake.issuer), Err(RevocationError::OfAnother)));
        // One of the same name with a key of its own is another, and so is one of another name with this key.
        let mut rng = FixedRng::new("another root");
        let named = |name: &str| Firm { name: name.to_owned() };
        let from = at("2026-01-01T00:00:00Z");
        let mut certify = |name: &str, key: &PrivateKey| {
            certify_issuer(&firm.root_key, &firm.root, &named(name), key.public(), from, &mut rng)
        };
        let same_name = certify("North Bay", &PrivateKey::from_seed(&[5; 32])).unwrap();
        assert!(matches!(list.check(&same_name), Err(RevocationError::OfAnother)));
        let same_key = certify("South Bay", &firm.issuer_key).unwrap();
        assert!(matches!(list.check(&same_key), Err(RevocationError::OfAnother)));
        let refused = RevocationList::publish(&firm.issuer_key, &firm.root, 1, week(), &[]).unwrap_err();
        assert!(matches!(refused, RevocationError::KeyOfAnother));
    }

    #[test]
    fn a_list_gives_what_it_was_published_with() {
        let firm = TestFirm::found("North Bay");
        let of = |serial: &str, reason| Revocation { serial: serial.to_owned(), since: week().0, reason };
        // The longest serial that RFC 5280 §4.1.2.2 allows: twenty bytes.
        let long = "4a".repeat(20);
        let given = [
            of("01", Reason::Unspecified),
            of("4a01", Reason::KeyCompromise),
            of("4a02", Reason::AffiliationChanged),
            of("4a03", Reason::Superseded),
            of("4a04", Reason::CessationOfOperation),
            of("4a05", Reason::PrivilegeWithdrawn),
            of(&long, Reason::Unspecified),
        ];
        let list = RevocationList::publish(&firm.issuer_key, &firm.issuer, u64::MAX, week(), &given).unwrap();
        let read = RevocationList::parse_der(list.as_der()).unwrap();
        assert_eq!(read.as_der(), list.as_der());
        assert_eq!(read.number(), u64::MAX);
        assert_eq!(read.list_revocations(), given.iter().collect::<Vec<_>>());
    }

    #[test]
    fn a_flipped_bit_is_refused_or_unsigned() {
        let firm = TestFirm::found("North Bay");
        let revocation = Revocation { serial: "4a01".to_owned(), since: week().0, reason: Reason::AffiliationChanged };
        let list = RevocationList::publish(&firm.issuer_key, &firm.issuer, 1, week(), &[revocation]).unwrap();
        for at in 0..list.as_der().len() {
            for bit in 0..8 {
                let mut other = list.as_der().to_vec();
                other[at] ^= 1 << bit;
                let passes = RevocationList::parse_der(&other).is_ok_and(|list| list.check(&firm.issuer).is_ok());
                assert!(!passes, "bit {bit} of byte {at}");
            }
        }
    }

    #[test]
    fn odd_serial_numbers_are_refused() {
        let firm = TestFirm::found("North Bay");
        for serial in ["", "abc", "AB", "zz", "é1", &"ab".repeat(21)] {
            let revocation = Revocation { serial: serial.to_owned(), since: week().0, reason: Reason::Unspecified };
            let refused = RevocationList::publish(&firm.issuer_key, &firm.issuer, 1, week(), &[revocation]);
            assert!(matches!(refused, Err(RevocationError::Serial { .. })), "{serial}: {refused:?}");
        }
    }
}
