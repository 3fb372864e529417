//! Values as the file spells them.

use std::io::Write;

use flate2::{Compression, write::ZlibEncoder};
use lopdf::{Object, Stream, StringFormat};
use model::Timestamp;

use crate::v1::{flow::PAGE_HEIGHT, mark::Area};

/// A count. What a file holds is far below the greatest number.
pub(super) fn count(number: usize) -> i64 {
    i64::try_from(number).unwrap_or(i64::MAX)
}

/// Packs a stream (zlib, RFC 1950), quickly: every reader packs again what it checks, and the photographs, which are
/// nearly all of the file, are not packed at all.
pub(super) fn deflate(mut stream: Stream) -> Stream {
    let mut packer = ZlibEncoder::new(Vec::with_capacity(stream.content.len() / 2), Compression::fast());
    // Writing to memory does not fail; were it to, the stream stands there unpacked.
    if let Ok(packed) = packer.write_all(&stream.content).and_then(|()| packer.finish()) {
        stream.dict.set("Filter", "FlateDecode");
        stream.set_content(packed);
    }
    stream
}

/// A length in hundredths of a point.
pub(super) fn real(number: f64) -> Object {
    Object::Real(((number * 100.0).round() / 100.0) as f32)
}

/// An area as corners, counted from the page's lower left.
pub(super) fn rectangle(area: Area) -> Vec<Object> {
    if area.height == 0.0 && area.width == 0.0 {
        return vec![0.into(), 0.into(), 0.into(), 0.into()];
    }
    vec![real(area.x), real(PAGE_HEIGHT - area.bottom()), real(area.right()), real(PAGE_HEIGHT - area.y)]
}

/// A text of the file: as it is where it is ASCII, else in UTF-16.
pub(super) fn text(words: &str) -> Object {
    if words.is_ascii() {
        return Object::string_literal(words);
    }
    let units = words.encode_utf16().flat_map(u16::to_be_bytes);
    Object::String([0xFE, 0xFF].into_iter().chain(units).collect(), StringFormat::Hexadecimal)
}

/// A moment as PDF writes it (ISO 32000-2, 7.9.4).
pub(super) fn date(moment: &Timestamp) -> String {
    let offset = moment.offset().local_minus_utc();
    let sign = if offset < 0 { '-' } else { '+' };
    let minutes = offset.abs() / 60;
    format!("D:{}{sign}{:02}'{:02}", moment.format("%Y%m%d%H%M%S"), minutes / 60, minutes % 60)
}
