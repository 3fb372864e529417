//! Photographs and recordings as objects.
//!
//! A piece is an object of its own, whose name says which bytes it has: `pieces/{firm}/{file}/{device}/{nth}-{digest}`. So a
//! piece that comes late changes none that was put together, and a file that is whole is no more than the list of its pieces,
//! `whole/{firm}/{file}`: what came is written once and not moved, by whichever process it came through.

use std::{
    collections::{BTreeMap, BTreeSet, HashMap},
    sync::{Arc, Mutex, PoisonError},
};

use bytes::Bytes;
use chrono::{DateTime, Utc};
use model::{DeviceId, Sha256};
use serde::{Deserialize, Serialize};
use sha2::Digest as _;
use sync::{PIECE_BYTES, pieces};

use super::{Blobs, Digested, FirmId, Joined, StoreError, objects::Objects, running::Runs};

/// The list of a file's pieces.
#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Whole {
    length: u64,
    /// The name of each, in its order.
    pieces: Vec<String>,
}

impl Whole {
    /// Whether it was put together of what came there.
    fn is_of(&self, coming: &str) -> bool {
        self.pieces.iter().any(|name| name.rsplit_once('/').is_some_and(|(place, _)| place == coming))
    }
}

/// So many lists are remembered: whoever reads a file reads it piece by piece.
const MOST_KNOWN: usize = 1024;

/// A place of pieces and one of lists.
#[derive(Debug)]
pub struct ObjectBlobs {
    pieces: Objects,
    whole: Objects,
    running: Runs<Piece>,
    known: Mutex<HashMap<String, Arc<Whole>>>,
}

impl ObjectBlobs {
    /// The files at this place.
    pub fn open(objects: &Objects) -> Self {
        Self {
            pieces: objects.below("pieces"),
            whole: objects.below("whole"),
            running: Runs::default(),
            known: Mutex::default(),
        }
    }

    fn find_whole(&self, firm: &FirmId, sha256: &Sha256) -> Result<Option<Arc<Whole>>, StoreError> {
        let name = format!("{firm}/{sha256}");
        let known = || self.known.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(whole) = known().get(&name) {
            return Ok(Some(Arc::clone(whole)));
        }
        let Some(bytes) = self.whole.read(&name)? else { return Ok(None) };
        let whole: Whole = serde_json::from_slice(&bytes)
            .map_err(|error| StoreError::Failed(format!("the list of {sha256} is not as it was written: {error}")))?;
        let whole = Arc::new(whole);
        let mut all = known();
        if all.len() >= MOST_KNOWN {
            all.clear();
        }
        all.insert(name, Arc::clone(&whole));
        Ok(Some(whole))
    }

    /// The pieces of a device that are there, the one that came last where there are several of a number.
    fn list_pieces(&self, coming: &str) -> Result<BTreeMap<u64, Piece>, StoreError> {
        let mut found: Vec<_> = self.pieces.list(coming)?;
        found.sort_by_key(|(_, at)| *at);
        let named = found.iter().filter_map(|(name, _)| Some((name, Piece::parse(name)?)));
        Ok(named.map(|(_, piece)| (piece.nth, piece)).collect())
    }

    /// Leaves it to the list that is there.
    fn leave_to(&self, firm: &FirmId, sha256: &Sha256, coming: &str) -> Result<Joined, StoreError> {
        // Another device was faster with the same bytes; if it was this one, they are what is whole.
        if !self.find_whole(firm, sha256)?.is_some_and(|whole| whole.is_of(coming)) {
            self.throw_away(coming)?;
        }
        Ok(Joined::Whole)
    }

    fn throw_away(&self, coming: &str) -> Result<(), StoreError> {
        self.running.forget(coming);
        let found = self.pieces.list(coming)?;
        let names: Vec<String> = found.into_iter().map(|(name, _)| format!("{coming}/{name}")).collect();
        self.pieces.take_away(&names)
    }

    /// The pieces of so many bytes in their order, and their digest together, if they came in order and through this process.
    fn find_run(&self, coming: &str, length: u64) -> Result<Option<(Sha256, Vec<Piece>)>, StoreError> {
        let run = self.running.finish(coming, pieces(length))?;
        Ok(run.filter(|(_, pieces)| pieces.iter().all(|piece| piece.fits(length))))
    }

    /// The same of what the store has. None where one is missing or has another length than it must have.
    fn put_together(&self, coming: &str, length: u64) -> Result<Option<(Sha256, Vec<Piece>)>, StoreError> {
        let mut found = self.list_pieces(coming)?;
        found.retain(|&nth, _| nth < pieces(length));
        let bad =
            found.values().filter(|piece| !piece.fits(length)).map(|piece| piece.place(coming)).collect::<Vec<_>>();
        if !bad.is_empty() || found.len() as u64 != pieces(length) {
            self.pieces.take_away(&bad)?;
            return Ok(None);
        }
        let mut digest = sha2::Sha256::new();
        for piece in found.values() {
            digest.update(self.read_piece(&piece.place(coming))?);
        }
        Ok(Some((Sha256::new(digest.finalize().into()), found.into_values().collect())))
    }

