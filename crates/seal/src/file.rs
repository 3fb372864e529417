//! The strict reader of a prepared or sealed report.
//!
//! It reads one profile of PDF 2.0 (ISO 32000-2) and nothing else: what the report's writer writes.
//! There, each thing can be spelt in one way only, so that no two readers can see different files in
//! the same bytes:
//!
//! - header, objects 1 to n without gaps, one cross-reference table with exact offsets, one trailer,
//!   `%%EOF`; every byte of the file belongs to one of them;
//! - the last object is the signature dictionary; its byte range is everything but the hexadecimal
//!   string of `/Contents`, brackets included;
//! - every object is reached from the trailer; nothing can run, hide, change or fetch anything;
//! - one attachment, `record.json`, or with it a second one, `report.pdf`; photographs as JPEG streams.
//!
//! A file that the reader accepts is well-formed, not yet genuine: that needs the signature's check.

mod attachment;
mod byte_range;
mod fault;
mod form;
mod layout;
mod limits;
mod object;
mod pages;
mod reach;
mod room;
mod stream;
mod syntax;

use std::sync::OnceLock;

use sha2::{Digest, Sha256, Sha512};

pub use attachment::{Attachment, RECORD_NAME, REPORT_NAME};
pub use byte_range::{ByteRange, ROOM_BYTES};
pub use fault::{Fault, FaultCode};
pub use object::{Dictionary, Entry, IndirectObject, ObjectNumber, Objects, Text, TextForm, Value};
pub(crate) use room::write_room;
pub use room::{RoomError, fill_room, replace_room};

/// A file that follows the profile in every byte; its signature is not checked yet.
#[derive(Debug, Clone)]
pub struct SealedFile<'a> {
    bytes: &'a [u8],
    objects: Objects<'a>,
    trailer: Dictionary<'a>,
    room: byte_range::Room,
    signature: Dictionary<'a>,
    record: IndirectObject<'a>,
    report: Option<&'a [u8]>,
    pages: Vec<ObjectNumber>,
    covered: OnceLock<[u8; 64]>,
}

impl<'a> SealedFile<'a> {
    /// Reads a prepared or sealed report, or says what is wrong with it.
    ///
    /// Takes at most 512 MiB; never panics; each byte outside deflated streams is looked at about once.
    pub fn read(bytes: &'a [u8]) -> Result<Self, Fault> {
        let mut parser = syntax::Parser::new(bytes);
        let layout = match layout::read(&mut parser) {
            Ok(layout) => layout,
            Err(fault) => return Err(explain_hole(fault, &parser)),
        };
        let layout::Layout { objects, trailer } = layout;

        let signature = form::find_signature(&objects)?;
        let dictionary = signature.value.as_dictionary().ok_or_else(|| {
            Fault::at(FaultCode::SignatureMissing, signature.span.start, "the signature is no dictionary")
        })?;
        let room = byte_range::read_room(dictionary, bytes.len())?;
        form::check_signature(dictionary)?;

        reach::check_reach(&objects, &trailer, dictionary)?;
        let catalog = pages::read_catalog(&objects, &trailer)?;
        let pages = pages::read_pages(&objects, catalog)?;
        form::check_form(&objects, catalog, signature.number, &pages)?;
        form::check_permissions(&objects, catalog, signature)?;
        let (record, report) = attachment::find_attachments(&objects, catalog)?;
        let (record, report) = (record.clone(), report.and_then(|report| report.stream));
        let signature = dictionary.clone();
        stream::check_streams(&objects)?;
        Ok(Self { bytes, objects, trailer, room, signature, record, report, pages, covered: OnceLock::new() })
    }

    /// The whole file.
    pub fn bytes(&self) -> &'a [u8] {
        self.bytes
    }

    /// The two ranges that the signature covers: all but the signature's own string.
    pub fn byte_range(&self) -> &ByteRange {
        &self.room.byte_range
    }

    /// The covered bytes, in order: before and after the signature.
    pub fn signed_bytes(&self) -> [&'a [u8]; 2] {
        let ByteRange { before, after } = self.byte_range().clone();
        [&self.bytes[before], &self.bytes[after]]
    }

    /// A digest of the covered bytes, such as `file.digest::<Sha512>()`.
    pub fn digest<D: Digest>(&self) -> sha2::digest::Output<D> {
        let mut digest = D::new();
        for part in self.signed_bytes() {
            digest.update(part);
        }
        digest.finalize()
    }

    /// SHA-512 of the covered bytes: what the signature's message-digest attribute holds. Hashed once, then kept.
    pub fn covered_digest(&self) -> &[u8; 64] {
        self.covered.get_or_init(|| self.digest::<Sha512>().into())
    }

    /// The report's identity: SHA-256 of the 64 bytes of [`Self::covered_digest`], so that naming a report costs no
    /// second pass over it. A receipt added later does not change it.
    pub fn identity(&self) -> [u8; 32] {
        Sha256::digest(self.covered_digest()).into()
    }

    /// The decoded room, [`ROOM_BYTES`] long: the signature and zeros after it.
    pub fn contents(&self) -> &[u8] {
        &self.room.contents
    }

    /// The signature, one DER sequence; none in a prepared file, whose room is all zeros.
    pub fn signature(&self) -> Option<&[u8]> {
        (self.room.der_bytes > 0).then(|| &self.room.contents[..self.room.der_bytes])
    }

    /// The signature dictionary, with the claimed name, time and reason.
    pub fn signature_dictionary(&self) -> &Dictionary<'a> {
        &self.signature
    }

    /// All objects.
    pub fn objects(&self) -> &Objects<'a> {
        &self.objects
    }

    /// The trailer.
    pub fn trailer(&self) -> &Dictionary<'a> {
        &self.trailer
    }

    /// How many pages the file has, at least 1.
    pub fn page_count(&self) -> usize {
        self.pages.len()
    }

    /// The objects of the pages in reading order.
    pub fn pages(&self) -> &[ObjectNumber] {
        &self.pages
    }

    /// The attached record, unpacked.
    pub fn record(&self) -> Result<Attachment, Fault> {
        attachment::read_record(&self.record)
    }

    /// The attached report as it is, where the file is a condition statement that rests on one.
    pub fn report(&self) -> Option<&'a [u8]> {
        self.report
    }

    /// The photographs: the JPEG files inside the file, unchanged, in the order of their objects.
    pub fn image_streams(&self) -> impl Iterator<Item = &'a [u8]> {
        self.objects.iter().filter_map(|object| {
            let dictionary = object.value.as_dictionary()?;
            object.stream.filter(|_| matches!(stream::read_filter(dictionary), Ok(stream::Filter::Dct)))
        })
    }

    /// The unpacked data of a stream; a JPEG stays as it is, an object without a stream gives nothing.
    pub fn decode_stream(&self, object: &IndirectObject<'a>) -> Result<Vec<u8>, Fault> {
        stream::decode(object)
    }
}

/// Where the signature leaves out more than itself, that is the reason for whatever does not fit.
fn explain_hole(fault: Fault, parser: &syntax::Parser<'_>) -> Fault {
    let (Some([0, _, start, _]), Some(end)) = (parser.byte_range, parser.contents_end) else { return fault };
    match usize::try_from(start) {
        Ok(start) if start > end => Fault::at(
            FaultCode::ByteRangeHole,
            end,
            format!("{} bytes stand beside the signature where it covers nothing ({fault})", start - end),
        ),
        _ => fault,
    }
}
