//! Recordings beside what `SciPy`, `NumPy` and gpxpy make of the same bytes (`tests/outside/recordings.py` says which computes
//! what), and logs that others wrote: those that the crates `gpx` and `nmea` carry for their own tests.

use std::io::Write as _;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use demo::drive::{self, Hearing, Plan, Stop};
use rimside_tests::{tool, top};
use road_test::{Biquad, band_edges, friction_band, read_gpx, read_nmea, read_sound};
use serde_json::{Value, json};

/// Where a crate's own files lie, as cargo says.
fn sources_of(package: &str) -> PathBuf {
    let said = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--locked", "--offline"])
        .current_dir(top())
        .output()
        .unwrap();
    let metadata: Value = serde_json::from_slice(&said.stdout).unwrap();
    let packages = metadata["packages"].as_array().unwrap();
    let found = packages.iter().find(|one| one["name"] == package).unwrap();
    PathBuf::from(found["manifest_path"].as_str().unwrap()).parent().unwrap().to_owned()
}

fn ask(question: &Value) -> Value {
    let mut asked = Command::new(tool("venv/bin/python").unwrap())
        .arg(top().join("tests/outside/recordings.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    asked.stdin.take().unwrap().write_all(question.to_string().as_bytes()).unwrap();
    let said = asked.wait_with_output().unwrap();
    assert!(said.status.success(), "the script failed");
    serde_json::from_slice(&said.stdout).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// Agrees to so much of the larger one.
fn same(ours: f64, theirs: f64, share: f64, what: &str) {
    assert!(
        (ours - theirs).abs() <= share * ours.abs().max(theirs.abs()).max(1e-12),
        "{what}: {ours} against {theirs}"
    );
}

/// Frames are kept in single precision: that is what they agree to.
const SINGLE: f64 = 2e-6;

#[test]
fn frames_of_sound_are_what_scipy_and_numpy_make_of_them() {
    let plan = Plan { stops: vec![Stop::from(9.0, 4.0)], rolling_s: 1.0, ..Plan::default() };
    let generated = drive::drive(&plan);
    let folder = tempfile::tempdir().unwrap();
    let mut cases = Vec::new();
    let mut sounds = Vec::new();
    for (rate_hz, is_stereo) in [(8_000, false), (44_100, false), (48_000, true), (96_000, true)] {
        let hearing =
            Hearing { rate_hz, worn: 0.7, wind_db: -10.0, gain: 2.0, early_s: 0.0, seed: 4, circumference: 2.1 };
        let mut left = drive::hear(&generated, &hearing);
        let mut right = drive::hear(&generated, &Hearing { seed: 5, ..hearing });
        left.truncate(3 * rate_hz as usize + 137);
        right.truncate(left.len());
        let channels: &[&[f32]] = if is_stereo { &[&left, &right] } else { &[&left] };
        let bytes = drive::wav(rate_hz, channels);
        let file = folder.path().join(format!("{rate_hz}.wav"));
        std::fs::write(&file, &bytes).unwrap();
        let rate = f64::from(rate_hz);
        let (low, high) = friction_band(rate);
        let sound = read_sound(&bytes[..]).unwrap();
        let pass = [Biquad::high_pass(low, rate), Biquad::low_pass(high, rate)];
        let sections = [pass[0], pass[0], pass[1], pass[1]].map(|one| one.coefficients().to_vec());
        let length = (sound.hop_s * rate).round() as usize * 2;
        cases.push(json!({
            "file": file,
            "length": length,
            "band": [low, high],
            "edges": band_edges().to_vec(),
            "sections": sections,
        }));
        sounds.push(sound);
    }
    let said = ask(
        &json!({ "frames": cases, "tracks": [], "corners": [[1000.0, 8000.0], [3600.0, 8000.0], [6000.0, 48000.0]] }),
    );
    for (sound, theirs) in sounds.iter().zip(said["frames"].as_array().unwrap()) {
        let theirs = theirs.as_array().unwrap();
        assert_eq!(sound.frames.len(), theirs.len(), "{} Hz", sound.rate_hz);
        for (ours, theirs) in sound.frames.iter().zip(theirs) {
            let of = |name: &str| number(&theirs[name]);
            same(f64::from(ours.friction), of("friction"), SINGLE, "friction");
            same(f64::from(ours.centroid_hz), of("centroid"), SINGLE, "centroid");
            same(f64::from(ours.flatness), of("flatness"), SINGLE, "flatness");
            same(f64::from(ours.second_moment), of("second"), SINGLE, "second moment");
            let kurtosis = f64::from(ours.fourth_moment) / f64::from(ours.second_moment).powi(2);
            same(kurtosis, of("kurtosis"), 4.0 * SINGLE, "kurtosis");
            for (band, theirs) in ours.bands.iter().zip(theirs["bands"].as_array().unwrap()) {
                same(f64::from(*band), number(theirs), SINGLE, "band");
            }
        }
    }
    // The filters' coefficients are SciPy's Butterworth sections.
    for (pass, theirs) in [
        (Biquad::high_pass(1000.0, 8000.0), &said["corners"][0]["high"]),
        (Biquad::low_pass(3600.0, 8000.0), &said["corners"][1]["low"]),
        (Biquad::low_pass(6000.0, 48_000.0), &said["corners"][2]["low"]),
    ] {
        for (ours, theirs) in pass.coefficients().iter().zip(theirs.as_array().unwrap()) {
            same(*ours, number(theirs), 1e-9, "coefficient");
        }
    }
}

#[test]
fn white_noise_is_as_flat_and_as_peaked_as_theory_says() {
    // e^(−γ) for the flatness of a periodogram of white noise; Pearson's kurtosis 3 for noise and 1.5 for a sine.
    let mut chance = drive::Chance::new(3);
    let noise: Vec<f32> = (0..48_000 * 20).map(|_| (0.1 * chance.normal()) as f32).collect();
    let sound = read_sound(&drive::wav(48_000, &[&noise])[..]).unwrap();
    let mean =
        |of: &dyn Fn(&road_test::Frame) -> f64| sound.frames.iter().map(of).sum::<f64>() / sound.frames.len() as f64;
    // A Hann window makes neighbouring bins alike, which changes no single bin's distribution.
    same(mean(&|frame| f64::from(frame.flatness)), 0.5615, 0.02, "flatness");
    let (second, fourth) =
        (mean(&|frame| f64::from(frame.second_moment)), mean(&|frame| f64::from(frame.fourth_moment)));
    same(fourth / (second * second), 3.0, 0.02, "kurtosis of noise");
    let sine: Vec<f32> = (0..48_000 * 5)
        .map(|nth| (0.3 * libm::sin(2.0 * std::f64::consts::PI * 2500.0 * f64::from(nth) / 48_000.0)) as f32)
        .collect();
    let sound = read_sound(&drive::wav(48_000, &[&sine])[..]).unwrap();
    let frame = sound.frames[100];
    same(f64::from(frame.fourth_moment) / f64::from(frame.second_moment).powi(2), 1.5, 0.01, "kurtosis of a sine");
    same(f64::from(frame.centroid_hz), 2500.0, 0.01, "centroid of a sine");
}

#[test]
fn tracks_that_others_wrote_have_the_speeds_that_gpxpy_gives_them() {
    let folder = sources_of("gpx").join("tests/fixtures");
    let names = ["wikipedia_example.gpx", "garmin-activity.gpx", "ecology-trail-and-lovers-lane-loop.gpx"];
    let texts: Vec<String> = names.iter().map(|name| std::fs::read_to_string(folder.join(name)).unwrap()).collect();
    let said = ask(&json!({ "frames": [], "tracks": texts, "corners": [] }));
    let mut compared = 0;
    for (text, theirs) in texts.iter().zip(said["tracks"].as_array().unwrap()) {
        let Ok(ours) = read_gpx(text.as_bytes()) else { continue };
        if !ours.from_places {
            continue;
        }
        let theirs = theirs.as_array().unwrap();
        assert_eq!(ours.fixes.len(), theirs.len());
        for (ours, theirs) in ours.fixes.iter().zip(theirs) {
            same(ours.time_s, number(&theirs["time"]), 1e-9, "time");
            // gpxpy takes a flat earth of another radius for short ways: two parts in a thousand apart.
            let speed = number(&theirs["speed"]);
            assert!(
                (ours.speed_m_per_s - speed).abs() < 0.003 * speed + 0.02,
                "{} against {speed}",
                ours.speed_m_per_s
            );
            compared += 1;
        }
    }
    assert!(compared > 100, "{compared} speeds compared");
}

#[test]
fn a_receivers_log_that_others_wrote_is_read_whole() {
    let log = std::fs::read(sources_of("nmea").join("tests/data/nmea1.log")).unwrap();
    let position = read_nmea(&log[..]).unwrap();
    // 993 valid RMC sentences at 1 Hz, as whoever looked through the file counted.
    let valid = log
        .split(|&byte| byte == b'\n')
        .filter(|line| line.starts_with(b"$GPRMC,") && line.split(|&byte| byte == b',').nth(2) == Some(b"A"))
        .count();
    assert!(position.fixes.len() > 900 && position.fixes.len() <= valid, "{} of {valid}", position.fixes.len());
    let steps = position.fixes.windows(2).filter(|pair| (pair[1].time_s - pair[0].time_s - 1.0).abs() < 1e-6).count();
    assert!(steps as f64 > 0.95 * position.fixes.len() as f64, "{steps} steps of a second");
    // The receiver flew: the fastest of its own figures, in knots.
    let fastest = position.fixes.iter().map(|fix| fix.speed_m_per_s).fold(0.0, f64::max);
    let knots = log.split(|&byte| byte == b'\n').filter(|line| line.starts_with(b"$GPRMC,"));
    let knots = knots.filter_map(|line| String::from_utf8_lossy(line).split(',').nth(7)?.parse::<f64>().ok());
    same(fastest, knots.fold(0.0, f64::max) * 1852.0 / 3600.0, 1e-6, "fastest");
}
