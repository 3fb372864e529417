//! Digests of what is coming, as far as it came from its beginning without a gap: who sends in order is not read again.
//!
//! A piece is reckoned while the next one comes; whoever sent it does not wait for that.

use std::{
    collections::HashMap,
    sync::{Mutex, PoisonError},
    thread::{Builder, JoinHandle},
};

use bytes::Bytes;
use model::Sha256;
use sha2::Digest as _;

/// So many are reckoned at once; what comes besides is read again when it is whole.
const MOST: usize = 256;

#[derive(Debug)]
struct Run<T> {
    /// The digest of all pieces that came, when the last one is reckoned.
    reckoning: Option<JoinHandle<sha2::Sha256>>,
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
    pub fn go_on(&self, name: &str, nth: u64, piece: T, bytes: Bytes) {
        let found = self.take(name);
        let run = if nth == 0 {
            Some(Run { reckoning: None, pieces: Vec::new() })
        } else {
            found.filter(|run| run.pieces.len() as u64 == nth)
        };
        if let Some(mut run) = run {
            // One piece of a file is held in memory at most.
            let Some(mut digest) = reckoned(run.reckoning) else { return };
            let reckon = move || {
                digest.update(&bytes);
                digest
            };
            let Ok(reckoning) = Builder::new().spawn(reckon) else { return };
            run.reckoning = Some(reckoning);
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
        Some((Sha256::new(reckoned(run.reckoning)?.finalize().into()), run.pieces))
    }

    /// Forgets a file.
    pub fn forget(&self, name: &str) {
        self.take(name);
    }
}

/// What was reckoned so far.
fn reckoned(reckoning: Option<JoinHandle<sha2::Sha256>>) -> Option<sha2::Sha256> {
    reckoning.map_or_else(|| Some(sha2::Sha256::new()), |reckoning| reckoning.join().ok())
}
