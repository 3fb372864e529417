//! Makes certificates: the firm's root, its issuer, its people.

use chrono::{DateTime, Months, Utc};
use rand_core::CryptoRng;
use spki::SubjectPublicKeyInfoOwned;
use x509_cert::{
    builder::{Builder as _, CertificateBuilder},
    serial_number::SerialNumber,
    time::Validity,
};

use super::{
    Certificate, CertificateError, Person, ProfileFault, Subject, SubjectError,
    profile::{Plan, Rank},
};
use crate::{
    asn1::to_asn1_time,
    key::{PrivateKey, PublicKey},
};

/// How long certificates last: a root is kept offline and re-made by ceremony, people change.
const ROOT_MONTHS: u32 = 20 * 12;
const ISSUER_MONTHS: u32 = 10 * 12;
const PERSON_MONTHS: u32 = 2 * 12;

/// A firm as its certificates name it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Firm {
    /// The firm's name.
    pub name: String,
}

impl Firm {
    fn subject(&self, what: &str) -> Subject {
        Subject { name: format!("{} {what}", self.name), organization: self.name.clone(), role: None }
    }
}

/// The firm's root certificate, signed by its own key, valid for twenty years from the given instant.
pub fn create_root(
    key: &PrivateKey,
    firm: &Firm,
    from: DateTime<Utc>,
    rng: &mut impl CryptoRng,
) -> Result<Certificate, IssueError> {
    let subject = firm.subject("root").to_name()?;
    let plan = Plan { rank: Rank::Root, issuer: subject.clone(), subject, key: key.public(), issuer_key: key.public() };
    build(plan, key, span(from, ROOT_MONTHS)?, rng)
}

/// The certificate of the firm's issuer, signed by the root, valid for ten years but no longer than the root.
pub fn certify_issuer(
    root_key: &PrivateKey,
    root: &Certificate,
    firm: &Firm,
    key: PublicKey,
    from: DateTime<Utc>,
    rng: &mut impl CryptoRng,
) -> Result<Certificate, IssueError> {
    let subject = firm.subject("issuer");
    certify(root_key, root, Rank::Root, (Rank::Issuer, subject, key), span(from, ISSUER_MONTHS)?, rng)
}

/// A person's certificate, signed by the issuer, valid for two years but no longer than the issuer.
pub fn certify_person(
    issuer_key: &PrivateKey,
    issuer: &Certificate,
    person: &Person,
    key: PublicKey,
    from: DateTime<Utc>,
    rng: &mut impl CryptoRng,
) -> Result<Certificate, IssueError> {
    let subject =
        Subject { name: person.name.clone(), organization: person.organization.clone(), role: Some(person.role) };
    certify(issuer_key, issuer, Rank::Issuer, (Rank::Person, subject, key), span(from, PERSON_MONTHS)?, rng)
}

fn certify(
    signing_key: &PrivateKey,
    signer: &Certificate,
    signer_rank: Rank,
    (rank, subject, key): (Rank, Subject, PublicKey),
    (from, to): (DateTime<Utc>, DateTime<Utc>),
    rng: &mut impl CryptoRng,
) -> Result<Certificate, IssueError> {
    signer.check_profile(signer_rank)?;
    if signer.key() != signing_key.public() {
        return Err(IssueError::KeyOfAnother);
    }
    let (first, last) = signer.validity();
    if from < first || from >= last {
        return Err(IssueError::SignerNotValid { from, first, last });
    }
    let plan = Plan {
        rank,
        subject: subject.to_name()?,
        issuer: signer.inner().tbs_certificate().subject().clone(),
        key,
        issuer_key: signing_key.public(),
    };
    build(plan, signing_key, (from, to.min(last)), rng)
}

fn span(from: DateTime<Utc>, months: u32) -> Result<(DateTime<Utc>, DateTime<Utc>), IssueError> {
    let to = from.checked_add_months(Months::new(months)).ok_or(IssueError::Time)?;
    Ok((from, to))
}

fn build(
    plan: Plan,
    signing_key: &PrivateKey,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
    rng: &mut impl CryptoRng,
) -> Result<Certificate, IssueError> {
    let not_before = to_asn1_time(from).map_err(|_| IssueError::Time)?;
    let not_after = to_asn1_time(to).map_err(|_| IssueError::Time)?;
    let (rank, key) = (plan.rank, plan.key);
    let spki =
        SubjectPublicKeyInfoOwned::from_key(key.verifying_key()).map_err(|error| IssueError::Build(error.into()))?;
    let validity = Validity::new(not_before, not_after);
    let builder = CertificateBuilder::new(plan, serial_number(rng)?, validity, spki).map_err(IssueError::Build)?;
    let built = builder.build::<_, ed25519_dalek::Signature>(signing_key.signing_key()).map_err(IssueError::Build)?;
    let der = der::Encode::to_der(&built).map_err(|error| IssueError::Build(error.into()))?;
    let certificate = Certificate::parse_der(&der)?;
    certificate.check_profile(rank)?;
    Ok(certificate)
}

/// Sixteen random bytes; the first two bits are fixed so that the number is positive and always as long.
fn serial_number(rng: &mut impl CryptoRng) -> Result<SerialNumber, IssueError> {
    let mut bytes = [0; 16];
    rng.fill_bytes(&mut bytes);
    bytes[0] = bytes[0] & 0x3f | 0x40;
    SerialNumber::new(&bytes).map_err(|error| IssueError::Build(error.into()))
}

/// Why a certificate could not be made.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum IssueError {
    /// A name that may not stand in a certificate.
    #[error(transparent)]
    Subject(#[from] SubjectError),
    /// The signing certificate is not of the rank that may sign this.
    #[error("the signing certificate may not sign this one")]
    Signer(#[from] ProfileFault),
    /// The private key is not that of the signing certificate.
    #[error("the private key does not belong to the signing certificate")]
    KeyOfAnother,
    /// The signing certificate is not valid at the wanted start.
    #[error("a start at {from}, expected between {first} and {last}, while the signing certificate is valid")]
    SignerNotValid {
        /// The wanted start.
        from: DateTime<Utc>,
        /// The signing certificate's first instant.
        first: DateTime<Utc>,
        /// Its last.
        last: DateTime<Utc>,
    },
    /// An instant that X.509 cannot write.
    #[error("a time outside of what a certificate can say")]
    Time,
    /// The certificate could not be encoded.
    #[error("the certificate could not be built")]
    Build(#[source] x509_cert::builder::Error),
    /// The finished certificate did not read back.
    #[error("the finished certificate did not read back")]
    ReadBack(#[from] CertificateError),
}
