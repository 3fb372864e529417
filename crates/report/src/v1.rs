//! The first form of the pages. Once a record has been sealed with it, nothing here changes what it draws.

mod chart;
mod corner;
mod drawing;
mod face;
mod file;
mod findings;
mod flow;
mod foot;
mod front;
pub mod glyph;
mod icc;
mod ink;
mod mark;
mod meaning;
mod measured;
mod money;
mod paint;
mod photographs;
mod plain;
mod reasons;
mod recorded;
mod rest;
mod setting;
mod statement;
mod stipple;
mod text;
mod tree;
mod words;
mod xmp;

use model::{Evidence, Record, Sha256};

use crate::{
    Copies, Prepared, RenderError,
    jpeg::{Jpeg, check_copy},
};
use face::Typeface;
use file::{Contents, write_file};
use flow::Flow;

pub use chart::{Anchor, DrivePlot, LETTERS, Lettering, Stroke};
pub use drawing::square_code;
pub(crate) use plain::render_document;
pub(crate) use statement::render_statement;

/// What every page can look at.
pub(crate) struct Subject<'a> {
    pub record: &'a Record,
    /// Digest of the record's canonical JSON.
    pub digest: Sha256,
    pub photographs: &'a [Jpeg<'a>],
    /// What the sentences rest on; a finding's number is its place, from 1.
    pub findings: &'a [&'a Evidence],
}

pub(crate) fn render(record: &Record, record_bytes: &[u8], copies: &Copies<'_>) -> Result<Prepared, RenderError> {
    if model::canonical_json(record).ok().as_deref() != Some(record_bytes) {
        return Err(RenderError::RecordBytes);
    }
    let photographs = check_photographs(record, copies)?;
    let typeface = Typeface::read().ok_or_else(|| RenderError::Pages("the typeface is damaged".into()))?;
    let findings = record.reckoning.list_findings();
    let subject = Subject { record, digest: Sha256::of(record_bytes), photographs: &photographs, findings: &findings };
    let laid = set_pages(&subject, &typeface).finish();
    let title = title(record);
    let inside = Contents {
        title: &title,
        author: record.author.as_str(),
        at: &record.frozen_at,
        made_by: format!("Rimside, report form {}", record.renderer.0),
        reason: "I made this report and stand by it",
        record: record_bytes,
        report: None,
        photographs: &photographs,
    };
    write_file(laid, typeface, &inside)
}

/// The file's title, as a window's bar shows it.
fn title(record: &Record) -> String {
    let car = &record.inspection.car;
    format!("Brake condition report: {}, {}", car.description, car.registration)
}

fn set_pages<'a>(subject: &Subject<'_>, typeface: &'a Typeface) -> Flow<'a> {
    let mut flow = Flow::new(typeface);
    front::set(&mut flow, subject);
    reasons::set_legend(&mut flow);
    reasons::set_answer(&mut flow, subject);
    meaning::set(&mut flow, subject);
    for &corner in model::CornerName::ALL {
        corner::set(&mut flow, subject, corner);
    }
    rest::set_car(&mut flow, subject);
    rest::set_road_test(&mut flow, subject);
    reasons::set_reckoning(&mut flow, subject);
    rest::set_cost(&mut flow, subject);
    measured::set(&mut flow, subject);
    rest::set_limits(&mut flow, subject);
    findings::set(&mut flow, subject);
    rest::set_people(&mut flow, subject);
    photographs::set_digests(&mut flow, subject);
    rest::set_identity(&mut flow, subject);
    flow.flush();
    foot::set(&mut flow, subject);
    flow
}

