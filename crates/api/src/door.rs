//! The door for pages: requests as JSON with bytes beside them, answered from the device's notebook.
//!
//! Both shells with a screen, the desktop's window and the browser's worker, call [`Door::call`] and nothing else.

mod contract;
mod draft;
mod error;
mod faces;
mod glyph;
mod keys;
mod office;
mod outbound;
mod recordings;
mod room;
mod seal;
mod shelf;
mod statement;
mod visits;

pub use contract::*;
pub use office::OfficeBook;
pub use room::Source;
#[cfg(feature = "native")]
pub use shelf::InFolder;
pub use shelf::{InMemory, Shelf, file_name, find_numbers};

use std::sync::{Mutex, MutexGuard, PoisonError};

use chrono::SubsecRound as _;
use model::{DeviceId, Line, Salt, Timestamp};
use notebook::{LookedThrough, Notebook, NotebookError, Stamp};
use serde::Serialize;
use serde_json::Value;

use crate::{Fault, progress::Progress};
use error::DoorError;
use room::Room;
use shelf::Opened;

/// Entries that are looked through in one go: some hundredths of a second on a phone.
const SLICE: u32 = 300;

/// What a page is answered: JSON, and bytes where it asked for some.
#[derive(Debug, Clone, PartialEq)]
pub struct Reply {
    /// The answer, in the form that the request's documentation names; null where it is bytes alone.
    pub answer: Value,
    /// The bytes that were asked for.
    pub bytes: Option<Vec<u8>>,
}

/// The door to one notebook.
pub struct Door {
    book: Mutex<Notebook>,
    shelf: Box<dyn Shelf>,
    /// The notebook's number on the shelf, and what became of a damaged one when it was opened.
    opened: Mutex<(u32, Option<MendedView>)>,
    source: Box<dyn Source>,
    courier: Mutex<sync::Courier>,
}

impl Door {
    /// Opens the notebook in use on this shelf. What can be read of a damaged one is brought over into a new one.
    ///
    /// # Errors
    /// A storage that refuses; a file that is no notebook, or one of a later form.
    pub fn open(shelf: Box<dyn Shelf>, source: Box<dyn Source>) -> Result<Self, Fault> {
        let Opened { book, number, mended } = shelf::open(shelf.as_ref(), &name_device(source.as_ref())?)?;
        Ok(Self {
            book: Mutex::new(book),
            shelf,
            opened: Mutex::new((number, mended)),
            source,
            courier: Mutex::default(),
        })
    }

    /// Answers a request.
    ///
    /// # Errors
    /// What went wrong, with what to do about it. Nothing was changed then.
    pub fn call(&self, request: &str, bytes: &[u8], progress: Progress<'_>) -> Result<Reply, Fault> {
        let request: Request = serde_json::from_str(request).map_err(DoorError::Request)?;
        Ok(self.answer(request, bytes, progress)?)
    }

