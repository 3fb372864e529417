//! The world of a desktop or server: its clock, its randomness, its file system.

use std::{
    fs::{self, File, OpenOptions, TryLockError},
    io::{self, Read as _, Write as _},
    path::{Path, PathBuf},
};

use chrono::{DateTime, Utc};

use crate::world::{Access, Lock, World};

/// This machine.
#[derive(Clone, Copy, Debug, Default)]
pub struct NativeWorld;

impl World for NativeWorld {
    #[allow(clippy::disallowed_methods, reason = "this is the one place where the clock comes in")]
    fn now(&self) -> DateTime<Utc> {
        std::time::SystemTime::now().into()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        getrandom::fill(bytes).map_err(io::Error::other)
    }

    fn read(&self, file: &Path, most: u64) -> io::Result<Vec<u8>> {
        let source = File::open(file)?;
        let kind = source.metadata()?;
        if kind.is_dir() {
            return Err(io::ErrorKind::IsADirectory.into());
        }
        if kind.len() > most {
            return Err(too_large(most));
        }
        // One more than expected shows a file that grew, or one whose length is not known beforehand.
        let mut bytes = Vec::with_capacity(usize::try_from(kind.len()).unwrap_or(0) + 1);
        source.take(most + 1).read_to_end(&mut bytes)?;
        if bytes.len() as u64 > most { Err(too_large(most)) } else { Ok(bytes) }
    }

    fn open(&self, file: &Path) -> io::Result<Box<dyn io::Read>> {
        let source = File::open(file)?;
        if source.metadata()?.is_dir() {
            return Err(io::ErrorKind::IsADirectory.into());
        }
        Ok(Box::new(source))
    }

    fn list_files(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        let mut files = Vec::new();
        for entry in fs::read_dir(folder)? {
            let path = entry?.path();
            // Follows links: photographs may be linked into a folder.
            if path.is_file() {
                files.push(path);
            }
        }
        files.sort();
        Ok(files)
    }

    fn exists(&self, path: &Path) -> io::Result<bool> {
        // A link that leads nowhere is there all the same: writing through it would surprise.
        match fs::symlink_metadata(path) {
            Ok(_) => Ok(true),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(false),
            Err(error) => Err(error),
        }
    }

    fn is_empty(&self, folder: &Path) -> io::Result<bool> {
        Ok(fs::read_dir(folder)?.next().is_none())
    }

    fn create_folder(&self, folder: &Path) -> io::Result<()> {
        fs::create_dir_all(folder)
    }

    fn write_new(&self, file: &Path, bytes: &[u8], access: Access) -> io::Result<()> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        if access == Access::Private {
            std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
        }
        #[cfg(not(unix))]
        let _ = access;
        let mut file = options.open(file)?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        match fs::hard_link(from, to) {
            Ok(()) => fs::remove_file(from),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Err(error),
            // Sticks and cards often know no links; there a short moment stays in which another could take the name.
            Err(_) if self.exists(to)? => Err(io::ErrorKind::AlreadyExists.into()),
            Err(_) => fs::rename(from, to),
        }
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        if cfg!(unix) { File::open(folder)?.sync_all() } else { Ok(()) }
    }

    fn remove_file(&self, file: &Path) -> io::Result<()> {
        fs::remove_file(file)
    }

    fn remove_folder(&self, folder: &Path) {
        // What cannot be removed is a hidden folder of no meaning; the operation's own error says what went wrong.
        let _ = fs::remove_dir_all(folder);
    }

    fn lock(&self, file: &Path) -> io::Result<Lock> {
        let held = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(file)?;
        match held.try_lock() {
            Ok(()) => Ok(Lock::new(held)),
            Err(TryLockError::WouldBlock) => Err(io::ErrorKind::WouldBlock.into()),
            Err(TryLockError::Error(error)) => Err(error),
        }
    }
}

fn too_large(most: u64) -> io::Error {
    io::Error::new(io::ErrorKind::FileTooLarge, format!("it has more than {most} bytes"))
}

impl crate::door::Source for NativeWorld {
    fn now(&self) -> DateTime<Utc> {
        World::now(self)
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        World::fill_random(self, bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_name_is_never_taken_from_another_file() {
        let folder = tempfile::tempdir().unwrap();
        let [from, to] = ["from", "to"].map(|name| folder.path().join(name));
        NativeWorld.write_new(&from, b"new", Access::Shared).unwrap();
        NativeWorld.write_new(&to, b"old", Access::Shared).unwrap();
        let refused = NativeWorld.write_new(&to, b"new", Access::Shared).unwrap_err();
        assert_eq!(refused.kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(NativeWorld.rename_new(&from, &to).unwrap_err().kind(), io::ErrorKind::AlreadyExists);
        assert_eq!(NativeWorld.read(&to, 3).unwrap(), b"old");
        NativeWorld.remove_file(&to).unwrap();
        NativeWorld.rename_new(&from, &to).unwrap();
        assert_eq!(NativeWorld.list_files(folder.path()).unwrap(), std::slice::from_ref(&to));
        assert_eq!(NativeWorld.read(&to, 2).unwrap_err().kind(), io::ErrorKind::FileTooLarge);
        NativeWorld.sync_folder(folder.path()).unwrap();
    }

    #[test]
    fn a_lock_holds_until_it_is_dropped() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join(".lock");
        let held = NativeWorld.lock(&file).unwrap();
        assert_eq!(NativeWorld.lock(&file).err().map(|error| error.kind()), Some(io::ErrorKind::WouldBlock));
        drop(held);
        assert!(NativeWorld.lock(&file).is_ok());
    }

    #[cfg(unix)]
    #[test]
    fn private_files_are_their_owners_alone() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("key");
        NativeWorld.write_new(&file, b"secret", Access::Private).unwrap();
        assert_eq!(fs::metadata(&file).unwrap().permissions().mode() & 0o077, 0);
    }
}
