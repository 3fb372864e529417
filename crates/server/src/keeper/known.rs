//! What a keeper has read of its log.

use std::{cell::OnceCell, collections::HashMap};

use chrono::{DateTime, Utc};
use log::{BUNDLE, Entry, Tree};
use seal::digest::Sha256Digest;

/// Bundles whose texts are at hand at most.
const BUNDLES: u64 = 4;

/// The entries of a log, as far as they were read, in the form in which they are asked for.
#[derive(Default)]
pub(super) struct Known {
    tree: Tree,
    root: OnceCell<Sha256Digest>,
    /// What stands where, by everything but its time.
    places: HashMap<String, (u64, Entry)>,
    last: Option<DateTime<Utc>>,
    /// The newest texts, from the beginning of a bundle on: the files that grow are made of them.
    newest: Vec<Vec<u8>>,
    newest_from: u64,
}

impl Known {
    /// Takes the next entry of the log.
    pub fn take(&mut self, entry: Entry, text: Vec<u8>) {
        if self.newest.len() as u64 == BUNDLES * BUNDLE {
            let whole = (BUNDLES - 1) * BUNDLE;
            self.newest.drain(..whole as usize);
            self.newest_from += whole;
        }
        let place = self.tree.append(&text);
        self.root = OnceCell::new();
        // An entry is a text.
        let spelt = String::from_utf8_lossy(&text);
        self.places.insert(without_time(&spelt).to_owned(), (place, entry));
        self.last = Some(entry.at);
        self.newest.push(text);
    }

    /// The tree over all of them.
    pub const fn tree(&self) -> &Tree {
        &self.tree
    }

    /// Its root.
    pub fn root(&self) -> Sha256Digest {
        *self.root.get_or_init(|| self.tree.root())
    }

    /// The time of the last one.
    pub const fn last(&self) -> Option<DateTime<Utc>> {
        self.last
    }

    /// Where an entry stands, whatever its time, and that entry.
    pub fn find(&self, spelt: &str) -> Option<(u64, Entry)> {
        self.places.get(spelt).copied()
    }

    /// Whether the texts from a place on are at hand.
    pub const fn has_texts_from(&self, place: u64) -> bool {
        self.newest_from <= place
    }

    /// The text at a place, if it is at hand.
    pub fn text(&self, place: u64) -> Option<&Vec<u8>> {
        self.newest.get(usize::try_from(place.checked_sub(self.newest_from)?).ok()?)
    }
}

/// An entry's text without its time, which is its last line.
pub(super) fn without_time(text: &str) -> &str {
    text.trim_end().rsplit_once('\n').map_or(text, |(rest, _)| rest)
}
