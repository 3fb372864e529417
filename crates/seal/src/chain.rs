//! A person's certificate with those that vouch for it: person ← issuer ← root.

use crate::certificate::{Certificate, ProfileFault, Rank};

/// Three certificates that vouch for each other by name, key identifier and signature, each with the profile of its
/// rank. Nothing is said yet about time, revocation, or whether the reader knows the root.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chain {
    person: Certificate,
    issuer: Certificate,
    root: Certificate,
}

impl Chain {
    /// Checks that the three belong together.
    pub fn new(person: Certificate, issuer: Certificate, root: Certificate) -> Result<Self, ChainFault> {
        let profile = |certificate: &Certificate, rank| {
            certificate.check_profile(rank).map_err(|fault| ChainFault::Profile { rank, fault })
        };
        profile(&person, Rank::Person)?;
        profile(&issuer, Rank::Issuer)?;
        profile(&root, Rank::Root)?;
        check_link(&person, &issuer, Rank::Issuer)?;
        check_link(&issuer, &root, Rank::Root)?;
        check_link(&root, &root, Rank::Root)?;
        Ok(Self { person, issuer, root })
    }

    /// Finds issuer and root of a signer among the certificates that came with a signature: exactly these three, in
    /// any order.
    pub fn build(signer: &Certificate, all: &[Certificate]) -> Result<Self, ChainFault> {
        // What acts as a person must not be an authority; said before anything else, as the cause of all that follows.
        signer.check_profile(Rank::Person).map_err(|fault| ChainFault::Profile { rank: Rank::Person, fault })?;
        let others: Vec<&Certificate> = all.iter().filter(|certificate| *certificate != signer).collect();
        let [a, b] = others[..] else { return Err(ChainFault::Count { got: all.len() }) };
        let (issuer, root) = match (is_named_issuer(signer, a), is_named_issuer(signer, b)) {
            (false, false) => return Err(ChainFault::Missing { rank: Rank::Issuer }),
            (true, false) => (a, b),
            // Of two with the wanted name the key identifier decides.
            (true, true) if has_named_key(signer, a) => (a, b),
            (_, true) => (b, a),
        };
        Self::new(signer.clone(), issuer.clone(), root.clone())
    }

    /// The signer.
    pub fn person(&self) -> &Certificate {
        &self.person
    }

    /// The firm's issuer.
    pub fn issuer(&self) -> &Certificate {
        &self.issuer
    }

    /// The firm's root.
    pub fn root(&self) -> &Certificate {
        &self.root
    }

    /// Person, issuer, root.
    pub fn certificates(&self) -> [&Certificate; 3] {
        [&self.person, &self.issuer, &self.root]
    }
}

fn is_named_issuer(certificate: &Certificate, issuer: &Certificate) -> bool {
    certificate.inner().tbs_certificate().issuer() == issuer.inner().tbs_certificate().subject()
}

fn has_named_key(certificate: &Certificate, issuer: &Certificate) -> bool {
    certificate.authority_key_identifier().is_some_and(|named| named == issuer.key().identifier())
}

fn check_link(certificate: &Certificate, issuer: &Certificate, rank: Rank) -> Result<(), ChainFault> {
    if !is_named_issuer(certificate, issuer) {
        return Err(ChainFault::Missing { rank });
    }
    if !has_named_key(certificate, issuer) {
        return Err(ChainFault::OtherKey { rank });
    }
    if !certificate.is_signed_by(issuer.key()) {
        return Err(ChainFault::Signature { rank });
    }
    Ok(())
}

/// Why certificates are no chain.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ChainFault {
    /// Not exactly three.
    #[error("{got} certificates, expected exactly three: person, issuer and root")]
    Count {
        /// How many came.
        got: usize,
    },
    /// A certificate departs from the profile of its place.
    #[error("as the {} certificate: {fault}", name(*rank))]
    Profile {
        /// Its place.
        rank: Rank,
        /// In what.
        #[source]
        fault: ProfileFault,
    },
    /// None of the certificates has the name that the one below gives.
    #[error("the {} certificate that is named is not there", name(*rank))]
    Missing {
        /// Its place.
        rank: Rank,
    },
    /// The name fits and the key does not: another authority of the same name.
    #[error("the {} certificate has the right name and another key", name(*rank))]
    OtherKey {
        /// Its place.
        rank: Rank,
    },
    /// The signature under a certificate does not stand.
    #[error("a certificate is not signed by the {} certificate that it names", name(*rank))]
    Signature {
        /// The place of the one that should have signed.
        rank: Rank,
    },
}

const fn name(rank: Rank) -> &'static str {
    match rank {
        Rank::Root => "root",
        Rank::Issuer => "issuer",
        Rank::Person => "signer's",
    }
}

impl ChainFault {
    /// A stable code in kebab case.
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Count { .. } => "chain-certificate-count",
            Self::Profile { fault, .. } => fault.code(),
            Self::Missing { .. } => "chain-certificate-missing",
            Self::OtherKey { .. } => "chain-same-name-other-key",
            Self::Signature { .. } => "chain-signature-invalid",
        }
    }
}

#[cfg(test)]
mod tests;
