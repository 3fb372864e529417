//! What a report copy is.

mod original;

use exif::Tag;
use image::ImageEncoder as _;
use model::Sha256;
use original::{
    decode, exif_block, find, insert_at_start, jpeg, jpeg_with, latitude, orientation, progressive, segment, text,
};
use photo::{MAX_SIDE_PX, make_report_copy};

const RED: [u8; 3] = [200, 30, 30];
const GREEN: [u8; 3] = [30, 160, 40];
const BLUE: [u8; 3] = [30, 40, 190];
const PALE: [u8; 3] = [220, 220, 220];

/// The upright picture: red top left, green top right, blue bottom left, pale bottom right.
fn quadrant(x: u16, y: u16, width: u16, height: u16) -> [u8; 3] {
    match (x < width / 2, y < height / 2) {
        (true, true) => RED,
        (false, true) => GREEN,
        (true, false) => BLUE,
        (false, false) => PALE,
    }
}

/// A photograph that is stored turned as an orientation value says and shows the quadrants when looked at.
///
/// CIPA DC-008 (Exif 2.32) 4.6.4 A, tag Orientation: each value names the visual side of row 0 and of column 0 (the
/// table from memory).
fn stored_turned(value: u16, width: u16, height: u16) -> Vec<u8> {
    let (stored_width, stored_height) = if value >= 5 { (height, width) } else { (width, height) };
    let upright = move |column: u16, row: u16| {
        let (from_left, from_right) = (|n: u16| n, |n: u16| width - 1 - n);
        let (from_top, from_bottom) = (|n: u16| n, |n: u16| height - 1 - n);
        match value {
            1 => (from_left(column), from_top(row)),
            2 => (from_right(column), from_top(row)),
            3 => (from_right(column), from_bottom(row)),
            4 => (from_left(column), from_bottom(row)),
            5 => (from_left(row), from_top(column)),
            6 => (from_right(row), from_top(column)),
            7 => (from_right(row), from_bottom(column)),
            8 => (from_left(row), from_bottom(column)),
            _ => unreachable!("eight orientations"),
        }
    };
    let colour = move |column, row| {
        let (x, y) = upright(column, row);
        quadrant(x, y, width, height)
    };
    jpeg_with(stored_width, stored_height, colour, &exif_block(&[orientation(value)]))
}

fn assert_shows_quadrants(copy: &photo::ReportCopy) {
    let (width, height, pixels) = decode(&copy.bytes);
    assert_eq!((u32::from(width), u32::from(height)), (copy.width, copy.height));
    for (x, y) in [(1, 1), (3, 1), (1, 3), (3, 3)] {
        let (x, y) = (width * x / 4, height * y / 4);
        let at = 3 * (usize::from(y) * usize::from(width) + usize::from(x));
        let want = quadrant(x, y, width, height);
        for (got, want) in pixels[at..at + 3].iter().zip(want) {
            assert!(got.abs_diff(want) < 12, "at {x}, {y}: got {:?}, expected {want:?}", &pixels[at..at + 3]);
        }
    }
}

#[test]
fn every_orientation_ends_upright() {
    for value in 1..=8 {
        let copy = make_report_copy(&stored_turned(value, 96, 64)).unwrap();
        assert_eq!((copy.width, copy.height), (96, 64), "orientation {value}");
        assert_eq!(copy.original_size, (96, 64), "orientation {value}");
        assert_eq!(copy.passed_through, value == 1, "orientation {value}");
        assert_shows_quadrants(&copy);
    }
}

#[test]
fn every_orientation_of_a_large_photograph_ends_upright_and_small() {
    for value in 1..=8 {
        let copy = make_report_copy(&stored_turned(value, 2400, 1800)).unwrap();
        assert_eq!((copy.width, copy.height), (1600, 1200), "orientation {value}");
        assert_eq!(copy.original_size, (2400, 1800), "orientation {value}");
        assert!(!copy.passed_through);
        assert_shows_quadrants(&copy);
    }
}

#[test]
fn an_unknown_orientation_leaves_the_picture_as_it_is() {
    let exif = exif_block(&[orientation(9)]);
    let copy = make_report_copy(&jpeg_with(96, 64, |x, y| quadrant(x, y, 96, 64), &exif)).unwrap();
    assert_shows_quadrants(&copy);
}

#[test]
fn the_long_side_is_1600_and_the_shape_is_kept() {
    for (from, to) in
        [((3200, 1200), (1600, 600)), ((1700, 3000), (907, 1600)), ((1601, 3), (1600, 3)), ((4000, 3000), (1600, 1200))]
    {
        let copy = make_report_copy(&jpeg(from.0, from.1, |x, y| [x as u8, y as u8, 90])).unwrap();
        assert_eq!((copy.width, copy.height), to, "from {from:?}");
        let (width, height, _) = decode(&copy.bytes);
        assert_eq!((u32::from(width), u32::from(height)), to, "from {from:?}");
    }
}

