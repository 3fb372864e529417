//! What the signature covers: everything except the signature's own hexadecimal string.

use std::ops::Range;

use super::fault::{Fault, FaultCode};
use super::object::{Dictionary, Text, TextForm, Value};

/// Bytes of DER that the room for the signature holds.
pub const ROOM_BYTES: usize = 16_384;

/// The two ranges of a file that its signature covers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ByteRange {
    /// From the file's first byte to the bracket before the signature.
    pub before: Range<usize>,
    /// From after the bracket behind the signature to the file's last byte.
    pub after: Range<usize>,
}

/// The signature's place: what it covers and what it contains.
#[derive(Debug, Clone)]
pub(crate) struct Room {
    pub byte_range: ByteRange,
    /// The decoded room: nothing, or DER, then zeros.
    pub contents: Vec<u8>,
    /// How many of these bytes are DER; 0 in a file that is not sealed.
    pub der_bytes: usize,
}

pub(crate) fn read_room(signature: &Dictionary<'_>, file_bytes: usize) -> Result<Room, Fault> {
    let numbers = read_numbers(signature)?;
    let text = read_contents(signature)?;
    let byte_range = check_numbers(numbers, text, file_bytes, signature.at)?;
    let contents = decode(text)?;
    let der_bytes = if contents.iter().all(|&byte| byte == 0) { 0 } else { measure_der(&contents, text.at)? };
    Ok(Room { byte_range, contents, der_bytes })
}

fn read_numbers(signature: &Dictionary<'_>) -> Result<[i64; 4], Fault> {
    let fault = |code, message: &str| Fault::at(code, signature.at, message);
    let items = match signature.find("ByteRange") {
        None => return Err(fault(FaultCode::ByteRangeMissing, "the signature does not say which bytes it covers")),
        Some(Value::Null) => return Err(fault(FaultCode::ByteRangeNull, "the signature's byte range is null")),
        Some(Value::Reference(_)) => {
            return Err(fault(FaultCode::ByteRangeIndirect, "the signature's byte range stands in another object"));
        }
        Some(Value::Array(items)) => items,
        Some(_) => {
            return Err(fault(FaultCode::ByteRangeMalformed, "the signature's byte range is no list of numbers"));
        }
    };
    let mut numbers = [0; 4];
    if items.len() != numbers.len() {
        return Err(Fault::at(
            FaultCode::ByteRangeCount,
            signature.at,
            format!("the signature's byte range has {} numbers instead of 4", items.len()),
        ));
    }
    for (number, item) in numbers.iter_mut().zip(items) {
        *number = match item {
            Value::Integer(number) => *number,
            Value::Real(_) => {
                return Err(fault(FaultCode::ByteRangeReal, "the byte range has a number with a fraction"));
            }
            Value::Reference(_) => {
                return Err(fault(FaultCode::ByteRangeIndirect, "a number of the byte range stands in another object"));
            }
            _ => return Err(fault(FaultCode::ByteRangeMalformed, "the byte range has something that is no number")),
        };
    }
    Ok(numbers)
}

