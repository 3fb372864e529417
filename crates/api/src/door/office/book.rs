//! The notebook as the courier needs it.

use std::io::Read as _;

use model::{Carried, DeviceId, Sha256};
use notebook::{FileAccess as _, Notebook, NotebookError, Photo, Standing};
use seal::sealing::{add_token, has_timestamp};
use sync::{Awaited, Book, Issued, Kind, OwnReport, State};

use super::{
    super::{Source, error::DoorError, name_device},
    STATE, TOKEN, reports,
};
use crate::Fault;

/// A notebook, lent to the courier.
pub struct OfficeBook<'a> {
    book: &'a mut Notebook,
    source: &'a dyn Source,
}

impl<'a> OfficeBook<'a> {
    /// Lends the notebook; randomness comes from the source.
    pub fn new(book: &'a mut Notebook, source: &'a dyn Source) -> Self {
        Self { book, source }
    }

    /// The token with which the office lets this device in.
    ///
    /// # Errors
    /// The notebook.
    pub fn token(&self) -> Result<Option<String>, Fault> {
        told(self.book.kept(TOKEN))
    }

    /// Keeps a token.
    ///
    /// # Errors
    /// The notebook.
    pub fn keep_token(&self, token: &str) -> Result<(), Fault> {
        told(self.book.keep(TOKEN, token))
    }
}

fn told<T>(done: Result<T, impl Into<DoorError>>) -> Result<T, Fault> {
    done.map_err(|error| Fault::from(error.into()))
}

