//! Makes the seeds from one valid document and one valid file, the same each time.

use seal::{certificate::Role, sealing::seal_file};

#[path = "../../../crates/seal/tests/draft/mod.rs"]
mod draft;
#[path = "../../../crates/seal/src/fixture.rs"]
mod fixture;

use demo::{
    drive::{self, Plan, Stop},
    face::{self, Face},
};
use draft::{Draft, fill, replace_once, room, with_byte_range};
use fixture::TestFirm;
use rimside_tests::{fuzzed::corpus, top};

/// Writes the seeds and the root.
pub fn write() {
    let mut firm = TestFirm::found("North Bay");
    std::fs::write(top().join("tests/corpus/root.pem"), firm.root.to_pem()).unwrap();
    let signed = seal_file(Draft::valid().prepare(), &firm.hire("Maja Holt", Role::Inspector)).unwrap();
    write_all("sealed_file", "pdf", sealed_files(&signed));
    write_all("record", "json", documents());
    write_all("recording", "bin", recordings());
    write_all("face", "bin", pictures());
}

/// What was found by fuzzing is kept.
fn write_all(target: &str, ending: &str, seeds: Vec<(&str, Vec<u8>)>) {
    let folder = corpus(target);
    std::fs::create_dir_all(&folder).unwrap();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        if !path.file_name().unwrap().to_string_lossy().starts_with("found-") {
            std::fs::remove_file(path).unwrap();
        }
    }
    for (name, bytes) in seeds {
        std::fs::write(folder.join(format!("{name}.{ending}")), bytes).unwrap();
    }
}

fn recordings() -> Vec<(&'static str, Vec<u8>)> {
    let plan = Plan { stops: vec![Stop::from(7.0, 6.0)], rate_hz: 25.0, rolling_s: 0.2, ..Plan::default() };
    let driven = drive::drive(&plan);
    let (motion, nmea) = (drive::motion_csv(&driven), drive::nmea(&driven));
    let (gpx, table) = (drive::gpx(&driven), drive::position_csv(&driven));
    let tone: Vec<f32> = (0..9000_u16).map(|nth| libm::sin(f64::from(nth) / 3.0) as f32 / 4.0).collect();
    let wav = drive::wav(8_000, &[&tone]);
    let with = |bytes: &[u8], at: usize, new: &[u8]| {
        let mut changed = bytes.to_vec();
        changed[at..at + new.len()].copy_from_slice(new);
        changed
    };
    let text = |text: &str, from: &str, to: &str| text.replacen(from, to, 1).into_bytes();
    vec![
        ("valid-motion", motion.clone().into_bytes()),
        ("valid-nmea", nmea.clone().into_bytes()),
        ("valid-gpx", gpx.clone().into_bytes()),
        ("valid-table", table.clone().into_bytes()),
        ("valid-wav", wav.clone()),
        ("motion-no-axis", text(&motion, "az_m_s2", "height")),
        ("motion-not-a-number", text(&motion, "0.0020", "NaN")),
        ("motion-cut", motion.as_bytes()[..400].to_vec()),
        ("nmea-broken-sums", nmea.replace('*', "*F").into_bytes()),
        ("gpx-cut", gpx.as_bytes()[..gpx.len() / 2].to_vec()),
        ("gpx-no-times", gpx.replace("time>", "tide>").into_bytes()),
        ("table-backwards", text(&table, "1795600002", "1795600999")),
        ("wav-cut", wav[..wav.len() / 2].to_vec()),
        ("wav-lying-length", with(&wav, 40, &[0xf0, 0xff, 0xff, 0x0f])),
        ("wav-no-rate", with(&wav, 24, &[0; 4])),
        ("wav-eight-bits", with(&wav, 34, &[8, 0])),
        ("empty", Vec::new()),
    ]
}

