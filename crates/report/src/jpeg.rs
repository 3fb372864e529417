//! A report copy: a JPEG whose own header agrees with the record.

use model::ReportPhotograph;

use crate::RenderError;

/// A JPEG that can stand in the file as it is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Jpeg<'a> {
    pub bytes: &'a [u8],
    pub width: u16,
    pub height: u16,
    pub grey: bool,
}

/// Checks that a copy, whose digest is the record's, is a JPEG of the size that the record says.
pub(crate) fn check_copy<'a>(bytes: &'a [u8], expected: &ReportPhotograph) -> Result<Jpeg<'a>, RenderError> {
    let not_jpeg = |reason: &'static str| RenderError::CopyNotJpeg { photograph: expected.id.clone(), reason };
    let jpeg = read_header(bytes).map_err(not_jpeg)?;
    let size = (u32::from(jpeg.width), u32::from(jpeg.height));
    if size != (expected.width_px, expected.height_px) {
        return Err(RenderError::CopySize {
            photograph: expected.id.clone(),
            expected: (expected.width_px, expected.height_px),
            got: size,
        });
    }
    Ok(jpeg)
}

/// Walks over the segments to the frame header (ITU-T T.81, B.1 and B.2.2).
fn read_header(bytes: &[u8]) -> Result<Jpeg<'_>, &'static str> {
    if !bytes.starts_with(&[0xFF, 0xD8, 0xFF]) || !bytes.ends_with(&[0xFF, 0xD9]) {
        return Err("it does not begin and end as a JPEG");
    }
    let mut at = 2;
    loop {
        let (Some(&[0xFF, marker]), Some(&[high, low])) = (
            bytes.get(at..at + 2).and_then(<[u8]>::first_chunk),
            bytes.get(at + 2..at + 4).and_then(<[u8]>::first_chunk),
        ) else {
            return Err("it ends before its picture begins");
        };
        let length = usize::from(u16::from_be_bytes([high, low]));
        let Some(segment) = bytes.get(at + 4..at + 2 + length) else {
            return Err("a segment of it is longer than the file");
        };
        match marker {
            // Baseline, extended and progressive, which PDF readers know (ISO 32000-2, 7.4.8).
            0xC0..=0xC2 => return read_frame(bytes, segment),
            0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                return Err("it is coded in a way that readers do not know");
            }
            0xDA | 0xD9 => return Err("it has no frame header"),
            _ => at += 2 + length,
        }
    }
}

fn read_frame<'a>(bytes: &'a [u8], segment: &[u8]) -> Result<Jpeg<'a>, &'static str> {
    let &[precision, height_high, height_low, width_high, width_low, components, ..] = segment else {
        return Err("its frame header is cut off");
    };
    if precision != 8 {
        return Err("it has other than 8 bits a sample");
    }
    if components != 1 && components != 3 {
        return Err("it is neither grey nor in three colours");
    }
    Ok(Jpeg {
        bytes,
        width: u16::from_be_bytes([width_high, width_low]),
        height: u16::from_be_bytes([height_high, height_low]),
        grey: components == 1,
    })
}
