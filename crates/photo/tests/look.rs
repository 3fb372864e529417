//! What a photograph is told at first look, on drawn photographs and spoilt ones.

use demo::photograph::{Held, Shot, ShotKind, Signs, draw};
use image::RgbImage;
use model::{CornerName, FaceName, HowSeen};
use photo::{Flaw, look};

fn face(wear: f64) -> RgbImage {
    let [visit, ..] = demo::scenario::visits();
    let plans = demo::scenario::list_shots(&visit, (1600, 1200)).expect("shots");
    draw(&Shot {
        kind: ShotKind::Face { corner: CornerName::FrontLeft, face: FaceName::Outer, seen: HowSeen::WheelOff },
        signs: Signs { wear, ..Signs::default() },
        held: Held::Level,
        size: (1600, 1200),
        ..plans[0].shot.clone()
    })
}

fn jpeg(picture: &RgbImage) -> Vec<u8> {
    let mut bytes = Vec::new();
    let (width, height) = (picture.width() as u16, picture.height() as u16);
    jpeg_encoder::Encoder::new(&mut bytes, 90)
        .encode(picture.as_raw(), width, height, jpeg_encoder::ColorType::Rgb)
        .expect("a JPEG");
    bytes
}

#[test]
fn a_good_photograph_is_left_alone_whatever_the_wear() {
    for wear in [0.0, 0.5, 1.0] {
        let looked = look(&jpeg(&face(wear))).expect("a photograph");
        assert_eq!((looked.flaws.as_slice(), looked.size), (&[][..], (1600, 1200)), "wear {wear}");
    }
}

#[test]
fn a_spoilt_one_is_told_what_is_wrong() {
    let good = face(0.5);
    let spoil = |change: fn(u8) -> u8| {
        let mut spoilt = good.clone();
        spoilt.pixels_mut().for_each(|pixel| pixel.0 = pixel.0.map(change));
        look(&jpeg(&spoilt)).expect("a photograph").flaws
    };
    assert_eq!(spoil(|value| value / 8), [Flaw::Dark]);
    assert_eq!(spoil(|value| value.saturating_mul(9).saturating_add(120)), [Flaw::Bright]);
    let blurred = image::imageops::fast_blur(&good, 9.0);
    assert_eq!(look(&jpeg(&blurred)).expect("a photograph").flaws, [Flaw::Blurred]);
    let small = image::imageops::thumbnail(&good, 320, 240);
    assert_eq!(look(&jpeg(&small)).expect("a photograph").flaws, [Flaw::Small]);
}

#[test]
fn the_small_picture_is_small_and_keeps_its_shape() {
    let small = look(&jpeg(&face(0.2))).expect("a photograph").small;
    let copy = photo::make_report_copy(&small).expect("a photograph");
    assert_eq!((copy.width, copy.height), (320, 240));
    assert!(small.len() < 60_000, "{} bytes", small.len());
}
