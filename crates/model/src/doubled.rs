//! A key that stands twice in one JSON object: two readers may see two values, so no document may have one.

use std::collections::BTreeSet;
use std::fmt;

use serde::de::{DeserializeSeed, Deserializer, Error as _, MapAccess, SeqAccess, Visitor};

use crate::{parse::Problem, plain};

/// Refuses the bytes where they are no JSON or hold a doubled key at any depth.
pub fn refuse(bytes: &[u8]) -> Result<(), Problem> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let mut track = serde_path_to_error::Track::new();
    let tracked = serde_path_to_error::Deserializer::new(&mut json, &mut track);
    let outcome = Value.deserialize(tracked);
    outcome.map_err(|error| plain::explain(&track.path(), &error, bytes))
}

/// Walks over any JSON value and keeps nothing of it.
struct Value;

impl<'de> DeserializeSeed<'de> for Value {
    type Value = ();

    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<(), D::Error> {
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Value {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a JSON value")
    }

    fn visit_bool<E>(self, _: bool) -> Result<(), E> {
        Ok(())
    }

    fn visit_i64<E>(self, _: i64) -> Result<(), E> {
        Ok(())
    }

    fn visit_u64<E>(self, _: u64) -> Result<(), E> {
        Ok(())
    }

    fn visit_f64<E>(self, _: f64) -> Result<(), E> {
        Ok(())
    }

    fn visit_str<E>(self, _: &str) -> Result<(), E> {
        Ok(())
    }

    fn visit_unit<E>(self) -> Result<(), E> {
        Ok(())
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut items: A) -> Result<(), A::Error> {
        while items.next_element_seed(Value)?.is_some() {}
        Ok(())
    }

    fn visit_map<A: MapAccess<'de>>(self, mut entries: A) -> Result<(), A::Error> {
        let mut keys = BTreeSet::new();
        while let Some(key) = entries.next_key::<String>()? {
            if keys.contains(&key) {
                return Err(A::Error::custom(format!("the key {key:?} stands twice, expected it once")));
            }
            keys.insert(key);
            entries.next_value_seed(Value)?;
        }
        Ok(())
    }
}
