//! A real report of the invented scenario, and the means to spoil it and sign it again with the right key.

#![allow(dead_code, reason = "each test file uses its own part")]

use std::{collections::BTreeMap, io::Write as _, sync::LazyLock};

use chrono::{DateTime, Utc};
use demo::scenario::{inspect, visits};
use flate2::{Compression, write::ZlibEncoder};
use model::{Device, Inspection, Record, RecordSchema, ReportPhotograph, Salt, Sha256};
use photo::make_report_copy;
use rand_chacha::{ChaCha20Rng, rand_core::SeedableRng as _};
use seal::{
    certificate::{Certificate, Firm, Person, Role, certify_issuer, certify_person, create_root},
    chain::Chain,
    file::SealedFile,
    key::PrivateKey,
    revocation::{Revocation, RevocationList},
    sealing::seal_file,
    signature::Signer,
    trust::Trust,
};

pub const NOW: &str = "2026-11-25T12:00:00Z";

pub fn at(text: &str) -> DateTime<Utc> {
    text.parse().unwrap()
}

/// The scenario's firm and its inspector.
pub struct Case {
    pub root: Certificate,
    issuer: Certificate,
    issuer_key: PrivateKey,
    rng: ChaCha20Rng,
    pub signer: Signer,
}

impl Case {
    pub fn found() -> Self {
        let mut rng = ChaCha20Rng::from_seed([7; 32]);
        let firm = Firm { name: "Harbour & Vale Inspections".into() };
        let from = at("2026-01-01T00:00:00Z");
        let (root_key, issuer_key) = (PrivateKey::generate(&mut rng), PrivateKey::generate(&mut rng));
        let root = create_root(&root_key, &firm, from, &mut rng).unwrap();
        let issuer = certify_issuer(&root_key, &root, &firm, issuer_key.public(), from, &mut rng).unwrap();
        let signer = hire(&issuer_key, &issuer, &root, &mut rng, "Ines Okafor-Lind", Role::Inspector);
        Self { root, issuer, issuer_key, rng, signer }
    }

    pub fn hire(&mut self, name: &str, role: Role) -> Signer {
        hire(&self.issuer_key, &self.issuer, &self.root, &mut self.rng, name, role)
    }

    /// A reader who has all that is needed.
    pub fn trust(&self) -> Trust {
        Trust {
            roots: vec![self.root.clone()],
            revocation_lists: vec![self.list(&[])],
            statements_complete_as_of: Some(at(NOW)),
            ..Trust::at(at(NOW))
        }
    }

    pub fn list(&self, revocations: &[Revocation]) -> RevocationList {
        let validity = (at("2026-11-20T00:00:00Z"), at("2026-12-20T00:00:00Z"));
        RevocationList::publish(&self.issuer_key, &self.issuer, 3, validity, revocations).unwrap()
    }

    /// The record drawn and sealed as it should be.
    pub fn seal(&self, record: &Record) -> Vec<u8> {
        seal_file(prepare(record), &self.signer).unwrap()
    }
}

fn hire(
    issuer_key: &PrivateKey,
    issuer: &Certificate,
    root: &Certificate,
    rng: &mut ChaCha20Rng,
    name: &str,
    role: Role,
) -> Signer {
    let key = PrivateKey::generate(rng);
    let person = Person { name: name.into(), organization: "Harbour & Vale Inspections".into(), role };
    let certificate =
        certify_person(issuer_key, issuer, &person, key.public(), at("2026-01-01T00:00:00Z"), rng).unwrap();
    Signer::new(key, Chain::new(certificate, issuer.clone(), root.clone()).unwrap()).unwrap()
}

struct Visited {
    inspection: Inspection,
    list: Vec<ReportPhotograph>,
    copies: BTreeMap<Sha256, Vec<u8>>,
}

/// The last visit, with photographs as small as they can be.
static VISIT: LazyLock<Visited> = LazyLock::new(|| {
    let (inspection, photographs) = inspect(&visits()[2], (64, 48)).unwrap();
    let mut visited = Visited { inspection, list: Vec::new(), copies: BTreeMap::new() };
    for photograph in &photographs {
        let copy = make_report_copy(&photograph.bytes).unwrap();
        visited.list.push(ReportPhotograph {
            id: photograph.id().parse().unwrap(),
            sha256: copy.sha256,
            width_px: copy.width,
            height_px: copy.height,
        });
        visited.copies.insert(copy.sha256, copy.bytes);
    }
    visited
});

