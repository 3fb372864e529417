//! Faces measured in their photographs, and the references that the inspector gathers.

use model::{DiscMark, MeasuredFace, ReferenceStage, Sha256};
use notebook::Notebook;
use photo::disc::{Reference, ReferenceSet};
use serde::{Deserialize, Serialize};

use super::{Door, DraftView, ReferenceView, ReferencesView, ToldView, draft, error::DoorError};
use crate::face::{measure as measure_face, tell_figures};

/// A reference as the notebook keeps it: the figures, since the photograph may be erased with its client.
#[derive(Debug, Clone, Serialize, Deserialize)]
struct KeptReference {
    /// The photograph that it came from.
    photograph: Sha256,
    /// When it was kept.
    kept_at: String,
    /// The figures.
    reference: Reference,
}

const KEPT: &str = "references";

fn kept(book: &Notebook) -> Result<Vec<KeptReference>, DoorError> {
    Ok(book.kept(KEPT)?.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default())
}

fn keep(book: &Notebook, all: &[KeptReference]) -> Result<(), DoorError> {
    Ok(book.keep(KEPT, &serde_json::to_string(all).map_err(DoorError::Answer)?)?)
}

/// The set of references, where there are enough.
fn set(book: &Notebook) -> Result<Option<ReferenceSet>, DoorError> {
    Ok(ReferenceSet::new(kept(book)?.into_iter().map(|one| one.reference).collect()).ok())
}

/// Measures a face where the inspector marked its ring, and puts what it shows beside the photograph.
pub(super) fn measure(door: &Door, inspection: &str, photograph: &str, mark: DiscMark) -> Result<DraftView, DoorError> {
    let id = draft::name(inspection)?;
    let path = format!("photographs.{photograph}");
    let mut value = draft::find_photograph(&door.book(), inspection, photograph)?;
    let original = door.book().original(value["sha256"].as_str().unwrap_or_default())?;
    let references = set(&door.book())?;
    let (measured, _) = measure_face(&original, mark, references.as_ref(), false)?;
    value["measured"] = serde_json::to_value(&measured).map_err(DoorError::Answer)?;
    let stamp = door.stamp()?;
    door.book().write(&id, &path, value, stamp)?;
    draft::view(&door.book(), inspection)
}

/// What was measured in a photograph, in words.
pub(super) fn tell(book: &Notebook, inspection: &str, photograph: &str) -> Result<ToldView, DoorError> {
    let value = draft::find_photograph(book, inspection, photograph)?;
    let measured: MeasuredFace = serde_json::from_value(value["measured"].clone())
        .map_err(|_| DoorError::Unfit("nothing was measured in this photograph".to_owned()))?;
    Ok(ToldView { lines: tell_figures(&measured) })
}

/// Keeps a measured face as a reference of a stage; the same photograph again changes its stage.
pub(super) fn keep_reference(
    door: &Door,
    inspection: &str,
    photograph: &str,
    stage: ReferenceStage,
) -> Result<ReferencesView, DoorError> {
    let value = draft::find_photograph(&door.book(), inspection, photograph)?;
    let measured: MeasuredFace = serde_json::from_value(value["measured"].clone())
        .map_err(|_| DoorError::Unfit("measure the face first: a reference is its figures".to_owned()))?;
    if !measured.seen.quality.passes {
        return Err(DoorError::Unfit(
            "this photograph is too blurred, too bright or too dark to compare others with: take it again".to_owned(),
        ));
    }
    let sha256: Sha256 = serde_json::from_value(value["sha256"].clone()).map_err(DoorError::Answer)?;
    let kept_at = door.now().to_rfc3339();
    let book = door.book();
    let mut all = kept(&book)?;
    all.retain(|one| one.photograph != sha256);
    all.push(KeptReference { photograph: sha256, kept_at, reference: Reference::of(stage, &measured.seen.pattern) });
    keep(&book, &all)?;
    references(&book)
}

/// Forgets a reference.
pub(super) fn drop_reference(book: &Notebook, photograph: &str) -> Result<ReferencesView, DoorError> {
    let mut all = kept(book)?;
    all.retain(|one| one.photograph.to_string() != photograph);
    keep(book, &all)?;
    references(book)
}

pub(super) fn references(book: &Notebook) -> Result<ReferencesView, DoorError> {
    let all = kept(book)?;
    let missing = ReferenceSet::new(all.iter().map(|one| one.reference.clone()).collect()).err();
    let view = |one: KeptReference| ReferenceView {
        photograph: one.photograph.to_string(),
        stage: one.reference.stage,
        kept_at: one.kept_at,
    };
    Ok(ReferencesView {
        missing: missing.map(|error| error.to_string()),
        references: all.into_iter().map(view).collect(),
    })
}
