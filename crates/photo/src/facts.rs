//! What a photograph says about itself: when it was taken, which way up, whether it names a place.

use std::io::Cursor;

use chrono::{FixedOffset, NaiveDate, NaiveDateTime};
use exif::{Exif, In, Reader, Tag, Value};
use image::metadata::Orientation;
use model::{Place, Timestamp};

/// When a photograph was taken, as the camera's own clock says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TakenAt {
    /// Date and time as the camera showed it (EXIF `DateTimeOriginal`).
    pub local: NaiveDateTime,
    /// Its offset from UTC, where the camera wrote one (EXIF 2.31 `OffsetTimeOriginal`).
    pub offset: Option<FixedOffset>,
}

impl TakenAt {
    /// The moment, where the camera wrote its offset; without one the time is only the camera's local time.
    pub fn timestamp(self) -> Option<Timestamp> {
        self.local.and_local_timezone(self.offset?).single()
    }
}

/// The facts that matter to a report.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Facts {
    pub orientation: Orientation,
    pub taken_at: Option<TakenAt>,
    /// A place is named, readable or not.
    pub names_place: bool,
    pub place: Option<Place>,
}

/// The place that a photograph's file names; none where it names none, or none that can be read.
pub fn find_place(original: &[u8]) -> Option<Place> {
    read_facts(original).place
}

/// Reads the EXIF block. A damaged one is no reason to refuse a photograph: what cannot be read is absent.
pub(crate) fn read_facts(original: &[u8]) -> Facts {
    let read = Reader::new()
        .continue_on_error(true)
        .read_from_container(&mut Cursor::new(original))
        .or_else(|error| error.distill_partial_result(|_| {}));
    let Ok(exif) = read else {
        return Facts { orientation: Orientation::NoTransforms, taken_at: None, names_place: false, place: None };
    };
    Facts {
        orientation: find_orientation(&exif).unwrap_or(Orientation::NoTransforms),
        taken_at: find_taken_at(&exif),
        names_place: exif.fields().any(|field| matches!(field.tag, Tag::GPSLatitude | Tag::GPSLongitude)),
        place: read_place(&exif),
    }
}

fn find_orientation(exif: &Exif) -> Option<Orientation> {
    let value = exif.get_field(Tag::Orientation, In::PRIMARY)?.value.get_uint(0)?;
    Orientation::from_exif(u8::try_from(value).ok()?)
}

fn find_taken_at(exif: &Exif) -> Option<TakenAt> {
    let mut written = exif::DateTime::from_ascii(find_ascii(exif, Tag::DateTimeOriginal)?).ok()?;
    if let Some(offset) = find_ascii(exif, Tag::OffsetTimeOriginal) {
        // An unreadable offset leaves the local time standing.
        let _ = written.parse_offset(offset);
    }
    let date = NaiveDate::from_ymd_opt(written.year.into(), written.month.into(), written.day.into())?;
    let local = date.and_hms_opt(written.hour.into(), written.minute.into(), written.second.into())?;
    let offset = written.offset.and_then(|minutes| FixedOffset::east_opt(i32::from(minutes) * 60));
    Some(TakenAt { local, offset })
}

/// Degrees, minutes and seconds with the letter of their half of the earth (EXIF 2.3, GPS IFD).
fn read_place(exif: &Exif) -> Option<Place> {
    let angle = |tag, letter, [positive, negative]: [&[u8]; 2], most: f64| {
        let Value::Rational(parts) = &exif.get_field(tag, In::PRIMARY)?.value else { return None };
        let [degrees, minutes, seconds] = &parts[..] else { return None };
        let angle = degrees.to_f64() + minutes.to_f64() / 60.0 + seconds.to_f64() / 3600.0;
        let sign = match find_ascii(exif, letter)? {
            half if half == positive => 1.0,
            half if half == negative => -1.0,
            _ => return None,
        };
        // A rational over zero is no angle.
        (angle <= most).then_some(sign * angle)
    };
    Some(Place {
        latitude_deg: angle(Tag::GPSLatitude, Tag::GPSLatitudeRef, [b"N", b"S"], 90.0)?,
        longitude_deg: angle(Tag::GPSLongitude, Tag::GPSLongitudeRef, [b"E", b"W"], 180.0)?,
    })
}

fn find_ascii(exif: &Exif, tag: Tag) -> Option<&[u8]> {
    match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(lines) => lines.first().map(Vec::as_slice),
        _ => None,
    }
}
