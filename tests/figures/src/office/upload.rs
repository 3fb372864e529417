//! Photographs as a device sends them: piece by piece, each answered, then the whole.

use std::time::Instant;

use anyhow::{Result, bail};
use model::{Carried, Change, Entry, EntryId, Salt, Sha256};
use serde_json::{Value, json};
use sync::{Answer, Ask, Finish, PIECE_BYTES, content_digest};

use super::{
    BARE_UPLOAD, UPLOAD,
    bare::Bare,
    link::Link,
    served::{Served, device},
};
use crate::{place::Place, table::Table};

/// Photographs of a round, each as large as a phone's.
const PHOTOGRAPHS: usize = 20;
const BYTES: usize = 5_000_000;

/// A device that sends photographs, and how far it has written.
pub struct Photographs {
    link: Link,
    nth: usize,
    written: u64,
}

/// What was sent, and in how many seconds.
pub struct Sent {
    pub seconds: f64,
    pub bytes: Vec<Vec<u8>>,
}

/// Such a device, the bare program, and the office.
pub struct Upload {
    photographs: Photographs,
    bare: Bare,
    _served: Served,
    _folder: tempfile::TempDir,
}

struct Photograph {
    bytes: Vec<u8>,
    sha256: Sha256,
    digests: Vec<String>,
}

pub fn prepare(place: &Place) -> Result<Upload> {
    let folder = tempfile::tempdir_in(&place.scratch)?;
    let served = Served::start(place, folder.path(), 1)?;
    let photographs = Photographs::open(&served.address, 0)?;
    let bare = Bare::start(&folder.path().join("bare"))?;
    Ok(Upload { photographs, bare, _served: served, _folder: folder })
}

impl Photographs {
    /// The device of this number, at this office.
    pub fn open(address: &str, nth: usize) -> Result<Self> {
        Ok(Self { link: Link::open(address, &device(nth))?, nth, written: 0 })
    }

    /// Sends so many new ones.
    pub fn send(&mut self, count: usize) -> Result<Sent> {
        let photographs: Vec<Photograph> = (0..count as u64).map(|nth| draw(self.written + nth)).collect();
        let entries: Vec<Carried> =
            (self.written + 1..).zip(&photographs).map(|(seq, one)| name(self.nth, seq, one)).collect();
        self.written += count as u64;
        let ask = Ask { own: self.written, entries, ..Ask::default() };
        let answer: Answer = serde_json::from_slice(&self.link.ask("POST", "/v1/sync", &serde_json::to_vec(&ask)?)?)?;
        if answer.wants.len() != count {
            bail!("the office wants {} of {count} photographs", answer.wants.len());
        }
        let begun = Instant::now();
        for one in &photographs {
            for ((nth, piece), digest) in one.bytes.chunks(PIECE_BYTES as usize).enumerate().zip(&one.digests) {
                self.link.ask_with("PUT", &format!("/v1/blobs/{}/{nth}", one.sha256), piece, digest)?;
            }
            let finish = serde_json::to_vec(&Finish { length: BYTES as u64 })?;
            self.link.ask("POST", &format!("/v1/blobs/{}", one.sha256), &finish)?;
        }
        let seconds = begun.elapsed().as_secs_f64();
        Ok(Sent { seconds, bytes: photographs.into_iter().map(|one| one.bytes).collect() })
    }
}

impl Upload {
    pub fn measure(&mut self, table: &mut Table) -> Result<()> {
        let sent = self.photographs.send(PHOTOGRAPHS)?;
        table.add(UPLOAD, sent.seconds);
        let digests: Vec<Sha256> = sent.bytes.iter().map(|bytes| Sha256::of(bytes)).collect();
        let begun = Instant::now();
        for (bytes, sha256) in sent.bytes.iter().zip(&digests) {
            self.bare.send(bytes, sha256.as_bytes())?;
        }
        table.add(BARE_UPLOAD, begun.elapsed().as_secs_f64());
        Ok(())
    }
}

/// Bytes that nothing can make smaller, other ones for each number.
fn draw(number: u64) -> Photograph {
    let mut state = number.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    let bytes: Vec<u8> = std::iter::repeat_with(|| {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state.to_le_bytes()
    })
    .flatten()
    .take(BYTES)
    .collect();
    let digests = bytes.chunks(PIECE_BYTES as usize).map(content_digest).collect();
    Photograph { sha256: Sha256::of(&bytes), digests, bytes }
}

fn name(nth: usize, seq: u64, photograph: &Photograph) -> Carried {
    entry(nth, seq, &format!("photographs.photo-{seq:04}"), json!({ "sha256": photograph.sha256 }))
}

/// An entry of a device.
pub fn entry(nth: usize, seq: u64, path: &str, value: Value) -> Carried {
    Carried::whole(Entry {
        id: EntryId { device: device(nth).parse().expect("a name"), seq },
        inspection: "inspection-1".parse().expect("a name"),
        path: path.to_owned(),
        value,
        replaces: Vec::new(),
        change: Change::Written,
        written_at: "2026-11-24T10:00:00+01:00".parse().expect("a time"),
        author: "Ines Okafor-Lind".to_owned().try_into().expect("a name"),
        salt: Salt::new([3; 16]),
    })
}
