//! Why: the sentences behind the answer, and how each figure came about.

use model::{CornerName, CornerReckoning, Explanation, Figure, Life, Side};

use super::{
    Subject, chart,
    drawing::put_glyph,
    flow::{Block, Flow, WIDTH},
    glyph::{Bar, BellLook, DiscGlyph, Half},
    ink::Ink,
    mark::{Mark, Place},
    meaning::set_sentences,
    setting::{BODY, BODY_BOLD, HAIRLINE, LABEL, LEAST_LEFT, SMALL, SMALL_BOLD},
    text::{Span, set_lines},
    tree::{NodeId, Role},
    words,
};

/// How far each level of an explanation is set in, and how many levels are.
const STEP: f64 = 13.0;
const LEVELS: usize = 12;
const LEADING: f64 = 12.2;

/// Sets the reasons not to drive and the sentences behind the answer.
pub(crate) fn set_answer(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let reckoning = &subject.record.reckoning;
    let section = flow.section("Why, and how sure", None);
    if !reckoning.drive_warnings.is_empty() {
        flow.subheading(section, "Not to be driven, or to be seen to first", true);
        for warning in &reckoning.drive_warnings {
            let gravity = if warning.do_not_drive { "Do not drive. " } else { "See to it first. " };
            let rests = words::findings(&warning.evidence, subject.findings);
            let note = format!("  {rests} ({})", warning.source.words());
            let ink = if warning.do_not_drive { BODY_BOLD.ink(Ink::Rust) } else { BODY_BOLD };
            flow.paragraph(
                section,
                &[Span::new(gravity, ink), Span::new(&warning.text, BODY), Span::new(&note, LABEL)],
            );
        }
        flow.subheading(section, "What the answer rests on", true);
    }
    set_sentences(flow, subject, section, &reckoning.answer.why);
    flow.subheading(section, "What limits this answer", true);
    set_sentences(flow, subject, section, &reckoning.answer.limits);
}

/// Sets how the drawings are read.
pub(crate) fn set_legend(flow: &mut Flow<'_>) {
    flow.turn_page();
    let section = flow.section("How to read the drawings", None);
    let radius = 27.0;
    let column = WIDTH / 4.0;
    let mut row = Block::default();
    for (place, (words, glyph)) in samples().into_iter().enumerate() {
        let x = column * (place as f64 + 0.5);
        let figure = flow.tree.add_figure(section, format!("The drawing of a corner: {words}"));
        put_glyph(&mut row, flow.typeface, &glyph, Place { x, y: radius * DiscGlyph::UP }, radius, figure);
        let tag = flow.tree.add(section, Role::Paragraph);
        let width = flow.typeface.measure(words, SMALL_BOLD.face, SMALL_BOLD.size);
        let at = Place { x: x - width / 2.0, y: radius * (DiscGlyph::UP + DiscGlyph::DOWN) + 12.0 };
        row.put(Mark::Text { at, width, text: words.to_owned(), style: SMALL_BOLD }, Some(tag));
    }
    row.height = radius * (DiscGlyph::UP + DiscGlyph::DOWN) + 24.0;
    row.stays_with_next = true;
    flow.put(row);
    for words in LEGEND {
        flow.paragraph(section, &[Span::new(words, SMALL)]);
    }
}

const LEGEND: [&str; 3] = [
    "The ring is the disc. The half away from the car is its outer face, the half towards the car its inner face, so the \
     left and the right of the car mirror each other. Left and right are the car's own, seen from the driver's seat.",
    "The denser the dots, the more worn: sparse is as new, dense is at the mark. Each half shows the worse of its face's \
     surface and of the whole disc. A heavy outline is the end of the disc's life. A dashed, empty half was not \
     inspected.",
    "The arc outside a half runs over the range that is 95 % likely, from as new at the bottom to the mark at the top; its \
     long stroke is the best value. The bars beside the ring are the pads' linings; the short strokes are the mark at \
     which pads are renewed, and a dashed bar was not measured. The inner circle is the bell: plain is even, speckled is \
     discoloured or stained, cross-hatched is etched.",
];