fn check_numbers(numbers: [i64; 4], text: Text<'_>, file_bytes: usize, at: usize) -> Result<ByteRange, Fault> {
    let fault = |code, message: String| Fault::at(code, at, message);
    if numbers == [0; 4] {
        return Err(fault(FaultCode::ByteRangeZeros, "the byte range is all zeros, so it covers nothing".into()));
    }
    if let Some(negative) = numbers.iter().find(|&&number| number < 0) {
        return Err(fault(FaultCode::ByteRangeNegative, format!("the byte range has a negative number, {negative}")));
    }
    let [first, first_bytes, second, second_bytes] = numbers;
    if first != 0 {
        return Err(fault(FaultCode::ByteRangeStart, format!("the byte range begins at byte {first} instead of 0")));
    }
    let beyond = |end: Option<i64>| match end.and_then(|end| usize::try_from(end).ok()) {
        Some(end) if end <= file_bytes => Ok(end),
        _ => Err(fault(
            FaultCode::ByteRangeOverflow,
            format!("the byte range {numbers:?} goes beyond the file's {file_bytes} bytes"),
        )),
    };
    let first_end = beyond(Some(first_bytes))?;
    let second_start = beyond(Some(second))?;
    let second_end = beyond(second.checked_add(second_bytes))?;
    if second_start < first_end {
        // A second part that begins within the first: either it lies in it or it leads back over it.
        return Err(if second_end <= first_end {
            fault(
                FaultCode::ByteRangeReversed,
                "the byte range's second part stands before the end of its first".into(),
            )
        } else {
            fault(FaultCode::ByteRangeOverlap, "the byte range's two parts overlap".into())
        });
    }
    let gap = text.at - 1..text.at + text.raw.len() + 1;
    if (first_end..second_start) != gap {
        return Err(fault(
            FaultCode::ByteRangeGap,
            format!(
                "the byte range leaves out the bytes {first_end} to {second_start}, the signature itself stands at {} to {}",
                gap.start, gap.end
            ),
        ));
    }
    if second_end != file_bytes {
        return Err(fault(
            FaultCode::ByteRangeEnd,
            format!("the signature does not cover the last {} bytes of the file", file_bytes - second_end),
        ));
    }
    Ok(ByteRange { before: 0..first_end, after: second_start..second_end })
}

fn read_contents<'a>(signature: &Dictionary<'a>) -> Result<Text<'a>, Fault> {
    let fault = |code, message: &str| Fault::at(code, signature.at, message);
    match signature.find("Contents") {
        None => Err(fault(FaultCode::ContentsMissing, "the signature dictionary holds no signature")),
        Some(Value::Null) => Err(fault(FaultCode::ContentsNull, "the signature is null")),
        Some(Value::Reference(_)) => Err(fault(FaultCode::ContentsIndirect, "the signature stands in another object")),
        Some(Value::Text(text)) if text.form == TextForm::Hexadecimal => {
            if text.raw.is_empty() {
                return Err(Fault::at(FaultCode::ContentsEmpty, text.at, "the signature is an empty string"));
            }
            if text.raw.len() != 2 * ROOM_BYTES {
                return Err(Fault::at(
                    FaultCode::ContentsRoom,
                    text.at,
                    format!("the room for the signature has {} bytes instead of {ROOM_BYTES}", text.raw.len() / 2),
                ));
            }
            Ok(*text)
        }
        Some(_) => Err(fault(FaultCode::ContentsNotHex, "the signature is not written as hexadecimal digits")),
    }
}

fn decode(text: Text<'_>) -> Result<Vec<u8>, Fault> {
    if let Some(place) = text.raw.iter().position(u8::is_ascii_uppercase) {
        return Err(Fault::at(
            FaultCode::ContentsNotHex,
            text.at + place,
            "the signature has an upper-case digit; it is written with lower-case ones",
        ));
    }
    Ok(text.decode())
}

/// The length of the one DER sequence at the room's start; what follows must be zeros.
fn measure_der(contents: &[u8], at: usize) -> Result<usize, Fault> {
    let bytes = der_sequence_bytes(contents).filter(|&bytes| bytes <= contents.len()).ok_or_else(|| {
        Fault::at(FaultCode::ContentsNotDer, at, "the signature does not begin with a DER sequence that fits its room")
    })?;
    match contents[bytes..].iter().position(|&byte| byte != 0) {
        None => Ok(bytes),
        Some(place) => Err(Fault::at(
            FaultCode::ContentsPadding,
            at + 2 * (bytes + place),
            "bytes other than zeros follow the signature in its room",
        )),
    }
}

/// The length of a DER sequence with its head (X.690, 10.1: definite, in the fewest bytes).
pub(crate) fn der_sequence_bytes(bytes: &[u8]) -> Option<usize> {
    match *bytes {
        [0x30, short @ 0..=0x7F, ..] => Some(2 + usize::from(short)),
        [0x30, 0x81, length @ 0x80..=0xFF, ..] => Some(3 + usize::from(length)),
        [0x30, 0x82, high @ 1..=0xFF, low, ..] => Some(4 + usize::from(u16::from_be_bytes([high, low]))),
        _ => None,
    }
}