#[test]
fn a_smaller_picture_is_never_enlarged() {
    let copy = make_report_copy(&jpeg(40, 30, |x, _| [x as u8, 0, 0])).unwrap();
    assert_eq!((copy.width, copy.height), (40, 30));
}

#[test]
fn the_copy_is_baseline_unless_it_was_passed_through() {
    let copy = make_report_copy(&progressive(1700, 900, |x, y| quadrant(x, y, 1700, 900))).unwrap();
    assert!(find(&copy.bytes, &[0xff, 0xc0, 0, 17]).is_some(), "a baseline frame of three components");
    assert_shows_quadrants(&copy);
}

#[test]
fn a_small_progressive_picture_keeps_its_coded_samples() {
    let original = progressive(320, 240, |x, y| quadrant(x, y, 320, 240));
    let copy = make_report_copy(&original).unwrap();
    assert!(copy.passed_through);
    assert!(find(&copy.bytes, &[0xff, 0xc2]).is_some());
    assert_eq!(decode(&copy.bytes), decode(&original));
}

#[test]
fn a_copy_of_a_copy_is_the_same_bytes() {
    let original =
        jpeg_with(2000, 1500, |x, y| [(x / 9) as u8, (y / 7) as u8, (x ^ y) as u8], &exif_block(&[orientation(6)]));
    let copy = make_report_copy(&original).unwrap();
    let again = make_report_copy(&copy.bytes).unwrap();
    assert!(again.passed_through);
    assert_eq!(again.bytes, copy.bytes);
    assert_eq!(again.original_sha256, copy.sha256);
}

#[test]
fn both_digests_are_of_the_bytes() {
    let original = jpeg(96, 64, |x, y| quadrant(x, y, 96, 64));
    let copy = make_report_copy(&original).unwrap();
    assert_eq!(copy.original_sha256, Sha256::of(&original));
    assert_eq!(copy.sha256, Sha256::of(&copy.bytes));
}

#[test]
fn facts_are_read_and_no_metadata_travels() {
    let exif = exif_block(&[
        orientation(1),
        text(Tag::Make, "SECRETMAKER"),
        text(Tag::DateTimeOriginal, "2026:11:24 14:02:31"),
        text(Tag::OffsetTimeOriginal, "+01:00"),
        latitude(54),
    ]);
    for (width, height) in [(96, 64), (2400, 1600)] {
        let mut original = jpeg_with(width, height, |x, y| quadrant(x, y, width, height), &exif);
        original = insert_at_start(original, &segment(0xfe, b"SECRETCOMMENT"));
        original.extend(b"SECRETFILM behind the picture");
        let copy = make_report_copy(&original).unwrap();
        assert!(copy.had_position);
        let taken_at = copy.taken_at.unwrap();
        assert_eq!(taken_at.local.to_string(), "2026-11-24 14:02:31");
        assert_eq!(taken_at.timestamp().unwrap().to_rfc3339(), "2026-11-24T14:02:31+01:00");
        assert!(find(&original, b"SECRET").is_some());
        for trace in [&b"SECRET"[..], b"Exif", b"2026:11:24", &[0, 0, 0, 17, 0, 0, 0, 1, 0, 0, 0, 43]] {
            assert!(find(&original, trace).is_some(), "the original holds {trace:?}");
            assert_eq!(find(&copy.bytes, trace), None, "the copy holds {trace:?}");
        }
        let reread = make_report_copy(&copy.bytes).unwrap();
        assert!(!reread.had_position && reread.taken_at.is_none());
    }
}

#[test]
fn a_picture_hidden_between_scans_does_not_travel() {
    // A comment before the second scan of a progressive picture.
    let mut original = progressive(96, 64, |x, y| quadrant(x, y, 96, 64));
    let first = find(&original, &[0xff, 0xda]).unwrap();
    let second = first + 2 + find(&original[first + 2..], &[0xff, 0xda]).unwrap();
    original.splice(second..second, segment(0xe1, b"SECRET position"));
    let copy = make_report_copy(&original).unwrap();
    assert!(copy.passed_through);
    assert_eq!(find(&copy.bytes, b"SECRET"), None);
    assert_shows_quadrants(&copy);
}

#[test]
fn a_position_in_xmp_alone_is_noticed() {
    let packet = b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta><exif:GPSLatitude>54,17.7N</exif:GPSLatitude></x:xmpmeta>";
    let original = insert_at_start(jpeg(96, 64, |x, y| quadrant(x, y, 96, 64)), &segment(0xe1, packet));
    let copy = make_report_copy(&original).unwrap();
    assert!(copy.had_position);
    assert_eq!(find(&copy.bytes, b"GPSLatitude"), None);
}

