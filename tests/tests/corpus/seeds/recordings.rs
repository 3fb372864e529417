//! Logs of motion and position, and sounds.

use std::fmt::Write as _;

use demo::drive::{self, Generated, Plan, Stop};

use super::{Seeds, replace, with};

fn driven() -> Generated {
    let plan = Plan { stops: vec![Stop::from(7.0, 6.0)], rate_hz: 25.0, rolling_s: 0.2, ..Plan::default() };
    drive::drive(&plan)
}

pub fn motions() -> Seeds {
    let motion = drive::motion_csv(&driven());
    let start = motion.lines().next().unwrap().to_owned();
    vec![
        ("valid-motion", motion.clone().into_bytes()),
        (
            "valid-other-units",
            rows("time_ms,ax_g,ay_g,az_g,gx_deg_s", |nth| format!("{},0,0.{},1,2", nth * 45, nth % 7)),
        ),
        ("no-axis", replace(&motion, "az_m_s2", "height")),
        ("not-a-number", replace(&motion, "0.0020", "NaN")),
        ("cut", motion.as_bytes()[..400].to_vec()),
        ("header-alone", start.clone().into_bytes()),
        ("clock-backwards", replace(&motion, "\n0.0", "\n9.0")),
        ("still", rows(&start, |nth| format!("{}e-2,0,0,9.8", 5 * nth))),
        ("weightless", rows(&start, |nth| format!("{}e-2,0,0.{nth},0", 5 * nth))),
        ("slow", rows(&start, |nth| format!("{nth},0,0.{nth},9.8"))),
        ("one-column-more", replace(&motion, "\n0.0", "\n1,0.0")),
        ("line-without-end", [&motion.as_bytes()[..400], &[b'1'; 5000]].concat()),
        ("text", b"no table at all".to_vec()),
        ("empty", Vec::new()),
    ]
}

/// A table of six seconds and more.
fn rows(header: &str, row: impl Fn(u32) -> String) -> Vec<u8> {
    let mut text = header.to_owned();
    for nth in 0..140 {
        write!(text, "\n{}", row(nth)).unwrap();
    }
    text.into_bytes()
}

pub fn positions() -> Seeds {
    let driven = driven();
    let (nmea, gpx, table) = (drive::nmea(&driven), drive::gpx(&driven), drive::position_csv(&driven));
    let places = "time,lat,lon,speed_km_h\n2026-11-24T10:00:00Z,54.8,4.2,\n2026-11-24T10:00:01Z,54.8001,4.2,40\n\
                  2026-11-24T10:00:02.5+00:00,54.8002,4.2,";
    vec![
        ("valid-nmea", nmea.clone().into_bytes()),
        ("valid-gpx", gpx.clone().into_bytes()),
        ("valid-table", table.clone().into_bytes()),
        ("valid-places", places.as_bytes().to_vec()),
        ("nmea-broken-sums", nmea.replace('*', "*F").into_bytes()),
        ("nmea-void", nmea.replace(",A,", ",V,").into_bytes()),
        ("gpx-cut", gpx.as_bytes()[..gpx.len() / 2].to_vec()),
        ("gpx-no-times", gpx.replace("time>", "tide>").into_bytes()),
        ("gpx-empty", b"<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\"/>".to_vec()),
        ("table-backwards", replace(&table, "1795600002", "1795600999")),
        ("table-no-speed", replace(&table, "speed_m_s", "height_m")),
        ("table-too-fast", replace(&table, "0.0000", "120.1")),
        ("table-not-a-number", replace(&table, "0.0000", "inf")),
        ("table-two-fixes", table.lines().take(3).collect::<Vec<_>>().join("\n").into_bytes()),
        ("places-beyond-the-pole", replace(places, "54.8,", "90.1,")),
        ("places-at-once-elsewhere", replace(places, "54.8001,4.2,40", "-54.8,4.2,")),
        ("text", b"no log at all".to_vec()),
        ("empty", Vec::new()),
    ]
}

pub fn sounds() -> Seeds {
    let tone: Vec<f32> = (0..3000_u16).map(|nth| libm::sin(f64::from(nth) / 3.0) as f32 / 4.0).collect();
    let sound = drive::wav(8_000, &[&tone]);
    let floats: Vec<u8> = tone[..1200].iter().flat_map(|sample| sample.to_le_bytes()).collect();
    let float = coded(3, 1, 32, &floats);
    vec![
        ("valid-sound", sound.clone()),
        ("valid-float", float.clone()),
        ("valid-two-channels-of-24-bits", coded(1, 2, 24, &floats)),
        ("cut", sound[..sound.len() / 2].to_vec()),
        ("lying-length", with(&sound, 40, &[0xf0, 0xff, 0xff, 0x0f])),
        ("no-rate", with(&sound, 24, &[0; 4])),
        ("eight-bits", with(&sound, 34, &[8, 0])),
        ("three-channels", coded(1, 3, 16, &floats)),
        ("other-coding", coded(0x55, 1, 16, &floats)),
        ("silent", coded(1, 1, 16, &[0; 2400])),
        ("short", coded(1, 1, 16, &floats[..100])),
        ("not-a-number", with(&float, 60, &f32::NAN.to_le_bytes())),
        ("header-alone", sound[..36].to_vec()),
        ("text", b"no sound at all".to_vec()),
        ("empty", Vec::new()),
    ]
}

/// A WAV file of 8 kHz in this coding.
fn coded(coding: u16, channels: u16, bits: u16, samples: &[u8]) -> Vec<u8> {
    let mut file = road_test::wav_header(8_000, samples.len() as u64).to_vec();
    let frame = channels * bits / 8;
    for (at, value) in [(20, coding), (22, channels), (32, frame), (34, bits)] {
        file[at..at + 2].copy_from_slice(&value.to_le_bytes());
    }
    file[28..32].copy_from_slice(&(8_000 * u32::from(frame)).to_le_bytes());
    file.extend_from_slice(samples);
    file
}
