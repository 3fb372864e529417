//! What each rank of certificate must look like, to the last extension.

use const_oid::{AssociatedOid, ObjectIdentifier, db::rfc8410::ID_ED_25519};
use der::{Decode, asn1::OctetString};
use spki::SubjectPublicKeyInfoRef;
use x509_cert::{
    TbsCertificate,
    builder::profile::BuilderProfile,
    certificate::Version,
    ext::{
        Extension, ToExtension as _,
        pkix::{AuthorityKeyIdentifier, BasicConstraints, ExtendedKeyUsage, KeyUsage, KeyUsages, SubjectKeyIdentifier},
    },
    name::Name,
};

use super::Certificate;
use crate::{asn1::bare_algorithm, key::PublicKey};

/// id-kp-documentSigning (RFC 9336 §3.1).
pub(crate) const DOCUMENT_SIGNING: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.3.6.1.5.5.7.3.36");

/// Where in the tree a certificate stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rank {
    /// The firm's root: signs itself and issuers.
    Root,
    /// Signs people's certificates and the revocation list.
    Issuer,
    /// Signs documents.
    Person,
}

impl Rank {
    fn basic_constraints(self) -> Option<BasicConstraints> {
        let ca = |length| Some(BasicConstraints { ca: true, path_len_constraint: Some(length) });
        match self {
            Self::Root => ca(1),
            Self::Issuer => ca(0),
            Self::Person => None,
        }
    }

    fn key_usage(self) -> KeyUsage {
        match self {
            Self::Root | Self::Issuer => KeyUsage(KeyUsages::KeyCertSign | KeyUsages::CRLSign),
            // Content commitment alone would follow ETSI EN 319 412-2 type A; with digital signature beside it the
            // certificate is also taken by validators that ask for that bit.
            Self::Person => KeyUsage(KeyUsages::DigitalSignature | KeyUsages::NonRepudiation),
        }
    }
}

/// A certificate to be: its rank, whom it names and who signs it.
pub(super) struct Plan {
    pub rank: Rank,
    pub subject: Name,
    pub issuer: Name,
    pub key: PublicKey,
    pub issuer_key: PublicKey,
}

impl BuilderProfile for Plan {
    fn get_issuer(&self, _subject: &Name) -> Name {
        self.issuer.clone()
    }

    fn get_subject(&self) -> Name {
        self.subject.clone()
    }

    fn build_extensions(
        &self,
        _key: SubjectPublicKeyInfoRef<'_>,
        _issuer_key: SubjectPublicKeyInfoRef<'_>,
        _certificate: &TbsCertificate,
    ) -> x509_cert::builder::Result<Vec<Extension>> {
        let subject = &self.subject;
        let mut extensions = Vec::new();
        if let Some(constraints) = self.rank.basic_constraints() {
            extensions.push((&constraints).to_extension(subject, &extensions)?);
        }
        extensions.push((&self.rank.key_usage()).to_extension(subject, &extensions)?);
        if self.rank == Rank::Person {
            let purpose = ExtendedKeyUsage(vec![DOCUMENT_SIGNING]);
            extensions.push((&purpose).to_extension(subject, &extensions)?);
        }
        let own = SubjectKeyIdentifier(OctetString::new(self.key.identifier())?);
        extensions.push((&own).to_extension(subject, &extensions)?);
        let issuer = AuthorityKeyIdentifier {
            key_identifier: Some(OctetString::new(self.issuer_key.identifier())?),
            ..Default::default()
        };
        extensions.push((&issuer).to_extension(subject, &extensions)?);
        Ok(extensions)
    }
}

impl Certificate {
    /// Checks everything that the certificate says of itself against the profile of its rank. Signature, validity
    /// and neighbours are questions of the chain.
    pub fn check_profile(&self, rank: Rank) -> Result<(), ProfileFault> {
        let inner = self.inner();
        let body = inner.tbs_certificate();
        if body.version() != Version::V3 {
            return Err(ProfileFault::Version);
        }
        let algorithm = bare_algorithm(ID_ED_25519);
        if *body.signature() != algorithm || *inner.signature_algorithm() != algorithm {
            return Err(ProfileFault::SignatureAlgorithm);
        }
        if body.issuer_unique_id().is_some() || body.subject_unique_id().is_some() {
            return Err(ProfileFault::UniqueIdentifier);
        }
        let subject = self.subject().map_err(|error| ProfileFault::Subject(error.to_string()))?;
        // First the most telling: what acts as a person must not be able to make certificates.
        self.check_basic_constraints(rank)?;
        self.check_key_usage(rank)?;
        self.check_purpose(rank)?;
        self.check_identifiers()?;
        if subject.role.is_some() != (rank == Rank::Person) {
            return Err(ProfileFault::Subject("a role belongs to a person and to nobody else".to_owned()));
        }
        self.check_no_other_extension(rank)
    }

    /// The identifier of the key that signed the certificate, as the certificate says.
    pub(crate) fn authority_key_identifier(&self) -> Option<Vec<u8>> {
        let (critical, identifier) = self.extension::<AuthorityKeyIdentifier>().ok()??;
        let plain = !critical
            && identifier.authority_cert_issuer.is_none()
            && identifier.authority_cert_serial_number.is_none();
        let key = identifier.key_identifier.filter(|_| plain)?;
        Some(key.as_bytes().to_vec())
    }

