//! The JSON Schema (draft 2020-12) of an inspection, of a record, of a letter and its reply.

use serde_json::Value;

use crate::{
    condition_statement::{ConditionStatement, StatementContent},
    inspection::Inspection,
    letter::{LetterRequest, Reply},
    record::Record,
};

/// The JSON Schema of a record.
pub fn record_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Record>().to_value()
}

/// The JSON Schema of an inspection.
pub fn inspection_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Inspection>().to_value()
}

/// The JSON Schema of what a letter is written from.
pub fn letter_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<LetterRequest>()
        .to_value()
}

/// The JSON Schema of a reply.
pub fn reply_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<Reply>().to_value()
}

/// The JSON Schema of what a condition statement says.
pub fn statement_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<StatementContent>()
        .to_value()
}

/// The JSON Schema of a condition statement as it is frozen.
pub fn condition_statement_schema() -> Value {
    schemars::generate::SchemaSettings::draft2020_12()
        .into_generator()
        .into_root_schema_for::<ConditionStatement>()
        .to_value()
}
