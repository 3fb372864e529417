//! What is refused, with which reason, and that nothing panics.

mod original;

use image::ImageEncoder as _;
use original::{find, insert_at_start, jpeg, jpeg_with, progressive, segment};
use photo::{MAX_ORIGINAL_BYTES, MAX_SCANS, PhotoError, make_report_copy};
use proptest::prelude::*;

fn plain() -> Vec<u8> {
    jpeg(96, 64, |x, y| [x as u8, y as u8, 100])
}

/// Writes another size into the frame header.
fn claim(mut jpeg: Vec<u8>, width: u16, height: u16) -> Vec<u8> {
    let frame = (0..jpeg.len()).find(|&at| jpeg[at] == 0xff && matches!(jpeg[at + 1], 0xc0 | 0xc2)).expect("a frame");
    jpeg[frame + 5..frame + 7].copy_from_slice(&height.to_be_bytes());
    jpeg[frame + 7..frame + 9].copy_from_slice(&width.to_be_bytes());
    jpeg
}

#[test]
fn nothing_at_all() {
    assert!(matches!(make_report_copy(b""), Err(PhotoError::Empty)));
}

#[test]
fn what_is_no_photograph_is_told_by_its_first_bytes() {
    let error = make_report_copy(b"%PDF-2.0\n%").unwrap_err();
    assert_eq!(
        error.to_string(),
        "this is not a photograph: expected JPEG, PNG or WebP, got a file that begins with 25 50 44 46 2d 32 2e 30"
    );
}

#[test]
fn heic_is_told_what_to_do() {
    for file in [&b"\0\0\0\x18ftypheic\0\0\0\0mif1heic"[..], b"\0\0\0\x18ftypavif\0\0\0\0mif1avif"] {
        let error = make_report_copy(file).unwrap_err();
        assert!(error.to_string().contains("export the photograph as JPEG"), "{error}");
    }
    assert!(matches!(make_report_copy(b"\0\0\0\x18ftypavif\0\0\0\0mif1avif"), Err(PhotoError::Heif)));
}

#[test]
fn a_jpeg_claiming_a_size_beyond_reason() {
    for original in [plain(), progressive(96, 64, |_, _| [9, 9, 9])] {
        let error = make_report_copy(&claim(original, 60_000, 60_000)).unwrap_err();
        assert!(matches!(error, PhotoError::TooManyPixels { width: 60_000, height: 60_000 }), "{error}");
    }
}

#[test]
fn a_jpeg_claiming_no_pixels() {
    let error = make_report_copy(&claim(plain(), 96, 0)).unwrap_err();
    assert!(matches!(error, PhotoError::TooManyPixels { width: 96, height: 0 }), "{error}");
}

#[test]
fn a_jpeg_claiming_a_hundred_megapixels_without_having_them() {
    let error = make_report_copy(&claim(plain(), 10_000, 10_000)).unwrap_err();
    assert!(matches!(error, PhotoError::PictureMissing { .. }), "{error}");
}

#[test]
fn a_progressive_jpeg_that_would_need_too_much_memory() {
    // Without chroma subsampling 10 000 × 10 000 pixels hold 3 × 2 bytes each.
    let error = make_report_copy(&claim(progressive(96, 64, |_, _| [9, 9, 9]), 10_000, 10_000)).unwrap_err();
    assert!(matches!(error, PhotoError::TooMuchMemory { got: 600_000_000 }), "{error}");
}

#[test]
fn a_png_claiming_a_size_beyond_reason() {
    let mut png = Vec::new();
    image::codecs::png::PngEncoder::new(&mut png).write_image(&[0; 12], 2, 2, image::ExtendedColorType::Rgb8).unwrap();
    // IHDR's width and height at 16 and 20, its CRC-32 at 29.
    png[16..24].copy_from_slice(&[0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60]);
    let crc = crc_of(&png[12..29]);
    png[29..33].copy_from_slice(&crc.to_be_bytes());
    let error = make_report_copy(&png).unwrap_err();
    assert!(
        matches!(error, PhotoError::TooManyPixels { width: 60_000, height: 60_000 } | PhotoError::Picture(_)),
        "{error}"
    );
}

