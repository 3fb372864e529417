//! A whole log read again: every entry, every tile, and the signed head over them.

use seal::{digest::Sha256Digest, receipt::LogKey};

use crate::{
    BUNDLE, CHECKPOINT, Checkpoint, Entry, Tree, bundle_path, read_bundle,
    tile::{count_at, tile_path},
};

/// What a whole log says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Audited {
    /// The signed head over all of it.
    pub checkpoint: Checkpoint,
    /// Every entry, in order.
    pub entries: Vec<Entry>,
}

/// Why a log cannot be relied on.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AuditFault<E> {
    /// A file that could not be had.
    #[error("{path}: {cause}")]
    Read {
        /// Which.
        path: String,
        /// Why.
        cause: E,
    },
    /// The head is none.
    #[error("checkpoint: it is no signed checkpoint")]
    Head,
    /// The head is not this log's.
    #[error("checkpoint: it is not signed by {log}, whose key was given")]
    Foreign {
        /// The log that was meant.
        log: String,
    },
    /// The head covers less than one that was seen before, or other entries.
    #[error("the log had {old} entries and now has {size}; what it had is not what it begins with: it was changed")]
    Forked {
        /// Entries of the head that was seen before.
        old: u64,
        /// Entries now.
        size: u64,
    },
    /// A file of another form.
    #[error("{path}: got {got}, expected {expected}")]
    Form {
        /// Which file.
        path: String,
        /// What it has.
        got: String,
        /// What it should have.
        expected: String,
    },
    /// An entry that is none.
    #[error("entry {number}: it is none of a kind that this program knows")]
    Entry {
        /// Its place, counted from 0.
        number: u64,
    },
    /// A clock that ran backwards.
    #[error("entry {number}: its time is before that of the entry before it")]
    Backwards {
        /// Its place, counted from 0.
        number: u64,
    },
    /// The entries are not those that were signed.
    #[error("the {size} entries have the root {got}, and the signed one is {expected}")]
    Root {
        /// How many there are.
        size: u64,
        /// What they come to.
        got: Sha256Digest,
        /// What the head says.
        expected: Sha256Digest,
    },
}

/// Reads a whole log, to its last entry. `read` gives a file by its path below the log's own; `seen` is a head that the
/// reader kept from before.
///
/// # Errors
/// [`AuditFault`], with the place of what is wrong.
pub fn audit<E>(
    key: &LogKey,
    seen: Option<&Checkpoint>,
    mut read: impl FnMut(&str) -> Result<Vec<u8>, E>,
) -> Result<Audited, AuditFault<E>> {
    let mut file = |path: &str| read(path).map_err(|cause| AuditFault::Read { path: path.to_owned(), cause });
    let text = String::from_utf8(file(CHECKPOINT)?).map_err(|_| AuditFault::Head)?;
    let checkpoint = Checkpoint::parse(&text).ok_or(AuditFault::Head)?;
    if !checkpoint.names(key) || !checkpoint.is_signed_by(key) {
        return Err(AuditFault::Foreign { log: key.name().to_owned() });
    }
    let size = checkpoint.size();
    let (mut tree, mut entries) = (Tree::default(), Vec::<Entry>::new());
    for number in 0..size.div_ceil(BUNDLE) {
        let width = BUNDLE.min(size - number * BUNDLE);
        let path = bundle_path(number, width);
        let bytes = file(&path)?;
        let texts = read_bundle(&bytes).filter(|texts| texts.len() as u64 == width);
        let texts = texts.ok_or_else(|| AuditFault::Form {
            path: path.clone(),
            got: format!("{} bytes", bytes.len()),
            expected: format!("{width} entries, each with its length before it"),
        })?;
        for text in texts {
            let place = tree.append(text);
            let entry = Entry::parse(text).ok_or(AuditFault::Entry { number: place })?;
            if entries.last().is_some_and(|before| before.at > entry.at) {
                return Err(AuditFault::Backwards { number: place });
            }
            entries.push(entry);
        }
    }
    if tree.root() != checkpoint.root() {
        return Err(AuditFault::Root { size, got: tree.root(), expected: checkpoint.root() });
    }
    tiles(&tree, &mut file)?;
    if let Some(seen) = seen
        && tree.root_at(seen.size()) != Some(seen.root())
    {
        return Err(AuditFault::Forked { old: seen.size(), size });
    }
    Ok(Audited { checkpoint, entries })
}

