//! A small report put together by hand, in the spelling that the reader accepts, and easy to spoil.
//!
//! Objects have names; `@name@` in a body becomes the reference to that object, so that objects can
//! be added without renumbering. The signature stays the last one.

#![allow(dead_code, reason = "each test file uses its own part of the builder")]

use std::io::Write;

use flate2::Compression;
use flate2::write::ZlibEncoder;
use seal::file::{self, ROOM_BYTES};

/// What the writer puts before the real numbers are known.
pub const PLACEHOLDER: &str = "[0 1000000000 1000000000 1000000000]";
/// The smallest DER that could stand for a signature: a sequence of one number.
pub const DER: [u8; 5] = [0x30, 0x03, 0x02, 0x01, 0x05];
/// Begins and ends as a JPEG; the reader looks no further.
pub const JPEG: &[u8] = b"\xFF\xD8\xFF\xE0 photograph of a disc \xFF\xD9";
/// Stands for the canonical record.
pub const RECORD: &[u8] = br#"{"schema":"rimside.record/1"}"#;

pub struct Draft {
    objects: Vec<(String, Vec<u8>)>,
    /// Further entries of the trailer.
    pub trailer: String,
}

impl Draft {
    /// The valid report: one page with text, one photograph, one link, the record.
    pub fn valid() -> Self {
        let mut draft = Self { objects: Vec::new(), trailer: "/Info@info@".to_owned() };
        draft.push(
            "catalog",
            "<</Type/Catalog/Pages @pages@/Extensions<</ISO_<</BaseVersion/2.0/ExtensionLevel 32002>>>>\
             /Names<</EmbeddedFiles<</Names[(record.json) @file@]>>>>/AF[@file@]/AcroForm @form@\
             /Perms<</DocMDP @signature@>>/Lang(en)>>",
        );
        draft.push("pages", "<</Type/Pages/Kids[@page@]/Count 1>>");
        draft.push(
            "page",
            "<</Type/Page/Parent @pages@/MediaBox[0 0 595.28 841.89]/CropBox[0 0 595.28 841.89]\
             /Resources @resources@/Contents @text@/Annots[@link@ @field@]>>",
        );
        draft.push("resources", "<</Font<</F0 @font@>>/XObject<</P0 @photograph@>>>>");
        draft.push_stream("text", "/Filter/FlateDecode", &deflate(b"BT /F0 11 Tf <0001> Tj ET"));
        draft.push(
            "font",
            "<</Type/Font/Subtype/Type0/BaseFont/ABCDEF+Disc/Encoding/Identity-H/DescendantFonts[<</Type/Font\
             /Subtype/CIDFontType2/BaseFont/ABCDEF+Disc/FontDescriptor<</Type/FontDescriptor/FontName/ABCDEF+Disc\
             /FontFile2 @program@>>>>]>>",
        );
        draft.push_stream("program", "/Filter/FlateDecode", &deflate(&[0, 1, 0, 0]));
        draft.push_stream("photograph", "/Type/XObject/Subtype/Image/Filter/DCTDecode", JPEG);
        draft.push(
            "link",
            "<</Type/Annot/Subtype/Link/Rect[10 10 50 20]/Border[0 0 0]/F 4\
             /A<</Type/Action/S/URI/URI(https://example.org/)>>>>",
        );
        draft.push("field", "<</Type/Annot/Subtype/Widget/FT/Sig/T(seal)/F 132/Rect[0 0 0 0]/P @page@/V @signature@>>");
        draft.push("form", "<</Fields[@field@]/SigFlags 3>>");
        draft.push(
            "file",
            "<</Type/Filespec/F(record.json)/UF(record.json)/EF<</F @record@/UF @record@>>/AFRelationship/Data>>",
        );
        draft.push_stream(
            "record",
            "/Type/EmbeddedFile/Subtype/application#2Fjson/Filter/FlateDecode",
            &deflate(RECORD),
        );
        draft.push("info", "<</Title(Brake \\(disc (front) report)/Producer<FEFF0052>>>");
        draft.push(
            "signature",
            &format!(
                "<</Type/Sig/Filter/Adobe.PPKLite/SubFilter/ETSI.CAdES.detached/ByteRange{PLACEHOLDER}/Contents<{}>\
                 /M(D:20260102030405Z)/Name(A. Inspector)/Reason(Condition report)/Reference[<</Type/SigRef\
                 /TransformMethod/DocMDP/TransformParams<</Type/TransformParams/P 1/V/1.2>>>>]>>",
                "00".repeat(ROOM_BYTES)
            ),
        );
        draft
    }

