//! The row of records that a device has frozen: numbered without gaps, each naming the one before.
//!
//! A report is put in its place in two phases, so that a crash at any moment neither forks the row (two records with
//! one number) nor loses a record that may have left the machine:
//!
//! 1. The sealed report is written whole beside its place, under a hidden name. Nothing refers to it yet; after a
//!    crash here the number is still free and the hidden file is overwritten by the next sealing.
//! 2. The state notes the record as *pending*: number, digest, where the report lies and where it goes. **From here on
//!    the number belongs to this record.**
//! 3. The report is moved to its place in one step.
//! 4. The state takes the record into the row and forgets that it was pending.
//!
//! Whoever opens the row next, finding something pending, finishes: a report that is at its place, or still beside it,
//! is put right; one that is at neither was taken away by somebody after phase 2, and its number stays taken. Where
//! phase 3 fails and the report is certainly not in its place, the note is taken back and the number is free again.
//! Where that is not certain, or cannot be written down, nothing is taken back.

mod error;
mod state;

pub use error::DeviceError;

use std::path::{Path, PathBuf};

use model::{Device, DeviceId, Sha256};
use seal::{digest::Sha256Digest, file::SealedFile};
use serde::Serialize;
use state::{Pending, State};

use crate::{
    whole_file::{Existing, folder_of, name_part, remove_if_there, write_whole_locked},
    world::{Access, Lock, World, WorldError},
};

/// More than the seal's reader takes.
const MOST_REPORT: u64 = 513 << 20;

/// The row of one device, held for this process alone.
pub(crate) struct Row<'w> {
    world: &'w dyn World,
    file: PathBuf,
    state: State,
    _lock: Lock,
}

/// A sealed report on its way to its place.
pub(crate) struct Outgoing<'a> {
    /// Digest of the record inside.
    pub record: Sha256,
    /// The sealed file.
    pub bytes: &'a [u8],
    /// Its place.
    pub place: &'a Path,
    /// What to do with a file that is there.
    pub existing: Existing,
}

/// What became of a report that an earlier run had begun to put in its place.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "outcome", rename_all = "snake_case")]
pub enum Finished {
    /// It is at its place now.
    InPlace {
        /// The record's number.
        sequence: u64,
        /// The place.
        place: String,
    },
    /// Its place is taken by another file; it lies beside.
    Beside {
        /// The record's number.
        sequence: u64,
        /// Where it was to go.
        place: String,
        /// Where it lies.
        lies_at: String,
    },
    /// It was taken away by somebody.
    Gone {
        /// The record's number.
        sequence: u64,
        /// Where it was to go.
        place: String,
    },
}

impl<'w> Row<'w> {
    /// Opens the row of a device, a new one where there is none, and finishes what an earlier run had begun.
    pub(crate) fn open(world: &'w dyn World, file: &Path) -> Result<(Self, Option<Finished>), DeviceError> {
        let lock_file = file.with_extension("lock");
        let lock = world.lock(&lock_file).map_err(WorldError::at("locked", &lock_file))?;
        let state = match State::read(world, file)? {
            Some(state) => state,
            None => State::new(new_device(world)?),
        };
        let mut row = Self { world, file: file.to_owned(), state, _lock: lock };
        let finished = match row.state.pending.clone() {
            Some(pending) => Some(row.finish(&pending)?),
            None => None,
        };
        Ok((row, finished))
    }

    /// What the next record says of its place in the row.
    pub(crate) fn next(&self) -> Device {
        let State { id, next, previous, .. } = &self.state;
        Device { id: id.clone(), sequence: *next, previous: *previous }
    }

    /// Puts a report in its place and its record into the row; see the module's four phases.
    pub(crate) fn publish(&mut self, report: &Outgoing<'_>) -> Result<(), DeviceError> {
        let world = self.world;
        let lies_at = name_part(report.place, &format!("{}-{}", self.state.id, self.state.next));
        remove_if_there(world, &lies_at)?;
        let written = world
            .write_new(&lies_at, report.bytes, Access::Shared)
            .and_then(|()| world.sync_folder(folder_of(&lies_at)));
        if let Err(error) = written {
            let _ = world.remove_file(&lies_at);
            return Err(WorldError::at("written", report.place)(error).into());
        }
        let pending = Pending {
            record: report.record,
            identity: read_identity(report.bytes).ok_or(DeviceError::NotAReport)?,
            place: state::spell(report.place),
            lies_at: state::spell(&lies_at),
            replaces: report.existing == Existing::Replace,
        };
        if let Err(error) = self.save(self.state.with_pending(Some(pending.clone()))) {
            // Only if the note is certainly not on the disk may the report go.
            if self.is_on_disk(&self.state) {
                let _ = world.remove_file(&lies_at);
            }
            return Err(error);
        }
        if let Err(cause) = self.put_in_place(&pending) {
            return Err(self.take_back(&pending, cause));
        }
        // If this fails, the row is right all the same: the next to open it finds the report in its place.
        let _ = self.save(self.state.with_pending_taken());
        Ok(())
    }

