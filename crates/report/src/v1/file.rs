//! The file around the pages: catalog, tags, bookmarks, attachment, the signature's empty room.
//!
//! The page writer gives the pages' contents and the fonts. Everything else is written here in a fixed order, so
//! that the file has nothing in it that no page, no reader and no rule needs.

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat, dictionary};
use model::{Record, Timestamp};
use printpdf::{FontId, PdfDocument, PdfFont, PdfSaveOptions};

use super::{
    face::{Face, Typeface},
    flow::{Bookmark, Laid, PAGE_HEIGHT, PAGE_WIDTH},
    icc::srgb_profile,
    mark::{Area, HeadingKey, Link, Target},
    paint::{Painted, paint_sheets, photograph_name},
    tree::{Kid, NodeId, Role, Tree},
    xmp::describe,
};
use crate::{Prepared, ROOM_BYTES, RenderError, jpeg::Jpeg};

const PLACEHOLDER: &[u8] = b"[0 1000000000 1000000000 1000000000]";
const FAR: i64 = 1_000_000_000;
const PARAGRAPH_OF_ROOM: &[u8] = b"/Contents<";

/// The file's bytes.
pub(crate) fn write_file(
    laid: Laid,
    typeface: Typeface,
    record: &Record,
    record_bytes: &[u8],
    photographs: &[Jpeg<'_>],
    title: &str,
) -> Result<Prepared, RenderError> {
    let Laid { sheets, mut tree, bookmarks, seal } = laid;
    let Painted { pages, owners } = paint_sheets(&typeface, &sheets, &mut tree);
    let links: Vec<Vec<Link>> = sheets.into_iter().map(|sheet| sheet.links).collect();
    let (contents, fonts, mut source) = write_pages(pages, typeface)?;

    let mut out = Writer { document: Document::with_version("2.0"), page_ids: Vec::new(), catalog: Dictionary::new() };
    out.document.reference_table.cross_reference_type = lopdf::xref::XrefType::CrossReferenceTable;
    let catalog_id = out.document.new_object_id();
    let pages_id = out.document.new_object_id();
    out.page_ids = contents.iter().map(|_| out.document.new_object_id()).collect();
    let form = tree.add(Tree::ROOT, Role::Form);
    tree.hang(form, Kid::Field);
    let field_id = out.document.new_object_id();

    let resources = out.add_resources(&mut source, &fonts, photographs);
    let link_ids = out.add_links(&links, &bookmarks);
    out.add_pages(pages_id, resources, contents, &link_ids, field_id);
    out.add_tags(&tree, &owners, &link_ids, field_id);
    out.add_bookmarks(&bookmarks);
    out.add_attachment(record, record_bytes);
    out.add_metadata(record, title);
    let signature_id = out.add_signature(record, field_id, seal);

    let catalog = std::mem::take(&mut out.catalog);
    let mut whole = dictionary! { "Type" => "Catalog", "Pages" => pages_id };
    whole.extend(&catalog);
    out.document.set_object(catalog_id, whole);
    out.document.trailer.set("Root", catalog_id);
    // The identifier follows from what the file says, so that the same record gives the same file.
    let digest = model::Sha256::of(record_bytes);
    let id = Object::String(digest.as_bytes()[..16].to_vec(), StringFormat::Hexadecimal);
    out.document.trailer.set("ID", vec![id.clone(), id]);
    debug_assert_eq!(signature_id.0, out.document.max_id);

    let expected = record_bytes.len() + photographs.iter().map(|jpeg| jpeg.bytes.len()).sum::<usize>() + (1 << 20);
    let mut bytes = Vec::with_capacity(expected);
    out.document.save_to(&mut bytes).map_err(|error| RenderError::Pages(error.to_string()))?;
    fill_byte_range(bytes)
}

type Pages = (Vec<Vec<u8>>, Vec<(Face, ObjectId)>, Document);

/// Lets the page writer set the contents and cut the fonts down to the letters that are used.
fn write_pages(pages: Vec<printpdf::PdfPage>, typeface: Typeface) -> Result<Pages, RenderError> {
    let mut document = PdfDocument::new("");
    for (face, font) in typeface.into_fonts() {
        document.resources.fonts.map.insert(FontId(face.resource().into()), PdfFont::new(font));
    }
    document.pages = pages;
    let options = PdfSaveOptions { optimize: false, subset_fonts: true, secure: true, image_optimization: None };
    let mut warnings = Vec::new();
    let mut source = document.to_lopdf_document(&options, &mut warnings);
    if let Some(warning) = warnings.iter().find(|warning| warning.severity == printpdf::PdfParseErrorSeverity::Error) {
        return Err(RenderError::Pages(warning.msg.clone()));
    }
    let damaged = |what: &str| RenderError::Pages(format!("the page writer gave no {what}"));
    let mut contents = Vec::new();
    let mut fonts = Vec::new();
    let ids: Vec<ObjectId> = source.page_iter().collect();
    for (place, id) in ids.into_iter().enumerate() {
        let page = source.get_dictionary(id).map_err(|_| damaged("page"))?;
        let stream = page.get(b"Contents").and_then(Object::as_reference).map_err(|_| damaged("contents"))?;
        if place == 0 {
            let resources = source.get_dict_in_dict(page, b"Resources").map_err(|_| damaged("resources"))?;
            let list = source.get_dict_in_dict(resources, b"Font").map_err(|_| damaged("fonts"))?;
            for face in [Face::Regular, Face::Bold] {
                if let Ok(font) = list.get(face.resource().as_bytes()).and_then(Object::as_reference) {
                    fonts.push((face, font));
                }
            }
        }
        match source.objects.remove(&stream) {
            Some(Object::Stream(stream)) => contents.push(stream.content),
            _ => return Err(damaged("contents")),
        }
    }
    Ok((contents, fonts, source))
}

struct Writer {
    document: Document,
    page_ids: Vec<ObjectId>,
    catalog: Dictionary,
}

impl Writer {
    fn add(&mut self, object: impl Into<Object>) -> ObjectId {
        self.document.add_object(object)
    }

    fn add_deflated(&mut self, dictionary: Dictionary, content: Vec<u8>) -> ObjectId {
        let mut stream = Stream::new(dictionary, content);
        // Nothing can fail here: it is written to memory.
        let _ = stream.compress();
        self.add(stream)
    }

    fn add_resources(
        &mut self,
        source: &mut Document,
        fonts: &[(Face, ObjectId)],
        photographs: &[Jpeg<'_>],
    ) -> ObjectId {
        let mut list = Dictionary::new();
        let mut moved = BTreeMap::new();
        for (face, font) in fonts {
            let font = self.take(source, *font, &mut moved);
            list.set(face.resource(), font);
        }
        let mut images = Dictionary::new();
        for (index, jpeg) in photographs.iter().enumerate() {
            let mut stream = Stream::new(
                dictionary! {
                    "Type" => "XObject",
                    "Subtype" => "Image",
                    "Width" => i64::from(jpeg.width),
                    "Height" => i64::from(jpeg.height),
                    "ColorSpace" => if jpeg.grey { "DeviceGray" } else { "DeviceRGB" },
                    "BitsPerComponent" => 8,
                    "Filter" => "DCTDecode",
                },
                jpeg.bytes.to_vec(),
            );
            stream.allows_compression = false;
            let id = self.add(stream);
            images.set(photograph_name(index), id);
        }
        let mut resources = dictionary! { "Font" => list };
        if !images.is_empty() {
            resources.set("XObject", images);
        }
        self.add(resources)
    }

    /// Moves an object and all that it refers to out of the page writer's document.
    fn take(&mut self, source: &mut Document, id: ObjectId, moved: &mut BTreeMap<ObjectId, ObjectId>) -> ObjectId {
        if let Some(&id) = moved.get(&id) {
            return id;
        }
        let new_id = self.document.new_object_id();
        moved.insert(id, new_id);
        let mut object = source.objects.remove(&id).unwrap_or(Object::Null);
        if let Object::Stream(stream) = &mut object {
            let _ = stream.compress();
        }
        self.take_references(source, &mut object, moved);
        self.document.set_object(new_id, object);
        new_id
    }

    fn take_references(
        &mut self,
        source: &mut Document,
        object: &mut Object,
        moved: &mut BTreeMap<ObjectId, ObjectId>,
    ) {
        match object {
            Object::Reference(id) => *id = self.take(source, *id, moved),
            Object::Array(items) => items.iter_mut().for_each(|item| self.take_references(source, item, moved)),
            Object::Dictionary(dictionary) => {
                dictionary.iter_mut().for_each(|(_, value)| self.take_references(source, value, moved));
            }
            Object::Stream(stream) => {
                stream.dict.iter_mut().for_each(|(_, value)| self.take_references(source, value, moved));
            }
            _ => {}
        }
    }

    fn add_links(&mut self, links: &[Vec<Link>], bookmarks: &[Bookmark]) -> Vec<Vec<ObjectId>> {
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
                    "StructParent" => key as i64,
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

    fn add_pages(
        &mut self,
        pages_id: ObjectId,
        resources: ObjectId,
        contents: Vec<Vec<u8>>,
        links: &[Vec<ObjectId>],
        field: ObjectId,
    ) {
        let ids = self.page_ids.clone();
        for (place, (content, id)) in contents.into_iter().zip(&ids).enumerate() {
            let content = self.add_deflated(Dictionary::new(), content);
            let mut annotations: Vec<Object> = links[place].iter().map(|&id| id.into()).collect();
            if place == 0 {
                annotations.push(field.into());
            }
            let mut page = dictionary! {
                "Type" => "Page",
                "Parent" => pages_id,
                "MediaBox" => rectangle(Area::new(0.0, 0.0, PAGE_WIDTH, PAGE_HEIGHT)),
                "Resources" => resources,
                "Contents" => content,
                "StructParents" => place as i64,
                "Tabs" => "S",
            };
            if !annotations.is_empty() {
                page.set("Annots", annotations);
            }
            self.document.set_object(*id, page);
        }
        let kids: Vec<Object> = ids.iter().map(|&id| id.into()).collect();
        let tree = dictionary! { "Type" => "Pages", "Kids" => kids, "Count" => ids.len() as i64 };
        self.document.set_object(pages_id, tree);
    }

    fn add_tags(&mut self, tree: &Tree, owners: &[Vec<NodeId>], links: &[Vec<ObjectId>], field: ObjectId) {
        let root = self.document.new_object_id();
        let ids: Vec<ObjectId> = (0..tree.len()).map(|_| self.document.new_object_id()).collect();
        let first_link: Vec<usize> = links
            .iter()
            .scan(owners.len(), |next, page| {
                let first = *next;
                *next += page.len();
                Some(first)
            })
            .collect();
        let links_end = owners.len() + links.iter().map(Vec::len).sum::<usize>();
        let mut parents: BTreeMap<usize, Object> = BTreeMap::new();
        for (page, nodes) in owners.iter().enumerate() {
            let nodes: Vec<Object> = nodes.iter().map(|node| ids[node.place()].into()).collect();
            parents.insert(page, nodes.into());
        }
        for (id, node) in tree.iter() {
            let own = ids[id.place()];
            let mut kids = Vec::with_capacity(node.kids.len());
            for kid in &node.kids {
                kids.push(match *kid {
                    Kid::Node(kid) => ids[kid.place()].into(),
                    Kid::Content { page, mark } => Object::Dictionary(dictionary! {
                        "Type" => "MCR", "Pg" => self.page_ids[page], "MCID" => mark as i64,
                    }),
                    Kid::Link { page, link } => {
                        parents.insert(first_link[page] + link, own.into());
                        Object::Dictionary(dictionary! {
                            "Type" => "OBJR", "Pg" => self.page_ids[page], "Obj" => links[page][link],
                        })
                    }
                    Kid::Field => {
                        parents.insert(links_end, own.into());
                        Object::Dictionary(dictionary! {
                            "Type" => "OBJR", "Pg" => self.page_ids[0], "Obj" => field,
                        })
                    }
                });
            }
            let mut element = dictionary! {
                "Type" => "StructElem",
                "S" => node.role.name(),
                "P" => node.parent.map_or(root, |parent| ids[parent.place()]),
                "K" => kids,
            };
            if let Some(alternative) = &node.alternative {
                element.set("Alt", text(alternative));
            }
            if node.role == Role::HeadCell {
                element.set("A", dictionary! { "O" => "Table", "Scope" => "Column" });
            }
            self.document.set_object(own, element);
        }
        let numbers: Vec<Object> =
            parents.into_iter().flat_map(|(key, value)| [Object::from(key as i64), value]).collect();
        let parent_tree = self.add(dictionary! { "Nums" => numbers });
        let element = dictionary! {
            "Type" => "StructTreeRoot",
            "K" => vec![ids[Tree::ROOT.place()].into()],
            "ParentTree" => parent_tree,
            "ParentTreeNextKey" => (links_end + 1) as i64,
        };
        self.document.set_object(root, element);
        self.catalog.set("StructTreeRoot", root);
        self.catalog.set("MarkInfo", dictionary! { "Marked" => true });
    }

    fn add_bookmarks(&mut self, bookmarks: &[Bookmark]) {
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
                    entry.set("Count", -(own.len() as i64));
                }
                self.document.set_object(ids[place], entry);
            }
        }
        let mut outlines = dictionary! { "Type" => "Outlines", "Count" => top.len() as i64 };
        if let (Some(&first), Some(&last)) = (top.first(), top.last()) {
            outlines.set("First", ids[first]);
            outlines.set("Last", ids[last]);
        }
        self.document.set_object(root, outlines);
        self.catalog.set("Outlines", root);
        self.catalog.set("PageMode", "UseOutlines");
    }

    fn add_attachment(&mut self, record: &Record, record_bytes: &[u8]) {
        let stream = self.add_deflated(
            dictionary! {
                "Type" => "EmbeddedFile",
                "Subtype" => "application/json",
                "Params" => dictionary! {
                    "Size" => record_bytes.len() as i64,
                    "ModDate" => Object::string_literal(date(&record.frozen_at)),
                },
            },
            record_bytes.to_vec(),
        );
        let file = self.add(dictionary! {
            "Type" => "Filespec",
            "F" => Object::string_literal("record.json"),
            "UF" => Object::string_literal("record.json"),
            "Desc" => Object::string_literal("The record that these pages were made from, in canonical JSON"),
            "EF" => dictionary! { "F" => stream, "UF" => stream },
            "AFRelationship" => "Data",
        });
        let names = vec![Object::string_literal("record.json"), file.into()];
        self.catalog.set("Names", dictionary! { "EmbeddedFiles" => dictionary! { "Names" => names } });
        self.catalog.set("AF", vec![file.into()]);
    }

    fn add_metadata(&mut self, record: &Record, title: &str) {
        let mut stream =
            Stream::new(dictionary! { "Type" => "Metadata", "Subtype" => "XML" }, describe(record, title).into_bytes());
        stream.allows_compression = false;
        let metadata = self.add(stream);
        self.catalog.set("Metadata", metadata);
        let profile = self.add_deflated(dictionary! { "N" => 3 }, srgb_profile());
        self.catalog.set(
            "OutputIntents",
            vec![Object::Dictionary(dictionary! {
                "Type" => "OutputIntent",
                "S" => "GTS_PDFA1",
                "OutputConditionIdentifier" => Object::string_literal("sRGB IEC61966-2.1"),
                "Info" => Object::string_literal("sRGB IEC61966-2.1"),
                "DestOutputProfile" => profile,
            })],
        );
        self.catalog.set("Lang", Object::string_literal("en-GB"));
        self.catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
        let extension = dictionary! { "BaseVersion" => "2.0", "ExtensionLevel" => 32_002 };
        self.catalog.set("Extensions", dictionary! { "ISO_" => extension });
    }

    /// The signature's field and, as the last object, its dictionary with an empty room.
    fn add_signature(&mut self, record: &Record, field_id: ObjectId, seal: Option<Area>) -> ObjectId {
        let area = seal.unwrap_or(Area::new(0.0, 0.0, 0.0, 0.0));
        let appearance = self.add(Stream::new(
            dictionary! {
                "Type" => "XObject",
                "Subtype" => "Form",
                "BBox" => vec![0.into(), 0.into(), real(area.width), real(area.height)],
                "Resources" => Dictionary::new(),
            },
            Vec::new(),
        ));
        let form = self.add(dictionary! { "Fields" => vec![field_id.into()], "SigFlags" => 3 });
        self.catalog.set("AcroForm", form);
        let links = self.document.objects.values().filter(|object| is_link(object)).count();
        let signature = self.add(dictionary! {
            "Type" => "Sig",
            "Filter" => "Adobe.PPKLite",
            "SubFilter" => "ETSI.CAdES.detached",
            "ByteRange" => vec![0.into(), FAR.into(), FAR.into(), FAR.into()],
            "Contents" => Object::String(vec![0; ROOM_BYTES], StringFormat::Hexadecimal),
            "M" => Object::string_literal(date(&record.frozen_at)),
            "Name" => text(record.author.as_str()),
            "Reason" => Object::string_literal("I made this report and stand by it"),
            "Reference" => vec![Object::Dictionary(dictionary! {
                "Type" => "SigRef",
                "TransformMethod" => "DocMDP",
                "TransformParams" => dictionary! { "Type" => "TransformParams", "P" => 1, "V" => "1.2" },
            })],
        });
        self.document.set_object(
            field_id,
            dictionary! {
                "Type" => "Annot",
                "Subtype" => "Widget",
                "FT" => "Sig",
                "T" => Object::string_literal("seal"),
                "TU" => Object::string_literal("The inspector's seal over the whole file"),
                "F" => 132,
                "Rect" => rectangle(area),
                "P" => self.page_ids[0],
                "V" => signature,
                "AP" => dictionary! { "N" => appearance },
                "StructParent" => (self.page_ids.len() + links) as i64,
            },
        );
        self.catalog.set("Perms", dictionary! { "DocMDP" => signature });
        signature
    }
}

