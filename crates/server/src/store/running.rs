//! Digests of what is coming, as far as it came from its beginning without a gap: who sends in order is not read again.

use std::{
    collections::HashMap,
    sync::{Mutex, PoisonError},
};

use model::Sha256;
use sha2::Digest as _;

/// So many are reckoned at once; what comes besides is read again when it is whole.
const MOST: usize = 256;

#[derive(Debug)]
struct Run<T> {
    digest: sha2::Sha256,
    /// What is known of each piece that went into it.
    pieces: Vec<T>,
}

/// Those of many files, by a name of each; of each of its pieces as much is known as the store tells apart.
#[derive(Debug)]
pub(super) struct Runs<T> {
    all: Mutex<HashMap<String, Run<T>>>,
}

impl<T> Default for Runs<T> {
    fn default() -> Self {
        Self { all: Mutex::default() }
    }
}

impl<T> Runs<T> {
    fn take(&self, name: &str) -> Option<Run<T>> {
        self.all.lock().unwrap_or_else(PoisonError::into_inner).remove(name)
    }

    /// Goes on with a file where the piece is its next one; else it will have to be read again.
    pub fn go_on(&self, name: &str, nth: u64, piece: T, bytes: &[u8]) {
        let found = self.take(name);
        let run = if nth == 0 {
            Some(Run { digest: sha2::Sha256::new(), pieces: Vec::new() })
        } else {
            found.filter(|run| run.pieces.len() as u64 == nth)
        };
        if let Some(mut run) = run {
            run.digest.update(bytes);
            run.pieces.push(piece);
            let mut all = self.all.lock().unwrap_or_else(PoisonError::into_inner);
            if all.len() < MOST {
                all.insert(name.to_owned(), run);
            }
        }
    }

    /// The digest of exactly so many pieces, and what is known of each, if they came in order.
    pub fn finish(&self, name: &str, count: u64) -> Option<(Sha256, Vec<T>)> {
        let run = self.take(name).filter(|run| run.pieces.len() as u64 == count)?;
        Some((Sha256::new(run.digest.finalize().into()), run.pieces))
    }

    /// Forgets a file.
    pub fn forget(&self, name: &str) {
        self.take(name);
    }
}
