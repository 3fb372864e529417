//! Inspections and records.

/// Reads the bytes as every kind of document. Whatever a door lets through comes back unchanged from the canonical
/// form; gives whether they are a record in that form.
///
/// # Panics
/// Something does not hold.
pub fn read_document(bytes: &[u8]) -> bool {
    if let Ok(inspection) = model::parse_inspection(bytes) {
        let written = model::canonical_json(&inspection).expect("what was read can be written");
        assert!(model::parse_inspection(&written).as_ref() == Ok(&inspection), "an inspection does not come back");
    }
    let Ok(record) = model::parse_record(bytes) else {
        assert!(model::parse_canonical_record(bytes).is_err(), "one door lets through what the other refuses");
        return false;
    };
    let written = model::canonical_json(&record).expect("what was read can be written");
    assert!(model::parse_canonical_record(&written).as_ref() == Ok(&record), "a record does not come back");
    let is_canonical = model::parse_canonical_record(bytes).is_ok();
    assert_eq!(is_canonical, written == bytes, "exactly the canonical bytes are canonical");
    is_canonical
}
