//! What others have and this device lacks.

use model::InspectionId;

use super::{Book, Courier, Errand, Method, Next, Out};
use crate::message::{Awaited, Fetches, PIECE_BYTES, State};

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

impl Courier {
    /// The next request for something that this device lacks.
    pub(super) fn next_fetch<B: Book>(&mut self, book: &mut B, mut state: State) -> Result<Option<Next>, B::Fault> {
        // What came some other way, as with a saved notebook that was taken in, is not fetched.
        let mut settled = Vec::new();
        let mut next = None;
        for one in state.awaited.iter().filter(|one| !self.not_now.contains(&one.sha256) && state.fetches(one)) {
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
