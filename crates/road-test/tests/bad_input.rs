//! Files that are broken, and what a person is told: what is wrong, where, what was expected.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]
#![allow(clippy::format_collect, reason = "a table is made line by line")]

use demo::drive::{self, Plan, Stop};
use proptest::prelude::*;
use road_test::{
    RecordingError, Recordings, analyse, read_gpx, read_motion, read_nmea, read_position_table, read_sound, wav_header,
};

fn good() -> (String, String) {
    let plan = Plan { stops: vec![Stop::from(15.0, 5.0), Stop::from(20.0, 6.0)], ..Plan::default() };
    let generated = drive::drive(&plan);
    (drive::motion_csv(&generated), drive::position_csv(&generated))
}

fn said(error: &RecordingError) -> String {
    error.to_string()
}

#[test]
fn a_broken_log_of_motion_is_told_with_its_line() {
    let (motion, _) = good();
    let lines: Vec<&str> = motion.lines().collect();
    let with = |at: usize, line: &str| {
        let mut lines = lines.clone();
        lines[at] = line;
        lines.join("\n")
    };
    for (text, expected) in [
        (with(700, "7.1,0.2,nonsense,9.8"), "line 701: got \"nonsense\""),
        (with(700, "7.1,0.2,NaN,9.8"), "line 701: got \"NaN\""),
        (with(700, "7.1,0.2,inf,9.8"), "line 701: got \"inf\""),
        (with(700, "7.1,0.2"), "line 701: got \"2 columns\""),
        (with(700, "0.5,0.1,0.2,9.8"), "line 701: the clock went from"),
        (with(0, "time_s,speed,heading,height"), "line 1: the columns are time_s, speed, heading, height"),
        (lines[..40].join("\n"), "39 rows of motion"),
        (String::new(), "line 1: the columns are"),
        (format!("time_s,ax,ay,az\n{}", "x".repeat(10_000)), "a line has more than 4096 characters"),
    ] {
        let error = said(&read_motion(text.as_bytes()).unwrap_err());
        assert!(error.contains(expected), "{error}");
    }
}

#[test]
fn figures_that_no_phone_in_a_car_has_are_told() {
    let (motion, _) = good();
    let swapped = motion.replace("time_s,ax_m_s2,ay_m_s2,az_m_s2", "ax_m_s2,time_s,ay_m_s2,az_m_s2");
    assert!(said(&read_motion(swapped.as_bytes()).unwrap_err()).contains("the clock went from"));
    let constant: String = (0..2000).map(|nth| format!("{:.3},0.1,0.2,9.8\n", f64::from(nth) / 100.0)).collect();
    let error = said(&read_motion(format!("time_s,ax,ay,az\n{constant}").as_bytes()).unwrap_err());
    assert!(error.contains("the same in every row"), "{error}");
    let without_gravity: String = (0..2000)
        .map(|nth| format!("{:.3},0.1,{:.3},0.3\n", f64::from(nth) / 100.0, f64::from(nth % 7) / 10.0))
        .collect();
    let error = said(&read_motion(format!("time_s,ax,ay,az\n{without_gravity}").as_bytes()).unwrap_err());
    assert!(error.contains("gravity"), "{error}");
}

#[test]
fn a_force_that_no_sensor_feels_is_told_with_its_line() {
    let (motion, _) = good();
    let lines: Vec<&str> = motion.lines().collect();
    for (row, got) in [("7.1,0.2,1e300,9.8", "1e300"), ("7.1,0.2,0.1,-1000.1", "-1000.1")] {
        let mut lines = lines.clone();
        lines[700] = row;
        let error = said(&read_motion(lines.join("\n").as_bytes()).unwrap_err());
        assert!(error.contains("line 701") && error.contains(got) && error.contains("within 1000 m/s²"), "{error}");
    }
}

/// The analysis works in steps of time: a row years later would be as much work as the years.
#[test]
fn rows_that_come_hours_later_are_no_road_test() {
    let (motion, _) = good();
    for late in ["7300", "1e9", "1e300"] {
        let error = said(&read_motion(format!("{motion}{late},0.1,0.2,9.8\n").as_bytes()).unwrap_err());
        assert!(error.contains("more than 7200 seconds of motion"), "{error}");
    }
    assert!(read_motion(format!("{motion}7190,0.1,0.2,9.8\n").as_bytes()).is_ok());
}

#[test]
fn logs_of_two_drives_do_not_make_one() {
    let (motion, _) = good();
    let motion = read_motion(motion.as_bytes()).unwrap();
    let other = Plan {
        seed: 9,
        stops: vec![Stop::from(30.0, 3.0), Stop::from(12.0, 8.0), Stop::from(25.0, 2.0)],
        ..Plan::default()
    };
    let position = read_position_table(drive::position_csv(&drive::drive(&other)).as_bytes()).unwrap();
    let error = analyse(Recordings { motion: Some(&motion), position: Some(&position), ..Recordings::default() });
    assert!(said(&error.unwrap_err()).contains("do the two logs belong to one drive"));
}

