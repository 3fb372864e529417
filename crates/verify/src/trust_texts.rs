//! What a reader brings along, still as the text of its files.

use chrono::{DateTime, Utc};
use seal::{
    certificate::{Certificate, CertificateError},
    receipt::{LogKey, NoteKeyError, WitnessKey, Witnesses, WitnessesError},
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
    /// Keys of witnesses whose word the reader takes for the time in those logs, each `name+id+key` on one line.
    pub witnesses: Vec<String>,
    /// How many of the witnesses must have signed; all of them if not given.
    pub witnesses_needed: Option<usize>,
    /// Authorities for timestamps whose word the reader takes, or those above them, each one PEM block `CERTIFICATE`.
    #[cfg(feature = "authority")]
    pub authorities: Vec<String>,
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
            witnesses: Vec::new(),
            witnesses_needed: None,
            #[cfg(feature = "authority")]
            authorities: Vec::new(),
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
            #[cfg(feature = "authority")]
            authorities: parse_each(&self.authorities, |place, text| {
                seal::timestamp::AuthorityCertificate::parse_pem(text)
                    .map_err(|cause| TrustError::Authority { place, cause })
            })?,
            statements: parse_each(&self.statements, |place, text| {
                SignedStatement::parse_pem(text).map_err(|cause| TrustError::Statement { place, cause })
            })?,
            statements_complete_as_of: self.statements_complete_as_of,
            ..Trust::at(self.at)
        })
    }

    fn parse_logs(&self, roots: &[Certificate]) -> Result<Vec<FirmLog>, TrustError> {
        let witnesses = self.parse_witnesses()?;
        if self.logs.is_empty() {
            return if witnesses.is_some() { Err(TrustError::WitnessesOfNoLog) } else { Ok(Vec::new()) };
        }
        let [root] = roots else { return Err(TrustError::LogOfWhichFirm { roots: roots.len() }) };
        parse_each(&self.logs, |place, text| {
            let key = LogKey::parse(strip_end(text)).map_err(|cause| TrustError::Log { place, cause })?;
            let is_log = |witness: &WitnessKey| witness.public_key() == key.public_key();
            if let Some(place) = witnesses.iter().flat_map(Witnesses::keys).position(is_log) {
                return Err(TrustError::WitnessIsLog { place });
            }
            Ok(FirmLog { root: root.fingerprint(), key, witnesses: witnesses.clone() })
        })
    }

    fn parse_witnesses(&self) -> Result<Option<Witnesses>, TrustError> {
        let keys = parse_each(&self.witnesses, |place, text| {
            WitnessKey::parse(strip_end(text)).map_err(|cause| TrustError::Witness { place, cause })
        })?;
        let needed = self.witnesses_needed.unwrap_or(keys.len());
        if keys.is_empty() && self.witnesses_needed.is_none() {
            return Ok(None);
        }
        Witnesses::new(keys, needed).map(Some).map_err(TrustError::Witnesses)
    }
}

fn strip_end(text: &str) -> &str {
    text.strip_suffix('\n').unwrap_or(text)
}

fn parse_each<T>(texts: &[String], parse: impl Fn(usize, &str) -> Result<T, TrustError>) -> Result<Vec<T>, TrustError> {
    texts.iter().enumerate().map(|(place, text)| parse(place, text)).collect()
}

