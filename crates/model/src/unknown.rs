//! Fields that nobody reads: what a document says and the type does not hold would be lost in silence.
//!
//! serde refuses them for all types but one kind, the variants without fields of an enum with a tag inside
//! (`{"of": "vin", "corner": "front_left"}`), and takes a list for an object. Comparing what came with what was read leaves no
//! gap.

use serde::Serialize;
use serde_json::Value;

use crate::parse::Problem;

/// Refuses the bytes, known to be JSON, where an object holds a field that `read`, written again, does not.
pub fn refuse<T: Serialize>(bytes: &[u8], read: &T) -> Result<(), Problem> {
    let whole = |error: serde_json::Error| Problem::new(".", error.to_string());
    let came: Value = serde_json::from_slice(bytes).map_err(whole)?;
    let held = serde_json::to_value(read).map_err(whole)?;
    find(&came, &held, "").map_or(Ok(()), Err)
}

fn find(came: &Value, held: &Value, path: &str) -> Option<Problem> {
    match (came, held) {
        (Value::Object(came), Value::Object(held)) => came.iter().find_map(|(key, value)| {
            let inside = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
            match held.get(key) {
                Some(held) => find(value, held, &inside),
                None => Some(unknown(key, held.keys(), inside)),
            }
        }),
        (Value::Array(came), Value::Array(held)) => {
            came.iter().zip(held).enumerate().find_map(|(at, (came, held))| find(came, held, &format!("{path}[{at}]")))
        }
        // serde takes a list for a struct, its fields in their order: one spelling is enough.
        (Value::Array(_), Value::Object(held)) => {
            let fields: Vec<_> = held.keys().map(|key| format!("`{key}`")).collect();
            Some(Problem::new(path, format!("got a list, expected an object with {}", fields.join(", "))))
        }
        _ => None,
    }
}

fn unknown<'a>(key: &str, known: impl Iterator<Item = &'a String>, path: String) -> Problem {
    let known: Vec<_> = known.map(|key| format!("`{key}`")).collect();
    let key: String = key.chars().take(80).collect();
    Problem::new(path, format!("unknown field `{key}`, expected {}", known.join(" or ")))
}
