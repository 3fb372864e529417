//! Makes the seeds from one valid document and one valid file, the same each time.

mod messages;
mod receipts;
mod recordings;
mod signatures;

use chrono::{DateTime, Utc};
use seal::{certificate::Role, sealing::seal_file};

#[path = "../vectors/make/der.rs"]
mod der;
#[path = "../../../crates/seal/tests/draft/mod.rs"]
mod draft;
#[path = "../../../crates/seal/src/fixture.rs"]
mod fixture;

use demo::face::{self, Face};
use draft::{Draft, fill, replace_once, room, with_byte_range};
use fixture::TestFirm;
use receipts::Log;
use rimside_tests::fuzzed::corpus;

/// The seeds of one target by their names.
type Seeds = Vec<(&'static str, Vec<u8>)>;

/// When the log and the authority for timestamps saw the report: 2026-02-01 12:00 UTC.
const SEEN_AT: DateTime<Utc> = DateTime::from_timestamp(1_769_947_200, 0).expect("a time in 2026");

/// Writes the seeds and what a reader has: the root, the keys of the log and of its witness.
pub fn write() {
    let mut firm = TestFirm::found("North Bay");
    let log = Log::begin(SEEN_AT);
    let [log_key, witness_key] = log.keys();
    for (name, text) in [("root.pem", firm.root.to_pem()), ("log.pub", log_key), ("witness.pub", witness_key)] {
        std::fs::write(corpus(name), text).unwrap();
    }
    let maja = firm.hire("Maja Holt", Role::Inspector);
    let signed = seal_file(Draft::valid().prepare(), &maja).unwrap();
    let token = signatures::token(&firm, &signed, SEEN_AT);
    write_all("sealed_file", "pdf", sealed_files(&signed));
    write_all("record", "json", documents());
    write_all("signature", "der", signatures::signatures(&signed, &token, &maja));
    write_all("timestamp", "der", signatures::timestamps(&firm, &signed, SEEN_AT));
    write_all("certificate", "bin", signatures::certificates(&firm, &maja, SEEN_AT));
    write_all("receipt", "txt", log.receipts(&signed));
    write_all("message", "json", messages::messages());
    write_all("motion", "bin", recordings::motions());
    write_all("position", "bin", recordings::positions());
    write_all("sound", "bin", recordings::sounds());
    write_all("face", "bin", pictures());
}

/// What was found by fuzzing is kept.
fn write_all(target: &str, ending: &str, seeds: Seeds) {
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

/// The bytes with these in the place of others.
fn with(bytes: &[u8], at: usize, new: &[u8]) -> Vec<u8> {
    let mut changed = bytes.to_vec();
    changed[at..at + new.len()].copy_from_slice(new);
    changed
}

/// The text with its first `from` replaced.
fn replace(text: &str, from: &str, to: &str) -> Vec<u8> {
    assert!(text.contains(from), "the text has no {from}");
    text.replacen(from, to, 1).into_bytes()
}

fn pictures() -> Seeds {
    let drawn = face::draw(&Face { size: (160, 120), ..Face::default() });
    let jpeg = drawn.jpeg().unwrap();
    let png = {
        let mut bytes = std::io::Cursor::new(Vec::new());
        image::imageops::thumbnail(&drawn.picture, 40, 30).write_to(&mut bytes, image::ImageFormat::Png).unwrap();
        bytes.into_inner()
    };
    let frame = jpeg.windows(2).position(|pair| pair == [0xff, 0xc0]).unwrap();
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

fn sealed_files(signed: &[u8]) -> Seeds {
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

fn documents() -> Seeds {
    let inspection = model::canonical_json(&model::sample::inspection()).unwrap();
    let record = model::canonical_json(&model::sample::record()).unwrap();
    let text = String::from_utf8(record.clone()).unwrap();
    let swap = |from: &str, to: &str| replace(&text, from, to);
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