impl Book for OfficeBook<'_> {
    type Fault = Fault;

    fn state(&self) -> Result<State, Fault> {
        let Some(text) = told(self.book.kept(STATE))? else { return Ok(State::default()) };
        told(serde_json::from_str(&text).map_err(DoorError::Answer))
    }

    fn keep_state(&mut self, state: &State) -> Result<(), Fault> {
        let text = told(serde_json::to_string(state).map_err(DoorError::Answer))?;
        told(self.book.keep(STATE, &text))
    }

    fn own(&self) -> Result<u64, Fault> {
        told(self.book.own_count())
    }

    fn own_after(&self, after: u64, most_bytes: usize) -> Result<Vec<Carried>, Fault> {
        told(self.book.own_after(after, most_bytes))
    }

    fn take_in(&mut self, entries: &[Carried]) -> Result<(), Fault> {
        told(self.book.take_in_what_fits(entries).map(|_| ()))
    }

    fn blob(&self, sha256: &Sha256) -> Result<Option<Vec<u8>>, Fault> {
        let name = sha256.to_string();
        // A damaged one is not sent; another device may have it whole.
        let gone =
            |error: &NotebookError| matches!(error, NotebookError::Missing { .. } | NotebookError::Unreadable(_));
        match self.book.original(&name) {
            Err(error) if gone(&error) => {}
            other => return told(other.map(Some)),
        }
        let mut bytes = Vec::new();
        match self.book.recording(&name).map(|mut pieces| pieces.read_to_end(&mut bytes)) {
            Ok(Ok(_)) => Ok(Some(bytes)),
            Ok(Err(_)) => Ok(None),
            Err(error) if gone(&error) => Ok(None),
            Err(error) => told(Err(error)),
        }
    }

    fn is_settled(&self, one: &Awaited) -> Result<bool, Fault> {
        let Some(inspection) = &one.inspection else { return Ok(false) };
        told(self.book.is_settled(inspection, &one.sha256))
    }

    fn store(&mut self, one: &Awaited, bytes: &[u8]) -> Result<(), Fault> {
        let stored = match (one.kind, &one.inspection) {
            (Kind::Report, _) | (_, None) => return told(reports::take_in(self.book, self.source.now(), bytes)),
            (Kind::Photograph, Some(inspection)) => {
                let looked = photo::look(bytes).ok();
                let (small, copy) =
                    (looked.as_ref().map(|looked| &looked.small[..]), looked.as_ref().map(|looked| &looked.copy[..]));
                self.book.store_photograph(inspection, Photo { bytes, small, copy }).map(|_| ())
            }
            (Kind::Recording, Some(inspection)) => self.book.draft(inspection).and_then(|draft| {
                let begun = draft.entries().iter().map(|entry| entry.written_at).min().unwrap_or_default();
                self.book.store_recording(inspection, "file", &begun, bytes).map(|_| ())
            }),
        };
        match stored {
            // Erased here meanwhile: it stays away.
            Err(NotebookError::Erased { .. }) => Ok(()),
            other => told(other),
        }
    }

    fn untold_reports(&self) -> Result<Vec<OwnReport>, Fault> {
        let mut reports = Vec::new();
        for identity in told(self.book.untold_reports())? {
            let standing = told(self.book.report_standing(&identity))?;
            let Some((Standing { is_receipted, is_told }, identity)) = standing.zip(identity.parse().ok()) else {
                continue;
            };
            reports.push(OwnReport { identity, is_receipted, is_told });
        }
        Ok(reports)
    }

    fn issued(&self, identity: &Sha256) -> Result<Option<Issued>, Fault> {
        Ok(self.report(identity)?.and_then(|bytes| reports::issued(&bytes)))
    }

    fn report(&self, identity: &Sha256) -> Result<Option<Vec<u8>>, Fault> {
        match self.book.report(&identity.to_string()) {
            Err(NotebookError::Missing { .. }) => Ok(None),
            other => told(other.map(Some)),
        }
    }

    fn add_receipt(&mut self, identity: &Sha256, receipt: &str) -> Result<bool, Fault> {
        let Some(bytes) = self.report(identity)? else { return Ok(false) };
        let Some(receipted) = reports::with_receipt(&bytes, receipt) else { return Ok(false) };
        told(self.book.keep_receipted(&identity.to_string(), &receipted)).map(|()| true)
    }

    fn lacks_timestamp(&self, identity: &Sha256) -> Result<bool, Fault> {
        Ok(self.report(identity)?.is_some_and(|bytes| !has_timestamp(&bytes)))
    }

    fn add_timestamp(&mut self, identity: &Sha256, token: &[u8]) -> Result<bool, Fault> {
        let Some(bytes) = self.report(identity)? else { return Ok(false) };
        let Ok(stamped) = add_token(&bytes, token) else { return Ok(false) };
        told(self.book.keep_stamped(&identity.to_string(), &stamped)).map(|()| true)
    }

    fn keep_told(&mut self, identity: &Sha256) -> Result<bool, Fault> {
        told(self.book.keep_told(&identity.to_string()))
    }

    fn untold_statement(&self) -> Result<Option<(String, String)>, Fault> {
        let Some(path) = told(self.book.files_below(reports::WAITING))?.into_iter().next() else { return Ok(None) };
        let pem = told(self.book.file(&path))?.and_then(|bytes| String::from_utf8(bytes).ok());
        Ok(pem.map(|pem| (path[reports::WAITING.len()..].to_owned(), pem)))
    }

    fn keep_stated(&mut self, name: &str) -> Result<(), Fault> {
        let (from, to) = (format!("{}{name}", reports::WAITING), format!("{}{name}", reports::STATED));
        told(self.book.move_files(&from, &to, true).map(|_| ()))
    }

    fn forget_told(&mut self) -> Result<(), Fault> {
        told(reports::forget_told(self.book))
    }

    fn draw_name(&mut self) -> Result<(DeviceId, String), Fault> {
        let mut token = [0; 32];
        told(self.source.fill_random(&mut token).map_err(DoorError::Randomness))?;
        Ok((told(name_device(self.source))?, Sha256::new(token).to_string()))
    }

    fn go_on_as(&mut self, name: &DeviceId, token: &str, from: u64) -> Result<(), Fault> {
        told(self.book.go_on_as(name, from, &[(TOKEN, token)]))
    }
}
