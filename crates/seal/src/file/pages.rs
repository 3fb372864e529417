//! The catalog and the page tree.

use super::fault::{Fault, FaultCode};
use super::object::{Dictionary, ObjectNumber, Objects, Value};

const CATALOG_ENTRIES: &[&str] = &[
    "Type",
    "Version",
    "Pages",
    "Extensions",
    "Metadata",
    "OutputIntents",
    "MarkInfo",
    "StructTreeRoot",
    "Lang",
    "ViewerPreferences",
    "PageMode",
    "PageLayout",
    "PageLabels",
    "Outlines",
    "Dests",
    "Names",
    "AF",
    "AcroForm",
    "Perms",
];
const TREE_ENTRIES: &[&str] = &["Type", "Kids", "Count", "Parent", "Resources", "MediaBox"];
const PAGE_ENTRIES: &[&str] = &[
    "Type",
    "Parent",
    "MediaBox",
    "TrimBox",
    "BleedBox",
    "ArtBox",
    "Resources",
    "Contents",
    "Annots",
    "StructParents",
    "Tabs",
    "Group",
];

/// The trailer's catalog, the only one.
pub(crate) fn read_catalog<'s, 'a>(
    objects: &'s Objects<'a>,
    trailer: &Dictionary<'a>,
) -> Result<&'s Dictionary<'a>, Fault> {
    let root = trailer.find("Root").and_then(Value::as_reference).and_then(|number| objects.find(number));
    let Some(catalog) = root.and_then(|root| root.value.as_dictionary()).filter(|root| root.is_type("Catalog")) else {
        return Err(Fault::at(FaultCode::CatalogMissing, trailer.at, "the trailer does not lead to a catalog"));
    };
    for object in objects.iter() {
        if let Some(other) = object.value.as_dictionary()
            && other.is_type("Catalog")
            && other.at != catalog.at
        {
            return Err(Fault::at(
                FaultCode::CatalogDoubled,
                object.span.start,
                format!("object {} is a second catalog", object.number),
            ));
        }
    }
    refuse_other_entries(catalog, CATALOG_ENTRIES, FaultCode::CatalogEntry, "the catalog")?;
    Ok(catalog)
}

/// The pages in reading order.
pub(crate) fn read_pages(objects: &Objects<'_>, catalog: &Dictionary<'_>) -> Result<Vec<ObjectNumber>, Fault> {
    let Some(root) = catalog.find("Pages").and_then(Value::as_reference) else {
        return Err(Fault::at(FaultCode::PageTreeMalformed, catalog.at, "the catalog does not lead to a page tree"));
    };
    let mut tree = Tree { objects, visited: vec![false; objects.len()], pages: Vec::new() };
    tree.walk(root)?;
    if tree.pages.is_empty() {
        return Err(Fault::at(FaultCode::PageTreeMalformed, catalog.at, "the file has no page"));
    }
    for object in objects.iter() {
        if let Some(Some("Page" | "Pages")) = object.value.as_dictionary().map(|page| page.find_name("Type"))
            && !tree.visited[object.number as usize - 1]
        {
            return Err(Fault::at(
                FaultCode::PageOutsideTree,
                object.span.start,
                format!("object {} is a page that is not in the page tree", object.number),
            ));
        }
    }
    Ok(tree.pages)
}

struct Tree<'s, 'a> {
    objects: &'s Objects<'a>,
    visited: Vec<bool>,
    pages: Vec<ObjectNumber>,
}

