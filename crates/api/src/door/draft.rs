//! Inspections as pages see them.

use std::num::NonZeroUsize;

use condition::Draws;
use model::{
    DeviceId, Inspection, InspectionId, Label, PerCorner, PhotographSubject, PhotographTaken, PriorVisit, Sha256,
    Timestamp, parse_inspection,
};
use notebook::{Draft, InspectionLine as Line, Notebook, Photo, Stamp};
use serde_json::{Value, json};

use super::{
    AskedQuestion, Claimant, Conflict, Door, DraftView, FlawView, InspectionLine, InspectionList, LetterView, Looked,
    Missing, PhotographStored, Preview, ReckoningView, Settings, Theme, Warning, error::DoorError, glyph, room::at,
};
use crate::{Existing, PagesTo, World as _, letter};

/// Enough for the glyphs, which rest on wear alone and not on any draw.
pub(super) const FEW: Draws = Draws(NonZeroUsize::new(16).unwrap());

pub(super) fn name(inspection: &str) -> Result<InspectionId, DoorError> {
    inspection.parse().map_err(|error: model::IdError| DoorError::Unfit(error.to_string()))
}

pub(super) fn list(book: &Notebook, search: &str) -> Result<InspectionList, DoorError> {
    Ok(InspectionList { inspections: book.list(search)?.into_iter().map(line).collect() })
}

fn line(line: Line) -> InspectionLine {
    InspectionLine {
        id: line.id,
        vin: line.vin,
        registration: line.registration,
        description: line.description,
        place: line.place,
        visited_at: line.visited_at,
        changed_at: line.changed_at,
        sealed: line.sealed,
        erased: line.erased,
    }
}

/// Begins an inspection: the car's own fields come from its last visit, who inspects from the settings.
pub(super) fn begin(
    door: &Door,
    vin: Option<&str>,
    registration: Option<&str>,
    visited_at: Timestamp,
) -> Result<DraftView, DoorError> {
    let mut bytes = [0; 8];
    door.source.fill_random(&mut bytes).map_err(DoorError::Randomness)?;
    let id = name(&format!("{}-{:016x}", visited_at.format("%Y-%m-%d"), u64::from_be_bytes(bytes)))?;
    let mut given: Vec<(String, Value)> =
        vec![("demonstration".into(), json!(false)), ("visited_at".into(), json!(visited_at))];
    given.extend(vin.map(|vin| ("car.vin".into(), json!(vin))));
    given.extend(registration.map(|text| ("car.registration".into(), json!(text))));
    let settings = settings(&door.book())?;
    if let Some(inspector) = settings.inspector {
        given.extend(notebook::unfold(&json!({ "inspector": inspector })));
    }
    given.extend(settings.prices.map(|prices| ("prices".into(), json!(prices))));
    let earlier = door.book().visits_of(vin, registration)?;
    if let Some(last) = earlier.first() {
        given.extend(from_last(&door.book(), &name(&last.id)?, &given)?);
    }
    let mut stamps = (0..=given.len()).map(|_| door.stamp()).collect::<Result<Vec<Stamp>, _>>()?;
    let last = stamps[0].clone();
    door.book().begin(&id, &given, || stamps.pop().unwrap_or_else(|| last.clone()))?;
    view(&door.book(), id.as_str())
}

/// What does not change from visit to visit, and what was found last time.
fn from_last(
    book: &Notebook,
    last: &InspectionId,
    given: &[(String, Value)],
) -> Result<Vec<(String, Value)>, DoorError> {
    let draft = book.draft(last)?;
    let stays = |path: &str| {
        (path.starts_with("car.brakes.")
            || path.starts_with("car.prior_visits.")
            || [
                "car.vin",
                "car.registration",
                "car.description",
                "car.first_registered",
                "car.mass_kg",
                "car.fluid_class",
            ]
            .contains(&path))
            && !given.iter().any(|(other, _)| other == path)
    };
    let mut fields: Vec<(String, Value)> = draft
        .values
        .iter()
        .filter(|(path, _)| stays(path))
        .map(|(path, value)| (path.clone(), value.clone()))
        .collect();
    let folded = draft.fold();
    if let Ok(inspection) = parse_inspection(folded.document.to_string().as_bytes()) {
        let record = book.reports()?.into_iter().find(|report| report.inspection.as_deref() == Some(last.as_str()));
        let record = record.and_then(|report| super::seal::record_of(&report));
        let visit = PriorVisit::of(&inspection, record);
        if draft.values.contains_key("car.odometer") {
            let number = 1 + fields.iter().filter(|(path, _)| path.starts_with("car.prior_visits.")).count();
            fields.push((format!("car.prior_visits.{number:04}"), json!(visit)));
        }
    }
    Ok(fields)
}

