//! From fields to the document of an inspection and back.

use std::collections::BTreeMap;

use model::InspectionId;
use serde_json::{Map, Value, json};

use crate::{
    path::NOT_INSPECTED,
    shape::{INSPECTION, Shape, Unset},
};

/// What the fields of an inspection come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Folded {
    /// The inspection's document. Where there are gaps it holds what stands in for them, fit to be reckoned with and
    /// never to be sealed.
    pub document: Value,
    /// What is still to be written.
    pub gaps: Vec<Gap>,
}

/// Something that is still to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gap {
    /// The field or part.
    pub path: String,
    /// What it is, in words: "front left corner, outer face: how it was seen".
    pub words: String,
}

/// What a part says of itself while nobody has looked at it.
const UNSEEN: &str = "not looked at yet";
/// What it says while something that it must have is missing.
const UNFINISHED: &str = "not written down whole yet";

/// Folds the current values, by path, to a document.
pub fn fold(id: &InspectionId, values: &BTreeMap<String, Value>) -> Folded {
    let mut folding = Folding { values, gaps: Vec::new() };
    let mut document = folding.group(INSPECTION, "", "");
    document.insert("schema".to_owned(), json!("rimside.inspection/1"));
    document.insert("id".to_owned(), json!(id));
    for (field, subject) in
        [("vin_photograph", "vin"), ("registration_photograph", "registration"), ("odometer_photograph", "odometer")]
    {
        let label = shows(&document, subject);
        if let Some(Value::Object(car)) = document.get_mut("car") {
            car.insert(field.to_owned(), label);
        }
    }
    Folded { document: Value::Object(document), gaps: folding.gaps }
}

/// The first photograph of this subject.
fn shows(document: &Map<String, Value>, subject: &str) -> Value {
    document
        .get("photographs")
        .and_then(Value::as_array)
        .into_iter()
        .flatten()
        .find(|photograph| photograph["subject"]["of"] == subject)
        .map_or(Value::Null, |photograph| photograph["id"].clone())
}

struct Folding<'a> {
    values: &'a BTreeMap<String, Value>,
    gaps: Vec<Gap>,
}

impl Folding<'_> {
    fn group(&mut self, fields: &[(&str, Shape)], at: &str, words: &str) -> Map<String, Value> {
        let mut group = Map::new();
        for (name, shape) in fields {
            let path = join(at, name);
            let value = self.shape(shape, name, &path, words);
            let is_left_out = matches!(shape, Shape::List { spare: true, .. }) && value == json!([]);
            if !is_left_out {
                group.insert((*name).to_owned(), value);
            }
        }
        group
    }

    fn shape(&mut self, shape: &Shape, name: &str, path: &str, words: &str) -> Value {
        match shape {
            Shape::Leaf(leaf) => match (self.values.get(path), &leaf.unset) {
                (Some(value), _) => value.clone(),
                (None, Unset::Unknown) => Value::Null,
                (None, Unset::Needed { words: what, stand_in }) => {
                    let words = if words.is_empty() { (*what).to_owned() } else { format!("{words}: {what}") };
                    self.gaps.push(Gap { path: path.to_owned(), words });
                    serde_json::from_str(stand_in).expect("the table's own JSON")
                }
            },
            Shape::Group(fields) => Value::Object(self.group(fields, path, &group_words(name, words))),
            Shape::List { named, .. } => self.list(path, *named),
            Shape::Part { fields, words: own } => {
                let words = if words.is_empty() { (*own).to_owned() } else { format!("{words}, {own}") };
                self.part(fields, path, &words)
            }
        }
    }

    fn list(&self, path: &str, named: bool) -> Value {
        let things = below(self.values, path).map(|(label, value)| {
            let mut value = value.clone();
            if let (true, Some(fields)) = (named, value.as_object_mut()) {
                fields.insert("id".to_owned(), Value::String(label.to_owned()));
            }
            value
        });
        Value::Array(things.collect())
    }

    fn part(&mut self, fields: &[(&str, Shape)], path: &str, words: &str) -> Value {
        if let Some(reason) = self.values.get(&join(path, NOT_INSPECTED)) {
            return json!({ NOT_INSPECTED: reason });
        }
        if below(self.values, path).next().is_none() {
            self.gaps.push(Gap { path: path.to_owned(), words: format!("{words}: seen, or why not") });
            return json!({ NOT_INSPECTED: UNSEEN });
        }
        let before = self.gaps.len();
        let seen = self.group(fields, path, words);
        // A part with a field of its own missing says nothing yet; a part below it can stand for itself.
        let is_own = |gap: &Gap| {
            fields.iter().filter(|(_, shape)| !matches!(shape, Shape::Part { .. })).any(|(name, _)| {
                let own = join(path, name);
                gap.path.strip_prefix(&own).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
            })
        };
        if self.gaps[before..].iter().any(is_own) {
            return json!({ NOT_INSPECTED: UNFINISHED });
        }
        json!({ "seen": seen })
    }
}

fn group_words(name: &str, words: &str) -> String {
    match name {
        "front" | "rear" => format!("{name} axle"),
        _ => words.to_owned(),
    }
}

/// Values under a path with what follows it.
fn below<'a>(values: &'a BTreeMap<String, Value>, path: &str) -> impl Iterator<Item = (&'a str, &'a Value)> {
    let start = format!("{path}.");
    values.range(start.clone()..).take_while(move |(key, _)| key.starts_with(&start)).map({
        let cut = path.len() + 1;
        move |(key, value)| (&key[cut..], value)
    })
}

fn join(at: &str, name: &str) -> String {
    if at.is_empty() { name.to_owned() } else { format!("{at}.{name}") }
}

/// The fields of an inspection's document, as a notebook would have written them. Things without a name of their own
/// are numbered.
pub fn unfold(document: &Value) -> Vec<(String, Value)> {
    let mut fields = Vec::new();
    unfold_group(INSPECTION, document, "", &mut fields);
    fields
}

fn unfold_group(shapes: &[(&str, Shape)], document: &Value, at: &str, fields: &mut Vec<(String, Value)>) {
    for (name, shape) in shapes {
        let (value, path) = (&document[*name], join(at, name));
        match shape {
            Shape::Leaf(_) | Shape::Group(_) | Shape::Part { .. } if value.is_null() => {}
            Shape::Leaf(_) => fields.push((path, value.clone())),
            Shape::Group(shapes) => unfold_group(shapes, value, &path, fields),
            Shape::Part { fields: shapes, .. } => match value.get(NOT_INSPECTED) {
                Some(reason) => fields.push((join(&path, NOT_INSPECTED), reason.clone())),
                None => unfold_group(shapes, &value["seen"], &path, fields),
            },
            Shape::List { named, .. } => {
                for (place, thing) in value.as_array().into_iter().flatten().enumerate() {
                    let mut thing = thing.clone();
                    let id = thing.as_object_mut().filter(|_| *named).and_then(|fields| fields.remove("id"));
                    let label = match id {
                        Some(Value::String(id)) => id,
                        _ => format!("{:04}", place + 1),
                    };
                    fields.push((join(&path, &label), thing));
                }
            }
        }
    }
}