impl Tree<'_, '_> {
    fn walk(&mut self, root: ObjectNumber) -> Result<(), Fault> {
        // Nodes still to be opened, the next one last; each with the node that led to it.
        let mut waiting = vec![(root, None)];
        // Each tree node with the number of pages before it, to compare its count once all is read.
        let mut counts: Vec<(ObjectNumber, i64)> = Vec::new();
        while let Some((number, parent)) = waiting.pop() {
            let Some(object) = self.objects.find(number) else {
                return Err(Fault::of(FaultCode::PageTreeMalformed, "the page tree leads to nothing"));
            };
            let malformed = |what: &str| {
                Fault::at(FaultCode::PageTreeMalformed, object.span.start, format!("object {number} {what}"))
            };
            if std::mem::replace(&mut self.visited[number as usize - 1], true) {
                return Err(Fault::at(
                    FaultCode::PageTreeCycle,
                    object.span.start,
                    format!("the page tree leads to object {number} twice"),
                ));
            }
            let Some(node) = object.value.as_dictionary().filter(|_| object.stream.is_none()) else {
                return Err(malformed("stands in the page tree and is no page"));
            };
            if node.find("Parent").map(Value::as_reference) != parent.map(Some) {
                return Err(malformed("names another parent than the one that leads to it"));
            }
            match node.find_name("Type") {
                Some("Page") => {
                    check_page(self.objects, node)?;
                    self.pages.push(number);
                }
                Some("Pages") => {
                    refuse_crop(self.objects, node, node)?;
                    refuse_other_entries(node, TREE_ENTRIES, FaultCode::PageEntry, "the page tree")?;
                    let kids =
                        node.find("Kids").and_then(Value::as_array).ok_or_else(|| malformed("has no list of pages"))?;
                    for kid in kids.iter().rev() {
                        let kid = kid.as_reference().ok_or_else(|| malformed("has a page that is no reference"))?;
                        waiting.push((kid, Some(number)));
                    }
                    let count =
                        node.find("Count").and_then(Value::as_integer).ok_or_else(|| malformed("has no count"))?;
                    counts.push((number, count));
                }
                _ => return Err(malformed("stands in the page tree and is no page")),
            }
        }
        self.check_counts(&counts)
    }

    /// Counts the leaves below each node; the walk has shown that the tree is one.
    fn check_counts(&self, counts: &[(ObjectNumber, i64)]) -> Result<(), Fault> {
        let mut leaves = vec![0_i64; self.objects.len()];
        for page in &self.pages {
            leaves[*page as usize - 1] = 1;
        }
        // A node is opened before its kids, so the reverse order sums from the leaves up.
        for (number, count) in counts.iter().rev() {
            let Some(object) = self.objects.find(*number) else { continue };
            let kids = object.value.as_dictionary().and_then(|node| node.find("Kids")).and_then(Value::as_array);
            let sum =
                kids.into_iter().flatten().filter_map(Value::as_reference).map(|kid| leaves[kid as usize - 1]).sum();
            leaves[*number as usize - 1] = sum;
            if sum != *count {
                return Err(Fault::at(
                    FaultCode::PageTreeMalformed,
                    object.span.start,
                    format!("object {number} counts {count} pages and leads to {sum}"),
                ));
            }
        }
        Ok(())
    }
}

fn check_page(objects: &Objects<'_>, page: &Dictionary<'_>) -> Result<(), Fault> {
    refuse_crop(objects, page, page)?;
    for entry in &page.entries {
        match entry.key {
            "CropBox" => {}
            "Rotate" if entry.value == Value::Integer(0) => {}
            key if PAGE_ENTRIES.contains(&key) => {}
            key => {
                return Err(Fault::at(
                    FaultCode::PageEntry,
                    entry.at,
                    format!("a page has the entry /{key}, which reports do not have"),
                ));
            }
        }
    }
    let contents: &[Value<'_>] = match page.find("Contents") {
        None => &[],
        Some(Value::Array(parts)) => parts,
        Some(one) => std::slice::from_ref(one),
    };
    let streams = contents.iter().all(|part| {
        part.as_reference().and_then(|number| objects.find(number)).is_some_and(|object| object.stream.is_some())
    });
    if !streams {
        return Err(Fault::at(FaultCode::PageEntry, page.at, "a page's contents are no streams"));
    }
    Ok(())
}

/// A crop box may only repeat the media box.
fn refuse_crop(objects: &Objects<'_>, page: &Dictionary<'_>, sheet: &Dictionary<'_>) -> Result<(), Fault> {
    let Some(crop) = page.find("CropBox") else { return Ok(()) };
    let full = sheet.find("MediaBox").map(|value| objects.resolve(value));
    if full != Some(objects.resolve(crop)) {
        return Err(Fault::at(FaultCode::PageCropped, page.at, "a page shows only a part of its sheet"));
    }
    Ok(())
}

pub(crate) fn refuse_other_entries(
    dictionary: &Dictionary<'_>,
    allowed: &[&str],
    code: FaultCode,
    owner: &str,
) -> Result<(), Fault> {
    match dictionary.entries.iter().find(|entry| !allowed.contains(&entry.key)) {
        None => Ok(()),
        Some(entry) => {
            Err(Fault::at(code, entry.at, format!("{owner} has the entry /{}, which reports do not have", entry.key)))
        }
    }
}
