//! The report of the vectors: one small visit, two tiny photographs, everything else not looked at.

use std::io::Write as _;

use flate2::{Compression, write::ZlibEncoder};
use model::{Device, Inspection, Record, RecordSchema, ReportPhotograph, Salt, Sha256};
use seal::file::{Dictionary, IndirectObject, ROOM_BYTES, SealedFile};
use serde_json::{Value, json};

use crate::draft::{Draft, deflate, stream};

/// A record with the copies of its photographs.
pub struct Visit {
    pub record: Record,
    pub copies: Vec<Vec<u8>>,
}

impl Visit {
    pub fn new() -> Self {
        let copies = [false, true].map(photograph);
        let digests = copies.each_ref().map(|bytes| Sha256::of(bytes));
        let document = inspection(&digests.map(|digest| digest.to_string())).to_string();
        let inspection: Inspection = model::parse_inspection(document.as_bytes()).unwrap();
        let named = inspection.photographs.iter().zip(digests);
        let report_photographs = named
            .map(|(photograph, sha256)| ReportPhotograph {
                id: photograph.id.clone(),
                sha256,
                width_px: 8,
                height_px: 8,
            })
            .collect();
        let record = Record {
            schema: RecordSchema::V1,
            renderer: report::RENDERER,
            salt: Salt::new([5; 16]),
            device: Device { id: "device-1".parse().unwrap(), sequence: 1, previous: None },
            frozen_at: "2026-11-24T14:02:00+01:00".parse().unwrap(),
            author: inspection.inspector.name.clone(),
            verify_at: None,
            supersedes: None,
            report_photographs,
            reckoning: condition::reckon(&inspection),
            inspection,
        };
        Self { record, copies: copies.to_vec() }
    }

    pub fn bytes(&self) -> Vec<u8> {
        self.record.canonical_bytes().unwrap()
    }

    /// By hand, the room empty.
    pub fn draft(&self) -> Vec<u8> {
        draft(&self.bytes(), &self.copies)
    }

    /// Drawn, the room empty.
    pub fn prepare(&self) -> Vec<u8> {
        let copies = self.copies.iter().map(Vec::as_slice).collect();
        report::render(&self.record, &self.bytes(), &copies).unwrap().bytes
    }
}

/// A file by hand, a fifth as large: one page that has nothing to do with the record, this record, these photographs.
pub fn draft(record: &[u8], copies: &[Vec<u8>]) -> Vec<u8> {
    const METADATA: &[u8] =
        b"<dc:title>A report that was put together by hand and sealed with the right key</dc:title>";
    let image = |bytes: &[u8]| stream("/Type/XObject/Subtype/Image/Filter/DCTDecode", bytes);
    let embedded = "/Type/EmbeddedFile/Subtype/application#2Fjson/Filter/FlateDecode";
    Draft::valid()
        .set("record", stream(embedded, &deflate(record)))
        .set("photograph", image(&copies[0]))
        .add("second", image(&copies[1]))
        .swap("resources", "/P0 @photograph@", "/P0 @photograph@/P1 @second@")
        .add("metadata", stream("/Type/Metadata/Subtype/XML", METADATA))
        .swap("catalog", "/Lang(en)", "/Metadata @metadata@/Lang(en-GB)")
        .prepare()
}

/// A grey JPEG of eight by eight pixels, the darker or the lighter one: 161 bytes.
fn photograph(is_light: bool) -> Vec<u8> {
    const HEAD: &str = "ffd8ffe000104a46494600010100000100010000ffdb004300281c1e231e19282321232d2b28303c64413c37373c7b585d49\
        64918099968f808c8aa0b4e6c3a0aadaad8a8cc8ffcbdaeef5ffffff9bc1fffffffaffe6fdfff8ffc0000b080008000801011100ffc4\
        0014000100000000000000000000000000000005ffc4001510010100000000000000000000000000000001ffda0008010100003f00";
    hex::decode(format!("{HEAD}{}ffd9", if is_light { "423f" } else { "3e3f" })).unwrap()
}

