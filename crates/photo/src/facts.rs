//! What a photograph says about itself: when it was taken, which way up, whether it names a place.

use std::io::Cursor;

use chrono::{FixedOffset, NaiveDate, NaiveDateTime};
use exif::{Exif, In, Reader, Tag, Value};
use image::metadata::Orientation;
use model::Timestamp;

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
    pub position: bool,
}

/// Reads the EXIF block. A damaged one is no reason to refuse a photograph: what cannot be read is absent.
pub(crate) fn read_facts(original: &[u8]) -> Facts {
    let read = Reader::new()
        .continue_on_error(true)
        .read_from_container(&mut Cursor::new(original))
        .or_else(|error| error.distill_partial_result(|_| {}));
    let Ok(exif) = read else {
        return Facts { orientation: Orientation::NoTransforms, taken_at: None, position: false };
    };
    Facts {
        orientation: find_orientation(&exif).unwrap_or(Orientation::NoTransforms),
        taken_at: find_taken_at(&exif),
        position: exif.fields().any(|field| matches!(field.tag, Tag::GPSLatitude | Tag::GPSLongitude)),
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

fn find_ascii(exif: &Exif, tag: Tag) -> Option<&[u8]> {
    match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(lines) => lines.first().map(Vec::as_slice),
        _ => None,
    }
}