/// Every tile has the hashes that the entries come to: whoever proves by tiles is told the same.
fn tiles<E>(tree: &Tree, file: &mut impl FnMut(&str) -> Result<Vec<u8>, AuditFault<E>>) -> Result<(), AuditFault<E>> {
    for level in 0.. {
        let count = count_at(tree.size(), level);
        if count == 0 {
            return Ok(());
        }
        for number in 0..count.div_ceil(BUNDLE) {
            let width = BUNDLE.min(count - number * BUNDLE);
            let path = tile_path(level, number, width);
            let bytes = file(&path)?;
            let right = (0..width).filter_map(|nth| tree.subtree(level * 8, number * BUNDLE + nth));
            let right: Vec<u8> = right.flat_map(|hash| *hash.as_bytes()).collect();
            if bytes != right {
                return Err(AuditFault::Form {
                    path,
                    got: format!("{} bytes that are others", bytes.len()),
                    expected: format!("the {width} hashes of the entries below it"),
                });
            }
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use chrono::{DateTime, TimeDelta, Utc};
    use seal::{digest::ReportIdentity, key::PrivateKey};

    use super::*;
    use crate::{EntryKind, list_tiles};

    const NAME: &str = "log.example/north-bay";

    fn key() -> PrivateKey {
        PrivateKey::from_seed(&[7; 32])
    }

    fn log_key() -> LogKey {
        LogKey::new(NAME, key().public()).unwrap()
    }

    fn entry(nth: u64) -> Entry {
        let begun: DateTime<Utc> = "2026-11-24T08:00:00Z".parse().unwrap();
        let report = ReportIdentity(Sha256Digest::of(&nth.to_be_bytes()));
        Entry::new(
            EntryKind::Issued { report, signature: Sha256Digest::of(b"s") },
            begun + TimeDelta::seconds(nth as i64),
        )
    }

    type Shelf = BTreeMap<String, Vec<u8>>;

    fn publish(entries: &[String]) -> Shelf {
        let mut tree = Tree::default();
        for text in entries {
            tree.append(text.as_bytes());
        }
        let files = list_tiles(&tree, 0, |nth| Ok::<_, ()>(entries[nth as usize].clone().into_bytes())).unwrap();
        let mut shelf: Shelf = files.into_iter().map(|file| (file.path, file.bytes)).collect();
        let head = Checkpoint::sign(NAME, tree.size(), tree.root(), &key());
        shelf.insert(CHECKPOINT.to_owned(), head.as_str().as_bytes().to_vec());
        shelf
    }

    fn texts(count: u64) -> Vec<String> {
        (0..count).map(|nth| entry(nth).to_text()).collect()
    }

    fn ask(shelf: &Shelf, seen: Option<&Checkpoint>) -> Result<Audited, String> {
        let read = |path: &str| shelf.get(path).cloned().ok_or("it is not there");
        audit(&log_key(), seen, read).map_err(|fault| fault.to_string())
    }

    #[test]
    fn a_whole_log_is_read_to_its_last_entry() {
        let audited = ask(&publish(&texts(600)), None).unwrap();
        assert_eq!(audited.entries.len(), 600);
        assert_eq!(audited.entries[599], entry(599));
        assert_eq!(ask(&publish(&[]), None).unwrap().entries, []);
    }

    #[test]
    fn what_is_wrong_is_named_with_its_place() {
        let whole = publish(&texts(600));
        let spoil = |path: &str, at: usize| {
            let mut shelf = whole.clone();
            shelf.get_mut(path).unwrap()[at] ^= 1;
            ask(&shelf, None).unwrap_err()
        };
        assert!(spoil("tile/entries/001", 2 + 25).contains("entry 256"), "{}", spoil("tile/entries/001", 2 + 25));
        assert!(spoil("tile/entries/002.p/88", 0).contains("tile/entries/002.p/88"));
        assert!(spoil("tile/0/001", 40).starts_with("tile/0/001: got 8192 bytes that are others"));
        assert!(spoil("tile/1/000.p/2", 0).contains("tile/1/000.p/2"));
        assert!(
            spoil(CHECKPOINT, 30).contains("not signed by log.example/north-bay")
                || spoil(CHECKPOINT, 30).contains("no signed")
        );
        let mut missing = whole.clone();
        missing.remove("tile/entries/000");
        assert_eq!(ask(&missing, None).unwrap_err(), "tile/entries/000: it is not there");
        let mut late = texts(5);
        late.swap(1, 3);
        assert!(ask(&publish(&late), None).unwrap_err().contains("entry 2: its time"));
        let mut foreign = texts(5);
        foreign[4] = "an advertisement\n".to_owned();
        assert!(ask(&publish(&foreign), None).unwrap_err().starts_with("entry 4: it is none"));
    }

    #[test]
    fn a_log_that_was_changed_since_it_was_seen_is_found_out() {
        let seen = ask(&publish(&texts(300)), None).unwrap().checkpoint;
        assert!(ask(&publish(&texts(301)), Some(&seen)).is_ok());
        assert!(ask(&publish(&texts(299)), Some(&seen)).unwrap_err().contains("had 300 entries and now has 299"));
        let mut forked = texts(400);
        forked.remove(7);
        assert!(ask(&publish(&forked), Some(&seen)).unwrap_err().contains("it was changed"));
    }

    #[test]
    fn an_entry_that_was_put_under_a_signed_head_is_found_out() {
        let (small, large) = (publish(&texts(256)), publish(&texts(300)));
        let mut shelf = small.clone();
        shelf.insert("tile/entries/000".into(), large["tile/entries/000"].clone());
        let mut other = texts(256);
        other[3] = entry(2).to_text();
        shelf.insert("tile/entries/000".into(), publish(&other)["tile/entries/000"].clone());
        assert!(ask(&shelf, None).unwrap_err().contains("the signed one is"));
    }
}
