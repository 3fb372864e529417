//! Photographs: the whole picture, the ring in it, the copy for a report.

use photo::{
    MAX_SIDE_PX,
    disc::{Ellipse, RingMark, decode_whole, read_face},
    find_copy_size, find_place, look, make_report_copy,
};

/// Decodes the bytes as a picture in its own resolution, reads a ring in its middle and makes its copy. Gives whether it
/// is a picture.
///
/// # Panics
/// Something does not hold.
pub fn read_picture(bytes: &[u8]) -> bool {
    look_at(bytes);
    let Ok(picture) = decode_whole(bytes) else { return false };
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let ring = |share: f64| Ellipse {
        centre: (width / 2.0, height / 2.0),
        axes: (share * width / 2.0, share * height / 2.0),
        turn: 0.0,
    };
    let mark = RingMark { outer: ring(0.8), inner: ring(0.5), outer_diameter_mm: 100.0 };
    if let Ok(seen) = read_face(&picture, &mark, None) {
        assert!(seen.pattern.contrast.iter().all(|figure| figure.value.is_finite()), "a figure that is none");
    }
    true
}

/// A copy is a small picture that names no place, and the copy of it is itself.
fn look_at(bytes: &[u8]) {
    if let Some(place) = find_place(bytes) {
        assert!(place.latitude_deg.abs() <= 90.0 && place.longitude_deg.abs() <= 180.0, "a place that is none");
    }
    let Ok(seen) = look(bytes) else { return };
    let (width, height) = find_copy_size(&seen.copy).expect("a copy is a picture");
    assert!(width.max(height) <= MAX_SIDE_PX && find_place(&seen.copy).is_none(), "a copy that is none");
    let again = make_report_copy(&seen.copy).expect("a copy can be copied");
    assert!(again.passed_through && again.bytes == seen.copy && !again.had_position, "the copy of a copy is another");
}
