//! What is coming, as far as it came from its beginning without a gap: its digest, so that who sends in order is not read
//! again, and what is done with each piece while the next one comes. Whoever sent it does not wait for that.

use std::{
    collections::HashMap,
    future::Future,
    sync::{Mutex, PoisonError},
    thread::{Builder, JoinHandle},
};

use bytes::Bytes;
use model::Sha256;
use sha2::Digest as _;
use sync::PIECE_BYTES;

use super::{
    StoreError,
    remote::{Begun, begin, wait},
};

/// So many are known at once; what comes besides is read again when it is whole.
const MOST: usize = 256;
/// So many pieces are being kept while nobody waits for them; besides, whoever sends one waits. Each is held in memory.
const MOST_UNDER_WAY: usize = 64;

#[derive(Debug)]
struct Run<T> {
    /// The digest of all pieces that came, when the last one is reckoned.
    reckoning: Option<JoinHandle<sha2::Sha256>>,
    /// How the last one is being kept.
    keeping: Option<Begun>,
    /// What is known of each piece that went into it.
    pieces: Vec<T>,
}

impl<T> Run<T> {
    const EMPTY: Self = Self { reckoning: None, keeping: None, pieces: Vec::new() };

    fn is_next(&self, nth: u64) -> bool {
        self.pieces.len() as u64 == nth
    }

    /// It, when its last piece is kept.
    fn settle(mut self) -> Result<Self, StoreError> {
        self.keeping.take().map_or(Ok(()), Begun::end)?;
        Ok(self)
    }

    /// What was reckoned so far.
    fn digest(&mut self) -> Result<sha2::Sha256, StoreError> {
        let digest = self.reckoning.take().map_or_else(|| Ok(sha2::Sha256::new()), JoinHandle::join);
        digest.map_err(|_| StoreError::Failed("a piece was not reckoned to its end".to_owned()))
    }
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
    fn with<R>(&self, work: impl FnOnce(&mut HashMap<String, Run<T>>) -> R) -> R {
        work(&mut self.all.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// A file, when its last piece is kept.
    fn take(&self, name: &str) -> Result<Option<Run<T>>, StoreError> {
        self.with(|all| all.remove(name)).map(Run::settle).transpose()
    }

    fn has_room(&self) -> bool {
        let is_under_way = |run: &&Run<T>| run.keeping.as_ref().is_some_and(|keeping| !keeping.has_ended());
        self.with(|all| all.len() < MOST && all.values().filter(is_under_way).count() < MOST_UNDER_WAY)
    }

    /// Keeps a piece and goes on with its file. Where it is the next one of it, it may be kept while the one after it comes,
    /// unless it is shorter than a piece: what is last is waited for, so that any process finds the whole file.
    ///
    /// # Errors
    /// What `keep` fails with, of this piece or of the one before.
    pub fn keep(
        &self,
        name: &str,
        nth: u64,
        piece: T,
        bytes: &Bytes,
        keep: impl Future<Output = Result<(), StoreError>> + Send + 'static,
    ) -> Result<(), StoreError> {
        let is_next = nth == 0 || self.with(|all| all.get(name).is_some_and(|run| run.is_next(nth)));
        let keeping = if is_next && bytes.len() as u64 == PIECE_BYTES && self.has_room() {
            Some(begin(keep)?)
        } else {
            wait(keep)?;
            None
        };
        self.go_on(name, nth, piece, bytes, keeping)
    }

    /// Goes on with a file where this piece, which is kept or being kept, is its next one; else the file will have to be
    /// read again.
    ///
    /// # Errors
    /// A piece that could not be kept, this one or the one before.
    pub fn go_on(
        &self,
        name: &str,
        nth: u64,
        piece: T,
        bytes: &Bytes,
        keeping: Option<Begun>,
    ) -> Result<(), StoreError> {
        // Two pieces of a file are held in memory at most.
        let before = self.take(name)?;
        let run = if nth == 0 { Some(Run::EMPTY) } else { before.filter(|run| run.is_next(nth)) };
        let Some(mut run) = run.filter(|_| self.has_room()) else { return keeping.map_or(Ok(()), Begun::end) };
        let (mut digest, bytes) = (run.digest()?, bytes.clone());
        let reckon = move || {
            digest.update(&bytes);
            digest
        };
        run.reckoning = Some(Builder::new().spawn(reckon)?);
        run.keeping = keeping;
        run.pieces.push(piece);
        self.with(|all| all.insert(name.to_owned(), run));
        Ok(())
    }

    /// The digest of exactly so many pieces, and what is known of each, if they came in order; they are kept then.
    ///
    /// # Errors
    /// The last one could not be kept.
    pub fn finish(&self, name: &str, count: u64) -> Result<Option<(Sha256, Vec<T>)>, StoreError> {
        let run = self.take(name)?.filter(|run| run.is_next(count));
        run.map(|mut run| Ok((Sha256::new(run.digest()?.finalize().into()), run.pieces))).transpose()
    }

    /// Waits until what came of a file is kept.
    ///
    /// # Errors
    /// The last piece could not be kept.
    pub fn wait(&self, name: &str) -> Result<(), StoreError> {
        if let Some(run) = self.take(name)? {
            self.with(|all| {
                all.entry(name.to_owned()).or_insert(run);
            });
        }
        Ok(())
    }

    /// Forgets a file, when its last piece is kept or could not be.
    pub fn forget(&self, name: &str) {
        let _ = self.take(name);
    }
}
