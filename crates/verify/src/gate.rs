//! The gate: the record inside a file must give the file again, byte for byte.
//!
//! A signature says that a person signed these bytes; it does not say that the pages show what the record holds. So
//! the record is read, reckoned and drawn again, and everything outside the signature's room is compared.

use std::collections::BTreeSet;

use model::{Inspection, MethodVersion, ParseError, Reckoning, Record, RendererVersion, Sha256};
use report::{Copies, RenderError};
use seal::{
    file::{Fault, SealedFile},
    verdict::Finding,
};

use crate::{difference::find_difference, gate_codes as codes};

/// The beginning of the name of a record's form, whatever its version.
const RECORD_SCHEMA: &str = "rimside.record/";

/// What came of the gate.
#[derive(Debug)]
pub(crate) enum Gate {
    /// The record gives this very file.
    Passed(Box<Record>),
    /// It does not; the record is there as far as it could be read.
    Failed(Finding, Option<Box<Record>>),
    /// The record is of a version that is not known here.
    NotKnown(Finding),
}

#[derive(Debug)]
pub(crate) enum Refusal {
    Failed(Finding),
    NotKnown(Finding),
}

pub(crate) fn failed(code: &'static str, reason: impl Into<String>) -> Refusal {
    Refusal::Failed(Finding { code, reason: reason.into() })
}

pub(crate) fn not_known(code: &'static str, reason: impl Into<String>) -> Refusal {
    Refusal::NotKnown(Finding { code, reason: reason.into() })
}

/// Reads the record out of the file and compares what it gives with the file.
pub(crate) fn check_gate(file: &SealedFile<'_>) -> Gate {
    let record = match file.record() {
        Ok(attachment) => attachment.bytes,
        Err(fault) => return Gate::Failed(unreadable(&fault), None),
    };
    let parsed = match parse_record(&record) {
        Ok(parsed) => Box::new(parsed),
        Err(Refusal::Failed(finding)) => return Gate::Failed(finding, None),
        Err(Refusal::NotKnown(finding)) => return Gate::NotKnown(finding),
    };
    let checked = check_reckoning(&parsed)
        .and_then(|()| collect_photographs(file, &parsed))
        .and_then(|photographs| check_pages(file, &parsed, &record, &photographs));
    match checked {
        Ok(()) => Gate::Passed(parsed),
        Err(Refusal::Failed(finding)) => Gate::Failed(finding, Some(parsed)),
        Err(Refusal::NotKnown(finding)) => Gate::NotKnown(finding),
    }
}

fn unreadable(fault: &Fault) -> Finding {
    Finding { code: codes::RECORD_UNREADABLE, reason: format!("the record inside cannot be read: {fault}") }
}

fn parse_record(bytes: &[u8]) -> Result<Record, Refusal> {
    let record = model::parse_canonical_record(bytes).map_err(|error| explain_parse(bytes, &error, RECORD_SCHEMA))?;
    check_versions(record.renderer, record.reckoning.method)?;
    Ok(record)
}

/// A record of a later form is no fault of the file; anything else is.
pub(crate) fn explain_parse(bytes: &[u8], error: &ParseError, form: &str) -> Refusal {
    #[derive(serde::Deserialize)]
    struct Form {
        schema: String,
    }
    if let ParseError::NotCanonical { .. } = error {
        return failed(codes::RECORD_NOT_CANONICAL, format!("the record inside: {error}"));
    }
    match serde_json::from_slice::<Form>(bytes) {
        Ok(Form { schema }) if is_later_form(&schema, form) => not_known(
            "record-form-unknown",
            format!("the record has the form {schema}, which is newer than this program"),
        ),
        _ => failed(codes::RECORD_MALFORMED, format!("the record inside is malformed: {error}")),
    }
}

fn is_later_form(schema: &str, form: &str) -> bool {
    let version = schema.strip_prefix(form).and_then(|version| version.parse::<u32>().ok());
    version.is_some_and(|version| version > 1)
}

fn check_versions(renderer: RendererVersion, method: MethodVersion) -> Result<(), Refusal> {
    if renderer > report::RENDERER {
        let RendererVersion(got) = renderer;
        return Err(not_known(
            "renderer-unknown",
            format!("the pages have form {got}, which this program cannot draw; it knows up to {}", report::RENDERER.0),
        ));
    }
    if method > condition::METHOD {
        let MethodVersion(got) = method;
        return Err(not_known(
            "method-unknown",
            format!(
                "the reckoning follows method {got}, which this program does not know; it knows up to {}",
                condition::METHOD.0
            ),
        ));
    }
    Ok(())
}

