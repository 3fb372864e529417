//! What others have and this device lacks.

use model::{InspectionId, Sha256};

use super::{Book, Courier, Errand, Method, Next, Out, Took};
use crate::message::{Awaited, Fetches, MOST_BLOB_BYTES, PIECE_BYTES, State};

impl State {
    /// Whether this is fetched as things stand. Reports are, whatever else is.
    pub fn fetches(&self, one: &Awaited) -> bool {
        match (&self.fetches, &one.inspection) {
            (Fetches::All, _) | (_, None) => true,
            (Fetches::Asked(asked), Some(inspection)) => asked.contains(inspection),
        }
    }

    /// Fetches from now on what belongs to this inspection.
    pub fn fetch(&mut self, inspection: &InspectionId) {
        if let Fetches::Asked(asked) = &mut self.fetches {
            asked.insert(inspection.clone());
        }
    }
}

/// So often a file is asked for where the office fails at it.
const MOST_MISSES: u32 = 3;
/// So often where it gives something else.
const MOST_SPOILT: u32 = 2;

impl Courier {
    fn is_given_up(&self, sha256: &Sha256) -> bool {
        self.not_now.contains(sha256) || self.damaged.contains(sha256)
    }

    /// Notes that the office failed at a file, if it was one: after some times the others go before.
    pub(super) fn miss_again(&mut self, out: &Out) {
        let Out::Fetch { one } = out else { return };
        if self.miss(one.sha256) >= MOST_MISSES {
            self.not_now.insert(one.sha256);
            self.fetched.remove(&one.sha256);
        }
    }

    fn miss(&mut self, sha256: Sha256) -> u32 {
        let missed = self.missed.entry(sha256).or_default();
        *missed += 1;
        *missed
    }

    pub(super) fn take_piece<B: Book>(&mut self, book: &mut B, one: &Awaited, piece: &[u8]) -> Result<Took, B::Fault> {
        let bytes = self.fetched.entry(one.sha256).or_default();
        bytes.extend(piece);
        if piece.len() as u64 == PIECE_BYTES && (bytes.len() as u64) < MOST_BLOB_BYTES {
            return Ok(Took::It);
        }
        let bytes = self.fetched.remove(&one.sha256).unwrap_or_default();
        if Sha256::of(&bytes) != one.sha256 {
            // Once it may be the way. Then it is what the office has.
            if self.miss(one.sha256) >= MOST_SPOILT {
                self.damaged.insert(one.sha256);
                return Ok(Took::It);
            }
            return Ok(Took::Spoilt);
        }
        let mut state = book.state()?;
        // More than one inspection may show it.
        for one in state.awaited.iter().filter(|other| other.sha256 == one.sha256) {
            book.store(one, &bytes)?;
        }
        state.awaited.retain(|other| other.sha256 != one.sha256);
        book.keep_state(&state)?;
        Ok(Took::It)
    }

    /// The next request for something that this device lacks.
    pub(super) fn next_fetch<B: Book>(&mut self, book: &mut B, mut state: State) -> Result<Option<Next>, B::Fault> {
        // What came some other way, as with a saved notebook that was taken in, is not fetched.
        let mut settled = Vec::new();
        let mut next = None;
        for one in state.awaited.iter().filter(|one| !self.is_given_up(&one.sha256) && state.fetches(one)) {
            if !book.is_settled(one)? {
                next = Some(one.clone());
                break;
            }
            settled.push(one.clone());
        }
        if !settled.is_empty() {
            state.awaited.retain(|one| !settled.contains(one));
            book.keep_state(&state)?;
        }
        let Some(one) = next else { return Ok(None) };
        let nth = self.fetched.get(&one.sha256).map_or(0, Vec::len) as u64 / PIECE_BYTES;
        let errand = Errand {
            method: Method::Get,
            path: format!("v1/blobs/{}/{nth}", one.sha256),
            content_digest: None,
            body: Vec::new(),
        };
        Ok(Some(self.ask(Out::Fetch { one }, errand)))
    }
}