/// CRC-32 of ISO 3309, bit by bit (PNG specification, Annex D).
fn crc_of(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, &byte| {
        (0..8).fold(crc ^ u32::from(byte), |crc, _| if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 })
    })
}

#[test]
fn more_bytes_than_a_photograph_has() {
    let mut original = plain();
    original.resize(MAX_ORIGINAL_BYTES + 1, 0);
    assert!(matches!(make_report_copy(&original), Err(PhotoError::TooManyBytes { .. })));
}

#[test]
fn more_scans_than_a_photograph_has() {
    let mut original = plain();
    let scan = original[find(&original, &[0xff, 0xda]).unwrap()..original.len() - 2].to_vec();
    for _ in 0..MAX_SCANS {
        let end = original.len() - 2;
        original.splice(end..end, scan.iter().copied());
    }
    assert!(matches!(make_report_copy(&original), Err(PhotoError::TooManyScans { got }) if got == MAX_SCANS + 1));
}

#[test]
fn a_photograph_cut_off_anywhere() {
    for original in [plain(), progressive(96, 64, |x, y| [x as u8, y as u8, 7])] {
        for length in 3..original.len() {
            assert!(make_report_copy(&original[..length]).is_err(), "cut after {length} of {}", original.len());
        }
        let error = make_report_copy(&original[..original.len() / 2]).unwrap_err();
        assert!(matches!(error, PhotoError::Truncated { .. }), "{error}");
    }
}

#[test]
fn four_colours() {
    let mut original = Vec::new();
    jpeg_encoder::Encoder::new(&mut original, 90)
        .encode(&[90; 32 * 32 * 4], 32, 32, jpeg_encoder::ColorType::Cmyk)
        .unwrap();
    assert!(matches!(make_report_copy(&original), Err(PhotoError::FourColours)));
}

#[test]
fn rare_codings_are_named() {
    for (code, got) in [(0xc3, "SOF3"), (0xc9, "SOF9"), (0xcb, "SOF11")] {
        let mut original = plain();
        let frame = find(&original, &[0xff, 0xc0]).unwrap();
        original[frame + 1] = code;
        let error = make_report_copy(&original).unwrap_err();
        assert!(matches!(&error, PhotoError::UnsupportedJpeg { got: named } if named == got), "{error}");
    }
}

#[test]
fn a_second_frame() {
    let mut original = plain();
    let frame = find(&original, &[0xff, 0xc0]).unwrap();
    let header = original[frame..frame + 19].to_vec();
    original.splice(frame..frame, header);
    assert!(matches!(make_report_copy(&original), Err(PhotoError::Damaged { .. })));
}

#[test]
fn a_picture_without_its_frame() {
    let original = [&[0xff, 0xd8][..], &segment(0xda, &[1, 1, 0, 0, 63, 0]), &[0, 0xff, 0xd9]].concat();
    assert!(matches!(make_report_copy(&original), Err(PhotoError::Damaged { at: 3, .. })));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn flipped_bytes_never_panic_and_an_accepted_copy_is_sound(
        flips in prop::collection::vec((0.0_f64..1.0, any::<u8>()), 1..6),
        progressively in any::<bool>(),
    ) {
        let picture = |x: u16, y: u16| [(x * 3) as u8, (y * 5) as u8, (x ^ y) as u8];
        let mut original = if progressively { progressive(80, 48, picture) } else { jpeg_with(80, 48, picture, b"MM\0*\0\0\0\x08\0\0\0\0\0\0") };
        for (place, value) in flips {
            let at = (place * original.len() as f64) as usize;
            original[at] = value;
        }
        if let Ok(copy) = make_report_copy(&original) {
            let again = make_report_copy(&copy.bytes);
            prop_assert!(again.is_ok(), "a copy was refused: {:?}", again.err());
        }
    }

    #[test]
    fn noise_behind_a_jpeg_header_never_panics(noise in prop::collection::vec(any::<u8>(), 0..400)) {
        let _ = make_report_copy(&[&[0xff, 0xd8, 0xff][..], &noise].concat());
        let _ = make_report_copy(&insert_at_start(plain(), &noise));
        let _ = make_report_copy(&[&b"\x89PNG\r\n\x1a\n"[..], &noise].concat());
        let _ = make_report_copy(&[&b"RIFF\0\x10\0\0WEBPVP8L"[..], &noise].concat());
    }
}
