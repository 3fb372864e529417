//! The shelf as objects, which any network of caches can give out as they are.

use bytes::Bytes;

use super::{FirmId, Shelf, StoreError, folder::check_path, objects::Objects};

/// A place with one place for each firm.
#[derive(Debug)]
pub struct ObjectShelf {
    objects: Objects,
}

impl ObjectShelf {
    /// The shelf at this place.
    pub const fn open(objects: Objects) -> Self {
        Self { objects }
    }
}

fn name(firm: &FirmId, path: &str) -> Result<String, StoreError> {
    check_path(path)?;
    Ok(format!("{firm}/{path}"))
}

impl Shelf for ObjectShelf {
    fn put(&self, firm: &FirmId, path: &str, bytes: &[u8]) -> Result<(), StoreError> {
        self.objects.put(&name(firm, path)?, Bytes::copy_from_slice(bytes))
    }

    fn put_again(&self, firm: &FirmId, files: &[(&str, &[u8])]) -> Result<(), StoreError> {
        let Some(((path, bytes), others)) = files.split_last() else { return Ok(()) };
        let named = others.iter().map(|(path, bytes)| Ok((name(firm, path)?, Bytes::copy_from_slice(bytes))));
        self.objects.put_all(named.collect::<Result<_, StoreError>>()?)?;
        self.put(firm, path, bytes)
    }

    fn may_lose(&self) -> bool {
        false
    }

    fn read(&self, firm: &FirmId, path: &str) -> Result<Option<Vec<u8>>, StoreError> {
        Ok(self.objects.read(&name(firm, path)?)?.map(Into::into))
    }

    fn list(&self, firm: &FirmId) -> Result<Vec<String>, StoreError> {
        let mut paths: Vec<String> = self.objects.list(firm.as_str())?.into_iter().map(|(path, _)| path).collect();
        paths.sort_unstable();
        Ok(paths)
    }
}
