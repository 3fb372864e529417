//! This machine's files, with a clock that stands and a randomness that repeats.

use std::{
    io,
    path::{Path, PathBuf},
    sync::atomic::{AtomicU64, Ordering},
};

use api::{Access, Lock, NativeWorld, World};
use chrono::{DateTime, Utc};
use sha2::{Digest as _, Sha256};

/// A world for tests; its keys are no secret.
#[derive(Debug)]
pub struct FixedWorld {
    seed: String,
    drawn: AtomicU64,
}

impl FixedWorld {
    /// The time at which its clock stands (RFC 3339): after the last visit of the scenario.
    pub const NOW: &str = "2026-11-24T13:02:00+00:00";

    /// A world of its own randomness for each seed.
    pub fn seeded(seed: &str) -> Self {
        Self { seed: seed.to_owned(), drawn: AtomicU64::new(0) }
    }
}

impl Default for FixedWorld {
    fn default() -> Self {
        Self::seeded("")
    }
}

impl World for FixedWorld {
    fn now(&self) -> DateTime<Utc> {
        Self::NOW.parse().expect("a time as RFC 3339 writes it")
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        for piece in bytes.chunks_mut(32) {
            let block = Sha256::digest(format!("{} {}", self.seed, self.drawn.fetch_add(1, Ordering::Relaxed)));
            piece.copy_from_slice(&block[..piece.len()]);
        }
        Ok(())
    }

    fn read(&self, file: &Path, most: u64) -> io::Result<Vec<u8>> {
        NativeWorld.read(file, most)
    }

    fn list_files(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        NativeWorld.list_files(folder)
    }

    fn exists(&self, path: &Path) -> io::Result<bool> {
        NativeWorld.exists(path)
    }

    fn is_empty(&self, folder: &Path) -> io::Result<bool> {
        NativeWorld.is_empty(folder)
    }

    fn create_folder(&self, folder: &Path) -> io::Result<()> {
        NativeWorld.create_folder(folder)
    }

    fn write_new(&self, file: &Path, bytes: &[u8], access: Access) -> io::Result<()> {
        NativeWorld.write_new(file, bytes, access)
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        NativeWorld.rename(from, to)
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        NativeWorld.rename_new(from, to)
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        NativeWorld.sync_folder(folder)
    }

    fn remove_file(&self, file: &Path) -> io::Result<()> {
        NativeWorld.remove_file(file)
    }

    fn remove_folder(&self, folder: &Path) {
        NativeWorld.remove_folder(folder);
    }

    fn lock(&self, file: &Path) -> io::Result<Lock> {
        NativeWorld.lock(file)
    }
}