    fn answer(&self, request: Request, bytes: &[u8], progress: Progress<'_>) -> Result<Reply, DoorError> {
        match request {
            Request::Notebook {} => self.describe(),
            Request::LookThrough { after } => self.look_through(after.as_deref()),
            Request::Mend {} => self.mend(),
            Request::List { search } => json(&draft::list(&self.book(), &search)?),
            Request::Begin { vin, registration, at } => {
                json(&draft::begin(self, vin.as_deref(), registration.as_deref(), at)?)
            }
            Request::Read { inspection } => json(&draft::view(&self.book(), &inspection)?),
            Request::Write { inspection, path, value } => {
                self.change(&inspection, |book, id, stamp| book.write(id, &path, value, stamp))
            }
            Request::Undo { inspection } => self.change(&inspection, Notebook::take_back),
            Request::Redo { inspection } => self.change(&inspection, Notebook::make_again),
            Request::Settle { inspection, path, entry } => {
                let entry = entry.parse().map_err(NotebookError::from)?;
                self.change(&inspection, |book, id, stamp| book.settle(id, &path, &entry, stamp))
            }
            Request::Photograph { inspection, subject, taken, taken_at } => {
                json(&draft::photograph(self, &inspection, (subject, taken, taken_at), bytes)?)
            }
            Request::BeginRecording { inspection, kind, rate_hz, at } => {
                json(&recordings::begin(self, &inspection, kind, rate_hz, at)?)
            }
            Request::AddToRecording { recording, nth } => {
                self.book().add_piece(recording, nth, bytes)?;
                Ok(Reply { answer: Value::Null, bytes: None })
            }
            Request::EndRecording { inspection, recording } => json(&recordings::end(self, &inspection, recording)?),
            Request::DropRecording { inspection, recording } => {
                self.book().drop_recording(recording)?;
                json(&recordings::running(&self.book(), &inspection)?)
            }
            Request::RunningRecordings { inspection } => json(&recordings::running(&self.book(), &inspection)?),
            Request::TakeInRecording { inspection, name } => {
                json(&recordings::take_in(self, &inspection, &name, bytes)?)
            }
            Request::MeasureDrive { inspection, recordings } => {
                json(&recordings::measure(self, &inspection, &recordings)?)
            }
            Request::DriveDrawing { inspection, drive } => {
                let (told, drawing) = recordings::show(&self.book(), &inspection, &drive)?;
                Ok(Reply { bytes: Some(drawing), ..json(&told)? })
            }
            Request::MeasureFace { inspection, photograph, mark } => {
                json(&faces::measure(self, &inspection, &photograph, mark)?)
            }
            Request::FaceWords { inspection, photograph } => {
                json(&faces::tell(&self.book(), &inspection, &photograph)?)
            }
            Request::References {} => json(&faces::references(&self.book())?),
            Request::KeepReference { inspection, photograph, stage } => {
                json(&faces::keep_reference(self, &inspection, &photograph, stage)?)
            }
            Request::DropReference { photograph } => json(&faces::drop_reference(&self.book(), &photograph)?),
            Request::StatePlace { inspection, photograph, state } => {
                json(&draft::state_place(self, &inspection, &photograph, state)?)
            }
            Request::Look {} => json(&draft::look(bytes)?),
            Request::Picture { sha256, small } => {
                let book = self.book();
                Ok(only(if small { book.small(&sha256)? } else { book.original(&sha256)? }))
            }
            Request::Reckon { inspection } => json(&draft::reckon(&self.book(), &inspection)?),
            Request::Visits { inspection } => json(&visits::list(&self.book(), &inspection)?),
            Request::Seal { inspection, passphrase } => json(&seal::seal(self, &inspection, passphrase, progress)?),
            Request::State { content, roots, although_unsound, passphrase } => json(&statement::state(
                self,
                &content,
                &statement::Ground { report: bytes, roots, although_unsound },
                passphrase,
            )?),
            Request::Office {} => json(&office::describe(self)?),
            Request::AskToJoin { code, address } => office::ask_to_join(self, &code, address.as_deref()),
            Request::Join { status } => json(&office::join(self, status, bytes)?),
            Request::LeaveOffice {} => json(&office::leave(self)?),
            Request::FetchColleagues { all } => json(&office::fetch_colleagues(self, all)?),
            Request::Left { inspection } => json(&office::left(self, &inspection)?),
            Request::Fetch { inspection } => json(&office::fetch(self, &inspection)?),
            Request::OfficeNext { begin } => office::next(self, begin),
            Request::OfficeHeard { status, retry_after } => {
                json(&office::heard(self, status.map(|status| (status, retry_after)), bytes)?)
            }
            Request::OfficeAsk { errand } => office::ask(self, &errand),
            Request::OfficeAnswered { errand, status } => json(&office::answered(self, &errand, status, bytes)?),
            Request::AskCertificate { name, role, passphrase } => {
                office::ask_certificate(self, &name, &role, passphrase)
            }
            Request::Withdraw { identity, superseded_by, reason, passphrase } => {
                json(&office::reports::withdraw(self, (&identity, superseded_by.as_deref()), &reason, passphrase)?)
            }
            Request::Reports {} => json(&seal::list(&self.book())?),
            Request::Report { identity } => Ok(only(self.book().report(&identity)?)),
            Request::Verify { roots } => json(&seal::verify(self, bytes, roots)?),
            Request::Keys {} => json(&keys::view(self)?),
            Request::MakeKeys { firm, inspector, passphrase } => {
                json(&keys::make(self, &firm, &inspector, passphrase)?)
            }
            Request::ChangeKey { passphrase } => json(&keys::change(self, passphrase)?),
            Request::Code { text } => json(&glyph::code(&text)?),
            Request::BackUpKeys {} => Ok(only(outbound::keys(&self.book())?)),
            Request::Export {} => Ok(only(outbound::everything(&self.book())?)),
            Request::Import {} => json(&outbound::take_in(&mut self.book(), bytes)?),
            Request::Erase { inspection } => {
                let at = self.now();
                self.book().erase(&draft::name(&inspection)?, &at)?;
                json(&draft::list(&self.book(), "")?)
            }
            Request::Settings {} => json(&draft::settings(&self.book())?),
            Request::Set { settings } => {
                self.book().keep("settings", &serde_json::to_string(&settings).map_err(DoorError::Answer)?)?;
                json(&settings)
            }
            Request::Letter { letter } => json(&draft::letter(self, &letter)?),
            Request::Reply { letter, reply } => json(&draft::reply(self, &letter, &reply)?),
        }
    }

