//! Whom a reader believes for a time: authorities' certificates, and the way from a token's signer to one of them.

use chrono::{DateTime, Utc};
use const_oid::{AssociatedOid as _, ObjectIdentifier, db::rfc5280::ID_KP_TIME_STAMPING};
use der::Encode as _;
use x509_cert::{
    Certificate, Version,
    ext::pkix::{
        AuthorityKeyIdentifier, BasicConstraints, CertificatePolicies, ExtendedKeyUsage, KeyUsage, SubjectKeyIdentifier,
    },
};

use super::{algorithm::check_signature, token::Token};
use crate::asn1::{decode_canonical, from_asn1_time, from_pem};

/// More certificates lead nowhere.
const MOST_STEPS: usize = 5;
/// So many ways are tried, in whatever order somebody put certificates into a token.
const MOST_WAYS: usize = 64;
/// No certificate of an authority comes near this.
const MOST_BYTES: usize = 16 * 1024;
/// Extensions that are looked at, or that say nothing against a timestamp; another critical one refuses (RFC 5280 §4.2).
const KNOWN: [ObjectIdentifier; 6] = [
    BasicConstraints::OID,
    KeyUsage::OID,
    ExtendedKeyUsage::OID,
    SubjectKeyIdentifier::OID,
    AuthorityKeyIdentifier::OID,
    CertificatePolicies::OID,
];

/// A certificate that the reader names: that of an authority for timestamps, or one above it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AuthorityCertificate(Certificate);

/// Why it could not be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("not one PEM block `CERTIFICATE` with an X.509 certificate in canonical DER of at most {MOST_BYTES} bytes")]
pub struct AuthorityCertificateError;

impl AuthorityCertificate {
    /// Reads exactly one PEM block `CERTIFICATE`.
    ///
    /// # Errors
    /// [`AuthorityCertificateError`].
    pub fn parse_pem(pem: &str) -> Result<Self, AuthorityCertificateError> {
        let der = from_pem("CERTIFICATE", pem).filter(|der| der.len() <= MOST_BYTES);
        der.and_then(|der| decode_canonical(&der).ok()).map(Self).ok_or(AuthorityCertificateError)
    }
}

/// What is known of a token's signer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Judged {
    /// An authority that the reader named stands behind it.
    Proven {
        /// When it signed.
        at: DateTime<Utc>,
        /// Its certificate's subject (RFC 4514).
        name: String,
    },
    /// None of the reader's authorities is named by it.
    Unknown,
    /// It claims one of them, and it is not so.
    Refused(String),
}

/// Who of the reader's authorities stands behind a token, for the time that it names. Whether a certificate of theirs was
/// revoked is not asked: nothing of theirs is fetched.
pub(crate) fn judge_token(token: &Token, authorities: &[AuthorityCertificate]) -> Judged {
    let own = authorities.iter().map(|AuthorityCertificate(own)| own);
    let pool: Vec<&Certificate> = own.clone().chain(token.certificates()).collect();
    let is_own = |one: &Certificate| own.clone().any(|own| own == one);
    let mut refused = None;
    let mut tried = Vec::new();
    for signer in pool.iter().copied().filter(|one| token.names(one)) {
        // One that is among the reader's and came along as well is looked at once.
        if tried.contains(&signer) {
            continue;
        }
        tried.push(signer);
        let mut ways = Vec::new();
        find_ways(&mut vec![signer], &pool, &is_own, &mut ways);
        for way in ways {
            let checked =
                token.check(signer).and_then(|()| check_signer(signer)).and_then(|()| check_way(&way, token.at()));
            match checked {
                Ok(()) => {
                    return Judged::Proven { at: token.at(), name: signer.tbs_certificate().subject().to_string() };
                }
                Err(why) => refused = refused.or(Some(why)),
            }
        }
    }
    refused.map_or(Judged::Unknown, |why| Judged::Refused(why.to_owned()))
}

