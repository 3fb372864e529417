//! Makes the seeds from one valid document and one valid file, the same each time.

use seal::{certificate::Role, sealing::seal_file};

#[path = "../../../crates/seal/tests/draft/mod.rs"]
mod draft;
#[path = "../../../crates/seal/src/fixture.rs"]
mod fixture;

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
