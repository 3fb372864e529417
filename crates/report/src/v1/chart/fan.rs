//! The distance left as a fan: wear over distance, from today to the mark.

use model::{CornerReckoning, Figure, Life, LifeBasis, LifeLeft, OdometerUnit};

use super::{Align, FINE, HEAVY, Label, Scale, put_stroke};
use crate::v1::{
    flow::{Block, Flow, WIDTH},
    ink::Ink,
    mark::{Mark, Pen, Place, Step},
    setting::{HAIRLINE, LABEL, SMALL_BOLD},
    tree::NodeId,
    words,
};

const PANELS: usize = 3;
const GAP: f64 = 18.0;
const PLOT: f64 = 62.0;
const HEAD: f64 = 24.0;
const FOOT: f64 = 26.0;

/// One fan.
struct Panel<'a> {
    title: String,
    wear: f64,
    left: &'a LifeLeft,
}

/// Sets a fan for the disc and the pads of a corner on each basis; nothing where no distance is told.
pub(crate) fn set_fans(flow: &mut Flow<'_>, section: NodeId, corner: &CornerReckoning, unit: OdometerUnit) {
    let disc = worst([&corner.bulk, &corner.outer_face, &corner.inner_face]);
    let pads = worst([&corner.outer_pad, &corner.inner_pad, &None]);
    let panels: Vec<Panel<'_>> = [("disc", disc, &corner.life.disc), ("pads", pads, &corner.life.pads)]
        .into_iter()
        .flat_map(|(what, wear, life)| {
            let bases = match life {
                Life::Reckoned(bases) => bases.as_slice(),
                Life::NotReckoned(_) => &[],
            };
            bases.iter().filter_map(move |left| {
                let title = format!("{} by {}", words::capital(what), left.basis.words());
                Some(Panel { title, wear: wear?, left })
            })
        })
        .collect();
    let width = (WIDTH - GAP * (PANELS - 1) as f64) / PANELS as f64;
    for row in panels.chunks(PANELS) {
        let mut block = Block { height: HEAD + PLOT + FOOT, ..Block::default() };
        for (place, panel) in row.iter().enumerate() {
            let x = place as f64 * (width + GAP);
            set_panel(flow, section, &mut block, panel, (x, width), unit);
        }
        flow.put(block);
    }
}

fn worst(figures: [&Option<Figure>; 3]) -> Option<f64> {
    figures.into_iter().flatten().map(|figure| figure.value).max_by(f64::total_cmp)
}

fn set_panel(
    flow: &mut Flow<'_>,
    section: NodeId,
    block: &mut Block,
    panel: &Panel<'_>,
    (x, width): (f64, f64),
    unit: OdometerUnit,
) {
    let km = panel.left.km;
    let figure = flow.tree.add_figure(section, describe(panel, unit));
    let label = Label { typeface: flow.typeface, tag: figure };
    label.put(block, &panel.title, (x, 10.0), width, Align::Left, SMALL_BOLD);
    let across = Scale { from: 0.0, to: round_up(km[4]), x, width };
    let (top, bottom) = (HEAD, HEAD + PLOT);
    let height_of = |wear: f64| bottom - (bottom - top) * wear.clamp(0.0, 1.0);
    put_stroke(block, (x, bottom), (x + width, bottom), FINE, figure);
    put_stroke(block, (x, top), (x + width, top), HAIRLINE, figure);
    label.put(block, "at the mark", (x, top - 3.0), width, Align::Left, LABEL);
    let start = (x, height_of(panel.wear));
    // The inner half of the draws, filled by fine lines rather than by a grey that a copier loses.
    for step in 0_i32..=6 {
        let share = f64::from(step) / 6.0;
        let end = km[1] + (km[3] - km[1]) * share;
        put_stroke(block, start, (across.at(end), top), Pen::solid(Ink::Grey, 0.35), figure);
    }
    for outer in [km[0], km[4]] {
        let pen = Pen { ink: Ink::Black, width: 0.6, dash: Some(2.4) };
        put_stroke(block, start, (across.at(outer), top), pen, figure);
    }
    put_stroke(block, start, (across.at(km[2]), top), HEAVY, figure);
    let dot = 1.9;
    block.put(
        Mark::Dots { centres: vec![Place { x: start.0, y: start.1 }], radius: dot, ink: Ink::Black },
        Some(figure),
    );
    for at in [km[0], km[2], km[4]] {
        let steps = vec![
            Step::Move(Place { x: across.at(at), y: bottom - 2.5 }),
            Step::Line(Place { x: across.at(at), y: bottom + 2.5 }),
        ];
        block.put(Mark::Path { steps, fill: None, pen: Some(FINE) }, Some(figure));
    }
    let about = if panel.left.basis == LifeBasis::Paper { "at most about" } else { "about" };
    label.put(
        block,
        &format!("{about} {}", words::distance(km[2], unit)),
        (x, bottom + 11.0),
        width,
        Align::Left,
        SMALL_BOLD,
    );
    let range = format!("{} to {} in nine cases of ten", words::distance(km[0], unit), words::distance(km[4], unit));
    label.put(block, &range, (x, bottom + 21.5), width + GAP - 4.0, Align::Left, LABEL);
}

/// The least of 1, 2 or 5 times a power of ten that is not less.
fn round_up(km: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(km.max(10.0))));
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|step| step * power).find(|&round| round >= km).unwrap_or(10.0 * power)
}

/// The drawing in words.
fn describe(panel: &Panel<'_>, unit: OdometerUnit) -> String {
    let km = panel.left.km;
    format!(
        "{}: from {} worn today to the mark in about {}, in nine cases of ten between {} and {}",
        panel.title,
        words::percent(panel.wear),
        words::distance(km[2], unit),
        words::distance(km[0], unit),
        words::distance(km[4], unit)
    )
}
