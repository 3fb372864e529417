//! The drawn photographs show what they are told to show, and their files are those of a camera.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use demo::photograph::{Held, Shot, ShotKind, Signs, draw, encode};
use image::RgbImage;
use model::{BellFinish, CornerName, FaceName, HowSeen, PadName, PhotographSubject, Place};

fn shot(kind: ShotKind, signs: Signs) -> Shot {
    let taken_at = "2026-11-24T14:02:31+01:00".parse().expect("a timestamp");
    Shot { kind, signs, seed: 4, size: (320, 240), taken_at, place: None, held: Held::Level }
}

fn face(signs: Signs) -> Shot {
    let kind = ShotKind::Face { corner: CornerName::FrontLeft, face: FaceName::Outer, seen: HowSeen::WheelOff };
    shot(kind, signs)
}

fn every_kind() -> Vec<ShotKind> {
    let mut kinds = vec![
        ShotKind::Bell { corner: CornerName::RearLeft },
        ShotKind::Pad { corner: CornerName::RearLeft, pad: PadName::Inner },
        ShotKind::Pad { corner: CornerName::FrontRight, pad: PadName::Outer },
        ShotKind::Registration { letters: "TIDE 4-ÄÖ?".into() },
        ShotKind::Registration { letters: String::new() },
        ShotKind::Vin { letters: "00X".into() },
        ShotKind::Odometer { km: u32::MAX },
    ];
    for &corner in CornerName::ALL {
        for &face in FaceName::ALL {
            for &seen in HowSeen::ALL {
                kinds.push(ShotKind::Face { corner, face, seen });
            }
        }
    }
    kinds
}

/// Brightness of the ring on the side away from the calliper: mean and standard deviation.
fn ring(picture: &RgbImage) -> (f64, f64) {
    let (width, height) = (f64::from(picture.width()), f64::from(picture.height()));
    let mut values = Vec::new();
    for turn in 0..120 {
        for step in 0..12 {
            let angle = 2.4 + f64::from(turn) * 0.0125;
            let radius = height / 2.0 * (0.60 + f64::from(step) * 0.012);
            let (x, y) = (width / 2.0 + radius * libm::cos(angle), height / 2.0 - radius * libm::sin(angle));
            let [red, green, blue] = picture.get_pixel(x as u32, y as u32).0.map(f64::from);
            values.push((red + green + blue) / 3.0);
        }
    }
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let variance = values.iter().map(|value| (value - mean) * (value - mean)).sum::<f64>() / values.len() as f64;
    (mean, variance.sqrt())
}

#[test]
fn the_same_shot_gives_the_same_file() {
    let signs = Signs { wear: 0.6, heat: 0.4, chemical: 0.3, ..Signs::default() };
    assert_eq!(encode(&face(signs)).unwrap(), encode(&face(signs)).unwrap());
    let other = Shot { seed: 5, ..face(signs) };
    assert_ne!(draw(&face(signs)), draw(&other));
}

#[test]
fn wear_greys_the_face_and_brings_out_the_fibre() {
    let [new, half, spent] = [0.0, 0.5, 1.0].map(|wear| ring(&draw(&face(Signs { wear, ..Signs::default() }))));
    assert!(new.0 < 60.0, "new is near-black: {new:?}");
    assert!(new.0 + 15.0 < half.0 && half.0 + 15.0 < spent.0, "{new:?} {half:?} {spent:?}");
    assert!(new.1 < half.1 && half.1 < spent.1, "{new:?} {half:?} {spent:?}");
}

#[test]
fn heat_colours_the_face_and_a_chemical_pales_it() {
    let plain = draw(&face(Signs { wear: 0.4, ..Signs::default() }));
    let hot = draw(&face(Signs { wear: 0.4, heat: 1.0, ..Signs::default() }));
    let attacked = draw(&face(Signs { wear: 0.4, chemical: 1.0, ..Signs::default() }));
    // Blue against red, furthest apart over the ring: a grey face stays within the camera's noise.
    let span = |picture: &RgbImage| {
        let values: Vec<i32> = picture.pixels().map(|pixel| i32::from(pixel.0[2]) - i32::from(pixel.0[0])).collect();
        let others: Vec<i32> = plain.pixels().map(|pixel| i32::from(pixel.0[2]) - i32::from(pixel.0[0])).collect();
        values.iter().zip(&others).filter(|(value, other)| (*value - *other).abs() > 12).count()
    };
    let pixels = plain.pixels().len();
    assert!(span(&hot) > pixels / 40, "{} of {pixels}", span(&hot));
    let paler =
        attacked.pixels().zip(plain.pixels()).filter(|(a, b)| i32::from(a.0[1]) - i32::from(b.0[1]) > 40).count();
    assert!(paler > pixels / 60, "{paler} of {pixels}");
}

