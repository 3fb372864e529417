//! Logs of position: where the car was and how fast, by a satellite receiver.

use std::io::{BufRead, BufReader, Read};

use chrono::{DateTime, NaiveDateTime, Utc};
use nmea::{ParseResult, sentences::rmc::RmcStatusOfFix};

use crate::{RecordingError, line::Table};

/// One fix of a receiver.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fix {
    /// Seconds by the receiver's clock; since 1970 where it tells the day.
    pub time_s: f64,
    /// Speed over ground in m/s, measured or from the places of neighbouring fixes.
    pub speed_m_per_s: f64,
    /// Standard uncertainty of it in m/s.
    pub uncertainty_m_per_s: f64,
}

/// A log of position.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Position {
    /// In order of time.
    pub fixes: Vec<Fix>,
    /// Lines that were passed over because their check sum or their form was wrong.
    pub passed_over: u64,
    /// Whether the speeds come from places alone, and not from the receiver's own measurement.
    pub from_places: bool,
}

/// Standard uncertainty of a receiver's own speed in m/s. The project's assumption: makers state 0.1 to 0.2.
const SPEED_U: f64 = 0.15;
/// Standard uncertainty of the way between two neighbouring fixes in m. The project's assumption: neighbouring errors are
/// alike, so it is far under that of a place.
const WAY_U: f64 = 0.7;
/// A day at one fix a second.
const MOST_FIXES: u64 = 86_400;
/// Fixes that are nearer in time are one that was written twice, in s: receivers give 25 a second at most.
const ONE_FIX_S: f64 = 1e-3;
/// No time is further from 1970, in s: beyond it, a clock could not be told to a millisecond.
const MOST_TIME_S: f64 = 1e12;
/// The largest GPX file that is read: 32 MiB.
const MOST_BYTES: u64 = 32 << 20;
/// Knots to m/s (ISO 80000-3: 1 knot is 1852 m in 3600 s).
const KNOT: f64 = 1852.0 / 3600.0;
/// Mean radius of the earth in m (IUGG).
const EARTH_M: f64 = 6_371_008.8;

struct Place {
    time_s: f64,
    latitude: f64,
    longitude: f64,
    speed: Option<f64>,
    line: u64,
}

/// Reads a GPX 1.0 or 1.1 track. Points without a time are passed over.
///
/// # Errors
/// [`RecordingError`]: no GPX, larger than 32 MiB, fewer than three points with a time, a clock that runs backwards.
pub fn read_gpx(input: impl Read) -> Result<Position, RecordingError> {
    let mut counted = BufReader::new(input.take(MOST_BYTES + 1));
    let mut text = String::new();
    counted.read_to_string(&mut text)?;
    if text.len() as u64 > MOST_BYTES {
        return Err(RecordingError::TooLong { most: MOST_BYTES, what: "bytes of GPX" });
    }
    let gpx = gpx::read(text.as_bytes()).map_err(|error| RecordingError::Byte {
        byte: 0,
        got: error.to_string().chars().take(120).collect(),
        expected: "a track in GPX 1.1".to_owned(),
    })?;
    let points = gpx.tracks.iter().flat_map(|track| &track.segments).flat_map(|segment| &segment.points);
    let mut position = Position::default();
    let mut places = Vec::new();
    for (nth, point) in points.enumerate() {
        let time = point.time.and_then(|time| time.format().ok()).and_then(|time| time.parse::<DateTime<Utc>>().ok());
        let Some(time) = time else {
            position.passed_over += 1;
            continue;
        };
        places.push(Place {
            time_s: seconds(&time),
            latitude: point.point().y(),
            longitude: point.point().x(),
            speed: point.speed,
            line: nth as u64 + 1,
        });
    }
    complete(position, &places)
}

/// Reads NMEA 0183: the RMC sentences, of whatever talker. Sentences with a wrong check sum are passed over and counted;
/// others are none of this reader's business.
///
/// # Errors
/// [`RecordingError`]: fewer than three valid RMC sentences, more broken than whole ones, a clock that runs backwards.
pub fn read_nmea(input: impl Read) -> Result<Position, RecordingError> {
    let mut lines = BufReader::new(crate::line::Lines::new(input));
    let mut position = Position::default();
    let (mut places, mut bytes, mut number) = (Vec::new(), Vec::new(), 0_u64);
    let mut first_broken = None;
    loop {
        bytes.clear();
        if lines.read_until(b'\n', &mut bytes)? == 0 {
            break;
        }
        number += 1;
        let text = String::from_utf8_lossy(&bytes);
        let text = text.trim();
        if text.get(3..6) != Some("RMC") || !text.starts_with('$') {
            continue;
        }
        let Ok(ParseResult::RMC(rmc)) = nmea::parse_str(text) else {
            position.passed_over += 1;
            first_broken.get_or_insert_with(|| (number, text.chars().take(80).collect::<String>()));
            continue;
        };
        let valid = rmc.status_of_fix != RmcStatusOfFix::Invalid;
        let (Some(date), Some(time), Some(speed)) = (rmc.fix_date, rmc.fix_time, rmc.speed_over_ground) else {
            continue;
        };
        if !valid {
            continue;
        }
        places.push(Place {
            time_s: seconds(&NaiveDateTime::new(date, time).and_utc()),
            latitude: rmc.lat.unwrap_or_default(),
            longitude: rmc.lon.unwrap_or_default(),
            speed: Some(f64::from(speed) * KNOT),
            line: number,
        });
        if places.len() as u64 > MOST_FIXES {
            return Err(RecordingError::TooLong { most: MOST_FIXES, what: "fixes" });
        }
    }
    if let Some((line, got)) = first_broken
        && position.passed_over > places.len() as u64
    {
        return Err(RecordingError::Line { line, got, expected: "an RMC sentence with the check sum that it states" });
    }
    complete(position, &places)
}