#[test]
fn a_broken_log_of_position_is_told() {
    let (_, position) = good();
    let back = position.replacen("1795600010", "1795600001", 1);
    assert!(said(&read_position_table(back.as_bytes()).unwrap_err()).contains("the clock went from"));
    let error =
        said(&read_position_table("time_s,latitude,longitude\n1,4.2,154.8\n2,97.1,4.2\n".as_bytes()).unwrap_err());
    assert!(error.contains("line 3") && error.contains("swapped"), "{error}");
    assert!(said(&read_gpx("<gpx".as_bytes()).unwrap_err()).contains("expected a track in GPX 1.1"));
    assert!(said(&read_nmea("$GPRMC,bad\n$GPRMC,bad\n".as_bytes()).unwrap_err()).contains("line 1"));
    assert!(
        said(&read_position_table("time_s,speed_m_s\n1,900\n2,900\n3,900\n".as_bytes()).unwrap_err())
            .contains("0 to 120")
    );
    let error = said(&read_position_table("time_s,speed_m_s\n1e12,1\n2e12,1\n3e12,1\n".as_bytes()).unwrap_err());
    assert!(error.contains("line 3") && error.contains("a time"), "{error}");
}

#[test]
fn fixes_that_are_next_to_no_time_apart_are_one() {
    let text = "time_s,lat,lon\n0,1,1\n1e-320,1,1\n1,1,1\n2,1.0001,1\n";
    let position = read_position_table(text.as_bytes()).unwrap();
    assert_eq!(position.fixes.len(), 2);
    assert!(position.fixes.iter().all(|fix| fix.uncertainty_m_per_s < 1.0), "{:?}", position.fixes);
}

#[test]
fn a_wav_that_lies_is_told_with_its_byte() {
    let tone: Vec<f32> = (0..16_000).map(|nth| libm::sin(f64::from(nth) / 9.0) as f32 * 0.3).collect();
    let good = drive::wav(16_000, &[&tone]);
    let mut long = good.clone();
    long[40..44].copy_from_slice(&2_000_000_u32.to_le_bytes());
    let error = said(&read_sound(&long[..]).unwrap_err());
    assert!(error.contains("byte 32044") && error.contains("after 16000 samples"), "{error}");
    assert!(said(&read_sound(&good[..20_000]).unwrap_err()).contains("was the recording cut off?"));
    assert!(said(&read_sound(&b"RIFX"[..]).unwrap_err()).contains("a WAV file"));
    let mut odd = good.clone();
    odd[24..28].copy_from_slice(&4_000_u32.to_le_bytes());
    odd[28..32].copy_from_slice(&8_000_u32.to_le_bytes());
    assert!(said(&read_sound(&odd[..]).unwrap_err()).contains("8 to 96 kHz"));
    let silent = drive::wav(16_000, &[&vec![0.0; 16_000]]);
    assert!(said(&read_sound(&silent[..]).unwrap_err()).contains("silence"));
}

#[test]
fn a_sample_that_is_no_sound_is_told_with_its_byte() {
    let file = |spoilt: f32| {
        let tone = (0..4000).map(|nth| if nth == 700 { spoilt } else { libm::sin(f64::from(nth) / 9.0) as f32 });
        let samples: Vec<u8> = tone.flat_map(f32::to_le_bytes).collect();
        let mut file = wav_header(8_000, samples.len() as u64).to_vec();
        // 32-bit floats (coding 3).
        for (at, value) in [(20, 3_u16), (32, 4), (34, 32)] {
            file[at..at + 2].copy_from_slice(&value.to_le_bytes());
        }
        file[28..32].copy_from_slice(&32_000_u32.to_le_bytes());
        file.extend(samples);
        file
    };
    assert!(read_sound(&file(900.0)[..]).is_ok());
    for spoilt in [f32::NAN, f32::INFINITY, 1001.0, -1e30] {
        let error = said(&read_sound(&file(spoilt)[..]).unwrap_err());
        assert!(error.contains("byte 2844") && error.contains("of full scale 1"), "{error}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// Whatever bytes come: an answer or an error, never a panic.
    #[test]
    fn any_bytes_are_answered(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        let _ = read_motion(&bytes[..]);
        let _ = read_position_table(&bytes[..]);
        let _ = read_gpx(&bytes[..]);
        let _ = read_nmea(&bytes[..]);
        let _ = read_sound(&bytes[..]);
    }

    /// Good files with some bytes changed, and what comes of them analysed.
    #[test]
    fn changed_files_are_answered(changes in proptest::collection::vec((any::<proptest::sample::Index>(), any::<u8>()), 1..20)) {
        let (motion, position) = good();
        let spoil = |text: &str| {
            let mut bytes = text.as_bytes().to_vec();
            for (place, value) in &changes {
                let at = place.index(bytes.len());
                bytes[at] = *value;
            }
            bytes
        };
        let (motion, position) = (read_motion(&spoil(&motion)[..]), read_position_table(&spoil(&position)[..]));
        if let Ok(motion) = &motion {
            let _ = analyse(Recordings { motion: Some(motion), position: position.as_ref().ok(), ..Recordings::default() });
            let _ = analyse(Recordings { motion: Some(motion), ..Recordings::default() });
        }
    }
}
