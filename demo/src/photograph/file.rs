//! The file that a camera writes: a JPEG with EXIF that says when, which way up, and that it is demonstration data.

use std::io::Cursor;

use exif::{Field, In, Rational, Tag, Value, experimental::Writer};
use image::{RgbImage, imageops};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use model::Place;

use super::{Held, Shot};

const QUALITY: u8 = 92;
const WHAT_IT_IS: &str = "demonstration data: drawn by a program, no real car";

/// Why a drawn photograph could not be written.
#[derive(Debug, thiserror::Error)]
pub enum CameraFileError {
    /// The EXIF block.
    #[error("the EXIF block of a drawn photograph cannot be written")]
    Exif(#[from] exif::Error),
    /// The JPEG.
    #[error("a drawn photograph cannot be encoded as JPEG, a side must have 1 to 65535 pixels")]
    Jpeg(#[from] jpeg_encoder::EncodingError),
}

/// The picture as the file of a camera that took this shot.
pub(super) fn write(shot: &Shot, picture: &RgbImage) -> Result<Vec<u8>, CameraFileError> {
    let turned = match shot.held {
        Held::Level => None,
        Held::OnItsSide => Some(imageops::rotate270(picture)),
        Held::UpsideDown => Some(imageops::rotate180(picture)),
    };
    let stored = turned.as_ref().unwrap_or(picture);
    let exif = exif_block(shot)?;
    let mut bytes = Vec::new();
    let mut encoder = Encoder::new(&mut bytes, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::F_2_2);
    encoder.add_exif_metadata(&exif)?;
    let side = |pixels: u32| u16::try_from(pixels).unwrap_or(0);
    encoder.encode(stored.as_raw(), side(stored.width()), side(stored.height()), ColorType::Rgb)?;
    Ok(bytes)
}

fn exif_block(shot: &Shot) -> Result<Vec<u8>, exif::Error> {
    let orientation = match shot.held {
        Held::Level => 1,
        Held::OnItsSide => 6,
        Held::UpsideDown => 3,
    };
    let mut comment = b"ASCII\0\0\0".to_vec();
    comment.extend(WHAT_IT_IS.as_bytes());
    let mut fields = vec![
        field(Tag::ImageDescription, ascii(WHAT_IT_IS)),
        field(Tag::Orientation, Value::Short(vec![orientation])),
        field(Tag::DateTimeOriginal, ascii(&shot.taken_at.format("%Y:%m:%d %H:%M:%S").to_string())),
        field(Tag::OffsetTimeOriginal, ascii(&shot.taken_at.format("%:z").to_string())),
        field(Tag::UserComment, Value::Undefined(comment, 0)),
    ];
    if let Some(place) = shot.place {
        fields.extend(position(place));
    }
    let mut writer = Writer::new();
    for field in &fields {
        writer.push_field(field);
    }
    let mut block = Cursor::new(Vec::new());
    writer.write(&mut block, false)?;
    Ok(block.into_inner())
}

fn position(place: Place) -> [Field; 4] {
    let letter = |value: f64, plus: &str, minus: &str| ascii(if value < 0.0 { minus } else { plus });
    [
        field(Tag::GPSLatitudeRef, letter(place.latitude_deg, "N", "S")),
        field(Tag::GPSLatitude, sexagesimal(place.latitude_deg)),
        field(Tag::GPSLongitudeRef, letter(place.longitude_deg, "E", "W")),
        field(Tag::GPSLongitude, sexagesimal(place.longitude_deg)),
    ]
}

/// Degrees, minutes and hundredths of a second.
fn sexagesimal(degrees: f64) -> Value {
    let hundredths = (degrees.abs() * 360_000.0).round() as u32;
    let whole = |num| Rational { num, denom: 1 };
    Value::Rational(vec![
        whole(hundredths / 360_000),
        whole(hundredths / 6000 % 60),
        Rational { num: hundredths % 6000, denom: 100 },
    ])
}

fn field(tag: Tag, value: Value) -> Field {
    Field { tag, ifd_num: In::PRIMARY, value }
}

fn ascii(text: &str) -> Value {
    Value::Ascii(vec![text.as_bytes().to_vec()])
}
