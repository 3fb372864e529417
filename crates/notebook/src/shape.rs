//! The shape of an inspection in the notebook: which fields there are, what each may hold, what stands in for one that
//! was not written yet. One table serves the check of a value, the fold to an inspection and the way back.

mod table;

pub(crate) use table::INSPECTION;

use serde::de::DeserializeOwned;
use serde_json::Value;

/// A place in the tree of fields.
pub(crate) enum Shape {
    /// One field, written as a whole.
    Leaf(Leaf),
    /// Fields under one name.
    Group(&'static [(&'static str, Shape)]),
    /// A part that is seen, with these fields, or not inspected for a reason.
    Part { fields: &'static [(&'static str, Shape)], words: &'static str },
    /// Things under labels, in the labels' order.
    List {
        check: Check,
        /// Whether a thing carries its own label as `id`.
        named: bool,
        /// Whether the list is left out of the document where it is empty.
        spare: bool,
    },
}

/// One field.
pub(crate) struct Leaf {
    pub check: Check,
    pub unset: Unset,
}

/// What a field is when nobody wrote it.
pub(crate) enum Unset {
    /// Not known, which a record may say.
    Unknown,
    /// To be written before sealing. Until then this stands in, in JSON, for what can be reckoned already.
    Needed { words: &'static str, stand_in: &'static str },
}

/// Refuses what is no value of a field, in words.
pub(crate) type Check = fn(&Value) -> Result<(), String>;

/// Whether the value is one of `T`.
fn is<T: DeserializeOwned>(value: &Value) -> Result<(), String> {
    T::deserialize(value).map(drop).map_err(|error| error.to_string())
}

/// The same for a thing that carries its label.
fn is_named<T: DeserializeOwned>(value: &Value) -> Result<(), String> {
    let mut with_id = value.clone();
    match with_id.as_object_mut() {
        Some(fields) if fields.contains_key("id") => Err("its name is in the path, not in the value".to_owned()),
        Some(fields) => {
            fields.insert("id".to_owned(), Value::String("x".to_owned()));
            is::<T>(&with_id)
        }
        None => Err("expected an object".to_owned()),
    }
}

impl Shape {
    const fn maybe<T: DeserializeOwned>() -> Self {
        Self::Leaf(Leaf { check: is::<T>, unset: Unset::Unknown })
    }

    const fn needed<T: DeserializeOwned>(words: &'static str, stand_in: &'static str) -> Self {
        Self::Leaf(Leaf { check: is::<T>, unset: Unset::Needed { words, stand_in } })
    }

    const fn list<T: DeserializeOwned>() -> Self {
        Self::List { check: is::<T>, named: false, spare: false }
    }

    const fn spare_list<T: DeserializeOwned>() -> Self {
        Self::List { check: is::<T>, named: false, spare: true }
    }

    const fn named<T: DeserializeOwned>() -> Self {
        Self::List { check: is_named::<T>, named: true, spare: false }
    }
}