    fn push(&mut self, name: &str, body: &str) {
        self.objects.push((name.to_owned(), body.as_bytes().to_vec()));
    }

    fn push_stream(&mut self, name: &str, entries: &str, data: &[u8]) {
        self.objects.push((name.to_owned(), stream(entries, data)));
    }

    /// Adds an object before the signature.
    pub fn add(mut self, name: &str, body: impl AsRef<[u8]>) -> Self {
        let last = self.objects.len() - 1;
        self.objects.insert(last, (name.to_owned(), body.as_ref().to_vec()));
        self
    }

    /// Adds an object after the signature.
    pub fn append(mut self, name: &str, body: impl AsRef<[u8]>) -> Self {
        self.objects.push((name.to_owned(), body.as_ref().to_vec()));
        self
    }

    /// Takes an object out.
    pub fn remove(mut self, name: &str) -> Self {
        let before = self.objects.len();
        self.objects.retain(|(other, _)| other != name);
        assert_eq!(self.objects.len() + 1, before, "no object {name}");
        self
    }

    /// Replaces a whole object.
    pub fn set(mut self, name: &str, body: impl AsRef<[u8]>) -> Self {
        self.body(name).splice(.., body.as_ref().iter().copied());
        self
    }

    /// Replaces the one place of `from` in an object.
    pub fn swap(mut self, name: &str, from: &str, to: &str) -> Self {
        let body = self.body(name);
        *body = replace_once(body, from.as_bytes(), to.as_bytes());
        self
    }

    /// Adds entries to the end of an object's dictionary.
    pub fn extend(mut self, name: &str, entries: &str) -> Self {
        let body = self.body(name);
        let end = find(body, b">>stream\n").unwrap_or(body.len() - 2);
        body.splice(end..end, entries.bytes());
        self
    }

    pub fn trailer(mut self, entries: &str) -> Self {
        self.trailer.push_str(entries);
        self
    }

    fn body(&mut self, name: &str) -> &mut Vec<u8> {
        let object = self.objects.iter_mut().find(|(other, _)| other == name);
        &mut object.unwrap_or_else(|| panic!("no object {name}")).1
    }

    pub fn number(&self, name: &str) -> usize {
        self.objects.iter().position(|(other, _)| other == name).unwrap_or_else(|| panic!("no object {name}")) + 1
    }

    fn resolve(&self, body: &[u8]) -> Vec<u8> {
        let mut body = body.to_vec();
        for (number, (name, _)) in self.objects.iter().enumerate() {
            let mark = format!("@{name}@");
            while let Some(at) = find(&body, mark.as_bytes()) {
                // The writer puts a space before a reference that follows a name, none after a bracket.
                let glued = at == 0 || b"[ ".contains(&body[at - 1]);
                let reference = format!("{}{} 0 R", if glued { "" } else { " " }, number + 1);
                body.splice(at..at + mark.len(), reference.bytes());
            }
        }
        body
    }