pub(super) fn view(book: &Notebook, inspection: &str) -> Result<DraftView, DoorError> {
    let draft = book.draft(&name(inspection)?)?;
    let folded = draft.fold();
    let (preview, problems) = match parse_inspection(folded.document.to_string().as_bytes()) {
        Ok(inspection) => (Some(preview(&inspection)), Vec::new()),
        Err(error) => (None, problems(&error)),
    };
    let damaged = (draft.unreadable > 0).then(|| Missing {
        path: ".".to_owned(),
        message: format!(
            "{} of its entries are damaged in this notebook, and what they said is missing here: take in a saved \
             notebook that has them, or look again",
            draft.unreadable
        ),
    });
    let text = |path: &str| draft.values.get(path).and_then(Value::as_str);
    let earlier = book.visits_of(text("car.vin"), text("car.registration"))?;
    Ok(DraftView {
        id: draft.id.to_string(),
        conflicts: draft.conflicts.iter().map(conflict).collect(),
        missing: folded.gaps.into_iter().map(|gap| Missing { path: gap.path, message: gap.words }).collect(),
        problems: problems.into_iter().chain(damaged).collect(),
        preview,
        label_ending: label_ending(book.device()).to_owned(),
        can_undo: draft.undoable(book.device()).is_some(),
        can_redo: draft.redoable(book.device()).is_some(),
        earlier: earlier.into_iter().filter(|line| line.id != inspection).map(line).collect(),
        written: draft.written.iter().map(|(path, at)| (path.clone(), at.to_rfc3339())).collect(),
        fields: draft.values,
    })
}

fn preview(inspection: &Inspection) -> Preview {
    let reckoning = condition::reckon_with(inspection, FEW);
    let warning = |warning: model::DriveWarning| Warning { do_not_drive: warning.do_not_drive, text: warning.text };
    Preview {
        glyphs: PerCorner::from_fn(|corner| glyph::view(inspection, &reckoning, corner)),
        warnings: reckoning.drive_warnings.into_iter().map(warning).collect(),
        next_look: reckoning.next_look.map(|look| look.text),
    }
}

fn problems(error: &model::ParseError) -> Vec<Missing> {
    let one = |problem: &model::Problem| Missing { path: problem.field.clone(), message: problem.message.clone() };
    match error {
        model::ParseError::Field(problem) => vec![one(problem)],
        model::ParseError::Contradictions(all) => all.iter().map(one).collect(),
        other => vec![Missing { path: ".".to_owned(), message: other.to_string() }],
    }
}

fn conflict(conflict: &notebook::Conflict) -> Conflict {
    Conflict {
        path: conflict.path.clone(),
        claimants: conflict
            .claimants
            .iter()
            .map(|claimant| Claimant {
                entry: claimant.entry.to_string(),
                value: claimant.value.clone(),
                author: claimant.author.to_string(),
                device: claimant.entry.device.to_string(),
                written_at: claimant.written_at.to_rfc3339(),
            })
            .collect(),
    }
}

pub(super) fn reckon(book: &Notebook, inspection: &str) -> Result<ReckoningView, DoorError> {
    let folded = book.draft(&name(inspection)?)?.fold();
    let inspection = parse_inspection(folded.document.to_string().as_bytes())
        .map_err(|error| DoorError::Unfit(error.to_string()))?;
    Ok(ReckoningView { reckoning: condition::reckon(&inspection), inspection })
}

pub(super) fn photograph(
    door: &Door,
    inspection: &str,
    (subject, taken, taken_at): (PhotographSubject, PhotographTaken, Option<Timestamp>),
    bytes: &[u8],
) -> Result<PhotographStored, DoorError> {
    let id = name(inspection)?;
    // What no report could carry is refused while the car still stands there.
    let looked = photo::look(bytes)?;
    let draft = door.book().draft(&id)?;
    let label = next_label(&draft, door.book().device(), "photographs.photo-");
    let sha256 = Sha256::of(bytes);
    let taken_at = taken_at.or_else(|| looked.taken_at.and_then(photo::TakenAt::timestamp));
    let value = json!({"sha256": sha256, "subject": subject, "taken": taken, "taken_at": taken_at, "caption": null});
    let stamp = door.stamp()?;
    {
        // The bytes first: an entry never names a photograph that is not there.
        let mut book = door.book();
        book.store_photograph(&id, Photo { bytes, small: Some(&looked.small), copy: Some(&looked.copy) })?;
        book.write(&id, &format!("photographs.{label}"), value, stamp)?;
    }
    Ok(PhotographStored {
        label,
        sha256: sha256.to_string(),
        remarks: looked.flaws.iter().map(|flaw| flaw.words().to_owned()).collect(),
        draft: view(&door.book(), inspection)?,
    })
}