fn pictures() -> Vec<(&'static str, Vec<u8>)> {
    let drawn = face::draw(&Face { size: (160, 120), ..Face::default() });
    let jpeg = drawn.jpeg().unwrap();
    let png = {
        let mut bytes = std::io::Cursor::new(Vec::new());
        image::imageops::thumbnail(&drawn.picture, 40, 30).write_to(&mut bytes, image::ImageFormat::Png).unwrap();
        bytes.into_inner()
    };
    let frame = jpeg.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
    let with = |bytes: &[u8], at: usize, new: &[u8]| {
        let mut changed = bytes.to_vec();
        changed[at..at + new.len()].copy_from_slice(new);
        changed
    };
    vec![
        ("valid-jpeg", jpeg.clone()),
        ("valid-png", png.clone()),
        ("jpeg-cut", jpeg[..jpeg.len() / 2].to_vec()),
        ("jpeg-claims-65535", with(&jpeg, frame + 5, &[0xff; 4])),
        ("jpeg-claims-nothing", with(&jpeg, frame + 5, &[0; 4])),
        ("jpeg-no-tables", with(&jpeg, 20, &[0xff, 0xda])),
        ("png-cut", png[..png.len() / 2].to_vec()),
        ("png-claims-a-bomb", with(&png, 16, &[0x7f, 0xff, 0xff, 0xff, 0x7f, 0xff, 0xff, 0xff])),
        ("png-broken-sum", with(&png, 29, &[0; 4])),
        ("webp-empty", b"RIFF\x04\0\0\0WEBP".to_vec()),
        ("heic", b"\0\0\0\x18ftypheic\0\0\0\0".to_vec()),
        ("text", b"no picture at all".to_vec()),
        ("empty", Vec::new()),
    ]
}

fn sealed_files(signed: &[u8]) -> Vec<(&'static str, Vec<u8>)> {
    let (start, end) = room(signed);
    let flip = |at: usize| {
        let mut file = signed.to_vec();
        file[at] ^= 1;
        file
    };
    let mut padded = signed.to_vec();
    padded[end - 2] = b'1';
    let catalog = |from: &str, to: &str| Draft::valid().swap("catalog", from, to).seal();
    let update =
        b"\n3 0 obj\n<<>>\nendobj\nxref\n3 1\n0000000000 00000 n \ntrailer\n<</Size 16/Prev 9>>\nstartxref\n0\n%%EOF";
    vec![
        ("valid-signed", signed.to_vec()),
        ("broken-text", flip(start / 2)),
        ("broken-signature", flip(start + 401)),
        ("broken-padding", padded),
        ("broken-range", with_byte_range(signed, &format!("[0 {} {end} {}]", start - 9, signed.len() - end))),
        ("broken-offset", with_byte_range(signed, &format!("[0 {start} {end} 9223372036854775807]"))),
        ("broken-no-signature", Draft::valid().prepare()),
        ("broken-other-signature", fill(&Draft::valid().prepare(), b"\x30\x84\xff\xff\xff\xff")),
        ("broken-cut", signed[..signed.len() - 40].to_vec()),
        ("broken-update", [signed, update].concat()),
        ("broken-object-twice", replace_once(signed, b"\n4 0 obj", b"\n3 0 obj")),
        ("broken-length", replace_once(signed, b"/DCTDecode/Length ", b"/DCTDecode/Length 9")),
        ("broken-action", catalog("/Lang(en)", "/Lang(en)/OpenAction<</S/JavaScript/JS(0)>>")),
        ("broken-name", catalog("/Lang(en)", "/L#61ng(en)")),
        ("broken-key-twice", catalog("/Lang(en)", "/Lang(en)/Lang(de)")),
        ("broken-nesting", Draft::valid().extend("info", &format!("/N{}", "[".repeat(200))).seal()),
    ]
}

fn documents() -> Vec<(&'static str, Vec<u8>)> {
    let inspection = model::canonical_json(&model::sample::inspection()).unwrap();
    let record = model::canonical_json(&model::sample::record()).unwrap();
    let text = String::from_utf8(record.clone()).unwrap();
    let swap = |from: &str, to: &str| {
        assert!(text.contains(from), "the record has no {from}");
        text.replacen(from, to, 1).into_bytes()
    };
    vec![
        ("valid-record", record.clone()),
        ("broken-only-an-inspection", inspection),
        ("broken-space", swap(":", ": ")),
        ("broken-order", swap("{\"author\":\"Ines Okafor-Lind\",", "{")),
        ("broken-key-twice", swap("{\"author\":", "{\"author\":\"Nobody\",\"author\":")),
        ("broken-unknown-key", swap("{\"author\":", "{\"aaa\":1,\"author\":")),
        ("broken-version", swap("rimside.record/1", "rimside.record/2")),
        ("broken-number", swap("\"renderer\":1", "\"renderer\":1e999")),
        ("broken-sequence", swap("\"sequence\":12", "\"sequence\":18446744073709551615")),
        ("broken-text", swap("Ines Okafor-Lind", "\\u0000\\ud800")),
        ("broken-bytes", [&record[..20], b"\xff\xc0", &record[20..]].concat()),
        ("broken-cut", record[..record.len() / 2].to_vec()),
        ("broken-trailing", [&record[..], b"{}"].concat()),
        ("broken-nesting", "[".repeat(4_000).into_bytes()),
        ("broken-empty", Vec::new()),
    ]
}
