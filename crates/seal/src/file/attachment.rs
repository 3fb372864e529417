//! The files inside the file: the record, and the report that a condition statement rests on.

use super::fault::{Fault, FaultCode};
use super::object::{Dictionary, IndirectObject, Objects, Text, Value};
use super::pages::refuse_other_entries;
use super::stream::{self, Filter};

/// The record's name.
pub const RECORD_NAME: &str = "record.json";
/// The name of the report that a condition statement rests on.
pub const REPORT_NAME: &str = "report.pdf";

/// What may be attached, in the order in which it stands: name and relationship.
const KNOWN: [(&str, &str); 2] = [(RECORD_NAME, "Data"), (REPORT_NAME, "Source")];

/// A file inside the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attachment {
    /// Its name, always [`RECORD_NAME`].
    pub name: String,
    /// Its unpacked bytes.
    pub bytes: Vec<u8>,
}

/// The streams of `record.json` and, where it is there, of `report.pdf`; refuses any other attachment and any doubt which
/// ones are meant.
pub(crate) fn find_attachments<'s, 'a>(
    objects: &'s Objects<'a>,
    catalog: &'s Dictionary<'a>,
) -> Result<(&'s IndirectObject<'a>, Option<&'s IndirectObject<'a>>), Fault> {
    let files = read_name_tree(objects, catalog)?;
    check_associated(objects, catalog, &files)?;
    let mut streams = Vec::with_capacity(files.len());
    for (file, (name, relationship)) in files.iter().zip(KNOWN) {
        streams.push(read_file(objects, file, name, relationship)?);
    }
    refuse_others(objects, catalog, &files, &streams)?;
    let report = streams.get(1).copied();
    if let Some(report) = report {
        let is_plain = report.value.as_dictionary().map(stream::read_filter).transpose()? == Some(Filter::None);
        if !is_plain || !report.stream.is_some_and(|bytes| bytes.starts_with(b"%PDF-2.0")) {
            return Err(Fault::at(
                FaultCode::AttachmentMalformed,
                report.span.start,
                "the attached report is not one that stands in the file as it is",
            ));
        }
    }
    Ok((streams[0], report))
}