    fn put_in_place(&self, pending: &Pending) -> Result<(), WorldError> {
        let (from, to) = (Path::new(&pending.lies_at), Path::new(&pending.place));
        let moved = if pending.replaces { self.world.rename(from, to) } else { self.world.rename_new(from, to) };
        if let Err(error) = moved {
            // Said to have failed, and done all the same?
            if self.holds(to, pending) != Ok(true) {
                return Err(WorldError::at("written", to)(error));
            }
        }
        self.world.sync_folder(folder_of(to)).map_err(WorldError::at("written", to))
    }

    fn take_back(&mut self, pending: &Pending, cause: WorldError) -> DeviceError {
        let place = Path::new(&pending.place);
        let is_certainly_away = self.holds(place, pending) == Ok(false);
        if !is_certainly_away {
            return DeviceError::NotCertain { place: pending.place.clone(), cause };
        }
        match self.save(self.state.with_pending(None)) {
            Ok(()) => {
                let _ = self.world.remove_file(Path::new(&pending.lies_at));
                cause.into()
            }
            Err(_) => DeviceError::Waiting { lies_at: pending.lies_at.clone(), cause },
        }
    }

    fn finish(&mut self, pending: &Pending) -> Result<Finished, DeviceError> {
        // The run that noted this may have been killed before the note was safe from a power cut.
        self.sync_state()?;
        let sequence = self.state.next;
        let (place, lies_at) = (pending.place.clone(), pending.lies_at.clone());
        let at = |path: &str| {
            self.holds(Path::new(path), pending).map_err(|kind| WorldError::at("read", Path::new(path))(kind.into()))
        };
        let finished = if at(&place)? {
            self.world
                .sync_folder(folder_of(Path::new(&place)))
                .map_err(WorldError::at("written", Path::new(&place)))?;
            Finished::InPlace { sequence, place }
        } else if at(&lies_at)? {
            match self.put_in_place(pending) {
                Ok(()) => Finished::InPlace { sequence, place },
                Err(error) if will_not_pass(&error) => Finished::Beside { sequence, place, lies_at },
                Err(error) => return Err(error.into()),
            }
        } else {
            Finished::Gone { sequence, place }
        };
        self.save(self.state.with_pending_taken())?;
        Ok(finished)
    }

    /// Whether this very report lies there. A receipt that was added since does not make it another one.
    fn holds(&self, path: &Path, pending: &Pending) -> Result<bool, std::io::ErrorKind> {
        use std::io::ErrorKind;
        match self.world.read(path, MOST_REPORT) {
            Ok(bytes) => Ok(read_identity(&bytes) == Some(pending.identity)),
            Err(error) => match error.kind() {
                ErrorKind::NotFound | ErrorKind::NotADirectory | ErrorKind::IsADirectory | ErrorKind::FileTooLarge => {
                    Ok(false)
                }
                other => Err(other),
            },
        }
    }

    /// Writes the state; taken as done if it is there and its folder can be synced, whatever the disk said first.
    fn save(&mut self, state: State) -> Result<(), DeviceError> {
        if let Err(error) = write_whole_locked(self.world, &self.file, &state.to_json(), Access::Private)
            && (!self.is_on_disk(&state) || self.sync_state().is_err())
        {
            return Err(error.into());
        }
        self.state = state;
        Ok(())
    }

    fn sync_state(&self) -> Result<(), WorldError> {
        self.world.sync_folder(folder_of(&self.file)).map_err(WorldError::at("written", &self.file))
    }

    fn is_on_disk(&self, state: &State) -> bool {
        match State::read(self.world, &self.file) {
            Ok(Some(found)) => found == *state,
            // A row that has frozen nothing may have no file yet.
            Ok(None) => state.is_unused(),
            Err(_) => false,
        }
    }
}

/// Whether trying again later would not help by itself.
fn will_not_pass(error: &WorldError) -> bool {
    use std::io::ErrorKind::{AlreadyExists, PermissionDenied, ReadOnlyFilesystem};
    matches!(error.failure.kind(), AlreadyExists | PermissionDenied | ReadOnlyFilesystem)
}

fn new_device(world: &dyn World) -> Result<DeviceId, WorldError> {
    let mut bytes = [0; 8];
    world.fill_random(&mut bytes).map_err(WorldError::at("drawn", Path::new("the device's name")))?;
    let name = format!("device-{:016x}", u64::from_be_bytes(bytes));
    Ok(name.parse().expect("letters, a dash and digits are a device's name"))
}

fn read_identity(report: &[u8]) -> Option<Sha256> {
    let file = SealedFile::read(report).ok()?;
    file.signature().map(|_| Sha256::new(*Sha256Digest::from_bytes(file.identity()).as_bytes()))
}

#[cfg(test)]
mod tests;