const TIME: [&str; 4] = ["time_s", "time_ms", "t", "time"];
const SPEED: [&str; 4] = ["speed_m_s", "speed_km_h", "speed_kn", "speed"];
const SPEED_SCALE: [f64; 4] = [1.0, 1.0 / 3.6, KNOT, 1.0];

/// Reads a table with `time_s` (or `time_ms`, or `time` in ISO 8601) and `speed_m_s` (or `speed_km_h`, `speed_kn`), or
/// `latitude` and `longitude` in degrees; beside a place, a speed may be empty.
///
/// # Errors
/// [`RecordingError`] with the line.
pub fn read_position_table(input: impl Read) -> Result<Position, RecordingError> {
    let mut table = Table::open(input)?;
    let missing = "time_s, and speed_m_s or latitude and longitude";
    let (time, unit) = table.find(&TIME).ok_or_else(|| table.columns_error(missing))?;
    let speed = table.find(&SPEED);
    let place = table.find(&["latitude", "lat"]).zip(table.find(&["longitude", "lon", "lng"]));
    if speed.is_none() && place.is_none() {
        return Err(table.columns_error(missing));
    }
    let mut places = Vec::new();
    while table.next()? {
        let text = table.text(time);
        let expected = "a time in seconds, or in ISO 8601";
        let time_s = match text.parse::<DateTime<Utc>>() {
            Ok(time) => seconds(&time),
            Err(_) => table.number(time, expected)? * if unit == 1 { 1e-3 } else { 1.0 },
        };
        if time_s.abs() > MOST_TIME_S {
            return Err(table.refuse(time, expected));
        }
        let (mut latitude, mut longitude) = (0.0, 0.0);
        if let Some(((first, _), (second, _))) = place {
            latitude = table.number(first, "degrees of latitude")?;
            longitude = table.number(second, "degrees of longitude")?;
            if latitude.abs() > 90.0 || longitude.abs() > 180.0 {
                return Err(RecordingError::Line {
                    line: table.line(),
                    got: format!("{latitude}, {longitude}"),
                    expected: "degrees of latitude within 90 and of longitude within 180; are the columns swapped?",
                });
            }
        }
        let speed = match speed {
            // A receiver may know a place and no speed.
            Some((column, _)) if place.is_some() && table.text(column).is_empty() => None,
            Some((column, unit)) => Some(table.number(column, "a speed")? * SPEED_SCALE[unit]),
            None => None,
        };
        if places.len() as u64 == MOST_FIXES {
            return Err(RecordingError::TooLong { most: MOST_FIXES, what: "fixes" });
        }
        places.push(Place { time_s, latitude, longitude, speed, line: table.line() });
    }
    complete(Position::default(), &places)
}

fn seconds(time: &DateTime<Utc>) -> f64 {
    time.timestamp() as f64 + f64::from(time.timestamp_subsec_micros()) * 1e-6
}

/// Speeds from the receiver where it tells them, else from the places.
fn complete(mut position: Position, places: &[Place]) -> Result<Position, RecordingError> {
    for pair in places.windows(2) {
        // Some receivers write a fix twice; the same time is no step back.
        if pair[1].time_s < pair[0].time_s {
            return Err(RecordingError::Clock { line: pair[1].line, before: pair[0].time_s, after: pair[1].time_s });
        }
    }
    let mut once: Vec<&Place> = places.iter().collect();
    once.dedup_by(|later, earlier| later.time_s - earlier.time_s < ONE_FIX_S);
    if once.len() < 3 {
        let got = format!("{} fixes with a time", once.len());
        return Err(RecordingError::TooShort { got, expected: "at least three".to_owned() });
    }
    // A phone that stands tells no speed for a while: then the fixes that have one are enough.
    let told = once.iter().filter(|place| place.speed.is_some()).count();
    if told >= 3 && 2 * told >= once.len() {
        once.retain(|place| place.speed.is_some());
    }
    position.from_places = once.iter().any(|place| place.speed.is_none());
    position.fixes = if position.from_places {
        once.windows(2)
            .map(|pair| {
                let step = pair[1].time_s - pair[0].time_s;
                Fix {
                    time_s: (pair[0].time_s + pair[1].time_s) / 2.0,
                    speed_m_per_s: way(pair[0], pair[1]) / step,
                    uncertainty_m_per_s: WAY_U / step,
                }
            })
            .collect()
    } else {
        let fix = |place: &&Place| Fix {
            time_s: place.time_s,
            speed_m_per_s: place.speed.unwrap_or_default(),
            uncertainty_m_per_s: SPEED_U,
        };
        once.iter().map(fix).collect()
    };
    if let Some(fast) = position.fixes.iter().find(|fix| !(0.0..120.0).contains(&fix.speed_m_per_s)) {
        return Err(RecordingError::Implausible {
            what: "a speed of the position log in m/s",
            got: format!("{:.1}", fast.speed_m_per_s),
            expected: "0 to 120; is the unit another, or are places far apart?",
        });
    }
    Ok(position)
}

/// The way between two places on a sphere in m (haversine).
fn way(from: &Place, to: &Place) -> f64 {
    let (a, b) = (from.latitude.to_radians(), to.latitude.to_radians());
    let half = |angle: f64| {
        let sine = libm::sin(angle / 2.0);
        sine * sine
    };
    let h = half(b - a) + libm::cos(a) * libm::cos(b) * half((to.longitude - from.longitude).to_radians());
    2.0 * EARTH_M * libm::asin(libm::sqrt(h.min(1.0)))
}
