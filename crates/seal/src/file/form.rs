//! The signature: its dictionary, its one form field, its permissions; and the annotations of the pages.

use super::fault::{Fault, FaultCode};
use super::object::{Dictionary, IndirectObject, ObjectNumber, Objects, Value};
use super::pages::refuse_other_entries;

const SIGNATURE_ENTRIES: &[&str] = &[
    "Type",
    "Filter",
    "SubFilter",
    "ByteRange",
    "Contents",
    "M",
    "Name",
    "Reason",
    "Location",
    "ContactInfo",
    "Reference",
];
const FORM_ENTRIES: &[&str] = &["Fields", "SigFlags"];
const FIELD_ENTRIES: &[&str] =
    &["Type", "Subtype", "FT", "T", "TU", "V", "Rect", "F", "P", "AP", "StructParent", "Border", "Contents", "Lang"];
const LINK_ENTRIES: &[&str] = &[
    "Type",
    "Subtype",
    "Rect",
    "Border",
    "BS",
    "F",
    "A",
    "Dest",
    "StructParent",
    "Contents",
    "P",
    "C",
    "H",
    "QuadPoints",
    "NM",
    "Lang",
];
/// Print; print and locked (ISO 32000-2, 12.5.3).
const FIELD_FLAGS: [i64; 2] = [4, 132];

/// The signature dictionary: the only one, and the last object.
pub(crate) fn find_signature<'s, 'a>(objects: &'s Objects<'a>) -> Result<&'s IndirectObject<'a>, Fault> {
    let mut signatures = objects.iter().filter(|object| object.value.as_dictionary().is_some_and(is_signature));
    let Some(signature) = signatures.next() else {
        return Err(Fault::of(FaultCode::SignatureMissing, "the file has no place for a signature"));
    };
    if let Some(second) = signatures.next() {
        return Err(Fault::at(
            FaultCode::SignatureDoubled,
            second.span.start,
            format!("the objects {} and {} are both signatures", signature.number, second.number),
        ));
    }
    if signature.number as usize != objects.len() {
        return Err(Fault::at(
            FaultCode::SignatureNotLast,
            signature.span.start,
            format!("the signature is object {} and not the last one, {}", signature.number, objects.len()),
        ));
    }
    Ok(signature)
}

fn is_signature(dictionary: &Dictionary<'_>) -> bool {
    matches!(dictionary.find_name("Type"), Some("Sig" | "DocTimeStamp"))
}

/// The signature dictionary's entries besides the byte range and the contents.
pub(crate) fn check_signature(signature: &Dictionary<'_>) -> Result<(), Fault> {
    refuse_other_entries(signature, SIGNATURE_ENTRIES, FaultCode::SignatureEntry, "the signature")?;
    for (key, expected) in [("Type", "Sig"), ("Filter", "Adobe.PPKLite"), ("SubFilter", "ETSI.CAdES.detached")] {
        if signature.find_name(key) != Some(expected) {
            return Err(Fault::at(
                FaultCode::SignatureEntry,
                signature.at,
                format!("the signature's /{key} is not {expected}"),
            ));
        }
    }
    for key in ["M", "Name", "Reason", "Location", "ContactInfo"] {
        if signature.find(key).is_some_and(|value| value.as_text().is_none()) {
            return Err(Fault::at(
                FaultCode::SignatureEntry,
                signature.at,
                format!("the signature's /{key} is no text"),
            ));
        }
    }
    Ok(())
}

/// That the form has one field, the signature's, and that it stands on page 1.
pub(crate) fn check_form(
    objects: &Objects<'_>,
    catalog: &Dictionary<'_>,
    signature: ObjectNumber,
    pages: &[ObjectNumber],
) -> Result<(), Fault> {
    let Some(form) = objects.find_dictionary(catalog, "AcroForm") else {
        return Err(Fault::at(FaultCode::FormMalformed, catalog.at, "the file has no form for the signature"));
    };
    let malformed = |what: &str| Fault::at(FaultCode::FormMalformed, form.at, what.to_owned());
    if form.find("SigFlags") != Some(&Value::Integer(3)) {
        return Err(Fault::at(FaultCode::SignatureFlags, form.at, "the form's signature flags are not 3"));
    }
    refuse_other_entries(form, FORM_ENTRIES, FaultCode::FormMalformed, "the form")?;
    let fields = form.find("Fields").map(|fields| objects.resolve(fields)).and_then(Value::as_array);
    let fields = fields.ok_or_else(|| malformed("the form has no list of fields"))?;
    refuse_other_fields(objects, fields)?;
    let Some(number) = fields.first().and_then(Value::as_reference) else {
        return Err(malformed("the form does not lead to the signature's field"));
    };
    let Some(field) = objects.find(number).and_then(|object| object.value.as_dictionary()) else {
        return Err(malformed("the signature's field is no dictionary"));
    };
    if field.find("V").and_then(Value::as_reference) != Some(signature) {
        return Err(malformed("the signature's field does not lead to the signature"));
    }
    refuse_other_entries(field, FIELD_ENTRIES, FaultCode::FormMalformed, "the signature's field")?;
    if field.find_name("Subtype") != Some("Widget") {
        return Err(malformed("the signature's field is no widget"));
    }
    if !field.find("F").and_then(Value::as_integer).is_some_and(|flags| FIELD_FLAGS.contains(&flags)) {
        return Err(malformed("the signature's field is hidden or not printed"));
    }
    check_annotations(objects, pages, number)
}