/// The associated files are the attachments, in the same order.
fn check_associated(objects: &Objects<'_>, catalog: &Dictionary<'_>, files: &[&Dictionary<'_>]) -> Result<(), Fault> {
    let at = files[0].at;
    let malformed = |what: &str| Fault::at(FaultCode::AttachmentMalformed, at, what.to_owned());
    let list = catalog.find("AF").map(|list| objects.resolve(list)).and_then(Value::as_array);
    let list = list.filter(|list| !list.is_empty());
    let list = list.ok_or_else(|| malformed("the attachment is not associated with the file"))?;
    if list.len() != files.len() {
        return Err(Fault::at(
            FaultCode::AttachmentExtra,
            at,
            format!("the file has {} associated files and {} attachments", list.len(), files.len()),
        ));
    }
    for (one, file) in list.iter().zip(files) {
        if objects.resolve(one).as_dictionary().is_none_or(|other| other.at != file.at) {
            return Err(Fault::at(FaultCode::AttachmentSwapped, at, "the associated file is not the attachment"));
        }
    }
    Ok(())
}

fn read_file<'s, 'a>(
    objects: &'s Objects<'a>,
    file: &'s Dictionary<'a>,
    name: &str,
    relationship: &str,
) -> Result<&'s IndirectObject<'a>, Fault> {
    let malformed = |what: &str| Fault::at(FaultCode::AttachmentMalformed, file.at, what.to_owned());
    refuse_other_entries(
        file,
        &["Type", "F", "UF", "EF", "AFRelationship", "Desc"],
        FaultCode::AttachmentMalformed,
        "the attachment",
    )?;
    for key in ["F", "UF"] {
        if !file.find(key).and_then(Value::as_text).is_some_and(|text| is_name(text, name)) {
            return Err(Fault::at(
                FaultCode::AttachmentRenamed,
                file.at,
                format!("the attachment is not named {name}"),
            ));
        }
    }
    if file.find_name("AFRelationship") != Some(relationship) {
        return Err(malformed("the attachment is not declared as what it is to the file"));
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
    let stream = objects.find(number).filter(|object| object.stream.is_some());
    let stream = stream.ok_or_else(|| malformed("the attachment is no stream"))?;
    if stream.value.as_dictionary().is_none_or(|dictionary| !dictionary.is_type("EmbeddedFile")) {
        return Err(malformed("the attachment's stream is not declared as an embedded file"));
    }
    Ok(stream)
}

/// The attachments that the list of names holds: the record, or the record and the report, in this order.
fn read_name_tree<'s, 'a>(
    objects: &'s Objects<'a>,
    catalog: &'s Dictionary<'a>,
) -> Result<Vec<&'s Dictionary<'a>>, Fault> {
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
    if pairs.is_empty() {
        return Err(missing());
    }
    let names: Vec<_> = pairs.iter().map(|[name, _]| name.as_text().map(|name| name.decode())).collect();
    if names.iter().enumerate().any(|(place, name)| names[..place].contains(name)) {
        return Err(Fault::at(FaultCode::AttachmentDoubled, tree.at, "two attachments have one name"));
    }
    if pairs.len() > KNOWN.len() {
        let found = format!("the file has {} attachments; at most a record and a report are expected", pairs.len());
        return Err(Fault::at(FaultCode::AttachmentExtra, tree.at, found));
    }
    for (place, (name, (known, _))) in names.iter().zip(KNOWN).enumerate() {
        if name.as_deref() != Some(known.as_bytes()) {
            // One of several with another name is one too many; the only one has the wrong name.
            let code = if pairs.len() == 1 { FaultCode::AttachmentRenamed } else { FaultCode::AttachmentExtra };
            return Err(Fault::at(code, tree.at, format!("attachment {} is not named {known}", place + 1)));
        }
    }
    pairs
        .iter()
        .map(|[_, file]| objects.resolve(file).as_dictionary().ok_or_else(|| malformed("the attachment is no file")))
        .collect()
}

/// The name in `PDFDocEncoding` or, where the writer chose it, in UTF-16.
fn is_name(text: Text<'_>, name: &str) -> bool {
    let bytes = text.decode();
    let wide: Vec<u8> = [0xFE, 0xFF].into_iter().chain(name.bytes().flat_map(|byte| [0, byte])).collect();
    bytes == name.as_bytes() || bytes == wide
}

/// No other file hangs on anything else in the file.
fn refuse_others(
    objects: &Objects<'_>,
    catalog: &Dictionary<'_>,
    files: &[&Dictionary<'_>],
    streams: &[&IndirectObject<'_>],
) -> Result<(), Fault> {
    for object in objects.iter() {
        if let Some(found) = find_other(&object.value, catalog, files, streams) {
            return Err(Fault::at(
                FaultCode::AttachmentExtra,
                found,
                format!("object {} attaches a file of its own", object.number),
            ));
        }
    }
    Ok(())
}

fn find_other(
    value: &Value<'_>,
    catalog: &Dictionary<'_>,
    files: &[&Dictionary<'_>],
    streams: &[&IndirectObject<'_>],
) -> Option<usize> {
    match value {
        Value::Array(items) => items.iter().find_map(|item| find_other(item, catalog, files, streams)),
        Value::Dictionary(dictionary) => {
            let is_file = files.iter().any(|file| file.at == dictionary.at);
            let is_stream = streams
                .iter()
                .any(|stream| stream.value.as_dictionary().is_some_and(|stream| stream.at == dictionary.at));
            let extra_file = (dictionary.is_type("Filespec") || dictionary.find("EF").is_some()) && !is_file;
            let extra_bytes = dictionary.is_type("EmbeddedFile") && !is_stream;
            let associated = dictionary.find("AF").is_some() && dictionary.at != catalog.at;
            if extra_file || extra_bytes || associated {
                return Some(dictionary.at);
            }
            dictionary.entries.iter().find_map(|entry| find_other(&entry.value, catalog, files, streams))
        }
        _ => None,
    }
}

pub(crate) fn read_record(record: &IndirectObject<'_>) -> Result<Attachment, Fault> {
    Ok(Attachment { name: RECORD_NAME.to_owned(), bytes: stream::decode(record)? })
}
