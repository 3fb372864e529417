//! The JSON Schema (draft 2020-12) of an inspection and of a record.

use serde_json::Value;

use crate::{inspection::Inspection, record::Record};

/// The JSON Schema of a record.
pub fn record_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Record>().to_value()
}

/// The JSON Schema of an inspection.
pub fn inspection_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Inspection>().to_value()
}