/// A file of the reader's that is not what it should be. `place` counts from 0.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TrustError {
    /// Not an authority's certificate.
    #[cfg(feature = "authority")]
    #[error("an authority for timestamps cannot be read: {cause}")]
    Authority {
        /// Its place in the list.
        place: usize,
        /// Why.
        #[source]
        cause: seal::timestamp::AuthorityCertificateError,
    },
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
        cause: NoteKeyError,
    },
    /// A log's key beside no root, or beside several.
    #[error("a log's key belongs to one firm: got {roots} roots beside it, expected 1")]
    LogOfWhichFirm {
        /// How many roots there are.
        roots: usize,
    },
    /// Not a witness's key.
    #[error("a witness's key cannot be read: {cause}")]
    Witness {
        /// Its place in the list.
        place: usize,
        /// Why.
        #[source]
        cause: NoteKeyError,
    },
    /// A set of witnesses that proves nothing.
    #[error("the witnesses: {0}")]
    Witnesses(#[source] WitnessesError),
    /// Witnesses beside no log.
    #[error("witnesses sign a log's head: got no key of a log beside them, expected 1")]
    WitnessesOfNoLog,
    /// A log that would be its own witness.
    #[error("a witness's key is the log's own: a log does not witness itself")]
    WitnessIsLog {
        /// Its place in the list of witnesses.
        place: usize,
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

    #[cfg(feature = "authority")]
    #[test]
    fn the_authorities_that_a_reader_names_are_those_that_count() {
        let mut rng = ChaCha20Rng::from_seed([3; 32]);
        let at = DateTime::UNIX_EPOCH;
        let [one, other] = ["One", "Other"].map(|name| {
            let named = Firm { name: name.into() };
            create_root(&PrivateKey::generate(&mut rng), &named, at, &mut rng).unwrap().to_pem()
        });
        let texts = |authorities: &[&str]| TrustTexts {
            authorities: authorities.iter().map(|text| (*text).to_owned()).collect(),
            ..TrustTexts::at(at)
        };
        let read = |pem: &str| seal::timestamp::AuthorityCertificate::parse_pem(pem).unwrap();
        assert_eq!(texts(&[&one, &other]).parse().unwrap().authorities, [read(&one), read(&other)]);
        assert!(matches!(texts(&[&one, "hello"]).parse(), Err(TrustError::Authority { place: 1, .. })));
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
        assert_eq!(trust.logs, [FirmLog { root: one.fingerprint(), key: key.clone(), witnesses: None }]);
        for roots in [&[][..], &[&one, &other]] {
            let refused = texts(roots, key.to_text()).parse();
            assert!(matches!(refused, Err(TrustError::LogOfWhichFirm { roots: got }) if got == roots.len()));
        }
        let wrong = texts(&[&one], "North Bay's log".into()).parse();
        assert!(matches!(wrong, Err(TrustError::Log { place: 0, cause: NoteKeyError::Shape })));
    }
    #[test]
    fn witnesses_stand_beside_a_log_and_each_counts_once() {
        let mut rng = ChaCha20Rng::from_seed([2; 32]);
        let at = DateTime::UNIX_EPOCH;
        let firm = Firm { name: "North Bay".into() };
        let root = create_root(&PrivateKey::generate(&mut rng), &firm, at, &mut rng).unwrap();
        let log = PrivateKey::generate(&mut rng);
        let keys = [1, 2].map(|nth| {
            WitnessKey::new(&format!("witness.example/w{nth}"), PrivateKey::generate(&mut rng).public()).unwrap()
        });
        let texts = |witnesses: &[&WitnessKey], needed| TrustTexts {
            roots: vec![root.to_pem()],
            logs: vec![LogKey::new("log.example/north-bay", log.public()).unwrap().to_text()],
            witnesses: witnesses.iter().map(|key| format!("{}\n", key.to_text())).collect(),
            witnesses_needed: needed,
            ..TrustTexts::at(at)
        };
        let both = [&keys[0], &keys[1]];
        let trust = texts(&both, None).parse().unwrap();
        assert_eq!(trust.logs[0].witnesses.as_ref().unwrap().at_least(), 2, "all of them where nothing is said");
        let trust = texts(&both, Some(1)).parse().unwrap();
        assert_eq!(trust.logs[0].witnesses, Some(Witnesses::new(keys.to_vec(), 1).unwrap()));
        for (witnesses, needed) in
            [(&both[..], Some(3)), (&both, Some(0)), (&[&keys[0], &keys[0]], None), (&[], Some(1))]
        {
            assert!(matches!(texts(witnesses, needed).parse(), Err(TrustError::Witnesses(_))), "{needed:?}");
        }
        let own = WitnessKey::new("witness.example/own", log.public()).unwrap();
        let refused = texts(&[&keys[0], &own], None).parse();
        assert!(matches!(refused, Err(TrustError::WitnessIsLog { place: 1 })));
        let without = TrustTexts { logs: Vec::new(), ..texts(&both, None) }.parse();
        assert!(matches!(without, Err(TrustError::WitnessesOfNoLog)));
        let wrong = TrustTexts { witnesses: vec!["w1".into()], ..texts(&[], None) }.parse();
        assert!(matches!(wrong, Err(TrustError::Witness { place: 0, cause: NoteKeyError::Shape })));
    }
}
