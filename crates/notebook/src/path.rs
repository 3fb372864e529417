//! The path of a field, and the check of what is written there.

use model::{Label, Line};
use serde::Deserialize as _;
use serde_json::Value;

use crate::shape::{Check, INSPECTION, Shape};

/// The reason that stands where a part was not inspected.
pub(crate) const NOT_INSPECTED: &str = "not_inspected";

/// What cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FieldError {
    /// There is no such field.
    #[error("there is no field {path:?}")]
    Unknown {
        /// What came.
        path: String,
    },
    /// The value is none for this field.
    #[error("{path}: {reason}")]
    Value {
        /// The field.
        path: String,
        /// What came and what was expected.
        reason: String,
    },
}

/// Whether this value can be written in this field; `null` always can, it takes the value away.
///
/// # Errors
/// [`FieldError`]
pub fn check_field(path: &str, value: &Value) -> Result<(), FieldError> {
    let check = find(path).ok_or_else(|| FieldError::Unknown { path: path.chars().take(200).collect() })?;
    if value.is_null() {
        return Ok(());
    }
    check(value).map_err(|reason| FieldError::Value { path: path.to_owned(), reason })
}

fn is_reason(value: &Value) -> Result<(), String> {
    Line::deserialize(value).map(drop).map_err(|error| error.to_string())
}

fn find(path: &str) -> Option<Check> {
    let mut fields = INSPECTION;
    let mut steps = path.split('.');
    let mut is_part = false;
    loop {
        let step = steps.next()?;
        if is_part && step == NOT_INSPECTED {
            return steps.next().is_none().then_some(is_reason as Check);
        }
        let (_, shape) = fields.iter().find(|(name, _)| *name == step)?;
        match shape {
            Shape::Leaf(leaf) => return steps.next().is_none().then_some(leaf.check),
            Shape::List { check, .. } => {
                steps.next()?.parse::<Label>().ok()?;
                return steps.next().is_none().then_some(*check);
            }
            Shape::Group(next) => (fields, is_part) = (next, false),
            Shape::Part { fields: next, .. } => (fields, is_part) = (next, true),
        }
    }
}
