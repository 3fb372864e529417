//! Links and bookmarks.

use lopdf::{Object, ObjectId, dictionary};

use super::{
    Writer,
    value::{count, real, rectangle, text},
};
use crate::v1::{
    flow::{Bookmark, PAGE_HEIGHT},
    mark::{HeadingKey, Link, Target},
};

impl Writer {
    pub(super) fn add_links(&mut self, links: &[Vec<Link>], bookmarks: &[Bookmark]) -> Vec<Vec<ObjectId>> {
        let pages = links.len();
        let mut key = pages;
        let mut ids = Vec::with_capacity(pages);
        for page in links {
            let mut row = Vec::with_capacity(page.len());
            for link in page {
                let mut dictionary = dictionary! {
                    "Type" => "Annot",
                    "Subtype" => "Link",
                    "Rect" => rectangle(link.area),
                    "Border" => vec![0.into(), 0.into(), 0.into()],
                    "F" => 4,
                    "Contents" => text(&link.words),
                    "StructParent" => count(key),
                };
                match &link.target {
                    Target::Address(address) => dictionary
                        .set("A", dictionary! { "S" => "URI", "URI" => Object::string_literal(address.as_str()) }),
                    Target::Heading(heading) => dictionary.set("Dest", self.destination_of(*heading, bookmarks)),
                }
                key += 1;
                row.push(self.add(dictionary));
            }
            ids.push(row);
        }
        ids
    }

    fn destination_of(&self, key: HeadingKey, bookmarks: &[Bookmark]) -> Object {
        let found = bookmarks.iter().find(|bookmark| bookmark.heading.key == Some(key));
        found.map_or_else(|| self.destination(0, 0.0), |bookmark| self.destination(bookmark.page, bookmark.y))
    }

    fn destination(&self, page: usize, y: f64) -> Object {
        let top = real(PAGE_HEIGHT - (y - 14.0).max(0.0));
        Object::Array(vec![self.page_ids[page].into(), "XYZ".into(), Object::Null, top, Object::Null])
    }

    pub(super) fn add_bookmarks(&mut self, bookmarks: &[Bookmark]) {
        if bookmarks.is_empty() {
            return;
        }
        let root = self.document.new_object_id();
        let ids: Vec<ObjectId> = bookmarks.iter().map(|_| self.document.new_object_id()).collect();
        // Level 2 hangs under the last level 1 before it.
        let mut parent_of = Vec::with_capacity(bookmarks.len());
        let mut parent = None;
        for (place, bookmark) in bookmarks.iter().enumerate() {
            if bookmark.heading.level == 1 {
                parent = Some(place);
                parent_of.push(None);
            } else {
                parent_of.push(parent);
            }
        }
        let children = |of: Option<usize>| -> Vec<usize> {
            (0..bookmarks.len()).filter(|&place| parent_of[place] == of && Some(place) != of).collect()
        };
        let top = children(None);
        for siblings in std::iter::once(top.clone()).chain(top.iter().map(|&place| children(Some(place)))) {
            for (order, &place) in siblings.iter().enumerate() {
                let bookmark = &bookmarks[place];
                let mut entry = dictionary! {
                    "Title" => text(&bookmark.heading.text),
                    "Parent" => parent_of[place].map_or(root, |parent| ids[parent]),
                    "Dest" => self.destination(bookmark.page, bookmark.y),
                };
                if let Some(&before) = order.checked_sub(1).and_then(|before| siblings.get(before)) {
                    entry.set("Prev", ids[before]);
                }
                if let Some(&next) = siblings.get(order + 1) {
                    entry.set("Next", ids[next]);
                }
                let own = if parent_of[place].is_none() { children(Some(place)) } else { Vec::new() };
                if let (Some(&first), Some(&last)) = (own.first(), own.last()) {
                    entry.set("First", ids[first]);
                    entry.set("Last", ids[last]);
                    entry.set("Count", -(count(own.len())));
                }
                self.document.set_object(ids[place], entry);
            }
        }
        let mut outlines = dictionary! { "Type" => "Outlines", "Count" => count(top.len()) };
        if let (Some(&first), Some(&last)) = (top.first(), top.last()) {
            outlines.set("First", ids[first]);
            outlines.set("Last", ids[last]);
        }
        self.document.set_object(root, outlines);
        self.catalog.set("Outlines", root);
        self.catalog.set("PageMode", "UseOutlines");
    }
}