    /// The file as the report's writer writes it, the byte range still open.
    pub fn assemble(&self) -> Vec<u8> {
        let mut file = b"%PDF-2.0\n%\xBB\xAD\xC0\xDE\n".to_vec();
        let mut offsets = Vec::new();
        for (place, (_, body)) in self.objects.iter().enumerate() {
            offsets.push(file.len());
            let body = self.resolve(body);
            writeln!(file, "{} 0 obj", place + 1).unwrap();
            file.extend_from_slice(&body);
            file.extend_from_slice(b"\nendobj\n");
        }
        let table = file.len();
        writeln!(file, "xref\n0 {}\n0000000000 65535 f ", offsets.len() + 1).unwrap();
        for offset in &offsets {
            writeln!(file, "{offset:010} 00000 n ").unwrap();
        }
        let trailer = self.resolve(
            format!("<</Root@catalog@/Size {}{}/ID[<00FF><00FF>]>>", offsets.len() + 1, self.trailer).as_bytes(),
        );
        file.extend_from_slice(b"trailer\n");
        file.extend_from_slice(&trailer);
        write!(file, "\nstartxref\n{table}\n%%EOF").unwrap();
        file
    }

    /// The prepared file: the byte range filled in, the room empty.
    pub fn prepare(&self) -> Vec<u8> {
        let file = self.assemble();
        let (start, end) = room(&file);
        let range = format!("[0 {start} {end} {}]", file.len() - end);
        with_byte_range(&file, &range)
    }

    /// The prepared file with [`DER`] in its room.
    pub fn seal(&self) -> Vec<u8> {
        fill(&self.prepare(), &DER)
    }
}

/// A valid report with [`DER`] for a signature.
pub fn sealed() -> Vec<u8> {
    let prepared = Draft::valid().prepare();
    file::fill_room(&prepared, &DER).unwrap()
}

/// A stream object with its right length.
pub fn stream(entries: &str, data: &[u8]) -> Vec<u8> {
    let mut body = format!("<<{entries}/Length {}>>stream\n", data.len()).into_bytes();
    body.extend_from_slice(data);
    body.extend_from_slice(b"\nendstream ");
    body
}

pub fn deflate(plain: &[u8]) -> Vec<u8> {
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(plain).unwrap();
    encoder.finish().unwrap()
}

/// The place of the signature's string with its brackets.
pub fn room(file: &[u8]) -> (usize, usize) {
    let start = entry(file, b"/Contents<") + b"/Contents".len();
    let length = file[start..].iter().position(|&byte| byte == b'>').expect("the room is closed") + 1;
    (start, start + length)
}

/// The first such entry of the signature dictionary, whatever strings say later.
fn entry(file: &[u8], key: &[u8]) -> usize {
    let signature = rfind(file, b"/Filter/Adobe.PPK").expect("the file has a signature");
    signature + find(&file[signature..], key).expect("the signature has the entry")
}

/// Writes another byte range over the present one, padded to its length.
pub fn with_byte_range(file: &[u8], range: &str) -> Vec<u8> {
    let start = entry(file, b"/ByteRange[") + b"/ByteRange".len();
    let length = file[start..].iter().position(|&byte| byte == b']').expect("the byte range is closed") + 1;
    let inner = range.strip_suffix(']').expect("a byte range in brackets");
    let padded = format!("{inner:<width$}]", width = length - 1);
    let mut file = file.to_vec();
    file.splice(start..start + length, padded.bytes());
    file
}

/// Writes bytes to the start of the room, whether they are a signature or not.
pub fn fill(file: &[u8], bytes: &[u8]) -> Vec<u8> {
    let (start, _) = room(file);
    let mut file = file.to_vec();
    file[start + 1..][..2 * bytes.len()].copy_from_slice(hex::encode(bytes).as_bytes());
    file
}

pub fn replace_once(bytes: &[u8], from: &[u8], to: &[u8]) -> Vec<u8> {
    let at = find(bytes, from).unwrap_or_else(|| panic!("{:?} is not there", String::from_utf8_lossy(from)));
    assert_eq!(rfind(bytes, from), Some(at), "{:?} is there twice", String::from_utf8_lossy(from));
    [&bytes[..at], to, &bytes[at + from.len()..]].concat()
}

pub fn find(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).position(|window| window == what)
}

pub fn rfind(bytes: &[u8], what: &[u8]) -> Option<usize> {
    bytes.windows(what.len()).rposition(|window| window == what)
}