    /// A piece, which has the bytes that its name says.
    fn read_piece(&self, name: &str) -> Result<Bytes, StoreError> {
        let bytes = self.pieces.read(name)?;
        let bytes = bytes.ok_or_else(|| StoreError::Failed(format!("the piece {name} is gone from the store")))?;
        let told = name.rsplit('/').next().and_then(Piece::parse).map(|piece| piece.digest);
        if told == Some(Sha256::of(&bytes)) {
            Ok(bytes)
        } else {
            Err(StoreError::Failed(format!("the store gave other bytes for the piece {name}")))
        }
    }
}

/// What the name of a piece says.
#[derive(Debug, Clone, Copy)]
struct Piece {
    nth: u64,
    length: u64,
    digest: Sha256,
}

impl Piece {
    fn name(&self) -> String {
        format!("{:08}-{}-{}", self.nth, self.length, self.digest)
    }

    fn place(&self, coming: &str) -> String {
        format!("{coming}/{}", self.name())
    }

    /// Whether it is as long as a piece of its number in a file of so many bytes.
    fn fits(&self, length: u64) -> bool {
        self.length == (length - self.nth * PIECE_BYTES).min(PIECE_BYTES)
    }

    fn parse(name: &str) -> Option<Self> {
        let mut parts = name.split('-');
        let (nth, length, digest) = (parts.next()?, parts.next()?, parts.next()?);
        let piece = Self { nth: nth.parse().ok()?, length: length.parse().ok()?, digest: digest.parse().ok()? };
        parts.next().is_none().then_some(piece)
    }
}

fn coming(firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> String {
    format!("{firm}/{sha256}/{device}")
}

impl Blobs for ObjectBlobs {
    fn stage(
        &self,
        firm: &FirmId,
        device: &DeviceId,
        sha256: &Sha256,
        nth: u64,
        piece: &Digested,
    ) -> Result<(), StoreError> {
        let coming = coming(firm, device, sha256);
        let bytes = &piece.bytes;
        let piece = Piece { nth, length: bytes.len() as u64, digest: piece.sha256 };
        let put = self.pieces.clone().putting(piece.place(&coming), bytes.clone());
        self.running.keep(&coming, nth, piece, bytes, put)
    }

    fn staged(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256) -> Result<Vec<u64>, StoreError> {
        let coming = coming(firm, device, sha256);
        if self.find_whole(firm, sha256)?.is_some_and(|whole| whole.is_of(&coming)) {
            return Ok(Vec::new());
        }
        self.running.wait(&coming)?;
        Ok(self.list_pieces(&coming)?.into_keys().collect())
    }

    fn join(&self, firm: &FirmId, device: &DeviceId, sha256: &Sha256, length: u64) -> Result<Joined, StoreError> {
        let coming = coming(firm, device, sha256);
        let found = match self.find_run(&coming, length)? {
            Some(run) => Some(run),
            None if self.find_whole(firm, sha256)?.is_some() => return self.leave_to(firm, sha256, &coming),
            // Some of them came through another process, or in another order: the store knows.
            None => self.put_together(&coming, length)?,
        };
        let Some((digest, found)) = found else { return Ok(Joined::Missing) };
        if digest != *sha256 {
            self.throw_away(&coming)?;
            return Ok(Joined::OtherBytes);
        }
        let names = found.iter().map(|piece| piece.place(&coming)).collect();
        let list = serde_json::to_vec(&Whole { length, pieces: names });
        let list = list.map_err(|error| StoreError::Failed(error.to_string()))?;
        if self.whole.put_new(&format!("{firm}/{sha256}"), list.into())? {
            Ok(Joined::Whole)
        } else {
            self.leave_to(firm, sha256, &coming)
        }
    }

    fn piece(&self, firm: &FirmId, sha256: &Sha256, nth: u64) -> Result<Option<Vec<u8>>, StoreError> {
        let Some(whole) = self.find_whole(firm, sha256)? else { return Ok(None) };
        let name = usize::try_from(nth).ok().and_then(|nth| whole.pieces.get(nth));
        name.map_or_else(|| Ok(Some(Vec::new())), |name| Ok(Some(self.read_piece(name)?.into())))
    }

    fn sweep(&self, unmoved_since: DateTime<Utc>) -> Result<u64, StoreError> {
        let mut files: BTreeMap<String, (DateTime<Utc>, Vec<String>)> = BTreeMap::new();
        for (name, at) in self.pieces.list("")? {
            let Some((file, _)) = name.rsplit_once('/') else { continue };
            let (moved, names) = files.entry(file.to_owned()).or_insert((at, Vec::new()));
            *moved = at.max(*moved);
            names.push(name);
        }
        let mut count = 0;
        for (file, (moved, names)) in files {
            if moved >= unmoved_since {
                continue;
            }
            let whole = file.rsplit_once('/').map(|(whole, _)| self.whole.read(whole)).transpose()?.flatten();
            let whole = whole.map(|bytes| serde_json::from_slice::<Whole>(&bytes)).transpose();
            let whole = whole.map_err(|error| StoreError::Failed(format!("the list of {file}: {error}")))?;
            let kept: BTreeSet<String> = whole.into_iter().flat_map(|whole| whole.pieces).collect();
            let loose: Vec<String> = names.into_iter().filter(|name| !kept.contains(name)).collect();
            if !loose.is_empty() {
                count += 1;
                self.pieces.take_away(&loose)?;
            }
        }
        Ok(count)
    }
}