/// Ways from the last certificate to one of the reader's, by the names of those who issued.
fn find_ways<'a>(
    way: &mut Vec<&'a Certificate>,
    pool: &[&'a Certificate],
    is_own: &impl Fn(&Certificate) -> bool,
    ways: &mut Vec<Vec<&'a Certificate>>,
) {
    let Some(last) = way.last().copied() else { return };
    if ways.len() >= MOST_WAYS {
        return;
    }
    if is_own(last) {
        ways.push(way.clone());
        return;
    }
    if way.len() >= MOST_STEPS {
        return;
    }
    for next in pool {
        let is_issuer = last.tbs_certificate().issuer() == next.tbs_certificate().subject();
        if is_issuer && !way.contains(next) {
            way.push(next);
            find_ways(way, pool, is_own, ways);
            way.pop();
        }
    }
}

/// The signer's certificate is for timestamps and for nothing else (RFC 3161 §2.3).
fn check_signer(signer: &Certificate) -> Result<(), &'static str> {
    const FOREIGN: &str = "its signer's certificate is not one for timestamps alone";
    let body = signer.tbs_certificate();
    let purpose = body.get_extension::<ExtendedKeyUsage>().map_err(|_| FOREIGN)?;
    let is_stamping = purpose.is_some_and(|(critical, purpose)| critical && purpose.0 == [ID_KP_TIME_STAMPING]);
    let usage = body.get_extension::<KeyUsage>().map_err(|_| FOREIGN)?;
    let may_sign = usage.is_none_or(|(_, usage)| usage.digital_signature() || usage.non_repudiation());
    let constraints = body.get_extension::<BasicConstraints>().map_err(|_| FOREIGN)?;
    let is_ca = constraints.is_some_and(|(_, constraints)| constraints.ca);
    (is_stamping && may_sign && !is_ca).then_some(()).ok_or(FOREIGN)
}

/// Each certificate vouches for the one before it, at that time (RFC 5280 §6.1, without policies and name constraints).
fn check_way(way: &[&Certificate], at: DateTime<Utc>) -> Result<(), &'static str> {
    for (below, certificate) in way.iter().enumerate() {
        let body = certificate.tbs_certificate();
        let validity = body.validity();
        if at < from_asn1_time(validity.not_before) || from_asn1_time(validity.not_after) < at {
            return Err("a certificate of its signer or above it was not valid at that time");
        }
        let extensions = body.extensions().map_or(&[][..], Vec::as_slice);
        if body.version() != Version::V3
            || extensions.iter().any(|extension| extension.critical && !KNOWN.contains(&extension.extn_id))
        {
            return Err("a certificate of its signer or above it says something that is not understood here");
        }
        if below > 0 {
            check_issuer(certificate, below - 1)?;
        }
    }
    for pair in way.windows(2) {
        let [certificate, issuer] = pair else { continue };
        let key = issuer.tbs_certificate().subject_public_key_info();
        let signed =
            certificate.tbs_certificate().to_der().map_err(|_| "a certificate of its signer cannot be spelt")?;
        let signature = certificate.signature().as_bytes().unwrap_or_default();
        let algorithms_agree = certificate.signature_algorithm() == certificate.tbs_certificate().signature();
        let stands = check_signature(key, (certificate.signature_algorithm(), None), &signed, signature);
        if stands != Some(true) || !algorithms_agree {
            return Err("a certificate of its signer was not signed by the authority that it names");
        }
    }
    Ok(())
}

/// It may issue certificates, with so many of other authorities below it.
fn check_issuer(certificate: &Certificate, authorities_below: usize) -> Result<(), &'static str> {
    const FOREIGN: &str = "a certificate above its signer's is not that of an authority";
    let body = certificate.tbs_certificate();
    let constraints = body.get_extension::<BasicConstraints>().map_err(|_| FOREIGN)?;
    let is_ca = constraints.is_some_and(|(_, constraints)| {
        constraints.ca && constraints.path_len_constraint.is_none_or(|most| authorities_below <= usize::from(most))
    });
    let usage = body.get_extension::<KeyUsage>().map_err(|_| FOREIGN)?;
    let may_issue = usage.is_none_or(|(_, usage)| usage.key_cert_sign());
    (is_ca && may_issue).then_some(()).ok_or(FOREIGN)
}
