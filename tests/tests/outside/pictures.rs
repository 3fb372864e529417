//! Textures, colours and sharpness beside scikit-image, `OpenCV` and colour-science (`tests/outside/pictures.py` says which
//! computes what), and the published pairs of Sharma, Wu and Dalal (2005).

use std::io::Write as _;
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use demo::{drive::Chance, face};
use image::{GrayImage, RgbImage};
use model::{Lab, ReferenceStage, ciede2000};
use photo::disc::{
    Ellipse, FaceError, Reference, ReferenceSet, RingMark, co_occurrence, laplacian_variance, read_face, srgb_to_lab,
    texture_of,
};
use rimside_tests::{tool, top};
use serde_json::{Value, json};

const NAMES: [&str; 4] = ["brick", "grass", "gravel", "camera"];
const LEVELS: usize = 16;
const STEPS: [(isize, isize); 4] = [(1, 0), (0, 2), (3, 3), (2, -2)];

struct Asked {
    rgb: Vec<[u8; 3]>,
    lab: Vec<(Lab, Lab)>,
    folder: tempfile::TempDir,
    said: Value,
}

static ASKED: LazyLock<Asked> = LazyLock::new(|| {
    let mut chance = Chance::new(11);
    let mut byte = || (chance.unit() * 256.0) as u8;
    let rgb: Vec<[u8; 3]> = (0..2000).map(|_| [byte(), byte(), byte()]).collect();
    let mut colour =
        || Lab { l: chance.between(0.0, 100.0), a: chance.between(-80.0, 80.0), b: chance.between(-80.0, 80.0) };
    let lab: Vec<(Lab, Lab)> = (0..2000).map(|_| (colour(), colour())).collect();
    let folder = tempfile::tempdir().unwrap();
    let list = |lab: &Lab| json!([lab.l, lab.a, lab.b]);
    let question = json!({
        "folder": folder.path(),
        "levels": LEVELS,
        "steps": STEPS,
        "rgb": rgb,
        "lab": lab.iter().map(|(one, other)| json!([list(one), list(other)])).collect::<Vec<_>>(),
    });
    let mut asked = Command::new(tool("venv/bin/python").unwrap())
        .arg(top().join("tests/outside/pictures.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    asked.stdin.take().unwrap().write_all(question.to_string().as_bytes()).unwrap();
    let out = asked.wait_with_output().unwrap();
    assert!(out.status.success(), "the script failed");
    Asked { rgb, lab, folder, said: serde_json::from_slice(&out.stdout).unwrap() }
});

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn same(ours: f64, theirs: f64, share: f64, what: &str) {
    assert!((ours - theirs).abs() <= share * ours.abs().max(theirs.abs()).max(1e-9), "{what}: {ours} against {theirs}");
}

fn picture(name: &str) -> GrayImage {
    image::open(ASKED.folder.path().join(format!("{name}.png"))).unwrap().into_luma8()
}

#[test]
fn sharpness_is_opencvs() {
    // The same figures as published for these pictures with the wheel of scikit-image 0.26.0.
    for (name, known) in NAMES.iter().zip([178.087, 5310.057, 1654.129, 1133.163]) {
        let ours = laplacian_variance(&picture(name));
        same(ours, number(&ASKED.said["laplacian"][name]), 1e-9, name);
        same(ours, known, 1e-5, name);
    }
}

#[test]
fn textures_are_scikit_images() {
    for name in NAMES {
        let grey = picture(name);
        let levels: Vec<Option<u8>> =
            grey.as_raw().iter().map(|&value| Some((usize::from(value) * LEVELS / 256) as u8)).collect();
        let ours = texture_of(&co_occurrence(&levels, grey.width() as usize, LEVELS, &STEPS), LEVELS);
        let theirs = &ASKED.said["texture"][name];
        for (ours, property) in [
            (ours.contrast, "contrast"),
            (ours.dissimilarity, "dissimilarity"),
            (ours.homogeneity, "homogeneity"),
            (ours.energy, "energy"),
            (ours.correlation, "correlation"),
        ] {
            same(ours, number(&theirs[property]), 1e-6, &format!("{property} of {name}"));
        }
    }
}

#[test]
fn the_worked_table_of_four_levels_comes_out() {
    // scikit-image 0.26.0's documentation: distance 1, 0°, symmetric.
    let levels: Vec<Option<u8>> = "0011001102222233".bytes().map(|byte| Some(byte - b'0')).collect();
    let texture = texture_of(&co_occurrence(&levels, 4, 4, &[(1, 0)]), 4);
    for (ours, known) in [
        (texture.contrast, 0.583_333),
        (texture.dissimilarity, 0.416_667),
        (texture.homogeneity, 0.808_333),
        (texture.energy, 0.381_881),
        (texture.correlation, 0.719_533),
    ] {
        same(ours, known, 2e-6, "texture");
    }
}

#[test]
fn colours_are_scikit_images_and_colour_sciences() {
    for (rgb, theirs) in ASKED.rgb.iter().zip(ASKED.said["lab"].as_array().unwrap()) {
        let ours = srgb_to_lab(*rgb);
        for (ours, theirs) in [ours.l, ours.a, ours.b].into_iter().zip(theirs.as_array().unwrap()) {
            assert!((ours - number(theirs)).abs() < 2e-4, "{rgb:?}: {ours} against {theirs}");
        }
    }
    for library in ["ciede2000", "ciede2000_colour"] {
        for ((one, other), theirs) in ASKED.lab.iter().zip(ASKED.said[library].as_array().unwrap()) {
            same(ciede2000(*one, *other), number(theirs), 1e-6, library);
        }
    }
}

#[test]
fn the_published_pairs_have_the_published_differences() {
    // Sharma, Wu and Dalal, Color Research and Application 30 (2005), table 1.
    let table = std::fs::read_to_string(top().join("tests/outside/ciede2000-sharma-2005.csv")).unwrap();
    let mut pairs = 0;
    for line in table.lines() {
        let figures: Vec<f64> = line.split(',').filter_map(|figure| figure.trim().parse().ok()).collect();
        let [.., l1, a1, b1, l2, a2, b2, known] = figures[..] else { continue };
        let ours = ciede2000(Lab { l: l1, a: a1, b: b1 }, Lab { l: l2, a: a2, b: b2 });
        assert!((ours - known).abs() < 1e-4, "{line}: {ours}");
        pairs += 1;
    }
    assert_eq!(pairs, 34);
}

/// Photographs that are no disc: a texture that fills the picture.
#[test]
fn textures_that_are_no_disc_are_refused() {
    for name in NAMES {
        let grey = image::imageops::resize(&picture(name), 1200, 1200, image::imageops::FilterType::CatmullRom);
        let picture = RgbImage::from_fn(1200, 1200, |x, y| image::Rgb([grey.get_pixel(x, y).0[0]; 3]));
        for (x, y) in [(600.0, 600.0), (560.0, 640.0)] {
            let ring = |radius: f64| Ellipse { centre: (x, y), axes: (radius, radius * 0.95), turn: 0.3 };
            let mark = RingMark { outer: ring(520.0), inner: ring(330.0), outer_diameter_mm: face::DIAMETER_MM };
            let refused = read_face(&picture, &mark, None);
            assert!(matches!(refused, Err(FaceError::NoDisc { .. })), "{name}: {refused:?}");
        }
    }
}

/// The CC0 textures of scikit-image bent onto the ring of a drawn disc: it has a disc's edges, and no disc's pattern.
#[test]
fn textures_bent_onto_a_ring_are_unlike_any_reference() {
    let reference = |(stage, _, drawn): (&str, String, face::Face)| {
        let drawn = face::draw(&drawn);
        let mark = ring_of(&drawn);
        let seen = read_face(&drawn.picture, &mark, None).unwrap();
        let stage = serde_json::from_value::<ReferenceStage>(stage.into()).unwrap();
        Reference::of(stage, &seen.pattern)
    };
    let set = ReferenceSet::new(face::references().into_iter().map(reference).collect()).unwrap();
    for name in ["brick", "grass", "gravel"] {
        let texture = picture(name);
        let mut drawn = face::draw(&face::Face { size: (1300, 1000), blur_px: 0.6, ..face::Face::default() });
        let mark = ring_of(&drawn);
        let (width, height) = drawn.picture.dimensions();
        for nth in 0..6_000_u32 {
            let angle = f64::from(nth) / 6_000.0 * std::f64::consts::TAU;
            for step in 0..400_u32 {
                let (x, y) = mark.point(angle, f64::from(step) / 400.0);
                let place = ((x as u32).min(width - 1), (y as u32).min(height - 1));
                // The texture around the ring three times, and once across it.
                let value = texture.get_pixel(nth * 3 * 512 / 6_000 % 512, step * 256 / 400).0[0];
                drawn.picture.put_pixel(place.0, place.1, image::Rgb([value; 3]));
            }
        }
        match read_face(&drawn.picture, &mark, None) {
            Ok(seen) => {
                let proposal = set.propose(&seen.pattern);
                assert_eq!(proposal.stage, None, "{name} is like a stage: {:?}", proposal.distances);
            }
            // A texture with shadows as deep as holes leaves too little to be judged: refused is as good.
            Err(error) => assert!(matches!(error, FaceError::Hidden { .. }), "{name}: {error}"),
        }
    }
}

fn ring_of(drawn: &face::Drawn) -> RingMark {
    RingMark {
        outer: Ellipse::through(drawn.outer),
        inner: Ellipse::through(drawn.inner),
        outer_diameter_mm: face::DIAMETER_MM,
    }
}

/// What pillow-heif 1.8.1 coded is decoded as it decodes it itself (its decoder is another one), with its turn, time and
/// place.
#[test]
fn heic_files_of_another_coder_are_decoded_as_it_decodes_them() {
    let place = |name: &str| ASKED.folder.path().join(name);
    for (name, size) in [("plain", (512, 384)), ("turned", (384, 512))] {
        let original = std::fs::read(place(&format!("{name}.heic"))).unwrap();
        let ours = photo::disc::decode_whole(&original).unwrap();
        let theirs = image::open(place(&format!("{name}-decoded.png"))).unwrap().into_rgb8();
        assert_eq!(ours.dimensions(), size, "{name}");
        let theirs = if theirs.dimensions() == size { theirs } else { image::imageops::rotate90(&theirs) };
        let apart: f64 = ours
            .as_raw()
            .iter()
            .zip(theirs.as_raw())
            .map(|(&one, &other)| (f64::from(one) - f64::from(other)).abs())
            .sum::<f64>()
            / ours.as_raw().len() as f64;
        assert!(apart < 1.0, "{name}: {apart} levels apart in the mean");
        let copy = photo::make_report_copy(&original).unwrap();
        assert_eq!((copy.width, copy.height), size, "{name}");
        assert!(copy.had_position, "the original names a place; the copy does not");
        assert_eq!(copy.taken_at.unwrap().timestamp().unwrap().to_rfc3339(), "2026-11-24T10:41:00+01:00");
        assert!(photo::make_report_copy(&original[..original.len() / 2]).is_err(), "a cut one is refused");
    }
}
