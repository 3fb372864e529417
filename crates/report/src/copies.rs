//! The photographs that a report carries.

use std::{borrow::Cow, collections::BTreeMap};

use model::Sha256;

/// Report copies by their digest. Each is hashed once, when it is put in, so that what a digest names is what it names.
#[derive(Debug, Clone, Default)]
pub struct Copies<'a>(BTreeMap<Sha256, Cow<'a, [u8]>>);

impl<'a> Copies<'a> {
    /// No copies.
    pub const fn new() -> Self {
        Self(BTreeMap::new())
    }

    /// Puts a copy in; its digest comes back. The same copy twice is one.
    pub fn add(&mut self, bytes: impl Into<Cow<'a, [u8]>>) -> Sha256 {
        let bytes = bytes.into();
        let digest = Sha256::of(&bytes);
        self.0.insert(digest, bytes);
        digest
    }

    /// The copy with this digest.
    pub fn find(&self, digest: &Sha256) -> Option<&[u8]> {
        self.0.get(digest).map(AsRef::as_ref)
    }

    /// The digests, in their order.
    pub fn digests(&self) -> impl Iterator<Item = &Sha256> {
        self.0.keys()
    }

    /// The copies, in the order of their digests.
    pub fn iter(&self) -> impl Iterator<Item = &[u8]> {
        self.0.values().map(AsRef::as_ref)
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<'a, B: Into<Cow<'a, [u8]>>> FromIterator<B> for Copies<'a> {
    fn from_iter<I: IntoIterator<Item = B>>(copies: I) -> Self {
        let mut all = Self::new();
        for copy in copies {
            all.add(copy);
        }
        all
    }
}
