//! The file around the pages: catalog, tags, bookmarks, attachment, the signature's empty room.
//!
//! The page writer gives the pages' contents and the fonts. Everything else is written here in a fixed order, so
//! that the file has nothing in it that no page, no reader and no rule needs.

mod navigation;
mod room;
mod tags;
mod value;

use std::collections::BTreeMap;

use lopdf::{Dictionary, Document, Object, ObjectId, Stream, StringFormat, dictionary};
use model::Timestamp;
use printpdf::{FontId, PdfDocument, PdfFont, PdfSaveOptions};

use super::{
    face::{Face, Typeface},
    flow::{Laid, PAGE_HEIGHT, PAGE_WIDTH},
    icc::srgb_profile,
    mark::{Area, Link},
    paint::{Painted, paint_sheets, photograph_name},
    tree::{Kid, Role, Tree},
    xmp::{About, describe},
};
use crate::{Prepared, RenderError, jpeg::Jpeg};
use room::fill_byte_range;
use value::{count, date, deflate, rectangle};

/// What a file that is to be sealed says of itself, and what travels in it.
pub(crate) struct Contents<'a> {
    pub title: &'a str,
    pub author: &'a str,
    pub at: &'a Timestamp,
    /// What made it, with its form.
    pub made_by: String,
    /// Why somebody signs it, as the signature says.
    pub reason: &'static str,
    /// The record's canonical JSON.
    pub record: &'a [u8],
    /// The report that a condition statement rests on.
    pub report: Option<&'a [u8]>,
    pub photographs: &'a [Jpeg<'a>],
}

/// The file's bytes.
pub(crate) fn write_file(laid: Laid, typeface: Typeface, inside: &Contents<'_>) -> Result<Prepared, RenderError> {
    let Laid { sheets, mut tree, bookmarks, seal } = laid;
    let Painted { pages, owners } = paint_sheets(&typeface, &sheets, &mut tree);
    let links: Vec<Vec<Link>> = sheets.into_iter().map(|sheet| sheet.links).collect();
    let (contents, fonts, mut source) = write_pages(pages, typeface)?;

    let (mut out, catalog_id, pages_id) = Writer::begin(contents.len());
    let form = tree.add(Tree::ROOT, Role::Form);
    tree.hang(form, Kid::Field);
    let field_id = out.document.new_object_id();

    let resources = out.add_resources(&mut source, &fonts, inside.photographs);
    let link_ids = out.add_links(&links, &bookmarks);
    out.add_pages(pages_id, resources, contents, &link_ids, Some(field_id));
    out.add_tags(&tree, &owners, &link_ids, Some(field_id));
    out.add_bookmarks(&bookmarks);
    out.add_attachments(inside);
    out.add_metadata(&About {
        title: inside.title,
        author: inside.author,
        when: inside.at.format("%Y-%m-%dT%H:%M:%S%:z").to_string(),
        made_by: inside.made_by.clone(),
    });
    // The signature needs ISO/TS 32002 (Ed25519 in PDF 2.0).
    let extension = dictionary! { "BaseVersion" => "2.0", "ExtensionLevel" => 32_002 };
    out.catalog.set("Extensions", dictionary! { "ISO_" => extension });
    let link_count = links.iter().map(Vec::len).sum();
    out.add_signature(inside, field_id, link_count, seal);

    let photographs: usize = inside.photographs.iter().map(|jpeg| jpeg.bytes.len()).sum();
    let expected = inside.record.len() + inside.report.map_or(0, <[u8]>::len) + photographs + (1 << 20);
    fill_byte_range(out.finish((catalog_id, pages_id), inside.record, expected)?)
}