/// Reckons the findings again.
fn check_reckoning(record: &Record) -> Result<(), Refusal> {
    let again = reckon(&record.inspection, record.reckoning.method)?;
    if again == record.reckoning {
        return Ok(());
    }
    let place = match (serde_json::to_value(&record.reckoning), serde_json::to_value(&again)) {
        (Ok(written), Ok(again)) => find_difference(&written, &again).unwrap_or_default(),
        _ => String::new(),
    };
    Err(failed(
        codes::RECKONING_DIFFERS,
        format!("the reckoning in the record does not follow from its findings: {place} differs when reckoned again"),
    ))
}

/// The photographs inside the file by their digest: exactly those that the record lists.
fn collect_photographs<'a>(file: &SealedFile<'a>, record: &Record) -> Result<Copies<'a>, Refusal> {
    let inside: Copies<'a> = file.image_streams().collect();
    let differing: Vec<String> = record
        .report_photographs
        .iter()
        .filter(|photograph| inside.find(&photograph.sha256).is_none())
        .map(|photograph| match record.inspection.find_photograph(&photograph.id) {
            Some(original) => format!("{} ({})", photograph.id, original.subject.words()),
            None => photograph.id.to_string(),
        })
        .collect();
    if !differing.is_empty() {
        return Err(failed(
            codes::PHOTOGRAPH_DIFFERS,
            format!("not the photograph that the record lists: {}", differing.join(", ")),
        ));
    }
    let listed: BTreeSet<Sha256> = record.report_photographs.iter().map(|photograph| photograph.sha256).collect();
    match inside.digests().filter(|digest| !listed.contains(digest)).count() {
        0 => Ok(inside),
        more => Err(failed(
            codes::PHOTOGRAPH_UNLISTED,
            format!("{more} of the photographs in the file are not in its record"),
        )),
    }
}

/// Draws the record again and compares every byte outside the signature's room.
fn check_pages(
    file: &SealedFile<'_>,
    record: &Record,
    record_bytes: &[u8],
    photographs: &Copies<'_>,
) -> Result<(), Refusal> {
    let again = match report::render(record, record_bytes, photographs) {
        Ok(prepared) => prepared.bytes,
        Err(error @ RenderError::RendererUnknown { .. }) => {
            return Err(not_known("renderer-unknown", error.to_string()));
        }
        Err(error) => {
            return Err(failed(codes::NOT_RENDERABLE, format!("the record inside cannot be drawn: {error}")));
        }
    };
    compare_with(file, &again)
}

/// Compares every byte outside the signature's room with what was drawn again.
pub(crate) fn compare_with(file: &SealedFile<'_>, again: &[u8]) -> Result<(), Refusal> {
    let range = file.byte_range();
    for part in [range.before.clone(), range.after.clone()] {
        let (written, drawn) = (&file.bytes()[part.clone()], again.get(part.clone()).unwrap_or_default());
        if written != drawn {
            let place = written.iter().zip(drawn).position(|(one, other)| one != other).unwrap_or(drawn.len());
            return Err(failed(codes::PAGES_DIFFER, describe_place(file, part.start + place)));
        }
    }
    if again.len() == file.bytes().len() {
        Ok(())
    } else {
        Err(failed(codes::PAGES_DIFFER, "the file is shorter than what its record gives"))
    }
}

/// What of the file stands at this byte.
fn describe_place(file: &SealedFile<'_>, at: usize) -> String {
    let object = file.objects().iter().find(|object| object.span.contains(&at)).map(|object| object.number);
    let page = object.and_then(|number| {
        file.pages().iter().position(|&page| {
            let dictionary = file.objects().find(page).and_then(|object| object.value.as_dictionary());
            page == number || dictionary.and_then(|page| page.find("Contents")?.as_reference()) == Some(number)
        })
    });
    match page {
        Some(page) => format!("page {} does not show what the record says (byte {at})", page + 1),
        None => format!("the file is not what its record gives: byte {at} differs when it is drawn again"),
    }
}

/// The reckoning of the method that the record names.
fn reckon(inspection: &Inspection, method: MethodVersion) -> Result<Reckoning, Refusal> {
    if method == condition::METHOD {
        return Ok(condition::reckon(inspection));
    }
    let MethodVersion(got) = method;
    Err(failed(codes::RECKONING_DIFFERS, format!("the record names the method {got}, which never was one")))
}

impl Gate {
    /// The record, if it could be read.
    pub(crate) fn record(&self) -> Option<&Record> {
        match self {
            Self::Passed(record) | Self::Failed(_, Some(record)) => Some(record),
            Self::Failed(_, None) | Self::NotKnown(_) => None,
        }
    }
}
