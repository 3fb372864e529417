//! The data of streams: deflated, JPEG or plain.

use flate2::{Decompress, FlushDecompress, Status};

use super::fault::{Fault, FaultCode};
use super::limits;
use super::object::{Dictionary, IndirectObject, Objects, Value};

/// How a stream's data is packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Filter {
    /// Not at all.
    None,
    /// zlib (RFC 1950).
    Flate,
    /// A JPEG file.
    Dct,
}

/// Checks every stream: its filter, that deflated data is whole and stays within the limits, and
/// that a JPEG fills its stream from the first to the last byte.
pub(crate) fn check_streams(objects: &Objects<'_>) -> Result<(), Fault> {
    let mut left = limits::ALL_STREAM_BYTES;
    for object in objects.iter() {
        let (Some(data), Some(dictionary)) = (object.stream, object.value.as_dictionary()) else { continue };
        refuse_outside_data(dictionary)?;
        match read_filter(dictionary)? {
            Filter::None => {}
            Filter::Flate => left -= inflate(object, data, left, |_| {})?,
            Filter::Dct => {
                if !(data.starts_with(&[0xFF, 0xD8, 0xFF]) && data.ends_with(&[0xFF, 0xD9])) {
                    return Err(Fault::at(
                        FaultCode::ImageMalformed,
                        object.span.start,
                        format!("object {} is said to be a JPEG and does not begin and end as one", object.number),
                    ));
                }
            }
        }
    }
    Ok(())
}

fn refuse_outside_data(dictionary: &Dictionary<'_>) -> Result<(), Fault> {
    match dictionary.entries.iter().find(|entry| matches!(entry.key, "F" | "FFilter" | "FDecodeParms")) {
        Some(entry) => {
            Err(Fault::at(FaultCode::ExternalStream, entry.at, "the data of a stream lies outside the file"))
        }
        None => Ok(()),
    }
}

pub(crate) fn read_filter(dictionary: &Dictionary<'_>) -> Result<Filter, Fault> {
    if let Some(entry) = dictionary.entries.iter().find(|entry| matches!(entry.key, "DecodeParms" | "DP")) {
        return Err(Fault::at(
            FaultCode::FilterParameters,
            entry.at,
            "a stream has filter parameters, which reports do not use",
        ));
    }
    match dictionary.find("Filter") {
        None => Ok(Filter::None),
        Some(Value::Name("FlateDecode")) => Ok(Filter::Flate),
        Some(Value::Name("DCTDecode")) => Ok(Filter::Dct),
        Some(Value::Name(name)) => Err(Fault::at(
            FaultCode::FilterUnknown,
            dictionary.at,
            format!("a stream uses the filter {name}; reports use FlateDecode and DCTDecode"),
        )),
        Some(_) => {
            Err(Fault::at(FaultCode::FilterUnknown, dictionary.at, "a stream uses a filter that is not one name"))
        }
    }
}

/// The unpacked data of a stream that [`check_streams`] let through; a JPEG stays as it is.
pub(crate) fn decode(object: &IndirectObject<'_>) -> Result<Vec<u8>, Fault> {
    let (Some(data), Some(dictionary)) = (object.stream, object.value.as_dictionary()) else { return Ok(Vec::new()) };
    let mut plain = Vec::new();
    match read_filter(dictionary)? {
        Filter::Flate => {
            inflate(object, data, limits::STREAM_BYTES, |piece| plain.extend_from_slice(piece))?;
        }
        Filter::None | Filter::Dct => plain.extend_from_slice(data),
    }
    Ok(plain)
}

/// Unpacks piece by piece and returns the unpacked length.
fn inflate(object: &IndirectObject<'_>, data: &[u8], left: usize, mut take: impl FnMut(&[u8])) -> Result<usize, Fault> {
    let limit =
        left.min(limits::STREAM_BYTES).min(data.len().saturating_mul(limits::STREAM_RATIO) + limits::STREAM_ALLOWANCE);
    let damaged = |what: &str| {
        Fault::at(
            FaultCode::DecompressionFailed,
            object.span.start,
            format!("the data of stream {} {what}", object.number),
        )
    };
    let mut piece = vec![0; 64 << 10];
    let mut machine = Decompress::new(true);
    let (mut read, mut written) = (0, 0);
    loop {
        let status =
            machine.decompress(&data[read..], &mut piece, FlushDecompress::None).map_err(|_| damaged("is damaged"))?;
        let progress = (machine.total_in() as usize, machine.total_out() as usize);
        take(&piece[..progress.1 - written]);
        if progress.1 > limit {
            return Err(Fault::at(
                FaultCode::DecompressionTooLarge,
                object.span.start,
                format!("stream {} has {} bytes and grows to more than {limit}", object.number, data.len()),
            ));
        }
        let stuck = progress == (read, written);
        (read, written) = progress;
        match status {
            Status::StreamEnd if read == data.len() => return Ok(written),
            Status::StreamEnd => return Err(damaged("goes on after its end")),
            _ if stuck => return Err(damaged("ends early")),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;

    use flate2::{Compression, write::ZlibEncoder};
    use rand_core::Rng as _;

    use super::super::object::Entry;
    use super::*;
    use crate::fixture::FixedRng;

    /// A stream that grows to so many bytes, and by less than it may for its own size.
    fn pack(bytes: usize) -> Vec<u8> {
        let mut plain = vec![0; bytes];
        let noisy = bytes / 160;
        FixedRng::new("noise").fill_bytes(&mut plain[..noisy]);
        let mut encoder = ZlibEncoder::new(Vec::new(), Compression::fast());
        encoder.write_all(&plain).unwrap();
        encoder.finish().unwrap()
    }

    /// The place of the stream with which it grows too large.
    fn grow(streams: &[&[u8]]) -> Option<usize> {
        let objects = streams.iter().enumerate().map(|(place, data)| {
            let filter = Entry { key: "Filter", at: 0, value: Value::Name("FlateDecode") };
            let value = Value::Dictionary(Dictionary { at: 0, entries: vec![filter] });
            IndirectObject { number: place as u32 + 1, span: place..place + 1, value, stream: Some(data) }
        });
        let fault = check_streams(&Objects(objects.collect())).err()?;
        assert_eq!(fault.code, FaultCode::DecompressionTooLarge, "{fault}");
        fault.offset
    }

    #[test]
    fn streams_grow_to_the_limit_together_and_not_beyond() {
        assert_eq!(limits::ALL_STREAM_BYTES, 4 * limits::STREAM_BYTES);
        let (full, one) = (pack(limits::STREAM_BYTES), pack(1));
        assert_eq!(grow(&[&full, &full, &full, &full, &one]), Some(4));
    }
}
