//! Where a device keeps its notebooks: one, and beside it those that were found damaged.

use model::DeviceId;
use notebook::{Connection, Notebook, Salvaged};

use super::{MendedView, error::DoorError};

/// Where a device keeps its notebooks, by number. The one with the highest number that was made to its end is in use; the
/// others were found damaged and are kept as they were.
pub trait Shelf: Send + Sync {
    /// The numbers of the notebooks that there are.
    ///
    /// # Errors
    /// The storage, in words.
    fn numbers(&self) -> Result<Vec<u32>, String>;

    /// Opens the notebook of this number, or begins it.
    ///
    /// # Errors
    /// The storage, in words.
    fn open(&self, number: u32) -> Result<Connection, String>;

    /// What a person would call the notebook of this number: the name of its file.
    fn name(&self, number: u32) -> String;
}

/// A notebook that is gone with the process.
pub struct InMemory;

impl Shelf for InMemory {
    fn numbers(&self) -> Result<Vec<u32>, String> {
        Ok(Vec::new())
    }

    fn open(&self, _number: u32) -> Result<Connection, String> {
        Connection::open_in_memory().map_err(|error| error.to_string())
    }

    fn name(&self, _number: u32) -> String {
        "the notebook in memory".to_owned()
    }
}

/// The name of a notebook's file.
pub fn file_name(number: u32) -> String {
    if number == 1 { "notebook.sqlite".to_owned() } else { format!("notebook-{number}.sqlite") }
}

/// The numbers of the notebooks among these files, which may have logs beside them.
pub fn find_numbers(names: impl IntoIterator<Item = String>) -> Vec<u32> {
    let number = |name: String| {
        let rest = name.rsplit('/').next()?.strip_prefix("notebook")?.strip_suffix(".sqlite")?;
        if rest.is_empty() { Some(1) } else { rest.strip_prefix('-')?.parse().ok() }
    };
    names.into_iter().filter_map(number).collect()
}

/// Notebooks in a folder of this machine.
#[cfg(feature = "native")]
pub struct InFolder(pub std::path::PathBuf);

#[cfg(feature = "native")]
impl Shelf for InFolder {
    fn numbers(&self) -> Result<Vec<u32>, String> {
        let told = |error: std::io::Error| format!("{} could not be read: {error}", self.0.display());
        let names = std::fs::read_dir(&self.0).map_err(told)?;
        let names: Vec<String> = names
            .map(|entry| entry.map(|entry| entry.file_name().to_string_lossy().into_owned()))
            .collect::<Result<_, _>>()
            .map_err(told)?;
        Ok(find_numbers(names))
    }

    fn open(&self, number: u32) -> Result<Connection, String> {
        let file = self.0.join(file_name(number));
        Connection::open(&file).map_err(|error| format!("{} could not be opened: {error}", file.display()))
    }

    fn name(&self, number: u32) -> String {
        self.0.join(file_name(number)).display().to_string()
    }
}

/// A notebook with its number, and what became of a damaged one on the way.
pub(super) struct Opened {
    pub book: Notebook,
    pub number: u32,
    pub mended: Option<MendedView>,
}

/// Opens the notebook in use. One whose file is spoilt is brought over into a new one as far as it can be read.
pub(super) fn open(shelf: &dyn Shelf, new_device: &DeviceId) -> Result<Opened, DoorError> {
    let mut numbers = shelf.numbers().map_err(DoorError::Storage)?;
    numbers.sort_unstable();
    let first = numbers.first().copied().unwrap_or(1);
    let mut in_use = first;
    for &number in numbers.iter().rev() {
        let db = shelf.open(number).map_err(DoorError::Storage)?;
        // What a killed process left of a rescue is passed over.
        if number == first || Notebook::was_begun(&db) {
            in_use = number;
            break;
        }
    }
    let db = shelf.open(in_use).map_err(DoorError::Storage)?;
    match Notebook::open(db, new_device) {
        Ok(book) => Ok(Opened { book, number: in_use, mended: None }),
        Err(error) if error.is_damage() => bring_over(shelf, in_use, new_device),
        Err(error) => Err(error.into()),
    }
}

/// Brings what can be read of this notebook over into a new one beside it.
pub(super) fn bring_over(shelf: &dyn Shelf, damaged: u32, new_device: &DeviceId) -> Result<Opened, DoorError> {
    let number = shelf.numbers().map_err(DoorError::Storage)?.into_iter().max().unwrap_or(damaged) + 1;
    let (from, to) =
        (shelf.open(damaged).map_err(DoorError::Storage)?, shelf.open(number).map_err(DoorError::Storage)?);
    let (book, Salvaged { entries, photographs, reports, lost }) = Notebook::salvage(&from, to, new_device)?;
    let mended = MendedView { entries, photographs, reports, lost, kept_as: shelf.name(damaged) };
    Ok(Opened { book, number, mended: Some(mended) })
}
