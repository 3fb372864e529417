//! The colour space that the colours of a report are meant in: sRGB (IEC 61966-2-1), as a small ICC profile.
//!
//! The profile is written here from the published figures: primaries adapted to D50 as the International Color
//! Consortium prints them for sRGB, the curve of IEC 61966-2-1, the form of ICC.1:2010 (version 4.3).

/// The profile's bytes.
pub(crate) fn srgb_profile() -> Vec<u8> {
    let curve = parametric_curve();
    // Signature and data of each tag; tags with the same data share it.
    let tags: [(&[u8; 4], Vec<u8>); 9] = [
        (b"desc", text("sRGB IEC61966-2.1")),
        (b"cprt", text("No copyright: made of published figures only")),
        (b"wtpt", triple([0.9642, 1.0, 0.8249])),
        (b"chad", adaptation()),
        (b"rXYZ", triple([0.436_07, 0.222_49, 0.013_92])),
        (b"gXYZ", triple([0.385_15, 0.716_87, 0.097_08])),
        (b"bXYZ", triple([0.143_07, 0.060_61, 0.714_10])),
        (b"rTRC", curve.clone()),
        (b"gTRC", curve.clone()),
    ];
    let count = tags.len() + 1;
    let mut table = (count as u32).to_be_bytes().to_vec();
    let mut data = Vec::new();
    let start = 128 + 4 + 12 * count;
    let mut curve_entry = Vec::new();
    for (signature, bytes) in &tags {
        if *bytes != curve || curve_entry.is_empty() {
            let mut entry = ((start + data.len()) as u32).to_be_bytes().to_vec();
            entry.extend_from_slice(&(bytes.len() as u32).to_be_bytes());
            data.extend_from_slice(bytes);
            data.resize(data.len().next_multiple_of(4), 0);
            if *bytes == curve {
                curve_entry.clone_from(&entry);
            }
            table.extend_from_slice(*signature);
            table.extend_from_slice(&entry);
        } else {
            table.extend_from_slice(*signature);
            table.extend_from_slice(&curve_entry);
        }
    }
    table.extend_from_slice(b"bTRC");
    table.extend_from_slice(&curve_entry);
    let mut profile = header(start + data.len());
    profile.extend_from_slice(&table);
    profile.extend_from_slice(&data);
    profile
}

fn header(size: usize) -> Vec<u8> {
    let mut header = vec![0; 128];
    let mut put = |at: usize, bytes: &[u8]| header[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, &(size as u32).to_be_bytes());
    put(8, &[4, 0x30, 0, 0]);
    put(12, b"mntrRGB XYZ ");
    // A fixed day: the profile never changes.
    for (place, part) in [2026_u16, 1, 1, 0, 0, 0].into_iter().enumerate() {
        put(24 + 2 * place, &part.to_be_bytes());
    }
    put(36, b"acsp");
    for (place, part) in [0.9642, 1.0, 0.8249].into_iter().enumerate() {
        put(68 + 4 * place, &fixed(part));
    }
    header
}

/// A number in steps of 1/65536.
fn fixed(number: f64) -> [u8; 4] {
    ((number * 65_536.0).round() as i32).to_be_bytes()
}

fn triple(numbers: [f64; 3]) -> Vec<u8> {
    let mut bytes = b"XYZ \0\0\0\0".to_vec();
    bytes.extend(numbers.into_iter().flat_map(fixed));
    bytes
}

/// From D65 to D50 by Bradford's matrix, as ICC.1:2010 annex E has it.
fn adaptation() -> Vec<u8> {
    let mut bytes = b"sf32\0\0\0\0".to_vec();
    let matrix = [1.047_88, 0.022_92, -0.050_22, 0.029_59, 0.990_48, -0.017_07, -0.009_25, 0.015_08, 0.751_68];
    bytes.extend(matrix.into_iter().flat_map(fixed));
    bytes
}

/// `((x + 0.055) / 1.055)^2.4` from 0.04045 on, `x / 12.92` below.
fn parametric_curve() -> Vec<u8> {
    let mut bytes = b"para\0\0\0\0\0\x03\0\0".to_vec();
    let parameters = [2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.040_45];
    bytes.extend(parameters.into_iter().flat_map(fixed));
    bytes
}

fn text(words: &str) -> Vec<u8> {
    let units: Vec<u8> = words.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let mut bytes = b"mluc\0\0\0\0\0\0\0\x01\0\0\0\x0CenGB".to_vec();
    bytes.extend_from_slice(&(units.len() as u32).to_be_bytes());
    bytes.extend_from_slice(&28_u32.to_be_bytes());
    bytes.extend_from_slice(&units);
    bytes
}
