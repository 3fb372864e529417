//! What a firm shows of itself, gathered file by file by a reader who wants to judge its reports today: the root, the list of
//! what is revoked, the whole log, each statement that the log speaks of.
//!
//! Nothing here fetches: whoever has a network asks what is wanted, and puts in what came.

use std::collections::BTreeMap;

use seal::{certificate::Certificate, digest::Sha256Digest, receipt::LogKey};

use crate::{AuditFault, Audited, BUNDLE, CHECKPOINT, Checkpoint, Entry, audit, bundle_path, list_paths, read_bundle};

/// The firm's root.
pub const ROOT: &str = "root.pem";
/// Its issuer.
pub const ISSUER: &str = "issuer.pem";
/// What is revoked.
pub const REVOKED: &str = "crl.pem";
/// The log's name and key.
pub const LOG_KEY: &str = "log.pub";
/// Below this the statements are shown.
pub const STATEMENTS: &str = "statements/";
/// No log that a reader reads whole has more entries.
const MOST_ENTRIES: u64 = 1 << 20;

/// The files as they come.
#[derive(Debug, Default)]
pub struct Standing {
    files: BTreeMap<String, Option<Vec<u8>>>,
}

/// What a firm shows, read whole.
#[derive(Debug, Clone)]
pub struct Papers {
    /// The firm's root, in PEM. Whether it is the firm's a person says who has compared it.
    pub root: String,
    /// The firm, as the root names it.
    pub firm: String,
    /// The root's fingerprint in groups, as a person compares it.
    pub fingerprint: String,
    /// Its list of what is revoked, in PEM.
    pub revoked: Option<String>,
    /// The log's name and key, as a line.
    pub log: String,
    /// The statements that the log speaks of, in PEM.
    pub statements: Vec<String>,
    /// Every statement that the log speaks of is among them.
    pub is_complete: bool,
    /// The log.
    pub audited: Audited,
}

/// Why a firm's papers say nothing.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StandingFault {
    /// A file that has to be there is not.
    #[error("{path} is not shown")]
    Missing {
        /// Which.
        path: String,
    },
    /// A file of another form.
    #[error("{path} cannot be read")]
    Form {
        /// Which.
        path: &'static str,
    },
    /// The log.
    #[error(transparent)]
    Log(#[from] AuditFault<String>),
}

impl Standing {
    /// The files that are to be fetched next, each below the firm's address; none when all were asked for.
    pub fn wants(&self) -> Vec<String> {
        let mut wanted = vec![ROOT.to_owned(), REVOKED.to_owned(), LOG_KEY.to_owned(), CHECKPOINT.to_owned()];
        let head = self.text(CHECKPOINT).and_then(Checkpoint::parse).filter(|head| head.size() <= MOST_ENTRIES);
        if let Some(head) = head {
            wanted.extend(list_paths(head.size()));
            for number in 0..head.size().div_ceil(BUNDLE) {
                let width = BUNDLE.min(head.size() - number * BUNDLE);
                let texts = self.bytes(&bundle_path(number, width)).and_then(read_bundle);
                let entries = texts.iter().flatten().filter_map(|text| Entry::parse(text));
                wanted.extend(entries.filter_map(|entry| entry.kind.statement()).map(|digest| statement_path(&digest)));
            }
        }
        wanted.retain(|path| !self.files.contains_key(path));
        wanted
    }

    /// Puts in what came; none where there is no such file.
    pub fn put(&mut self, path: &str, bytes: Option<&[u8]>) {
        self.files.insert(path.to_owned(), bytes.map(<[u8]>::to_vec));
    }

    /// Reads all of it, the log to its last entry.
    ///
    /// # Errors
    /// [`StandingFault`].
    pub fn read(&self) -> Result<Papers, StandingFault> {
        let text = |path: &'static str| {
            self.bytes(path).ok_or_else(|| StandingFault::Missing { path: path.to_owned() })?;
            self.text(path).ok_or(StandingFault::Form { path })
        };
        let root = text(ROOT)?.to_owned();
        let certificate = Certificate::parse_pem(&root).map_err(|_| StandingFault::Form { path: ROOT })?;
        let firm = certificate.subject().map_err(|_| StandingFault::Form { path: ROOT })?.organization;
        let fingerprint = certificate.fingerprint().to_string();
        let log = text(LOG_KEY)?.trim().to_owned();
        let key = LogKey::parse(&log).map_err(|_| StandingFault::Form { path: LOG_KEY })?;
        let audited =
            audit(&key, None, |path| self.bytes(path).map(<[u8]>::to_vec).ok_or("it is not shown".to_owned()))?;
        let spoken: Vec<Sha256Digest> = audited.entries.iter().filter_map(|entry| entry.kind.statement()).collect();
        let shown = spoken.iter().filter_map(|digest| {
            let text = self.text(&statement_path(digest))?;
            (Sha256Digest::of(text.as_bytes()) == *digest).then(|| text.to_owned())
        });
        let statements: Vec<String> = shown.collect();
        let is_complete = statements.len() == spoken.len();
        let revoked = self.text(REVOKED).map(str::to_owned);
        Ok(Papers { root, firm, fingerprint, revoked, log, statements, is_complete, audited })
    }

    fn bytes(&self, path: &str) -> Option<&[u8]> {
        self.files.get(path)?.as_deref()
    }

    fn text(&self, path: &str) -> Option<&str> {
        std::str::from_utf8(self.bytes(path)?).ok()
    }
}

