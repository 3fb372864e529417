//! Files that are there whole or not at all.

use std::{
    io,
    path::{Path, PathBuf},
};

use crate::world::{Access, World, WorldError};

/// What to do where a file of the wanted name is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Existing {
    /// Leave it and fail.
    Refuse,
    /// Put the new one in its place.
    Replace,
}

/// Writes a file beside its place, has it on the disk, and moves it into its place in one step. A reader sees the old
/// file or the new one, after a crash as well; at worst a hidden `.part` file stays behind.
///
/// # Errors
/// [`WorldError`] that names the file; what was there before is there still.
pub fn write_whole(
    world: &dyn World,
    file: &Path,
    bytes: &[u8],
    access: Access,
    existing: Existing,
) -> Result<(), WorldError> {
    let mut mark = [0; 8];
    world.fill_random(&mut mark).map_err(WorldError::at("written", file))?;
    let part = name_part(file, &format!("{:016x}", u64::from_be_bytes(mark)));
    put_whole(world, &part, file, bytes, access, existing)
}

/// As [`write_whole`], with a `.part` file whose name is known, so that one left by a crash is found and removed.
/// Only for files under a lock.
pub(crate) fn write_whole_locked(
    world: &dyn World,
    file: &Path,
    bytes: &[u8],
    access: Access,
) -> Result<(), WorldError> {
    let part = name_part(file, "new");
    remove_if_there(world, &part)?;
    put_whole(world, &part, file, bytes, access, Existing::Replace)
}

fn put_whole(
    world: &dyn World,
    part: &Path,
    file: &Path,
    bytes: &[u8],
    access: Access,
    existing: Existing,
) -> Result<(), WorldError> {
    let done = world.write_new(part, bytes, access).and_then(|()| match existing {
        Existing::Refuse => world.rename_new(part, file),
        Existing::Replace => world.rename(part, file),
    });
    if let Err(error) = done {
        // The part is of no use to anybody; what counts is the first error.
        let _ = world.remove_file(part);
        return Err(WorldError::at("written", file)(error));
    }
    world.sync_folder(folder_of(file)).map_err(WorldError::at("written", file))
}

/// `.report.pdf.MARK.part` beside `report.pdf`.
pub(crate) fn name_part(file: &Path, mark: &str) -> PathBuf {
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    file.with_file_name(format!(".{name}.{mark}.part"))
}

/// The folder of a file; of a bare name the current one.
pub(crate) fn folder_of(file: &Path) -> &Path {
    match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

pub(crate) fn remove_if_there(world: &dyn World, file: &Path) -> Result<(), WorldError> {
    match world.remove_file(file) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(WorldError::at("removed", file)(error)),
        _ => Ok(()),
    }
}

/// A text file of at most 64 KiB: keys, certificates, statements, lists up to the seal's own limit.
pub(crate) fn read_text(world: &dyn World, file: &Path, most: u64) -> Result<String, WorldError> {
    let bytes = world.read(file, most).map_err(WorldError::at("read", file))?;
    String::from_utf8(bytes)
        .map_err(|_| WorldError::at("read", file)(io::Error::new(io::ErrorKind::InvalidData, "it is no text")))
}