/// The bytes of a file that is not to be sealed: pages, tags, bookmarks, and what it says about itself.
pub(crate) fn write_plain_file(
    laid: Laid,
    typeface: Typeface,
    about: &About<'_>,
    made_from: &[u8],
) -> Result<Vec<u8>, RenderError> {
    let Laid { sheets, mut tree, bookmarks, .. } = laid;
    let Painted { pages, owners } = paint_sheets(&typeface, &sheets, &mut tree);
    let links: Vec<Vec<Link>> = sheets.into_iter().map(|sheet| sheet.links).collect();
    let (contents, fonts, mut source) = write_pages(pages, typeface)?;
    let (mut out, catalog_id, pages_id) = Writer::begin(contents.len());
    let resources = out.add_resources(&mut source, &fonts, &[]);
    let link_ids = out.add_links(&links, &bookmarks);
    out.add_pages(pages_id, resources, contents, &link_ids, None);
    out.add_tags(&tree, &owners, &link_ids, None);
    out.add_bookmarks(&bookmarks);
    out.add_metadata(about);
    out.finish((catalog_id, pages_id), made_from, 1 << 18)
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
    /// An empty file with so many pages to come, and the places of its catalog and its pages.
    fn begin(pages: usize) -> (Self, ObjectId, ObjectId) {
        let mut out =
            Self { document: Document::with_version("2.0"), page_ids: Vec::new(), catalog: Dictionary::new() };
        out.document.reference_table.cross_reference_type = lopdf::xref::XrefType::CrossReferenceTable;
        let catalog_id = out.document.new_object_id();
        let pages_id = out.document.new_object_id();
        out.page_ids = (0..pages).map(|_| out.document.new_object_id()).collect();
        (out, catalog_id, pages_id)
    }

    /// The file's bytes. Its identifier follows from what it was made from, so that the same gives the same file.
    fn finish(
        mut self,
        (catalog_id, pages_id): (ObjectId, ObjectId),
        made_from: &[u8],
        expected: usize,
    ) -> Result<Vec<u8>, RenderError> {
        let mut whole = dictionary! { "Type" => "Catalog", "Pages" => pages_id };
        whole.extend(&self.catalog);
        self.document.set_object(catalog_id, whole);
        self.document.trailer.set("Root", catalog_id);
        let digest = model::Sha256::of(made_from);
        let id = Object::String(digest.as_bytes()[..16].to_vec(), StringFormat::Hexadecimal);
        self.document.trailer.set("ID", vec![id.clone(), id]);
        let mut bytes = Vec::with_capacity(expected);
        self.document.save_to(&mut bytes).map_err(|error| RenderError::Pages(error.to_string()))?;
        Ok(bytes)
    }

    fn add(&mut self, object: impl Into<Object>) -> ObjectId {
        self.document.add_object(object)
    }

    fn add_deflated(&mut self, dictionary: Dictionary, content: Vec<u8>) -> ObjectId {
        self.add(deflate(Stream::new(dictionary, content)))
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
        if let Object::Stream(stream) = object {
            object = deflate(stream).into();
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

    fn add_pages(
        &mut self,
        pages_id: ObjectId,
        resources: ObjectId,
        contents: Vec<Vec<u8>>,
        links: &[Vec<ObjectId>],
        field: Option<ObjectId>,
    ) {
        let ids = self.page_ids.clone();
        for (place, (content, id)) in contents.into_iter().zip(&ids).enumerate() {
            let content = self.add_deflated(Dictionary::new(), content);
            let mut annotations: Vec<Object> = links[place].iter().map(|&id| id.into()).collect();
            annotations.extend(field.filter(|_| place == 0).map(Object::from));
            let mut page = dictionary! {
                "Type" => "Page",
                "Parent" => pages_id,
                "MediaBox" => rectangle(Area::new(0.0, 0.0, PAGE_WIDTH, PAGE_HEIGHT)),
                "Resources" => resources,
                "Contents" => content,
                "StructParents" => count(place),
                "Tabs" => "S",
            };
            if !annotations.is_empty() {
                page.set("Annots", annotations);
            }
            self.document.set_object(*id, page);
        }
        let kids: Vec<Object> = ids.iter().map(|&id| id.into()).collect();
        let tree = dictionary! { "Type" => "Pages", "Kids" => kids, "Count" => count(ids.len()) };
        self.document.set_object(pages_id, tree);
    }

    /// The record, and the report that it rests on where there is one; each named twice, in the list of names and among
    /// the associated files, in the same order.
    fn add_attachments(&mut self, inside: &Contents<'_>) {
        let packed = |stream: Stream| deflate(stream);
        let record = self.add_file(
            inside,
            ("record.json", "application/json", "Data"),
            "The record that these pages were made from, in canonical JSON",
            inside.record,
            packed,
        );
        let mut files = vec![("record.json", record)];
        if let Some(report) = inside.report {
            // As it came: a report is packed already, and a reader finds its bytes as they are.
            let plain = |mut stream: Stream| {
                stream.allows_compression = false;
                stream
            };
            let words = "The sealed report that this statement rests on, unaltered";
            files.push((
                "report.pdf",
                self.add_file(inside, ("report.pdf", "application/pdf", "Source"), words, report, plain),
            ));
        }
        let names: Vec<Object> =
            files.iter().flat_map(|(name, file)| [Object::string_literal(*name), (*file).into()]).collect();
        self.catalog.set("Names", dictionary! { "EmbeddedFiles" => dictionary! { "Names" => names } });
        self.catalog.set("AF", files.into_iter().map(|(_, file)| file.into()).collect::<Vec<Object>>());
    }

    fn add_file(
        &mut self,
        inside: &Contents<'_>,
        (name, kind, relationship): (&str, &str, &str),
        words: &str,
        bytes: &[u8],
        pack: impl Fn(Stream) -> Stream,
    ) -> ObjectId {
        let dictionary = dictionary! {
            "Type" => "EmbeddedFile",
            "Subtype" => kind,
            "Params" => dictionary! {
                "Size" => count(bytes.len()),
                "ModDate" => Object::string_literal(date(inside.at)),
            },
        };
        let stream = self.add(pack(Stream::new(dictionary, bytes.to_vec())));
        self.add(dictionary! {
            "Type" => "Filespec",
            "F" => Object::string_literal(name),
            "UF" => Object::string_literal(name),
            "Desc" => Object::string_literal(words),
            "EF" => dictionary! { "F" => stream, "UF" => stream },
            "AFRelationship" => relationship,
        })
    }

    fn add_metadata(&mut self, about: &About<'_>) {
        let mut stream =
            Stream::new(dictionary! { "Type" => "Metadata", "Subtype" => "XML" }, describe(about).into_bytes());
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
    }
}
