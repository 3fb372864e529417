//! The one file inside the file: the record.

use super::fault::{Fault, FaultCode};
use super::object::{Dictionary, IndirectObject, Objects, Text, Value};
use super::pages::refuse_other_entries;
use super::stream;

/// The attachment's name.
pub const RECORD_NAME: &str = "record.json";

/// A file inside the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// Its name, always [`RECORD_NAME`].
    pub name: String,
    /// Its unpacked bytes.
    pub bytes: Vec<u8>,
}

/// The stream of `record.json`; refuses any other attachment and any doubt which one is meant.
pub(crate) fn find_record<'s, 'a>(
    objects: &'s Objects<'a>,
    catalog: &'s Dictionary<'a>,
) -> Result<&'s IndirectObject<'a>, Fault> {
    let file = read_name_tree(objects, catalog)?;
    let malformed = |what: &str| Fault::at(FaultCode::AttachmentMalformed, file.at, what.to_owned());
    match catalog.find("AF").map(|list| objects.resolve(list)).and_then(Value::as_array) {
        Some([one]) => {
            if objects.resolve(one).as_dictionary().is_none_or(|other| other.at != file.at) {
                return Err(Fault::at(
                    FaultCode::AttachmentSwapped,
                    file.at,
                    "the associated file is not the attachment",
                ));
            }
        }
        Some([]) | None => return Err(malformed("the attachment is not associated with the file")),
        Some(list) => {
            return Err(Fault::at(
                FaultCode::AttachmentExtra,
                file.at,
                format!("the file has {} associated files instead of 1", list.len()),
            ));
        }
    }
    refuse_other_entries(
        file,
        &["Type", "F", "UF", "EF", "AFRelationship", "Desc"],
        FaultCode::AttachmentMalformed,
        "the attachment",
    )?;
    for key in ["F", "UF"] {
        if !file.find(key).and_then(Value::as_text).is_some_and(is_record_name) {
            return Err(Fault::at(FaultCode::AttachmentRenamed, file.at, "the attachment is not named record.json"));
        }
    }
    if file.find_name("AFRelationship") != Some("Data") {
        return Err(malformed("the attachment is not declared as the file's data"));
    }
    let embedded = objects.find_dictionary(file, "EF").ok_or_else(|| malformed("the attachment has no bytes"))?;
    refuse_other_entries(embedded, &["F", "UF"], FaultCode::AttachmentMalformed, "the attachment")?;
    let number =
        embedded.find("F").and_then(Value::as_reference).ok_or_else(|| malformed("the attachment has no bytes"))?;
    if embedded.find("UF").is_some_and(|other| other.as_reference() != Some(number)) {
        return Err(Fault::at(
            FaultCode::AttachmentSwapped,
            embedded.at,
            "the attachment's two entries lead to different bytes",
        ));
    }
    let record = objects.find(number).filter(|object| object.stream.is_some());
    let record = record.ok_or_else(|| malformed("the attachment is no stream"))?;
    if record.value.as_dictionary().is_none_or(|dictionary| !dictionary.is_type("EmbeddedFile")) {
        return Err(malformed("the attachment's stream is not declared as an embedded file"));
    }
    refuse_others(objects, catalog, file, record)?;
    Ok(record)
}

fn read_name_tree<'s, 'a>(objects: &'s Objects<'a>, catalog: &'s Dictionary<'a>) -> Result<&'s Dictionary<'a>, Fault> {
    let missing = || Fault::at(FaultCode::AttachmentMissing, catalog.at, "the record is not attached to the file");
    let names = objects.find_dictionary(catalog, "Names").ok_or_else(missing)?;
    refuse_other_entries(names, &["EmbeddedFiles", "Dests"], FaultCode::CatalogEntry, "the file's list of names")?;
    let tree = objects.find_dictionary(names, "EmbeddedFiles").ok_or_else(missing)?;
    refuse_other_entries(tree, &["Names", "Limits"], FaultCode::AttachmentMalformed, "the list of attachments")?;
    let list = tree.find("Names").map(|list| objects.resolve(list)).and_then(Value::as_array).ok_or_else(missing)?;
    let (pairs, odd) = list.as_chunks::<2>();
    let malformed = |what: &str| Fault::at(FaultCode::AttachmentMalformed, tree.at, what.to_owned());
    if !odd.is_empty() {
        return Err(malformed("the list of attachments has a name without a file"));
    }
    let names: Vec<_> = pairs.iter().map(|[name, _]| name.as_text().map(|name| name.decode())).collect();
    match pairs {
        [] => Err(missing()),
        [[_, file]] => {
            if names[0].as_deref() != Some(RECORD_NAME.as_bytes()) {
                return Err(Fault::at(
                    FaultCode::AttachmentRenamed,
                    tree.at,
                    "the attachment is not named record.json",
                ));
            }
            objects.resolve(file).as_dictionary().ok_or_else(|| malformed("the attachment is no file"))
        }
        _ => {
            let doubled = names.iter().enumerate().any(|(place, name)| names[..place].contains(name));
            let code = if doubled { FaultCode::AttachmentDoubled } else { FaultCode::AttachmentExtra };
            Err(Fault::at(code, tree.at, format!("the file has {} attachments instead of 1", pairs.len())))
        }
    }
}

/// The name in `PDFDocEncoding` or, where the writer chose it, in UTF-16.
fn is_record_name(name: Text<'_>) -> bool {
    let bytes = name.decode();
    let wide: Vec<u8> = [0xFE, 0xFF].into_iter().chain(RECORD_NAME.bytes().flat_map(|byte| [0, byte])).collect();
    bytes == RECORD_NAME.as_bytes() || bytes == wide
}

/// No other file hangs on anything else in the file.
fn refuse_others(
    objects: &Objects<'_>,
    catalog: &Dictionary<'_>,
    file: &Dictionary<'_>,
    record: &IndirectObject<'_>,
) -> Result<(), Fault> {
    for object in objects.iter() {
        if let Some(found) = find_other(&object.value, catalog, file, record) {
            return Err(Fault::at(
                FaultCode::AttachmentExtra,
                found,
                format!("object {} attaches a file besides record.json", object.number),
            ));
        }
    }
    Ok(())
}

fn find_other(
    value: &Value<'_>,
    catalog: &Dictionary<'_>,
    file: &Dictionary<'_>,
    record: &IndirectObject<'_>,
) -> Option<usize> {
    match value {
        Value::Array(items) => items.iter().find_map(|item| find_other(item, catalog, file, record)),
        Value::Dictionary(dictionary) => {
            let extra_file =
                (dictionary.is_type("Filespec") || dictionary.find("EF").is_some()) && dictionary.at != file.at;
            let record_at = record.value.as_dictionary().map(|record| record.at);
            let extra_bytes = dictionary.is_type("EmbeddedFile") && Some(dictionary.at) != record_at;
            let associated = dictionary.find("AF").is_some() && dictionary.at != catalog.at;
            if extra_file || extra_bytes || associated {
                return Some(dictionary.at);
            }
            dictionary.entries.iter().find_map(|entry| find_other(&entry.value, catalog, file, record))
        }
        _ => None,
    }
}

pub(crate) fn read_record(record: &IndirectObject<'_>) -> Result<Attachment, Fault> {
    Ok(Attachment { name: RECORD_NAME.to_owned(), bytes: stream::decode(record)? })
}