    /// The damaged notebook is let go of only when the new one has all that could be read.
    fn mend(&self) -> Result<Reply, DoorError> {
        let mut opened = self.opened.lock().unwrap_or_else(PoisonError::into_inner);
        let mut book = self.book();
        let new = shelf::bring_over(self.shelf.as_ref(), opened.0, &name_device(self.source.as_ref())?)?;
        *book = new.book;
        *opened = (new.number, None);
        json(&new.mended)
    }

    fn describe(&self) -> Result<Reply, DoorError> {
        let mended = self.opened.lock().unwrap_or_else(PoisonError::into_inner).1.clone();
        let book = self.book();
        let (entries, photographs) = book.size()?;
        json(&NotebookView { device: book.device().to_string(), entries, photographs, mended })
    }

    fn look_through(&self, after: Option<&str>) -> Result<Reply, DoorError> {
        let after = after.map(str::parse).transpose().map_err(NotebookError::from)?;
        let LookedThrough { damage, next } = self.book().look_through(after.as_ref(), SLICE)?;
        json(&LookedView {
            problems: damage.iter().map(ToString::to_string).collect(),
            next: next.map(|id| id.to_string()),
        })
    }

    fn change(
        &self,
        inspection: &str,
        change: impl FnOnce(&mut Notebook, &model::InspectionId, Stamp) -> Result<(), NotebookError>,
    ) -> Result<Reply, DoorError> {
        let id = draft::name(inspection)?;
        let stamp = self.stamp()?;
        change(&mut self.book(), &id, stamp)?;
        json(&draft::view(&self.book(), inspection)?)
    }

    /// The notebook; whoever else has it is done within one statement.
    fn book(&self) -> MutexGuard<'_, Notebook> {
        // A panic in between left no half change: each change is a transaction.
        self.book.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn room(&self) -> Room<'_> {
        Room::new(&self.book, self.source.as_ref())
    }

    fn now(&self) -> Timestamp {
        self.source.now().trunc_subsecs(0).fixed_offset()
    }

    fn stamp(&self) -> Result<Stamp, DoorError> {
        let mut salt = [0; 16];
        self.source.fill_random(&mut salt).map_err(DoorError::Randomness)?;
        let author = keys::inspector(self)?.unwrap_or_else(|| "this device".to_owned());
        let author = Line::try_from(author).map_err(|error| DoorError::Unfit(error.to_string()))?;
        // The clock's milliseconds keep the order of what is typed fast.
        Ok(Stamp { at: self.source.now().trunc_subsecs(3).fixed_offset(), author, salt: Salt::new(salt) })
    }
}

/// A name that no other device has.
fn name_device(source: &dyn Source) -> Result<DeviceId, DoorError> {
    let mut bytes = [0; 8];
    source.fill_random(&mut bytes).map_err(DoorError::Randomness)?;
    format!("device-{:016x}", u64::from_be_bytes(bytes))
        .parse()
        .map_err(|error: model::IdError| DoorError::Unfit(error.to_string()))
}

fn json(answer: &impl Serialize) -> Result<Reply, DoorError> {
    Ok(Reply { answer: serde_json::to_value(answer).map_err(DoorError::Answer)?, bytes: None })
}

const fn only(bytes: Vec<u8>) -> Reply {
    Reply { answer: Value::Null, bytes: Some(bytes) }
}

/// The JSON Schema of what pages and core say to each other, from which the pages' types are generated.
pub fn contract_schema() -> Value {
    let mut generator = schemars::generate::SchemaSettings::draft2020_12().into_generator();
    generator.subschema_for::<Request>();
    generator.subschema_for::<Answers>();
    serde_json::json!({ "$defs": generator.take_definitions(true) })
}

#[cfg(test)]
mod tests;