/// The record of the last visit.
pub fn record() -> Record {
    let inspection = VISIT.inspection.clone();
    Record {
        schema: RecordSchema::V1,
        renderer: report::RENDERER,
        salt: Salt::new([5; 16]),
        device: Device { id: "device-1".parse().unwrap(), sequence: 1, previous: None },
        frozen_at: "2026-11-24T14:02:00+01:00".parse().unwrap(),
        author: inspection.inspector.name.clone(),
        verify_at: None,
        supersedes: None,
        report_photographs: VISIT.list.clone(),
        reckoning: condition::reckon(&inspection),
        inspection,
    }
}

/// The record drawn, its room empty.
pub fn prepare(record: &Record) -> Vec<u8> {
    let bytes = model::canonical_json(record).unwrap();
    report::render(record, &bytes, &VISIT.copies.values().map(Vec::as_slice).collect()).unwrap().bytes
}

pub fn find(bytes: &[u8], what: &[u8]) -> usize {
    bytes.windows(what.len()).position(|window| window == what).expect("it is there")
}

/// A prepared file with another record attached; everything else stays.
pub fn attach(prepared: &[u8], record: &[u8]) -> Vec<u8> {
    let file = SealedFile::read(prepared).unwrap();
    let is_record = |dictionary: &seal::file::Dictionary<'_>| dictionary.is_type("EmbeddedFile");
    let object = file.objects().iter().find(|object| object.value.as_dictionary().is_some_and(is_record)).unwrap();
    replace_stream(prepared, object.number, record)
}

/// A prepared file with other data in a stream, packed anew; all offsets are put right, as a forger would.
pub fn replace_stream(prepared: &[u8], number: u32, plain: &[u8]) -> Vec<u8> {
    let file = SealedFile::read(prepared).unwrap();
    let object = file.objects().find(number).unwrap();
    let old = &prepared[object.span.clone()];
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(plain).unwrap();
    let packed = encoder.finish().unwrap();
    let head = String::from_utf8(old[..find(old, b"stream\n")].to_vec()).unwrap();
    let length = format!("/Length {}", object.stream.unwrap().len());
    assert_eq!(head.matches(&length).count(), 1, "{head}");
    let head = head.replace(&length, &format!("/Length {}", packed.len()));
    assert!(head.contains("FlateDecode"), "{head}");
    let new = [head.as_bytes(), b"stream\n", &packed, b"\nendstream \nendobj\n"].concat();
    replace_object(prepared, object.span.clone(), &new)
}

fn replace_object(prepared: &[u8], span: std::ops::Range<usize>, new: &[u8]) -> Vec<u8> {
    let file = SealedFile::read(prepared).unwrap();
    let shift = |offset: usize| if offset > span.start { offset + new.len() - span.len() } else { offset };
    let last = file.objects().iter().map(|object| object.span.end).max().unwrap();
    let mut bytes = [&prepared[..span.start], new, &prepared[span.end..last]].concat();
    let table = bytes.len();
    let mut tail = String::from_utf8(prepared[last..].to_vec()).unwrap();
    for object in file.objects().iter() {
        let entry = |offset: usize| format!("\n{offset:010} 00000 n ");
        let (old, new) = (entry(object.span.start), entry(shift(object.span.start)));
        // Moved entries are marked, so that none is taken for one that still has to move.
        tail = tail.replacen(&old, &new.replace(" n ", " N "), 1);
    }
    tail = tail.replace(" N ", " n ");
    let tail = tail.replace(&format!("startxref\n{last}\n"), &format!("startxref\n{table}\n"));
    bytes.extend_from_slice(tail.as_bytes());
    // The room has moved, and the file has another length.
    let range = find(&bytes, b"/ByteRange[") + b"/ByteRange".len();
    let end = range + find(&bytes[range..], b"]");
    let room = find(&bytes, b"/Contents<0000") + b"/Contents".len();
    let after = room + 2 + 2 * seal::file::ROOM_BYTES;
    let spelt = format!("[0 {room} {after} {}", bytes.len() - after);
    let spelt = format!("{spelt:<width$}", width = end - range);
    bytes[range..end].copy_from_slice(spelt.as_bytes());
    bytes
}