/// Where a statement that the log speaks of is shown.
pub fn statement_path(digest: &Sha256Digest) -> String {
    format!("{STATEMENTS}{}.pem", digest.to_hex())
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;
    use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};
    use seal::{
        certificate::{Firm, create_root},
        digest::ReportIdentity,
        key::PrivateKey,
    };

    use super::*;
    use crate::{EntryKind, Tree, list_tiles};

    type Shown = BTreeMap<String, Vec<u8>>;

    /// What a firm shows that has withdrawn one of two reports, by a statement whose text is not looked at here.
    fn show() -> Shown {
        let begun = DateTime::UNIX_EPOCH;
        let [key, log] = [1, 2].map(|seed| PrivateKey::from_seed(&[seed; 32]));
        let firm = Firm { name: "North Bay".into() };
        let root = create_root(&key, &firm, begun, &mut ChaCha20Rng::from_seed([3; 32])).unwrap();
        let report = |byte| ReportIdentity(Sha256Digest::from_bytes([byte; 32]));
        let statement = Sha256Digest::of(b"a statement");
        let kinds = [
            EntryKind::Issued { report: report(1), signature: report(2).0 },
            EntryKind::Issued { report: report(3), signature: report(4).0 },
            EntryKind::Withdrawn { report: report(3), statement },
        ];
        let texts = kinds.map(|kind| Entry::new(kind, begun).to_text().into_bytes());
        let mut tree = Tree::default();
        for text in &texts {
            tree.append(text);
        }
        let files = list_tiles(&tree, 0, |nth| Ok::<_, ()>(texts[nth as usize].clone())).unwrap();
        let name = LogKey::new("log.example/north-bay", log.public()).unwrap();
        let head = Checkpoint::sign(name.name(), tree.size(), tree.root(), &log);
        let mut shown: Shown = files.into_iter().map(|file| (file.path, file.bytes)).collect();
        shown.insert(ROOT.into(), root.to_pem().into_bytes());
        shown.insert(LOG_KEY.into(), name.to_text().into_bytes());
        shown.insert(CHECKPOINT.into(), head.as_str().as_bytes().to_vec());
        shown.insert(statement_path(&statement), b"a statement".to_vec());
        shown
    }

    /// Fetches what is wanted until nothing is; how often was asked.
    fn gather(shown: &Shown) -> (Standing, usize) {
        let (mut standing, mut rounds) = (Standing::default(), 0);
        loop {
            let wanted = standing.wants();
            if wanted.is_empty() {
                return (standing, rounds);
            }
            rounds += 1;
            for path in wanted {
                standing.put(&path, shown.get(&path).map(Vec::as_slice));
            }
        }
    }

    #[test]
    fn a_reader_gathers_the_whole_log_and_every_statement() {
        let (standing, rounds) = gather(&show());
        assert_eq!(rounds, 3, "the papers, the log, the statements");
        let papers = standing.read().unwrap();
        assert_eq!((papers.statements.as_slice(), papers.is_complete), (&["a statement".to_owned()][..], true));
        assert_eq!((papers.audited.entries.len(), papers.revoked), (3, None));
    }

    #[test]
    fn what_is_held_back_or_changed_is_seen() {
        let statement = statement_path(&Sha256Digest::of(b"a statement"));
        for changed in [None, Some(&b"another statement"[..])] {
            let mut shown = show();
            shown.remove(&statement);
            shown.extend(changed.map(|text| (statement.clone(), text.to_vec())));
            let papers = gather(&shown).0.read().unwrap();
            assert!(!papers.is_complete && papers.statements.is_empty(), "{changed:?}");
        }
        for path in show().keys().filter(|path| **path != statement) {
            let mut shown = show();
            shown.remove(path);
            let fault = gather(&shown).0.read().unwrap_err().to_string();
            assert!(fault.contains(path.as_str()), "{path}: {fault}");
            let mut shown = show();
            shown.get_mut(path).unwrap()[40] ^= 1;
            assert!(gather(&shown).0.read().is_err(), "{path}");
        }
    }
}
