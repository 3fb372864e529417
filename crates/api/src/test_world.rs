//! A world in memory whose disk can fail at any step, forget what was not synced, and be cut off.

use std::{
    collections::BTreeMap,
    io,
    path::{Path, PathBuf},
    sync::{Mutex, MutexGuard},
};

use chrono::{DateTime, Utc};

use crate::world::{Access, Lock, World};

/// How a step goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// It does nothing and says so; the next step works again.
    Fails,
    /// It is done, and said to have failed.
    FailsButPersists,
    /// Of a write only half arrives, and it is said to have failed.
    Tears,
    /// It and all later steps do nothing: the process was killed before it. All that was written is there.
    KilledBefore,
    /// It is done, and all later steps do nothing.
    KilledAfter,
    /// As killed before it, with all names gone that were not synced: the power was cut.
    PowerCutBefore,
    /// As killed after it, with all names gone that were not synced.
    PowerCutAfter,
}

impl Trouble {
    pub(crate) const ALL: [Self; 7] = [
        Self::Fails,
        Self::FailsButPersists,
        Self::Tears,
        Self::KilledBefore,
        Self::KilledAfter,
        Self::PowerCutBefore,
        Self::PowerCutAfter,
    ];

    fn cuts_power(self) -> bool {
        matches!(self, Self::PowerCutBefore | Self::PowerCutAfter)
    }
}

type Files = BTreeMap<PathBuf, Vec<u8>>;

#[derive(Default)]
struct Disk {
    /// What processes see.
    now: Files,
    /// What a power cut leaves.
    synced: Files,
    steps: usize,
    trouble: Option<(usize, Trouble)>,
    is_dead: bool,
    random: u8,
}

/// The world; one for each run of the program, all on the same disk.
#[derive(Default)]
pub(crate) struct TestWorld(Mutex<Disk>);

impl TestWorld {
    fn disk(&self) -> MutexGuard<'_, Disk> {
        self.0.lock().unwrap()
    }

    /// Makes trouble at a step, counted from 0 from now on.
    pub(crate) fn plan(&self, step: usize, trouble: Trouble) {
        let mut disk = self.disk();
        disk.steps = 0;
        disk.trouble = Some((step, trouble));
    }

    /// Starts the machine again; whether the planned trouble had come about.
    pub(crate) fn restart(&self) -> bool {
        let mut disk = self.disk();
        let planned = disk.trouble.take();
        if disk.is_dead && planned.is_some_and(|(_, trouble)| trouble.cuts_power()) {
            disk.now = disk.synced.clone();
        }
        disk.is_dead = false;
        planned.is_some_and(|(step, _)| disk.steps > step)
    }

    pub(crate) fn find(&self, file: &str) -> Option<Vec<u8>> {
        self.disk().now.get(Path::new(file)).cloned()
    }

    pub(crate) fn put(&self, file: &str, bytes: &[u8]) {
        let mut disk = self.disk();
        disk.now.insert(file.into(), bytes.to_vec());
        disk.synced.insert(file.into(), bytes.to_vec());
    }

    pub(crate) fn take(&self, file: &str) -> Option<Vec<u8>> {
        let mut disk = self.disk();
        disk.synced.remove(Path::new(file));
        disk.now.remove(Path::new(file))
    }

    pub(crate) fn list(&self) -> Vec<PathBuf> {
        self.disk().now.keys().cloned().collect()
    }

    /// One step: `full` does it, `half` does a torn part of it.
    fn step<T>(&self, half: impl FnOnce(&mut Disk), full: impl FnOnce(&mut Disk) -> io::Result<T>) -> io::Result<T> {
        let mut disk = self.disk();
        let failed = || io::Error::from(io::ErrorKind::StorageFull);
        if disk.is_dead {
            return Err(failed());
        }
        let step = disk.steps;
        disk.steps += 1;
        let trouble = disk.trouble.filter(|(planned, _)| *planned == step).map(|(_, trouble)| trouble);
        match trouble {
            None => full(&mut disk),
            Some(Trouble::Fails) => Err(failed()),
            Some(Trouble::FailsButPersists) => full(&mut disk).and(Err(failed())),
            Some(Trouble::Tears) => {
                half(&mut disk);
                Err(failed())
            }
            Some(Trouble::KilledBefore | Trouble::PowerCutBefore) => {
                disk.is_dead = true;
                Err(failed())
            }
            Some(Trouble::KilledAfter | Trouble::PowerCutAfter) => {
                let done = full(&mut disk);
                disk.is_dead = true;
                done.and(Err(failed()))
            }
        }
    }
}

impl World for TestWorld {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T13:02:00Z".parse().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        let mut disk = self.disk();
        for byte in bytes {
            disk.random = disk.random.wrapping_add(37);
            *byte = disk.random;
        }
        Ok(())
    }

    fn read(&self, file: &Path, _: u64) -> io::Result<Vec<u8>> {
        self.step(|_| (), |disk| disk.now.get(file).cloned().ok_or_else(|| io::ErrorKind::NotFound.into()))
    }

    fn list_files(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        self.step(|_| (), |disk| Ok(disk.now.keys().filter(|file| file.parent() == Some(folder)).cloned().collect()))
    }

    fn exists(&self, path: &Path) -> io::Result<bool> {
        self.step(|_| (), |disk| Ok(disk.now.keys().any(|file| file.starts_with(path))))
    }

    fn is_empty(&self, folder: &Path) -> io::Result<bool> {
        self.exists(folder).map(|exists| !exists)
    }

    fn create_folder(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }

    fn write_new(&self, file: &Path, bytes: &[u8], _: Access) -> io::Result<()> {
        let half = |disk: &mut Disk| drop(disk.now.insert(file.to_owned(), bytes[..bytes.len() / 2].to_vec()));
        self.step(half, |disk| {
            if disk.now.contains_key(file) {
                return Err(io::ErrorKind::AlreadyExists.into());
            }
            disk.now.insert(file.to_owned(), bytes.to_vec());
            Ok(())
        })
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step(
            |_| (),
            |disk| {
                let bytes = disk.now.remove(from).ok_or(io::ErrorKind::NotFound)?;
                disk.now.insert(to.to_owned(), bytes);
                Ok(())
            },
        )
    }

    fn rename_new(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.step(
            |_| (),
            |disk| {
                if disk.now.contains_key(to) {
                    return Err(io::ErrorKind::AlreadyExists.into());
                }
                let bytes = disk.now.remove(from).ok_or(io::ErrorKind::NotFound)?;
                disk.now.insert(to.to_owned(), bytes);
                Ok(())
            },
        )
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.step(
            |_| (),
            |disk| {
                let is_inside = |file: &Path| file.parent() == Some(folder);
                disk.synced.retain(|file, _| !is_inside(file));
                let now: Vec<_> =
                    disk.now.iter().filter(|(file, _)| is_inside(file)).map(|(f, b)| (f.clone(), b.clone())).collect();
                disk.synced.extend(now);
                Ok(())
            },
        )
    }

    fn remove_file(&self, file: &Path) -> io::Result<()> {
        self.step(|_| (), |disk| disk.now.remove(file).map(|_| ()).ok_or_else(|| io::ErrorKind::NotFound.into()))
    }

    fn remove_folder(&self, folder: &Path) {
        let _ = self.step(
            |_| (),
            |disk| {
                disk.now.retain(|file, _| !file.starts_with(folder));
                Ok(())
            },
        );
    }

    fn lock(&self, _: &Path) -> io::Result<Lock> {
        self.step(|_| (), |_| Ok(Lock::new(())))
    }
}