fn check_photographs<'a>(record: &Record, copies: &'a Copies<'_>) -> Result<Vec<Jpeg<'a>>, RenderError> {
    let originals = &record.inspection.photographs;
    let wanted = &record.report_photographs;
    let same = originals.len() == wanted.len() && originals.iter().zip(wanted).all(|(one, other)| one.id == other.id);
    if !same {
        return Err(RenderError::PhotographsDiffer { got: wanted.len(), expected: originals.len() });
    }
    wanted
        .iter()
        .map(|photograph| match copies.find(&photograph.sha256) {
            None => Err(RenderError::CopyMissing { photograph: photograph.id.clone(), sha256: photograph.sha256 }),
            Some(copy) => check_copy(copy, photograph),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{
        flow::{PAGE_HEIGHT, PAGE_WIDTH},
        *,
    };
    use crate::fixture::{Fixture, note};

    /// Holds the first form of the pages: a change here means that what was sealed with form 1 cannot be checked any
    /// more. As long as form 1 was never given out, the value follows the drawing.
    #[test]
    fn the_first_form_draws_what_it_always_drew() {
        assert_eq!(draw(&Fixture::with_photographs(5)), FIRST_FORM);
        assert_eq!(draw(&Fixture::with_photographs(5).measured()), FIRST_FORM_MEASURED);
    }
    const FIRST_FORM: &str = "26fcfedafe718b43dc26af73600b33b95bcd307a9ffd7750916f8d34e9513b50";
    const FIRST_FORM_MEASURED: &str = "f930a41c7ba3c9ec88ec1bd824271607f92dd4b83c7a2d86bedb385459deaf53";

    /// The digest of everything that is drawn on the pages.
    fn draw(fixture: &Fixture) -> String {
        let typeface = Typeface::read().expect("both fonts can be read");
        let copies = fixture.copies.values().map(Vec::as_slice).collect();
        let photographs = check_photographs(&fixture.record, &copies).expect("the copies are right");
        let digest = Sha256::new([0x5A; 32]);
        let subject = Subject { record: &fixture.record, digest, photographs: &photographs, findings: &[] };
        let laid = set_pages(&subject, &typeface).finish();
        let drawn = format!("{:?}", laid.sheets.iter().map(|sheet| &sheet.marks).collect::<Vec<_>>());
        Sha256::of(drawn.as_bytes()).to_string()
    }

    #[test]
    fn the_seal_stands_on_page_1() {
        let fixture = Fixture::with_photographs(0);
        let typeface = Typeface::read().expect("both fonts can be read");
        let subject =
            Subject { record: &fixture.record, digest: Sha256::new([0; 32]), photographs: &[], findings: &[] };
        assert!(set_pages(&subject, &typeface).finish().seal.is_some());
    }

    #[test]
    fn nothing_reaches_over_the_edge_of_a_page() {
        let mut fixture = Fixture::with_photographs(40).measured();
        fixture.record.inspection.remarks = Some(note(&"unbreakable".repeat(300)));
        fixture.record.inspection.questions[0].question = note(&"中".repeat(900));
        fixture.record.reckoning.drive_warnings[0].text = "Brakes that warn without end. ".repeat(500);
        fixture.record.reckoning.answer.lead[0].text = "An answer without end. ".repeat(300);
        let corner = &mut fixture.record.inspection.corners.front_left;
        if let model::Inspected::Seen(corner) = corner
            && let model::Inspected::Seen(face) = &mut corner.outer_face
        {
            face.note = Some(note(&"A long note in a narrow column. ".repeat(240)));
        }
        let typeface = Typeface::read().expect("both fonts can be read");
        let bytes = fixture.bytes();
        let copies = fixture.copies.values().map(Vec::as_slice).collect();
        let photographs = check_photographs(&fixture.record, &copies).expect("the copies are right");
        let subject =
            Subject { record: &fixture.record, digest: Sha256::of(&bytes), photographs: &photographs, findings: &[] };
        let laid = set_pages(&subject, &typeface).finish();
        for (page, sheet) in laid.sheets.iter().enumerate() {
            for tagged in &sheet.marks {
                let Some(area) = tagged.mark.bounds() else { continue };
                let edge = 20.0;
                let inside = area.x >= edge
                    && area.y >= edge
                    && area.right() <= PAGE_WIDTH - edge
                    && area.bottom() <= PAGE_HEIGHT - edge;
                assert!(inside, "page {}: {:?} lies at {area:?}", page + 1, tagged.mark);
            }
        }
    }
}
