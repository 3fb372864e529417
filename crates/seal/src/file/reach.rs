//! One walk from the trailer over everything it reaches: nothing dangles, nothing is left over, and
//! nothing has an entry through which a file could change, hide or fetch what a reader sees.

use super::fault::{Fault, FaultCode};
use super::object::{Dictionary, Objects, Value};

/// Entries that no report has, wherever they stand.
const FORBIDDEN_ENTRIES: &[(&str, FaultCode, &str)] = &[
    ("OpenAction", FaultCode::OpenAction, "the file runs an action when it is opened"),
    ("AA", FaultCode::AdditionalActions, "the file runs actions on events"),
    ("JavaScript", FaultCode::JavaScript, "the file contains JavaScript"),
    ("JS", FaultCode::JavaScript, "the file contains JavaScript"),
    ("XFA", FaultCode::Xfa, "the file contains an XFA form"),
    ("OCProperties", FaultCode::HiddenLayers, "the file has layers that can be hidden"),
    ("OCGs", FaultCode::HiddenLayers, "the file has layers that can be hidden"),
    ("OC", FaultCode::HiddenLayers, "the file has layers that can be hidden"),
    ("RichMediaContent", FaultCode::RichMedia, "the file has film, sound or 3D content"),
    ("RichMediaSettings", FaultCode::RichMedia, "the file has film, sound or 3D content"),
    ("3DD", FaultCode::RichMedia, "the file has film, sound or 3D content"),
    ("Encrypt", FaultCode::Encrypted, "the file is encrypted; reports are not"),
    ("XRefStm", FaultCode::HybridFile, "the file points to a second, hidden table"),
    ("Linearized", FaultCode::Linearized, "the file is linearised; reports are not"),
    ("OPI", FaultCode::ExternalStream, "the file shows content of another file"),
    ("Alternates", FaultCode::EntryForbidden, "an image has alternatives that are shown instead of it"),
    ("Collection", FaultCode::EntryForbidden, "the file is a portfolio of other files"),
    ("Requirements", FaultCode::EntryForbidden, "the file makes demands on the program that shows it"),
    ("DSS", FaultCode::EntryForbidden, "the file has a store of validation data, which reports do not have"),
    ("UserUnit", FaultCode::EntryForbidden, "a page is scaled by another unit"),
    ("NeedAppearances", FaultCode::EntryForbidden, "the form is drawn anew by the program that shows it"),
    ("RF", FaultCode::ExternalStream, "a file description leads to other files"),
];

/// Actions that no report has (ISO 32000-2, 12.6.4.1), all but going to a place and to an address.
const FORBIDDEN_ACTIONS: &[(&str, FaultCode)] = &[
    ("JavaScript", FaultCode::JavaScript),
    ("Launch", FaultCode::Launch),
    ("GoToR", FaultCode::RemoteGoTo),
    ("GoToE", FaultCode::RemoteGoTo),
    ("SubmitForm", FaultCode::FormAction),
    ("ResetForm", FaultCode::FormAction),
    ("ImportData", FaultCode::FormAction),
    ("SetOCGState", FaultCode::HiddenLayers),
    ("Rendition", FaultCode::RichMedia),
    ("RichMediaExecute", FaultCode::RichMedia),
    ("Movie", FaultCode::RichMedia),
    ("Sound", FaultCode::RichMedia),
    ("GoTo3DView", FaultCode::RichMedia),
    ("GoToDp", FaultCode::ActionForbidden),
    ("Named", FaultCode::ActionForbidden),
    ("Hide", FaultCode::ActionForbidden),
    ("Thread", FaultCode::ActionForbidden),
    ("Trans", FaultCode::ActionForbidden),
];

/// Walks over everything that the trailer reaches.
pub(crate) fn check_reach(
    objects: &Objects<'_>,
    trailer: &Dictionary<'_>,
    signature: &Dictionary<'_>,
) -> Result<(), Fault> {
    let mut walk = Walk { objects, signature, reached: vec![false; objects.len()], waiting: Vec::new() };
    walk.dictionary(trailer)?;
    while let Some(number) = walk.waiting.pop() {
        if let Some(object) = objects.find(number) {
            walk.value(&object.value)?;
        }
    }
    match walk.reached.iter().position(|reached| !reached) {
        None => Ok(()),
        Some(place) => Err(Fault::at(
            FaultCode::ObjectUnreferenced,
            objects.0[place].span.start,
            format!("object {} belongs to nothing in the file", place + 1),
        )),
    }
}

struct Walk<'s, 'a> {
    objects: &'s Objects<'a>,
    signature: &'s Dictionary<'a>,
    reached: Vec<bool>,
    waiting: Vec<u32>,
}

impl Walk<'_, '_> {
    /// Nesting inside one object is bounded by the parser; objects wait in a list instead of on the stack.
    fn value(&mut self, value: &Value<'_>) -> Result<(), Fault> {
        match value {
            Value::Reference(number) => {
                let Some(reached) = self.reached.get_mut(*number as usize - 1) else {
                    return Err(Fault::of(
                        FaultCode::ReferenceDangling,
                        format!("a reference points to object {number}, and the file has {}", self.objects.len()),
                    ));
                };
                if !std::mem::replace(reached, true) {
                    self.waiting.push(*number);
                }
                Ok(())
            }
            Value::Array(items) => items.iter().try_for_each(|item| self.value(item)),
            Value::Dictionary(dictionary) => self.dictionary(dictionary),
            _ => Ok(()),
        }
    }