fn is_link(object: &Object) -> bool {
    object
        .as_dict()
        .is_ok_and(|dictionary| dictionary.get(b"Subtype").and_then(Object::as_name).is_ok_and(|name| name == b"Link"))
}

fn real(number: f64) -> Object {
    Object::Real(((number * 100.0).round() / 100.0) as f32)
}

fn rectangle(area: Area) -> Vec<Object> {
    if area.height == 0.0 && area.width == 0.0 {
        return vec![0.into(), 0.into(), 0.into(), 0.into()];
    }
    vec![real(area.x), real(PAGE_HEIGHT - area.bottom()), real(area.right()), real(PAGE_HEIGHT - area.y)]
}

/// A text of the file: as it is where it is ASCII, else in UTF-16.
fn text(words: &str) -> Object {
    if words.is_ascii() {
        return Object::string_literal(words);
    }
    let units = words.encode_utf16().flat_map(u16::to_be_bytes);
    Object::String([0xFE, 0xFF].into_iter().chain(units).collect(), StringFormat::Hexadecimal)
}

/// A moment as PDF writes it (ISO 32000-2, 7.9.4).
fn date(moment: &Timestamp) -> String {
    let offset = moment.offset().local_minus_utc();
    let sign = if offset < 0 { '-' } else { '+' };
    let minutes = offset.abs() / 60;
    format!("D:{}{sign}{:02}'{:02}", moment.format("%Y%m%d%H%M%S"), minutes / 60, minutes % 60)
}

/// Writes the numbers of the two covered ranges over the placeholder, at its length.
fn fill_byte_range(mut bytes: Vec<u8>) -> Result<Prepared, RenderError> {
    let damaged = || RenderError::Pages("the signature's room is not where it was written".to_owned());
    // The room is the last thing but the cross-reference table: looked for from the end.
    let range_at = find_last(&bytes, PLACEHOLDER).ok_or_else(damaged)?;
    let tail = &bytes[range_at + PLACEHOLDER.len()..];
    if !tail.starts_with(PARAGRAPH_OF_ROOM) {
        return Err(damaged());
    }
    let start = range_at + PLACEHOLDER.len() + PARAGRAPH_OF_ROOM.len() - 1;
    let end = start + 2 * ROOM_BYTES + 2;
    let numbers = format!("[0 {start} {end} {}", bytes.len() - end);
    let padded = format!("{numbers:<width$}]", width = PLACEHOLDER.len() - 1);
    bytes[range_at..range_at + PLACEHOLDER.len()].copy_from_slice(padded.as_bytes());
    Ok(Prepared { bytes, room: start + 1..end - 1 })
}

fn find_last(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|window| window == what)
}