#[test]
fn a_time_without_offset_is_local_only() {
    let exif = exif_block(&[text(Tag::DateTimeOriginal, "2026:11:24 14:02:31")]);
    let taken_at = make_report_copy(&jpeg_with(32, 32, |_, _| PALE, &exif)).unwrap().taken_at.unwrap();
    assert_eq!(taken_at.offset, None);
    assert_eq!(taken_at.timestamp(), None);
}

#[test]
fn an_impossible_time_is_absent() {
    for written in ["2026:02:30 14:02:31", "0000:00:00 00:00:00", "    :  :     :  :  ", "yesterday"] {
        let exif = exif_block(&[text(Tag::DateTimeOriginal, written)]);
        let copy = make_report_copy(&jpeg_with(32, 32, |_, _| PALE, &exif)).unwrap();
        assert_eq!(copy.taken_at, None, "{written}");
    }
}

#[test]
fn damaged_metadata_does_not_refuse_a_photograph() {
    let exif = [&b"MM\0*\0\0\0\x08\xff\xff"[..], &[0x55; 40]].concat();
    let copy = make_report_copy(&jpeg_with(96, 64, |x, y| quadrant(x, y, 96, 64), &exif)).unwrap();
    assert_shows_quadrants(&copy);
    assert_eq!((copy.taken_at, copy.had_position), (None, false));
}

#[test]
fn a_grey_photograph_stays_grey() {
    for (width, height) in [(96_u16, 64_u16), (2000, 1500)] {
        let pixels: Vec<u8> = (0..height).flat_map(|y| (0..width).map(move |x| (x / 16 + y / 16) as u8)).collect();
        let mut original = Vec::new();
        jpeg_encoder::Encoder::new(&mut original, 90)
            .encode(&pixels, width, height, jpeg_encoder::ColorType::Luma)
            .unwrap();
        let copy = make_report_copy(&original).unwrap();
        let mut decoder = jpeg_decoder::Decoder::new(&copy.bytes[..]);
        decoder.decode().unwrap();
        assert_eq!(decoder.info().unwrap().pixel_format, jpeg_decoder::PixelFormat::L8);
        assert_eq!(copy.width, u32::from(width).min(MAX_SIDE_PX));
    }
}

#[test]
fn png_and_webp_become_jpeg() {
    let pixels: Vec<u8> =
        (0..64).flat_map(|y| (0..96).map(move |x| (x, y))).flat_map(|(x, y)| quadrant(x, y, 96, 64)).collect();
    let mut png = Vec::new();
    image::codecs::png::PngEncoder::new(&mut png).write_image(&pixels, 96, 64, image::ExtendedColorType::Rgb8).unwrap();
    let mut webp = Vec::new();
    image::codecs::webp::WebPEncoder::new_lossless(&mut webp)
        .write_image(&pixels, 96, 64, image::ExtendedColorType::Rgb8)
        .unwrap();
    for original in [png, webp] {
        let copy = make_report_copy(&original).unwrap();
        assert!(!copy.passed_through);
        assert_shows_quadrants(&copy);
    }
}

#[test]
fn what_is_transparent_becomes_white() {
    let pixels = [[10_u8, 20, 30, 0]; 64 * 64].concat();
    let mut png = Vec::new();
    image::codecs::png::PngEncoder::new(&mut png)
        .write_image(&pixels, 64, 64, image::ExtendedColorType::Rgba8)
        .unwrap();
    let (_, _, pixels) = decode(&make_report_copy(&png).unwrap().bytes);
    assert!(pixels.iter().all(|&value| value > 250));
}

#[test]
fn sixteen_bit_grey_keeps_its_brightness() {
    let pixels = 0x8000_u16.to_ne_bytes().repeat(32 * 32);
    let mut png = Vec::new();
    image::codecs::png::PngEncoder::new(&mut png).write_image(&pixels, 32, 32, image::ExtendedColorType::L16).unwrap();
    let (_, _, pixels) = decode(&make_report_copy(&png).unwrap().bytes);
    assert_eq!(pixels.len(), 32 * 32);
    assert!(pixels.iter().all(|&value| value.abs_diff(128) < 3));
}

#[test]
fn rgb_coded_jpeg_is_encoded_again() {
    // Adobe transform 0: the three components are red, green and blue.
    let mut original = jpeg(96, 64, |x, y| quadrant(x, y, 96, 64));
    original = insert_at_start(original, &segment(0xee, b"Adobe\0\x64\0\0\0\0\0"));
    let copy = make_report_copy(&original).unwrap();
    assert!(!copy.passed_through);
}
