//! The first form of the pages. Once a record has been sealed with it, nothing here changes what it draws.

mod corner;
mod drawing;
mod face;
mod file;
mod flow;
mod foot;
mod front;
pub mod glyph;
mod icc;
mod ink;
mod mark;
mod paint;
mod photographs;
mod reasons;
mod rest;
mod setting;
mod stipple;
mod text;
mod tree;
mod words;
mod xmp;

use std::collections::BTreeMap;

use model::{Record, Sha256};

use crate::{
    Prepared, RenderError,
    jpeg::{Jpeg, check_copy},
};
use face::Typeface;
use flow::Flow;

/// What every page can look at.
pub(crate) struct Subject<'a> {
    pub record: &'a Record,
    /// Digest of the record's canonical JSON.
    pub digest: Sha256,
    pub photographs: &'a [Jpeg<'a>],
}

pub(crate) fn render<B: AsRef<[u8]>>(
    record: &Record,
    record_bytes: &[u8],
    copies: &BTreeMap<Sha256, B>,
) -> Result<Prepared, RenderError> {
    if model::canonical_json(record).ok().as_deref() != Some(record_bytes) {
        return Err(RenderError::RecordBytes);
    }
    let photographs = check_photographs(record, copies)?;
    let typeface = Typeface::read().ok_or_else(|| RenderError::Pages("the typeface is damaged".into()))?;
    let subject = Subject { record, digest: Sha256::of(record_bytes), photographs: &photographs };
    let laid = set_pages(&subject, &typeface).finish();
    let title = title(record);
    file::write_file(laid, typeface, record, record_bytes, &photographs, &title)
}

/// The file's title, as a window's bar shows it.
fn title(record: &Record) -> String {
    let car = &record.inspection.car;
    format!("Brake condition report: {}, {}", car.description, car.registration)
}

fn set_pages<'a>(subject: &Subject<'_>, typeface: &'a Typeface) -> Flow<'a> {
    let mut flow = Flow::new(typeface);
    front::set(&mut flow, subject);
    reasons::set_answer(&mut flow, subject);
    for &corner in model::CornerName::ALL {
        corner::set(&mut flow, subject, corner);
    }
    rest::set_car(&mut flow, subject);
    rest::set_road_test(&mut flow, subject);
    reasons::set_reckoning(&mut flow, subject);
    rest::set_cost(&mut flow, subject);
    rest::set_limits(&mut flow, subject);
    rest::set_people(&mut flow, subject);
    photographs::set_digests(&mut flow, subject);
    rest::set_identity(&mut flow, subject);
    flow.flush();
    foot::set(&mut flow, subject);
    flow
}

fn check_photographs<'a, B: AsRef<[u8]>>(
    record: &Record,
    copies: &'a BTreeMap<Sha256, B>,
) -> Result<Vec<Jpeg<'a>>, RenderError> {
    let originals = &record.inspection.photographs;
    let wanted = &record.report_photographs;
    let same = originals.len() == wanted.len() && originals.iter().zip(wanted).all(|(one, other)| one.id == other.id);
    if !same {
        return Err(RenderError::PhotographsDiffer { got: wanted.len(), expected: originals.len() });
    }
    wanted
        .iter()
        .map(|photograph| match copies.get(&photograph.sha256) {
            None => Err(RenderError::CopyMissing { photograph: photograph.id.clone(), sha256: photograph.sha256 }),
            Some(copy) => check_copy(copy.as_ref(), photograph),
        })
        .collect()
}