    fn check_basic_constraints(&self, rank: Rank) -> Result<(), ProfileFault> {
        let found = self.extension::<BasicConstraints>()?;
        let is_authority = found.as_ref().is_some_and(|(_, constraints)| constraints.ca);
        match rank {
            Rank::Person if is_authority => Err(ProfileFault::AuthorityAsSigner),
            Rank::Root | Rank::Issuer if !is_authority => Err(ProfileFault::NoAuthority),
            _ if found == rank.basic_constraints().map(|expected| (true, expected)) => Ok(()),
            _ => Err(ProfileFault::PathLength),
        }
    }

    fn check_key_usage(&self, rank: Rank) -> Result<(), ProfileFault> {
        (self.extension::<KeyUsage>()? == Some((true, rank.key_usage()))).then_some(()).ok_or(ProfileFault::KeyUsage)
    }

    fn check_purpose(&self, rank: Rank) -> Result<(), ProfileFault> {
        let expected = (rank == Rank::Person).then(|| (false, ExtendedKeyUsage(vec![DOCUMENT_SIGNING])));
        (self.extension::<ExtendedKeyUsage>()? == expected).then_some(()).ok_or(ProfileFault::Purpose)
    }

    fn check_identifiers(&self) -> Result<(), ProfileFault> {
        let own = self.extension::<SubjectKeyIdentifier>()?;
        let fits =
            own.is_some_and(|(critical, identifier)| !critical && identifier.0.as_bytes() == self.key().identifier());
        if !fits || self.authority_key_identifier().is_none() {
            return Err(ProfileFault::KeyIdentifier);
        }
        Ok(())
    }

    fn check_no_other_extension(&self, rank: Rank) -> Result<(), ProfileFault> {
        let mut known = vec![KeyUsage::OID, SubjectKeyIdentifier::OID, AuthorityKeyIdentifier::OID];
        known.push(if rank == Rank::Person { ExtendedKeyUsage::OID } else { BasicConstraints::OID });
        let extensions = self.inner().tbs_certificate().extensions().map_or(&[][..], Vec::as_slice);
        match extensions.iter().find(|extension| !known.contains(&extension.extn_id)) {
            Some(unknown) => Err(ProfileFault::UnknownExtension { oid: unknown.extn_id.to_string() }),
            None => Ok(()),
        }
    }

    fn extension<T>(&self) -> Result<Option<(bool, T)>, ProfileFault>
    where
        T: for<'a> Decode<'a, Error = der::Error> + AssociatedOid,
    {
        self.inner()
            .tbs_certificate()
            .get_extension::<T>()
            .map_err(|_| ProfileFault::BrokenExtension { oid: T::OID.to_string() })
    }
}

/// In what a certificate departs from the profile of its rank.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ProfileFault {
    /// Not version 3.
    #[error("the certificate is not of version 3")]
    Version,
    /// Signed with something else, or with parameters.
    #[error("the certificate is not signed with Ed25519 without parameters")]
    SignatureAlgorithm,
    /// The obsolete unique identifiers.
    #[error("the certificate carries unique identifiers")]
    UniqueIdentifier,
    /// The subject is not of our shape.
    #[error("the certificate's subject is refused: {0}")]
    Subject(String),
    /// A certificate that may make certificates was used to sign a document.
    #[error("a certifying authority's certificate, expected a person's")]
    AuthorityAsSigner,
    /// A certificate that may not make certificates was used to sign one.
    #[error("a certificate without authority to sign certificates, expected an authority's")]
    NoAuthority,
    /// The path length is absent or not that of the rank.
    #[error("basic constraints with another path length than the rank's")]
    PathLength,
    /// The key usage is absent, not critical, or not exactly that of the rank.
    #[error("another key usage than the rank's")]
    KeyUsage,
    /// The extended key usage is not exactly document signing (RFC 9336), or is present where it must not be.
    #[error("another extended key usage than the rank's")]
    Purpose,
    /// The identifiers of own and issuing key are absent, or the own does not belong to the key.
    #[error("a key identifier that is absent or does not belong to the key")]
    KeyIdentifier,
    /// An extension that the profile does not have.
    #[error("the unknown extension {oid}")]
    UnknownExtension {
        /// Its object identifier.
        oid: String,
    },
    /// An extension that is doubled or cannot be read.
    #[error("the extension {oid} is doubled or malformed")]
    BrokenExtension {
        /// Its object identifier.
        oid: String,
    },
}

impl ProfileFault {
    /// A stable code in kebab case.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Version => "certificate-version",
            Self::SignatureAlgorithm => "certificate-signature-algorithm",
            Self::UniqueIdentifier => "certificate-unique-identifier",
            Self::Subject(_) => "certificate-subject",
            Self::AuthorityAsSigner => "authority-as-signer",
            Self::NoAuthority => "signer-as-authority",
            Self::PathLength => "certificate-path-length",
            Self::KeyUsage => "certificate-key-usage",
            Self::Purpose => "certificate-purpose",
            Self::KeyIdentifier => "certificate-key-identifier",
            Self::UnknownExtension { .. } => "certificate-unknown-extension",
            Self::BrokenExtension { .. } => "certificate-broken-extension",
        }
    }
}
