//! The signature's field, its dictionary, and the empty room in it.

use lopdf::{Dictionary, Object, ObjectId, Stream, StringFormat, dictionary};

use super::{
    Contents, Writer,
    value::{count, date, real, rectangle, text},
};
use crate::{Prepared, ROOM_BYTES, RenderError, v1::mark::Area};

const FAR: i64 = 1_000_000_000;
/// What stands for the byte range until its numbers are known.
const PLACEHOLDER: &[u8] = b"[0 1000000000 1000000000 1000000000]";
/// What follows it.
const CONTENTS: &[u8] = b"/Contents<";

impl Writer {
    /// The signature's field and, as the last object, its dictionary with an empty room.
    pub(super) fn add_signature(
        &mut self,
        inside: &Contents<'_>,
        field_id: ObjectId,
        links: usize,
        seal: Option<Area>,
    ) {
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
        let signature = self.add(dictionary! {
            "Type" => "Sig",
            "Filter" => "Adobe.PPKLite",
            "SubFilter" => "ETSI.CAdES.detached",
            "ByteRange" => vec![0.into(), FAR.into(), FAR.into(), FAR.into()],
            "Contents" => Object::String(vec![0; ROOM_BYTES], StringFormat::Hexadecimal),
            "M" => Object::string_literal(date(inside.at)),
            "Name" => text(inside.author),
            "Reason" => Object::string_literal(inside.reason),
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
                "StructParent" => count(self.page_ids.len() + links),
            },
        );
        self.catalog.set("Perms", dictionary! { "DocMDP" => signature });
    }
}

/// Writes the numbers of the two covered ranges over the placeholder, at its length.
pub(super) fn fill_byte_range(mut bytes: Vec<u8>) -> Result<Prepared, RenderError> {
    let damaged = || RenderError::Pages("the signature's room is not where it was written".to_owned());
    let object = find_last_object(&bytes).ok_or_else(damaged)?;
    // Nothing that a person wrote stands in the object before the placeholder.
    let range_at = object + find(&bytes[object..], PLACEHOLDER).ok_or_else(damaged)?;
    let start = range_at + PLACEHOLDER.len() + CONTENTS.len() - 1;
    let end = start + 2 * ROOM_BYTES + 2;
    if bytes.get(range_at + PLACEHOLDER.len()..=start) != Some(CONTENTS) || bytes.get(end - 1) != Some(&b'>') {
        return Err(damaged());
    }
    let numbers = format!("[0 {start} {end} {}", bytes.len() - end);
    let padded = format!("{numbers:<width$}]", width = PLACEHOLDER.len() - 1);
    bytes[range_at..range_at + PLACEHOLDER.len()].copy_from_slice(padded.as_bytes());
    Ok(Prepared { bytes, room: start + 1..end - 1 })
}

/// Where the last object begins, as the last row of the cross-reference table says.
fn find_last_object(bytes: &[u8]) -> Option<usize> {
    let trailer = bytes.windows(8).rposition(|window| window == b"trailer\n")?;
    let row = bytes.get(trailer.checked_sub(20)?..trailer)?;
    std::str::from_utf8(&row[..10]).ok()?.parse().ok()
}

fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|window| window == what)
}
