//! Originals for tests: small pictures with the metadata that cameras write.
#![allow(dead_code, reason = "each test file uses its own part")]
#![allow(clippy::unwrap_used, reason = "a test's own picture that cannot be made fails the test")]

use std::io::Cursor;

use exif::{Field, In, Rational, Tag, Value, experimental::Writer};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

/// A JPEG of pixels that `colour_at(x, y)` gives.
pub fn jpeg(width: u16, height: u16, colour_at: impl Fn(u16, u16) -> [u8; 3]) -> Vec<u8> {
    encode(width, height, colour_at, &[], false)
}

/// The same with an EXIF block.
pub fn jpeg_with(width: u16, height: u16, colour_at: impl Fn(u16, u16) -> [u8; 3], exif: &[u8]) -> Vec<u8> {
    encode(width, height, colour_at, exif, false)
}

/// The same, coded progressively.
pub fn progressive(width: u16, height: u16, colour_at: impl Fn(u16, u16) -> [u8; 3]) -> Vec<u8> {
    encode(width, height, colour_at, &[], true)
}

fn encode(width: u16, height: u16, colour_at: impl Fn(u16, u16) -> [u8; 3], exif: &[u8], progressive: bool) -> Vec<u8> {
    let pixels: Vec<u8> =
        (0..height).flat_map(|y| (0..width).map(move |x| (x, y))).flat_map(|(x, y)| colour_at(x, y)).collect();
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, 95);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    encoder.set_progressive(progressive);
    if !exif.is_empty() {
        encoder.add_exif_metadata(exif).unwrap();
    }
    encoder.encode(&pixels, width, height, ColorType::Rgb).unwrap();
    bytes
}

/// An EXIF block of these fields.
pub fn exif_block(fields: &[Field]) -> Vec<u8> {
    let mut writer = Writer::new();
    for field in fields {
        writer.push_field(field);
    }
    let mut block = Cursor::new(Vec::new());
    writer.write(&mut block, false).unwrap();
    block.into_inner()
}

pub fn orientation(value: u16) -> Field {
    Field { tag: Tag::Orientation, ifd_num: In::PRIMARY, value: Value::Short(vec![value]) }
}

pub fn text(tag: Tag, text: &str) -> Field {
    Field { tag, ifd_num: In::PRIMARY, value: Value::Ascii(vec![text.as_bytes().to_vec()]) }
}

pub fn latitude(degrees: u32) -> Field {
    let part = |num| Rational { num, denom: 1 };
    Field {
        tag: Tag::GPSLatitude,
        ifd_num: In::PRIMARY,
        value: Value::Rational(vec![part(degrees), part(17), part(43)]),
    }
}

/// A marker segment.
pub fn segment(code: u8, contents: &[u8]) -> Vec<u8> {
    let length = u16::try_from(contents.len() + 2).unwrap();
    let mut bytes = vec![0xff, code];
    bytes.extend(length.to_be_bytes());
    bytes.extend(contents);
    bytes
}

/// The file with bytes put in straight after its first marker.
pub fn insert_at_start(mut jpeg: Vec<u8>, bytes: &[u8]) -> Vec<u8> {
    jpeg.splice(2..2, bytes.iter().copied());
    jpeg
}

/// Where a sequence of bytes stands.
pub fn find(haystack: &[u8], needle: &[u8]) -> Option<usize> {
    haystack.windows(needle.len()).position(|window| window == needle)
}

/// Decodes a JPEG with the decoder at full size, as an independent look at a copy.
pub fn decode(bytes: &[u8]) -> (u16, u16, Vec<u8>) {
    let mut decoder = jpeg_decoder::Decoder::new(bytes);
    let pixels = decoder.decode().unwrap();
    let info = decoder.info().unwrap();
    (info.width, info.height, pixels)
}
