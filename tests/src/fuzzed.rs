//! What must hold for any bytes at all. The fuzz targets demand it of random ones, the ordinary tests of a corpus.

use std::path::PathBuf;

use anyhow::{Context as _, Result};
use chrono::{DateTime, Utc};
use seal::{check::check_file, digest::ReportIdentity};
use verify::{Headline, Trust, TrustTexts};

use crate::top;

/// The time at which the corpus is checked: 2026-06-01 00:00 UTC, while the certificates in it are valid.
const CHECKED_AT: DateTime<Utc> = DateTime::from_timestamp(1_780_272_000, 0).expect("a time in 2026");

/// The folder of one target's corpus.
pub fn corpus(target: &str) -> PathBuf {
    top().join("tests/corpus").join(target)
}

/// Reads the bytes as every kind of recording, and analyses what is a log of motion. Gives whether any reader took them.
///
/// # Panics
/// Something does not hold.
pub fn read_recording(bytes: &[u8]) -> bool {
    let (gpx, nmea, table) =
        (road_test::read_gpx(bytes), road_test::read_nmea(bytes), road_test::read_position_table(bytes));
    let (motion, sound) = (road_test::read_motion(bytes), road_test::read_sound(bytes));
    for position in [&gpx, &nmea, &table].into_iter().flatten() {
        assert!(position.fixes.windows(2).all(|pair| pair[0].time_s <= pair[1].time_s), "fixes out of order");
        assert!(position.fixes.iter().all(|fix| fix.speed_m_per_s.is_finite()), "a speed that is none");
    }
    if let Ok(motion) = &motion {
        let alone = road_test::Recordings { motion: Some(motion), ..road_test::Recordings::default() };
        if let Ok(drive) = road_test::analyse(alone) {
            assert!(drive.track.speed.iter().all(|speed| speed.is_finite()), "a speed that is none");
        }
    }
    if let Ok(sound) = &sound {
        assert!(sound.frames.iter().all(|frame| frame.friction.is_finite()), "a level that is none");
    }
    gpx.is_ok() || nmea.is_ok() || table.is_ok() || motion.is_ok() || sound.is_ok()
}

/// Decodes the bytes as a picture in its own resolution and reads a ring in its middle. Gives whether it is a picture.
///
/// # Panics
/// Something does not hold.
pub fn read_picture(bytes: &[u8]) -> bool {
    use photo::disc::{Ellipse, RingMark, decode_whole, read_face};
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

/// Reads the bytes as every kind of document. Whatever a door lets through comes back unchanged from the canonical
/// form; gives whether they are a record in that form.
///
/// # Panics
/// Something does not hold.
pub fn read_document(bytes: &[u8]) -> bool {
    if let Ok(inspection) = model::parse_inspection(bytes) {
        let written = model::canonical_json(&inspection).expect("what was read can be written");
        assert!(model::parse_inspection(&written).as_ref() == Ok(&inspection), "an inspection does not come back");
    }
    let Ok(record) = model::parse_record(bytes) else {
        assert!(model::parse_canonical_record(bytes).is_err(), "one door lets through what the other refuses");
        return false;
    };
    let written = model::canonical_json(&record).expect("what was read can be written");
    assert!(model::parse_canonical_record(&written).as_ref() == Ok(&record), "a record does not come back");
    let is_canonical = model::parse_canonical_record(bytes).is_ok();
    assert_eq!(is_canonical, written == bytes, "exactly the canonical bytes are canonical");
    is_canonical
}

/// What a reader has who looks at the corpus: one root, no statements; and the one report that was ever signed under it.
pub struct Reader {
    trust: Trust,
    signed: ReportIdentity,
}

impl Reader {
    /// The reader of the committed corpus.
    ///
    /// # Errors
    /// The corpus is not there, or its valid file is not valid.
    pub fn of_corpus() -> Result<Self> {
        let root = std::fs::read_to_string(top().join("tests/corpus/root.pem"))?;
        let trust = TrustTexts { roots: vec![root], ..TrustTexts::at(CHECKED_AT) }.parse()?;
        let valid = std::fs::read(corpus("sealed_file").join("valid-signed.pdf"))?;
        let report = check_file(&valid, &trust);
        let signed = report.unchanged.passed().context("the corpus's valid file is refused")?.identity();
        Ok(Self { trust, signed })
    }

    /// Checks the bytes as a sealed file. No other signed bytes than those of the one report are ever called unchanged,
    /// and nothing is called genuine, since that report holds no record to draw; gives whether the seal is in order.
    ///
    /// # Panics
    /// Something does not hold.
    pub fn check(&self, bytes: &[u8]) -> bool {
        let report = check_file(bytes, &self.trust);
        let verdict = verify::check_fully(bytes, &self.trust);
        assert_eq!(verdict.headline, Headline::DoNotRely, "{}", verdict.because);
        assert!(!verdict.because.is_empty() && serde_json::to_string(&verdict).is_ok());
        let Some(verified) = report.unchanged.passed() else {
            assert!(report.whose.passed().is_none(), "a changed file is somebody's");
            return false;
        };
        assert!(verified.identity() == self.signed, "another file is called unchanged");
        report.whose.passed().is_some()
    }
}