/// Writes the place that a photograph's file names beside the photograph, or takes it away again.
pub(super) fn state_place(
    door: &Door,
    inspection: &str,
    photograph: &str,
    state: bool,
) -> Result<DraftView, DoorError> {
    let mut value = find_photograph(&door.book(), inspection, photograph)?;
    if state {
        let original = door.book().original(value["sha256"].as_str().unwrap_or_default())?;
        let place = photo::find_place(&original)
            .ok_or_else(|| DoorError::Unfit("this photograph's file names no place".to_owned()))?;
        value["place"] = serde_json::to_value(place).map_err(DoorError::Answer)?;
    } else if let Some(fields) = value.as_object_mut() {
        fields.remove("place");
    }
    let stamp = door.stamp()?;
    door.book().write(&name(inspection)?, &format!("photographs.{photograph}"), value, stamp)?;
    view(&door.book(), inspection)
}

/// The photograph's field.
pub(super) fn find_photograph(book: &Notebook, inspection: &str, photograph: &str) -> Result<Value, DoorError> {
    let draft = book.draft(&name(inspection)?)?;
    let value = draft.values.get(&format!("photographs.{photograph}")).cloned();
    value.ok_or_else(|| DoorError::Unfit(format!("the inspection has no photograph {photograph}")))
}

pub(super) fn look(bytes: &[u8]) -> Result<Looked, DoorError> {
    let flaw = |flaw: photo::Flaw| FlawView { is_small: flaw == photo::Flaw::Small, words: flaw.words().to_owned() };
    Ok(Looked { flaws: photo::look(bytes)?.flaws.into_iter().map(flaw).collect() })
}

/// The next name below a path that ends with the name's own beginning, also after one was taken away. Another device at the
/// same car gives none of them: two things under one name would be two values of one field.
pub(super) fn next_label(draft: &Draft, device: &DeviceId, start: &str) -> Label {
    let number = |path: &str| path.strip_prefix(start)?.split('-').next()?.parse::<u32>().ok();
    let used = draft.entries().iter().filter_map(|entry| number(&entry.path)).max();
    let name = start.rsplit('.').next().unwrap_or_default();
    let label = format!("{name}{:04}-{}", used.map_or(1, |number| number + 1), label_ending(device));
    label.parse().expect("letters, dashes and digits")
}

/// What the labels end in that a device gives.
fn label_ending(device: &DeviceId) -> &str {
    let name = device.as_str();
    &name[name.len().saturating_sub(4)..]
}

pub(super) fn settings(book: &Notebook) -> Result<Settings, DoorError> {
    Ok(book.kept("settings")?.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or(Settings {
        theme: Theme::Device,
        distance: model::OdometerUnit::Km,
        currency: "EUR".to_owned(),
        inspector: None,
        prices: None,
    }))
}

pub(super) fn letter(door: &Door, request: &Value) -> Result<LetterView, DoorError> {
    let room = door.room();
    let (file, out) = (at("letters/letter.json"), at("letters/letter.pdf"));
    put(&room, &file, request)?;
    let written = letter::write_questions(&room, &file, Some(PagesTo { out: &out, existing: Existing::Replace }))?;
    let pdf = room.read(&out, u64::MAX).map_err(crate::WorldError::at("read", &out))?;
    let questions = written.letter.questions.into_iter();
    let questions = questions.map(|one| AskedQuestion { about: one.about, text: one.text }).collect();
    Ok(LetterView { text: written.text, pdf: base64(&pdf), questions })
}

pub(super) fn reply(door: &Door, request: &Value, reply: &Value) -> Result<LetterView, DoorError> {
    let room = door.room();
    let (file, answers, out) = (at("letters/letter.json"), at("letters/reply.json"), at("letters/reply.pdf"));
    put(&room, &file, request)?;
    put(&room, &answers, reply)?;
    let pages = Some(PagesTo { out: &out, existing: Existing::Replace });
    let checked = letter::check_answers(&room, &file, &answers, None, pages)?;
    let pdf = room.read(&out, u64::MAX).map_err(crate::WorldError::at("read", &out))?;
    Ok(LetterView { text: checked.text, pdf: base64(&pdf), questions: Vec::new() })
}

pub(super) fn put(room: &super::Room<'_>, file: &std::path::Path, value: &Value) -> Result<(), DoorError> {
    let bytes = value.to_string().into_bytes();
    crate::whole_file::write_whole(room, file, &bytes, crate::Access::Private, Existing::Replace)?;
    Ok(())
}

fn base64(bytes: &[u8]) -> String {
    use base64ct::Encoding as _;
    base64ct::Base64::encode_string(bytes)
}
