//! A whole inspection and its record for the tests of other crates: small, invented, with something of every kind.
//!
//! Behind the feature `sample`, so that no release carries it. The reckoning in the record is written by hand to hold
//! every kind of evidence and source; it is not what the findings come to.

use serde_json::Value;

use crate::{
    drive::MeasuredDrive, inspection::Inspection, measured_face::MeasuredFace, parse_inspection, parse_record,
    record::Record,
};

/// The sample inspection as a document, to be spoilt.
///
/// # Panics
/// Never: the document is tested.
pub fn inspection_document() -> Value {
    serde_json::from_str(include_str!("sample/inspection.json")).expect("the sample is JSON")
}

/// The sample record as a document, to be spoilt.
///
/// # Panics
/// Never: the document is tested.
pub fn record_document() -> Value {
    let mut record: Value = serde_json::from_str(include_str!("sample/record.json")).expect("the sample is JSON");
    record["inspection"] = inspection_document();
    record
}

/// The sample inspection.
///
/// # Panics
/// Never: the document is tested.
pub fn inspection() -> Inspection {
    parse_inspection(inspection_document().to_string().as_bytes()).expect("the sample is an inspection")
}

/// The sample record.
///
/// # Panics
/// Never: the document is tested.
pub fn record() -> Record {
    parse_record(record_document().to_string().as_bytes()).expect("the sample is a record")
}

/// The sample's recorded drive: two brakings, a pulsation once and twice a turn, a sound.
///
/// # Panics
/// Never: the document is tested.
pub fn drive() -> MeasuredDrive {
    let test = inspection().road_test;
    test.seen().and_then(|test| test.drives.first().cloned()).expect("the sample has a drive")
}

/// The sample's face, measured in its photograph: most like the spent references.
///
/// # Panics
/// Never: the document is tested.
pub fn measured_face() -> MeasuredFace {
    inspection().photographs.into_iter().find_map(|one| one.measured).expect("the sample has a measured face")
}
