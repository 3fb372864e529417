//! What a reader brings along, still as the text of its files.

use chrono::{DateTime, Utc};
use seal::{
    certificate::{Certificate, CertificateError},
    receipt::{LogKey, LogKeyError},
    revocation::{RevocationError, RevocationList},
    statement::{SignedStatement, StatementError},
    trust::{FirmLog, Trust},
};

/// A reader's own files. Nothing of it may come from the file that is being checked.
#[derive(Clone, Debug)]
pub struct TrustTexts {
    /// Roots, each one PEM block `CERTIFICATE`.
    pub roots: Vec<String>,
    /// Revocation lists, each one PEM block `X509 CRL`.
    pub revocation_lists: Vec<String>,
    /// Keys of the firm's logs, each `name+id+key` on one line. They count for the reports of one firm only, so with
    /// them exactly one root is given.
    pub logs: Vec<String>,
    /// Withdrawals and supersessions, each one PEM block `CMS`.
    pub statements: Vec<String>,
    /// When the statements were gathered, if they are all that the firm had then.
    pub statements_complete_as_of: Option<DateTime<Utc>>,
    /// The time of the check, by the reader's clock.
    pub at: DateTime<Utc>,
}

impl TrustTexts {
    /// No files at all, at a given time; to be filled.
    pub const fn at(at: DateTime<Utc>) -> Self {
        Self {
            roots: Vec::new(),
            revocation_lists: Vec::new(),
            logs: Vec::new(),
            statements: Vec::new(),
            statements_complete_as_of: None,
            at,
        }
    }

    /// Reads all of them.
    ///
    /// # Errors
    /// The first that is not what it should be, by its place in its list.
    pub fn parse(&self) -> Result<Trust, TrustError> {
        let roots = parse_each(&self.roots, |place, text| {
            Certificate::parse_pem(text).map_err(|cause| TrustError::Root { place, cause })
        })?;
        Ok(Trust {
            logs: self.parse_logs(&roots)?,
            roots,
            revocation_lists: parse_each(&self.revocation_lists, |place, text| {
                RevocationList::parse_pem(text).map_err(|cause| TrustError::RevocationList { place, cause })
            })?,
            statements: parse_each(&self.statements, |place, text| {
                SignedStatement::parse_pem(text).map_err(|cause| TrustError::Statement { place, cause })
            })?,
            statements_complete_as_of: self.statements_complete_as_of,
            ..Trust::at(self.at)
        })
    }

    fn parse_logs(&self, roots: &[Certificate]) -> Result<Vec<FirmLog>, TrustError> {
        if self.logs.is_empty() {
            return Ok(Vec::new());
        }
        let [root] = roots else { return Err(TrustError::LogOfWhichFirm { roots: roots.len() }) };
        parse_each(&self.logs, |place, text| {
            let line = text.strip_suffix('\n').unwrap_or(text);
            let key = LogKey::parse(line).map_err(|cause| TrustError::Log { place, cause })?;
            Ok(FirmLog { root: root.fingerprint(), key })
        })
    }
}

fn parse_each<T>(texts: &[String], parse: impl Fn(usize, &str) -> Result<T, TrustError>) -> Result<Vec<T>, TrustError> {
    texts.iter().enumerate().map(|(place, text)| parse(place, text)).collect()
}

/// A file of the reader's that is not what it should be. `place` counts from 0.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TrustError {
    /// Not a root's certificate.
    #[error("a root cannot be read: {cause}")]
    Root {
        /// Its place in the list.
        place: usize,
        /// Why.
        #[source]
        cause: CertificateError,
    },
    /// Not a revocation list.
    #[error("a revocation list cannot be read: {cause}")]
    RevocationList {
        /// Its place in the list.
        place: usize,
        /// Why.
        #[source]
        cause: RevocationError,
    },
    /// Not a log's key.
    #[error("a log's key cannot be read: {cause}")]
    Log {
        /// Its place in the list.
        place: usize,
        /// Why.
        #[source]
        cause: LogKeyError,
    },
    /// A log's key beside no root, or beside several.
    #[error("a log's key belongs to one firm: got {roots} roots beside it, expected 1")]
    LogOfWhichFirm {
        /// How many roots there are.
        roots: usize,
    },
    /// Not a signed statement.
    #[error("a statement cannot be read: {cause}")]
    Statement {
        /// Its place in the list.
        place: usize,
        /// Why.
        #[source]
        cause: StatementError,
    },
}

#[cfg(test)]
mod tests {
    use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};
    use seal::{
        certificate::{Firm, create_root},
        key::PrivateKey,
    };

    use super::*;

    #[test]
    fn a_file_that_is_something_else_is_named_by_its_place() {
        let at = DateTime::UNIX_EPOCH;
        assert!(TrustTexts::at(at).parse().unwrap().roots.is_empty());
        let wrong = TrustTexts { statements: vec!["hello".into()], ..TrustTexts::at(at) };
        assert!(matches!(wrong.parse(), Err(TrustError::Statement { place: 0, cause: StatementError::NotPem })));
        let wrong = TrustTexts { roots: vec!["-----BEGIN X-----".into()], ..TrustTexts::at(at) };
        assert!(matches!(wrong.parse(), Err(TrustError::Root { place: 0, .. })));
        let wrong = TrustTexts { revocation_lists: vec![String::new()], ..TrustTexts::at(at) };
        assert!(matches!(wrong.parse(), Err(TrustError::RevocationList { place: 0, .. })));
    }

    #[test]
    fn a_log_counts_for_the_one_firm_whose_root_is_given() {
        let mut rng = ChaCha20Rng::from_seed([1; 32]);
        let at = DateTime::UNIX_EPOCH;
        let [one, other] = ["North Bay", "South Bay"].map(|name| {
            let firm = Firm { name: name.into() };
            create_root(&PrivateKey::generate(&mut rng), &firm, at, &mut rng).unwrap()
        });
        let key = LogKey::new("log.example/north-bay", PrivateKey::generate(&mut rng).public()).unwrap();
        let texts = |roots: &[&Certificate], log: String| TrustTexts {
            roots: roots.iter().map(|root| root.to_pem()).collect(),
            logs: vec![log],
            ..TrustTexts::at(at)
        };
        let trust = texts(&[&one], format!("{}\n", key.to_text())).parse().unwrap();
        assert_eq!(trust.logs, [FirmLog { root: one.fingerprint(), key: key.clone() }]);
        for roots in [&[][..], &[&one, &other]] {
            let refused = texts(roots, key.to_text()).parse();
            assert!(matches!(refused, Err(TrustError::LogOfWhichFirm { roots: got }) if got == roots.len()));
        }
        let wrong = texts(&[&one], "North Bay's log".into()).parse();
        assert!(matches!(wrong, Err(TrustError::Log { place: 0, cause: LogKeyError::Shape })));
    }
}