/// Wherever fields stand, there is one, and it is the signature's.
fn refuse_other_fields(objects: &Objects<'_>, listed: &[Value<'_>]) -> Result<(), Fault> {
    let mut signatures = 0;
    for object in objects.iter() {
        let Some(field) = object.value.as_dictionary() else { continue };
        match field.find("FT").map(|kind| objects.resolve(kind)) {
            None => {}
            Some(Value::Name("Sig")) => signatures += 1,
            Some(_) => {
                return Err(Fault::at(
                    FaultCode::FormFieldExtra,
                    object.span.start,
                    format!("object {} is a form field and not the signature", object.number),
                ));
            }
        }
        if signatures > 1 {
            return Err(Fault::at(
                FaultCode::SignatureFieldDoubled,
                object.span.start,
                format!("object {} is a second signature field", object.number),
            ));
        }
    }
    if listed.len() > 1 {
        return Err(Fault::of(FaultCode::FormFieldExtra, format!("the form has {} fields instead of 1", listed.len())));
    }
    if signatures == 0 {
        return Err(Fault::of(FaultCode::FormMalformed, "the form has no signature field"));
    }
    Ok(())
}

/// Pages carry links and, on the first page, the signature's widget.
fn check_annotations(objects: &Objects<'_>, pages: &[ObjectNumber], field: ObjectNumber) -> Result<(), Fault> {
    let mut widgets = 0;
    for (place, number) in pages.iter().enumerate() {
        let Some(page) = objects.find(*number).and_then(|object| object.value.as_dictionary()) else { continue };
        let Some(annotations) = page.find("Annots") else { continue };
        let Some(annotations) = objects.resolve(annotations).as_array() else {
            return Err(Fault::at(FaultCode::AnnotationForbidden, page.at, "a page's annotations are no list"));
        };
        for annotation in annotations {
            if annotation.as_reference() == Some(field) && place == 0 {
                widgets += 1;
                continue;
            }
            match objects.resolve(annotation).as_dictionary() {
                Some(link) if link.find_name("Subtype") == Some("Link") => check_link(objects, link)?,
                other => {
                    let kind = other.and_then(|annotation| annotation.find_name("Subtype")).unwrap_or("unknown");
                    return Err(Fault::at(
                        FaultCode::AnnotationForbidden,
                        other.map_or(page.at, |annotation| annotation.at),
                        format!("page {} has an annotation of the kind {kind}; reports have links only", place + 1),
                    ));
                }
            }
        }
    }
    if widgets != 1 {
        return Err(Fault::of(FaultCode::FormMalformed, "the signature's field does not stand on page 1 once"));
    }
    Ok(())
}

fn check_link(objects: &Objects<'_>, link: &Dictionary<'_>) -> Result<(), Fault> {
    refuse_other_entries(link, LINK_ENTRIES, FaultCode::AnnotationForbidden, "a link")?;
    if link.find("F") != Some(&Value::Integer(4)) {
        return Err(Fault::at(FaultCode::AnnotationForbidden, link.at, "a link is hidden or not printed"));
    }
    // What an address must look like is checked wherever an action stands.
    let action =
        link.find("A").map(|action| objects.resolve(action).as_dictionary().and_then(|action| action.find_name("S")));
    match (action, link.find("Dest")) {
        (Some(Some("URI" | "GoTo")), None) | (None, Some(_)) => Ok(()),
        _ => Err(Fault::at(FaultCode::LinkForbidden, link.at, "a link leads neither into the file nor to an address")),
    }
}

/// That the catalog's permissions and the signature say "no changes", once and the same.
pub(crate) fn check_permissions(
    objects: &Objects<'_>,
    catalog: &Dictionary<'_>,
    signature: &IndirectObject<'_>,
) -> Result<(), Fault> {
    let fault = |at, what: &str| Err(Fault::at(FaultCode::DocMdp, at, what.to_owned()));
    let Some(permissions) = objects.find_dictionary(catalog, "Perms") else {
        return fault(catalog.at, "the file does not say which changes it permits");
    };
    if permissions.entries.len() != 1 || permissions.find("DocMDP") != Some(&Value::Reference(signature.number)) {
        return fault(permissions.at, "the permissions do not lead to the signature alone");
    }
    let Some(dictionary) = signature.value.as_dictionary() else {
        return fault(catalog.at, "the signature is no dictionary");
    };
    let reference = match dictionary.find("Reference").and_then(Value::as_array) {
        Some([reference]) => objects.resolve(reference).as_dictionary(),
        _ => None,
    };
    let Some(reference) = reference else {
        return fault(dictionary.at, "the signature does not have exactly one statement of permitted changes");
    };
    refuse_other_entries(
        reference,
        &["Type", "TransformMethod", "TransformParams"],
        FaultCode::DocMdp,
        "the statement of permitted changes",
    )?;
    if reference.find_name("TransformMethod") != Some("DocMDP") {
        return fault(reference.at, "the signature's statement of permitted changes is not of the kind DocMDP");
    }
    let Some(parameters) = objects.find_dictionary(reference, "TransformParams") else {
        return fault(reference.at, "the signature does not say which changes it permits");
    };
    refuse_other_entries(parameters, &["Type", "P", "V"], FaultCode::DocMdp, "the statement of permitted changes")?;
    if parameters.find("P") != Some(&Value::Integer(1)) {
        return fault(parameters.at, "the signature permits changes to the file");
    }
    for object in objects.iter() {
        if let Some(other) = object.value.as_dictionary()
            && other.is_type("SigRef")
            && other.at != reference.at
        {
            return fault(object.span.start, "there is a second statement of permitted changes");
        }
    }
    Ok(())
}