fn inspection(digests: &[String; 2]) -> Value {
    let disc = json!({"serial": null, "diameter_mm": 390.0, "minimum_mass_g": null, "new_mass_g": null,
        "minimum_thickness_mm": null, "new_thickness_mm": null, "electrical": [], "most_runout_mm": null,
        "most_thickness_variation_mm": null});
    let axle = json!({"material": "carbon_ceramic", "discs": {"left": disc, "right": disc},
        "pads": {"lining_new_mm": null, "renewal_mark_mm": null},
        "tyre": {"width_mm": 245, "aspect_percent": 30, "rim_in": 20}});
    let skipped = json!({"not_inspected": "not asked for"});
    let photograph = |id: &str, digest: &str, face: &str| {
        json!({"id": id, "sha256": digest, "taken": "in_app", "taken_at": null, "caption": null,
            "subject": {"of": "face", "corner": "front_left", "face": face}})
    };
    json!({
        "schema": "rimside.inspection/1", "id": "vectors-1", "demonstration": true,
        "visited_at": "2026-11-24T13:10:00+01:00", "place": "Port Merrow",
        "instruction": {"by": {"name": "Amara Quill", "role": "buyer"}, "owner": "Saltmarsh Motor House",
            "owner_permission": "in writing"},
        "inspector": {"name": "Ines Okafor-Lind", "firm": "Harbour & Vale Inspections", "independence": "no ties",
            "insurance": "none", "contact": "office@harbour-vale.example"},
        "surroundings": {"weather": "dry", "road_surface": "dry_hard", "air_c": null, "tyres": "summer tyres",
            "disc_c": {"front_left": null, "front_right": null, "rear_left": null, "rear_right": null}},
        "car": {"vin": "00CRV2TS0SM000417", "registration": "TESSEL-417", "description": "Corvane Tessel",
            "first_registered": null, "odometer": {"figure": 41380, "unit": "km"}, "vin_photograph": null,
            "registration_photograph": null, "odometer_photograph": null, "mass_kg": null, "fluid_class": null,
            "brakes": {"front": axle, "rear": axle}, "pad_sets_used": {"front": null, "rear": null},
            "discs_replaced": [], "prior_visits": []},
        "corners": {"front_left": skipped, "front_right": skipped, "rear_left": skipped, "rear_right": skipped},
        "readings": [], "road_test": skipped,
        "photographs": [photograph("p1", &digests[0], "outer"), photograph("p2", &digests[1], "inner")],
        "recordings": [], "not_inspected": [], "questions": [], "remarks": null, "prices": null, "use_ahead": null,
    })
}

pub fn find(bytes: &[u8], what: &[u8]) -> usize {
    bytes.windows(what.len()).position(|window| window == what).expect("it is there")
}

/// The first object of which this holds.
pub fn find_object<'a>(
    file: &'a SealedFile<'a>,
    is_it: impl Fn(&IndirectObject<'_>, &Dictionary<'_>) -> bool,
) -> &'a IndirectObject<'a> {
    let mut objects = file.objects().iter();
    objects.find(|object| object.value.as_dictionary().is_some_and(|dictionary| is_it(object, dictionary))).unwrap()
}

/// A prepared file with other data in a deflated stream, and all offsets put right, as a forger would.
pub fn replace_stream(prepared: &[u8], number: u32, plain: &[u8]) -> Vec<u8> {
    let file = SealedFile::read(prepared).unwrap();
    let object = file.objects().find(number).unwrap();
    let old = &prepared[object.span.clone()];
    let mut encoder = ZlibEncoder::new(Vec::new(), Compression::best());
    encoder.write_all(plain).unwrap();
    let packed = encoder.finish().unwrap();
    let head = String::from_utf8(old[..find(old, b"stream\n")].to_vec()).unwrap();
    let head = head.replace(&format!("/Length {}", object.stream.unwrap().len()), &format!("/Length {}", packed.len()));
    let new = [head.as_bytes(), b"stream\n", &packed, b"\nendstream \nendobj\n"].concat();
    replace_object(prepared, object.span.clone(), &new)
}

/// A prepared file with other bytes for one object.
pub fn replace_object(prepared: &[u8], span: std::ops::Range<usize>, new: &[u8]) -> Vec<u8> {
    let file = SealedFile::read(prepared).unwrap();
    let last = file.objects().iter().map(|object| object.span.end).max().unwrap();
    let shift = |offset: usize| if offset > span.start { offset + new.len() - span.len() } else { offset };
    let mut bytes = [&prepared[..span.start], new, &prepared[span.end..last]].concat();
    let table = bytes.len();
    let mut tail = String::from_utf8(prepared[last..].to_vec()).unwrap();
    for object in file.objects().iter() {
        let entry = |offset: usize, mark: char| format!("\n{offset:010} 00000 {mark} ");
        // Moved entries are marked, so that none is taken for one that still has to move.
        tail = tail.replacen(&entry(object.span.start, 'n'), &entry(shift(object.span.start), 'N'), 1);
    }
    let tail = tail.replace(" N ", " n ").replace(&format!("startxref\n{last}\n"), &format!("startxref\n{table}\n"));
    bytes.extend_from_slice(tail.as_bytes());
    set_byte_range(bytes)
}

/// Writes the byte range anew.
pub fn set_byte_range(mut bytes: Vec<u8>) -> Vec<u8> {
    let range = find(&bytes, b"/ByteRange[") + b"/ByteRange".len();
    let end = range + find(&bytes[range..], b"]");
    let room = find(&bytes, b"/Contents<0000") + b"/Contents".len();
    let after = room + 2 + 2 * ROOM_BYTES;
    let spelt = format!("[0 {room} {after} {}", bytes.len() - after);
    bytes[range..end].copy_from_slice(format!("{spelt:<width$}", width = end - range).as_bytes());
    bytes
}
