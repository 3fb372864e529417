//! Recordings of a road test, and what comes of their analysis.

use std::sync::LazyLock;

use road_test::{Motion, Position, RecordingError, Recordings, Sound};

use super::corpus;

/// The corpus's own log of motion, beside which logs of position and sounds are analysed.
static DRIVE: LazyLock<Motion> = LazyLock::new(|| {
    let bytes = std::fs::read(corpus("motion").join("valid-motion.bin")).expect("the corpus holds a log of motion");
    road_test::read_motion(&bytes[..]).expect("the corpus's log of motion is one")
});

/// Reads the bytes as a log of motion and analyses it. Gives whether they are one.
///
/// # Panics
/// Something does not hold.
pub fn read_motion(bytes: &[u8]) -> bool {
    let Ok(motion) = road_test::read_motion(bytes) else { return false };
    assert!(motion.time_s.windows(2).all(|pair| pair[0] < pair[1]), "rows out of order");
    assert!(motion.time_s.iter().all(|time| time.is_finite()), "a time that is none");
    assert!(motion.force.iter().flatten().all(|force| force.is_finite()), "a force that is none");
    analyse(Recordings { motion: Some(&motion), ..Recordings::default() });
    true
}

/// Reads the bytes as every kind of log of position, and analyses them beside a log of motion. Gives whether any reader took
/// them.
///
/// # Panics
/// Something does not hold.
pub fn read_position(bytes: &[u8]) -> bool {
    let read: [Result<Position, RecordingError>; 3] =
        [road_test::read_gpx(bytes), road_test::read_nmea(bytes), road_test::read_position_table(bytes)];
    for position in read.iter().flatten() {
        assert!(position.fixes.windows(2).all(|pair| pair[0].time_s < pair[1].time_s), "fixes out of order");
        for fix in &position.fixes {
            assert!((0.0..120.0).contains(&fix.speed_m_per_s), "a speed that is none");
            assert!(
                fix.uncertainty_m_per_s.is_finite() && fix.uncertainty_m_per_s > 0.0,
                "an uncertainty that is none"
            );
        }
        analyse(Recordings { motion: Some(&DRIVE), position: Some(position), ..Recordings::default() });
    }
    read.iter().any(Result::is_ok)
}

/// Reads the bytes as a sound, and analyses it beside a log of motion. Gives whether they are one.
///
/// # Panics
/// Something does not hold.
pub fn read_sound(bytes: &[u8]) -> bool {
    let Ok(sound) = road_test::read_sound(bytes) else { return false };
    assert!(!sound.frames.is_empty() && sound.frames.len() as f64 * sound.hop_s <= sound.length_s, "too many frames");
    assert!(sound.envelope.iter().all(|level| is_power(*level)), "an envelope that is none");
    for frame in &sound.frames {
        let powers = [frame.friction, frame.centroid_hz, frame.second_moment, frame.fourth_moment, frame.rumble];
        assert!(powers.iter().chain(&frame.bands).all(|power| is_power(*power)), "a level that is none");
        let shares = [frame.flatness, frame.overloaded];
        assert!(shares.iter().all(|share| (0.0..=1.001).contains(share)), "a share that is none: {shares:?}");
    }
    draw(&sound);
    analyse(Recordings { motion: Some(&DRIVE), sound: Some(&sound), ..Recordings::default() });
    true
}

fn is_power(power: f32) -> bool {
    power.is_finite() && power >= 0.0
}

fn draw(sound: &Sound) {
    let drawn = road_test::spectrogram_png(sound);
    assert!(image::load_from_memory(&drawn).is_ok(), "what was heard cannot be drawn");
}

/// Figures that are numbers alone can be written as JSON.
fn analyse(recordings: Recordings<'_>) {
    let rows = recordings.motion.map_or(0, |motion: &Motion| motion.time_s.len());
    let Ok(drive) = road_test::analyse(recordings) else { return };
    assert!(drive.track.speed.iter().all(|speed| speed.is_finite()), "a speed that is none");
    assert_eq!(drive.acceleration.len(), rows, "an acceleration for each row");
    assert!(drive.acceleration.iter().all(|value| value.is_finite()), "an acceleration that is none");
    assert!(model::canonical_json(&drive.seen).is_ok(), "a figure that is none");
}
