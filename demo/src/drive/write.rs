//! The recordings in the forms in which devices write them.

use chrono::{DateTime, Utc};

use super::Generated;

/// The log of motion as a table.
pub fn motion_csv(drive: &Generated) -> String {
    let mut text = String::from("time_s,ax_m_s2,ay_m_s2,az_m_s2\n");
    for (time, [x, y, z]) in &drive.rows {
        text += &format!("{time:.5},{x:.5},{y:.5},{z:.5}\n");
    }
    text
}

/// The log of position as a table with the receiver's own speeds.
pub fn position_csv(drive: &Generated) -> String {
    let mut text = String::from("time_s,speed_m_s\n");
    for (time, speed, _) in &drive.fixes {
        text += &format!("{time:.3},{speed:.4}\n");
    }
    text
}

/// Where the drive begins: at sea.
const SEA: (f64, f64) = (54.8, 4.2);
/// Metres to a degree of latitude.
const DEGREE_M: f64 = 111_195.0;

fn clock(seconds: f64) -> DateTime<Utc> {
    DateTime::from_timestamp_millis((seconds * 1000.0) as i64).unwrap_or_default()
}

/// The log of position as a GPX 1.1 track, due north.
pub fn gpx(drive: &Generated) -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"generated\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n",
    );
    for (time, _, way) in &drive.fixes {
        let (latitude, longitude) = (SEA.0 + way / DEGREE_M, SEA.1);
        let time = clock(*time).format("%Y-%m-%dT%H:%M:%S%.3fZ");
        text += &format!("<trkpt lat=\"{latitude:.8}\" lon=\"{longitude:.8}\"><time>{time}</time></trkpt>\n");
    }
    text + "</trkseg></trk></gpx>\n"
}

/// The log of position as NMEA 0183 RMC sentences.
pub fn nmea(drive: &Generated) -> String {
    let mut text = String::new();
    for (time, speed, way) in &drive.fixes {
        let at = clock(*time);
        let degrees = |value: f64, wide: usize| {
            let whole = value.floor();
            format!("{:0wide$}{:08.5}", whole as u32, (value - whole) * 60.0)
        };
        let body = format!(
            "GPRMC,{},A,{},N,{},E,{:.3},0.0,{},,,A",
            at.format("%H%M%S%.3f"),
            degrees(SEA.0 + way / DEGREE_M, 2),
            degrees(SEA.1, 3),
            speed * 3600.0 / 1852.0,
            at.format("%d%m%y"),
        );
        let sum = body.bytes().fold(0, |sum, byte| sum ^ byte);
        text += &format!("${body}*{sum:02X}\r\n");
    }
    text
}

/// Samples as a WAV file with 16 bits; several channels are interleaved.
pub fn wav(rate_hz: u32, channels: &[&[f32]]) -> Vec<u8> {
    let count = channels.iter().map(|one| one.len()).min().unwrap_or_default();
    let width = 2 * channels.len() as u32;
    let data = count as u32 * width;
    let mut bytes = Vec::with_capacity(44 + data as usize);
    bytes.extend(b"RIFF");
    bytes.extend((36 + data).to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(16_u32.to_le_bytes());
    bytes.extend(1_u16.to_le_bytes());
    bytes.extend((channels.len() as u16).to_le_bytes());
    bytes.extend(rate_hz.to_le_bytes());
    bytes.extend((rate_hz * width).to_le_bytes());
    bytes.extend((width as u16).to_le_bytes());
    bytes.extend(16_u16.to_le_bytes());
    bytes.extend(b"data");
    bytes.extend(data.to_le_bytes());
    for nth in 0..count {
        for channel in channels {
            bytes.extend(((channel[nth] * 32_767.0) as i16).to_le_bytes());
        }
    }
    bytes
}
