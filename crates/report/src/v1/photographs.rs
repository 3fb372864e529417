//! Photographs at their print size, and their digests.

use model::{Photograph, PhotographSubject, Sha256};

use super::{
    Subject,
    flow::{Block, Flow, WIDTH},
    mark::{Area, Mark},
    setting::{HAIRLINE, LABEL, SMALL, SMALL_BOLD, SMALL_LEADING},
    text::{Span, Style},
    tree::{NodeId, Role},
    words,
};

/// How many photographs stand side by side, and how far apart.
const IN_A_ROW: usize = 3;
const GAP: f64 = 12.0;
/// The width of a photograph, and its greatest height.
const SIDE: f64 = (WIDTH - GAP * (IN_A_ROW - 1) as f64) / IN_A_ROW as f64;
/// Where a digest stands beside its label, and its type.
const DIGEST_AT: f64 = 40.0;
const DIGEST: Style = Style { size: 7.6, ..SMALL };
const DIGEST_LEADING: f64 = 9.6;

/// Sets the photographs that `wanted` picks, side by side. Says nothing where there are none.
pub(crate) fn set(
    flow: &mut Flow<'_>,
    subject: &Subject<'_>,
    section: NodeId,
    title: &str,
    wanted: impl Fn(PhotographSubject) -> bool,
) {
    let photographs: Vec<(usize, &Photograph)> = subject
        .record
        .inspection
        .photographs
        .iter()
        .enumerate()
        .filter(|(_, photograph)| wanted(photograph.subject))
        .collect();
    if photographs.is_empty() {
        return;
    }
    flow.subheading(section, title, true);
    for row_of in photographs.chunks(IN_A_ROW) {
        let mut row = Block::default();
        for (place, (index, photograph)) in row_of.iter().enumerate() {
            let block = one(flow, subject, section, *index, photograph);
            row.absorb(block, place as f64 * (SIDE + GAP), 0.0);
        }
        row.height += 8.0;
        flow.put(row);
    }
}

fn one(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, index: usize, photograph: &Photograph) -> Block {
    let jpeg = &subject.photographs[index];
    let (width_px, height_px) = (f64::from(jpeg.width.max(1)), f64::from(jpeg.height.max(1)));
    let (mut width, mut height) = (SIDE, SIDE * height_px / width_px);
    if height > SIDE {
        (width, height) = (SIDE * width_px / height_px, SIDE);
    }
    // A strip of a photograph keeps a height that can be seen.
    let (width, height) = (width.max(6.0), height.max(6.0));
    let shown = words::capital(&photograph.subject.words());
    let caption = photograph.caption.as_ref().map(ToString::to_string);
    let alternative = caption.clone().map_or_else(|| shown.clone(), |caption| format!("{shown}: {caption}"));
    let figure = flow.tree.add_figure(section, alternative);
    let mut block = Block { height, ..Block::default() };
    let area = Area::new(0.0, 0.0, width, height);
    block.put(Mark::Photograph { area, index }, Some(figure));
    block.put(Mark::frame(area, None, Some(HAIRLINE)), None);

    let tag = flow.tree.add(section, Role::Paragraph);
    let mut spans = vec![Span::new(&shown, SMALL_BOLD)];
    if let Some(caption) = caption {
        spans.push(Span::new(&format!(". {caption}"), SMALL));
    }
    let when = photograph.taken_at.as_ref().map_or_else(|| "time not known".into(), words::moment);
    let place = photograph.place.map(|place| format!("\n{} (as its file says)", words::place(place)));
    let line = format!("\n{}, {when}{}", words::capital(photograph.taken.words()), place.unwrap_or_default());
    spans.push(Span::new(&line, LABEL));
    let text = flow.text_block(&spans, SIDE, 11.4, Some(tag));
    block.absorb(text, 0.0, height + 3.0);
    block
}

/// Sets the digests of all photographs, of the originals and of the copies in this file.
pub(crate) fn set_digests(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let record = subject.record;
    let section = flow.section("Photographs and recordings by digest", None);
    flow.paragraph(
        section,
        &[Span::new(
            "The SHA-256 of each original as it was taken, and of the smaller copy that stands in this file. Whoever \
             holds an original can compare it.",
            SMALL,
        )],
    );
    let inspection = &record.inspection;
    for (photograph, copy) in inspection.photographs.iter().zip(&record.report_photographs) {
        let what = photograph.subject.words();
        let digests = [("original", photograph.sha256), ("copy", copy.sha256)];
        put_digests(flow, section, photograph.id.as_str(), &what, &digests);
    }
    if inspection.photographs.is_empty() {
        flow.paragraph(section, &[Span::new("No photographs were taken.", SMALL)]);
    }
    for recording in &inspection.recordings {
        let what = format!("recording, {}", recording.what);
        put_digests(flow, section, recording.id.as_str(), &what, &[("original", recording.sha256)]);
    }
}

fn put_digests(flow: &mut Flow<'_>, section: NodeId, id: &str, what: &str, digests: &[(&str, Sha256)]) {
    let tag = flow.tree.add(section, Role::Paragraph);
    let spans = [Span::new(id, SMALL_BOLD), Span::new(&format!("  {what}"), LABEL)];
    let mut block = flow.text_block(&spans, WIDTH, SMALL_LEADING, Some(tag));
    for (name, digest) in digests {
        let top = block.height;
        let label = flow.text_block(&[Span::new(name, DIGEST)], DIGEST_AT, DIGEST_LEADING, Some(tag));
        block.absorb(label, 0.0, top);
        let digits = words::groups_of_eight(&digest.to_string());
        let digits = flow.text_block(&[Span::new(&digits, DIGEST)], WIDTH - DIGEST_AT, DIGEST_LEADING, Some(tag));
        block.absorb(digits, DIGEST_AT, top);
    }
    block.height += 3.0;
    flow.put(block);
}