/// Four corners that show what the drawing can say.
fn samples() -> [(&'static str, DiscGlyph); 4] {
    let corner = |half: Half, bell: BellLook, bar: Bar| DiscGlyph {
        side: Side::Left,
        outer: half,
        inner: half,
        bell,
        outer_pad: bar,
        inner_pad: bar,
    };
    let worn = |wear: f64, spent: bool| Half::Worn { wear, low: wear - 0.15, high: wear + 0.15, spent };
    [
        ("as new", corner(worn(0.05, false), BellLook::Plain, Bar::Worn(0.05))),
        ("part-worn", corner(worn(0.5, false), BellLook::Speckled, Bar::Worn(0.5))),
        ("at the end of its life", corner(worn(1.0, true), BellLook::Hatched, Bar::Worn(1.0))),
        ("not inspected", corner(Half::NotInspected, BellLook::NotInspected, Bar::NotMeasured)),
    ]
}

/// Sets how each figure came about.
pub(crate) fn set_reckoning(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    flow.turn_page_unless(LEAST_LEFT);
    let section = flow.section("How each figure came about", None);
    flow.paragraph(
        section,
        &[Span::new(
            "Wear is 0 % as new and 100 % at the mark. In brackets stands the range that is 95 % likely. After each \
             step stands where its rule comes from; a rule of thumb is called one.",
            SMALL,
        )],
    );
    for &corner in CornerName::ALL {
        let reckoning = subject.record.reckoning.corners.at(corner);
        flow.subheading(section, &words::capital(corner.words()), true);
        let named: Vec<_> = figures(reckoning).into_iter().filter_map(|(name, figure)| Some((name, figure?))).collect();
        chart::set_evidence(flow, section, &named);
        if let Some(cause) = &reckoning.cause {
            chart::set_causes(flow, section, cause);
        }
        chart::set_fans(flow, section, reckoning, subject.record.inspection.car.odometer.unit);
        for (name, figure) in named {
            let tag = flow.tree.add(section, Role::Paragraph);
            let spans = [Span::new(&format!("{name}: {}", words::wear(figure)), BODY_BOLD)];
            flow.space(4.0);
            flow.put_kept_text(&spans, tag, 0.0, 14.4);
            set_explanation(flow, subject, section, &figure.because, 0);
        }
        for (what, life) in [("disc", &reckoning.life.disc), ("pads", &reckoning.life.pads)] {
            set_life(flow, subject, section, what, life);
        }
        for missing in &reckoning.missing {
            flow.paragraph(section, &[Span::new(&format!("Not reckoned: {missing}"), SMALL)]);
        }
    }
}

/// How the distances came about, or why there are none.
fn set_life(flow: &mut Flow<'_>, subject: &Subject<'_>, section: NodeId, what: &str, life: &Life) {
    match life {
        Life::NotReckoned(why) => {
            let words = format!("How far the {what} goes is not reckoned: {why}");
            flow.paragraph(section, &[Span::new(&words, SMALL)]);
        }
        Life::Reckoned(bases) => {
            for left in bases {
                let tag = flow.tree.add(section, Role::Paragraph);
                let unit = subject.record.inspection.car.odometer.unit;
                let title = format!("{}, distance left: {}", words::capital(what), words::distance(left.km[2], unit));
                flow.space(4.0);
                flow.put_kept_text(&[Span::new(&title, BODY_BOLD)], tag, 0.0, 14.4);
                set_explanation(flow, subject, section, &left.because, 0);
            }
        }
    }
}

fn figures(reckoning: &CornerReckoning) -> [(&'static str, Option<&Figure>); 5] {
    [
        ("The whole disc", reckoning.bulk.as_ref()),
        ("Outer face", reckoning.outer_face.as_ref()),
        ("Inner face", reckoning.inner_face.as_ref()),
        ("Outer pad", reckoning.outer_pad.as_ref()),
        ("Inner pad", reckoning.inner_pad.as_ref()),
    ]
}

fn set_explanation(
    flow: &mut Flow<'_>,
    subject: &Subject<'_>,
    section: NodeId,
    explanation: &Explanation,
    depth: usize,
) {
    let note = note(subject, explanation);
    let spans = [Span::new(&explanation.text, SMALL), Span::new(&format!("  ({note})"), LABEL)];
    set_step(flow, section, &spans, depth);
    // Parts that have none of their own run on in one paragraph.
    if explanation.parts.len() > 1 && explanation.parts.iter().all(|part| part.parts.is_empty()) {
        set_step(flow, section, &run_together(subject, &explanation.parts), depth + 1);
        return;
    }
    for part in &explanation.parts {
        set_explanation(flow, subject, section, part, depth + 1);
    }
}

/// One step after the other, each with where its rule comes from; what all have in common is said once, at the end.
fn run_together(subject: &Subject<'_>, parts: &[Explanation]) -> Vec<Span> {
    let note_of = |part: &Explanation| note(subject, part);
    let is_shared = parts.windows(2).all(|pair| note_of(&pair[0]) == note_of(&pair[1]));
    let mut spans = Vec::new();
    for (place, part) in parts.iter().enumerate() {
        let text = words::capital(&part.text);
        spans.push(Span::new(&if place == 0 { text } else { format!(" {text}") }, SMALL));
        if !is_shared || place + 1 == parts.len() {
            spans.push(Span::new(&format!("  ({})", note_of(part)), LABEL));
        }
    }
    spans
}

fn note(subject: &Subject<'_>, explanation: &Explanation) -> String {
    let rests = words::evidence(&explanation.evidence, &subject.record.inspection);
    let source = explanation.source.words();
    if rests.is_empty() { source.into_owned() } else { format!("{source}; {rests}") }
}

/// A step, set in by its depth, with a stroke for each level.
fn set_step(flow: &mut Flow<'_>, section: NodeId, spans: &[Span], depth: usize) {
    let tag = flow.tree.add(section, Role::Paragraph);
    let level = depth.min(LEVELS) + 1;
    let indent = level as f64 * STEP;
    let lines = set_lines(flow.typeface, spans, WIDTH - indent);
    let last = lines.len() - 1;
    for (place, line) in lines.into_iter().enumerate() {
        let mut block = Block { height: LEADING, ..Block::default() };
        if place == last {
            block.height += 2.0;
        }
        for stroke in 1..=level {
            block.put(Mark::upright(stroke as f64 * STEP - 7.0, 0.0, block.height, HAIRLINE), None);
        }
        block.put_line(&line, indent, LEADING * 0.76, Some(tag));
        block.stays_with_next = place == 0 && last > 0;
        flow.put(block);
    }
}