    fn dictionary(&mut self, dictionary: &Dictionary<'_>) -> Result<(), Fault> {
        for entry in &dictionary.entries {
            if let Some((_, code, message)) = FORBIDDEN_ENTRIES.iter().find(|(key, ..)| *key == entry.key) {
                return Err(Fault::at(*code, entry.at, *message));
            }
            if entry.key == "ByteRange" && dictionary.at != self.signature.at {
                return Err(Fault::at(
                    FaultCode::ByteRangeElsewhere,
                    entry.at,
                    "a byte range stands outside the signature dictionary",
                ));
            }
            if matches!(entry.key, "Font" | "DescendantFonts") {
                check_fonts(self.objects, &entry.value)?;
            }
            self.value(&entry.value)?;
        }
        check_kind(dictionary)?;
        check_font(self.objects, dictionary)?;
        if let Some(Value::Name(action)) = dictionary.find("S").map(|value| self.objects.resolve(value)) {
            check_action(self.objects, dictionary, action)?;
        }
        Ok(())
    }
}

fn check_kind(dictionary: &Dictionary<'_>) -> Result<(), Fault> {
    let subtype = dictionary.find_name("Subtype");
    let (code, message) = match (dictionary.find_name("Type"), subtype) {
        (Some("OCG" | "OCMD"), _) => (FaultCode::HiddenLayers, "the file has layers that can be hidden"),
        (_, Some("PS")) => (FaultCode::EntryForbidden, "the file contains PostScript"),
        (_, Some("RichMedia" | "3D" | "Movie" | "Sound" | "Screen")) => {
            (FaultCode::RichMedia, "the file has film, sound or 3D content")
        }
        // Elsewhere, in a tag tree, the same key is harmless.
        (_, Some("Form")) if dictionary.find("Ref").is_some() => {
            (FaultCode::ExternalStream, "the file shows content of another file")
        }
        _ => return Ok(()),
    };
    Err(Fault::at(code, dictionary.at, message))
}

/// Whatever is listed as a font says that it is one, so that [`check_font`] sees it.
fn check_fonts(objects: &Objects<'_>, list: &Value<'_>) -> Result<(), Fault> {
    let is_font = |value: &Value<'_>| objects.resolve(value).as_dictionary().is_some_and(|font| font.is_type("Font"));
    let all = match objects.resolve(list) {
        Value::Array(fonts) => !fonts.is_empty() && fonts.iter().all(is_font),
        Value::Dictionary(fonts) => fonts.entries.iter().all(|entry| is_font(&entry.value)),
        _ => false,
    };
    if all { Ok(()) } else { Err(Fault::of(FaultCode::FontExternal, "something is used as a font and is none")) }
}

/// A font without its program looks as the reader's machine likes.
fn check_font(objects: &Objects<'_>, font: &Dictionary<'_>) -> Result<(), Fault> {
    if !font.is_type("Font") {
        return Ok(());
    }
    let external = |what: &str| Err(Fault::at(FaultCode::FontExternal, font.at, what.to_owned()));
    match font.find("Subtype").map(|subtype| objects.resolve(subtype)) {
        // A composite font's program hangs on its descendant, which is checked itself.
        Some(Value::Name("Type0")) if font.find("DescendantFonts").is_some() => Ok(()),
        Some(Value::Name("Type1" | "TrueType" | "CIDFontType0" | "CIDFontType2")) => {
            let descriptor = objects.find_dictionary(font, "FontDescriptor");
            let program = descriptor.and_then(|descriptor| {
                ["FontFile", "FontFile2", "FontFile3"].iter().find_map(|key| descriptor.find(key)?.as_reference())
            });
            match program.and_then(|number| objects.find(number)) {
                Some(program) if program.stream.is_some() => Ok(()),
                _ => external("a font is not embedded, so that the text looks different on each machine"),
            }
        }
        _ => external("a font is of a kind that reports do not use"),
    }
}

fn check_action(objects: &Objects<'_>, dictionary: &Dictionary<'_>, action: &str) -> Result<(), Fault> {
    if let Some((name, code)) = FORBIDDEN_ACTIONS.iter().find(|(name, _)| *name == action) {
        return Err(Fault::at(*code, dictionary.at, format!("the file has an action of the kind {name}")));
    }
    if action != "URI" {
        return Ok(());
    }
    let address = dictionary.find("URI").map(|value| objects.resolve(value)).and_then(Value::as_text);
    if address.is_none_or(|address| !address.decode().starts_with(b"https://")) {
        return Err(Fault::at(
            FaultCode::LinkForbidden,
            dictionary.at,
            "a link leads to something other than an https address",
        ));
    }
    if dictionary.find("Next").is_some() {
        return Err(Fault::at(FaultCode::ActionForbidden, dictionary.at, "a link is followed by another action"));
    }
    Ok(())
}