#[test]
fn a_bell_shows_its_finish() {
    let bell = |finish| {
        draw(&shot(ShotKind::Bell { corner: CornerName::FrontRight }, Signs { bell: finish, ..Signs::default() }))
    };
    let pictures = [BellFinish::Even, BellFinish::Discoloured, BellFinish::Stained, BellFinish::Etched].map(bell);
    for (at, one) in pictures.iter().enumerate() {
        for other in &pictures[at + 1..] {
            let different = one.pixels().zip(other.pixels()).filter(|(a, b)| a.0[2].abs_diff(b.0[2]) > 14).count();
            assert!(different > one.pixels().len() / 200, "finish {at}: {different} pixels differ");
        }
    }
}

#[test]
fn every_kind_can_be_drawn_in_any_size() {
    for kind in every_kind() {
        for size in [(1, 1), (3, 2), (61, 47)] {
            let signs =
                Signs { wear: 1.4, heat: 2.0, chemical: 0.9, lining_mm: 0.0, taper_mm: 9.0, ..Signs::default() };
            let picture = draw(&Shot { size, ..shot(kind.clone(), signs) });
            assert_eq!(picture.dimensions(), size);
        }
    }
}

#[test]
fn every_picture_is_marked_as_a_demonstration() {
    for kind in every_kind() {
        let picture = draw(&shot(kind.clone(), Signs::default()));
        let (width, height) = picture.dimensions();
        let letters = (height - 12..height - 2)
            .flat_map(|y| (width - 80..width - 2).map(move |x| (x, y)))
            .filter(|&(x, y)| picture.get_pixel(x, y).0.iter().all(|&value| value > 140))
            .count();
        assert!(letters > 60, "{kind:?}: {letters} bright pixels in the corner");
    }
}

#[test]
fn the_file_tells_when_where_and_which_way_up() {
    let place = Some(Place { latitude_deg: 56.1234, longitude_deg: -3.5 });
    for (held, turned) in [(Held::Level, false), (Held::OnItsSide, true), (Held::UpsideDown, false)] {
        let shot = Shot { held, place, ..face(Signs::default()) };
        let file = encode(&shot).unwrap();
        let copy = photo::make_report_copy(&file).unwrap();
        assert_eq!(copy.taken_at.unwrap().timestamp(), Some(shot.taken_at));
        assert!(copy.had_position);
        let told = photo::find_place(&file).unwrap();
        assert!((told.latitude_deg - 56.1234).abs() < 2e-6 && (told.longitude_deg + 3.5).abs() < 2e-6, "{told:?}");
        assert_eq!(photo::find_place(&copy.bytes), None);
        assert_eq!((copy.width, copy.height), (320, 240));
        assert_eq!(copy.passed_through, held == Held::Level);
        let stored = jpeg_size(&file);
        assert_eq!(stored, if turned { (240, 320) } else { (320, 240) });
        let words = b"demonstration data";
        assert!(file.windows(words.len()).any(|window| window == words));
        assert!(!copy.bytes.windows(words.len()).any(|window| window == words));
    }
    let without = photo::make_report_copy(&encode(&face(Signs::default())).unwrap()).unwrap();
    assert!(!without.had_position);
}

#[test]
fn a_photograph_held_on_its_side_is_the_same_picture_once_upright() {
    let level = photo::make_report_copy(&encode(&face(Signs::default())).unwrap()).unwrap();
    let side = Shot { held: Held::OnItsSide, ..face(Signs::default()) };
    let side = photo::make_report_copy(&encode(&side).unwrap()).unwrap();
    let [level, side] = [level, side].map(|copy| ring(&decode(&copy.bytes)));
    assert!((level.0 - side.0).abs() < 2.0, "{level:?} {side:?}");
}

#[test]
fn a_size_that_no_jpeg_can_hold_is_an_error() {
    assert!(encode(&Shot { size: (70_000, 1), ..face(Signs::default()) }).is_err());
}

#[test]
fn a_kind_is_named_as_the_inspection_names_it() {
    let kind = ShotKind::Pad { corner: CornerName::RearLeft, pad: PadName::Inner };
    assert_eq!(kind.subject(), PhotographSubject::Pad { corner: CornerName::RearLeft, pad: PadName::Inner });
}

fn jpeg_size(file: &[u8]) -> (u16, u16) {
    let mut decoder = jpeg_decoder::Decoder::new(file);
    decoder.read_info().expect("a JPEG");
    let info = decoder.info().expect("a JPEG");
    (info.width, info.height)
}

fn decode(file: &[u8]) -> RgbImage {
    let mut decoder = jpeg_decoder::Decoder::new(file);
    let pixels = decoder.decode().expect("a JPEG");
    let info = decoder.info().expect("a JPEG");
    RgbImage::from_raw(info.width.into(), info.height.into(), pixels).expect("three bytes a pixel")
}
