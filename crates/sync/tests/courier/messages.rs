//! What the messages are made of.

use model::{Change, Entry, EntryId, Sha256};
use serde_json::{Value, json};
use sync::{
    Awaited, Issued, Kind, MOST_ASKED_BYTES, MOST_BLOB_BYTES, MOST_ENTRY_BYTES, MOST_REPORT_BYTES, PIECE_BYTES, Stamp,
    named_blob, pieces, tell_digest,
};

/// Both sides are built apart and may be of different age: what they have agreed on does not change by chance.
#[test]
fn sizes_are_those_that_device_and_office_agreed_on() {
    assert_eq!((PIECE_BYTES, MOST_ASKED_BYTES, MOST_ENTRY_BYTES), (1_048_576, 262_144, 1_048_576));
    assert_eq!((MOST_BLOB_BYTES, MOST_REPORT_BYTES), (1_073_741_824, 134_217_728));
}

#[test]
fn a_file_is_so_many_pieces() {
    for (length, count) in
        [(0, 0), (1, 1), (PIECE_BYTES, 1), (PIECE_BYTES + 1, 2), (3 * PIECE_BYTES, 3), (MOST_BLOB_BYTES, 1024)]
    {
        assert_eq!(pieces(length), count, "{length}");
    }
}

#[test]
fn a_signature_and_a_token_come_out_as_they_went_in() {
    for bytes in [&b""[..], b"\0", b"\xFB\xFF\xBF signature"] {
        assert_eq!(Issued::carry(bytes).read().as_deref(), Some(bytes));
        assert_eq!(Stamp::carry(Sha256::of(b"report"), bytes).read().as_deref(), Some(bytes));
    }
    assert_eq!(Issued::carry(b"\xFB\xFF\xBF").signature, "+/+/", "the alphabet of RFC 4648 §4");
    for text in ["%", "A", "-_-_", "AAA"] {
        assert_eq!(Issued { signature: text.to_owned() }.read(), None, "{text}");
        assert_eq!(Stamp { identity: Sha256::of(b""), token: text.to_owned() }.read(), None, "{text}");
    }
}

fn entry(path: &str, value: Value) -> Entry {
    Entry {
        id: EntryId { device: "device-ines".parse().unwrap(), seq: 1 },
        inspection: "inspection-7".parse().unwrap(),
        path: path.to_owned(),
        value,
        replaces: Vec::new(),
        change: Change::Written,
        written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
        author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
        salt: model::Salt::new([3; 16]),
    }
}

#[test]
fn an_entry_names_the_photograph_or_recording_that_it_speaks_of() {
    let sha256 = Sha256::of(b"its bytes");
    for (path, kind) in [("photographs.photo-0001", Kind::Photograph), ("recordings.drive-1", Kind::Recording)] {
        let named = named_blob(&entry(path, json!({"sha256": sha256})));
        let inspection = Some("inspection-7".parse().unwrap());
        assert_eq!(named, Some(Awaited { inspection, kind, sha256 }), "{path}");
    }
    for (path, value) in [
        ("car.photographs", json!({"sha256": sha256})),
        ("photographs", json!({"sha256": sha256})),
        ("photographs.photo-0001", json!(null)),
        ("photographs.photo-0001", json!({"sha256": 7})),
        ("photographs.photo-0001", json!({"sha256": "none"})),
    ] {
        assert_eq!(named_blob(&entry(path, value.clone())), None, "{path} {value}");
    }
}

#[test]
fn a_digest_is_told_in_the_form_of_the_standard() {
    let told = tell_digest(&Sha256::new([0; 32]));
    assert_eq!(told, "sha-256=:AAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=:");
}
