//! Each piece of evidence with its interval, and below them what they come to.

use model::{Estimate, Explanation, Figure};

use super::{Align, FINE, HEAVY, Label, Scale, put_stroke};
use crate::v1::{
    flow::{Block, Flow, WIDTH},
    ink::Ink,
    mark::Pen,
    setting::{HAIRLINE, LABEL, SMALL, SMALL_BOLD},
    tree::NodeId,
    words,
};

const ROW: f64 = 13.0;
const AXIS: f64 = 17.0;
/// Half the width of a 95 % interval in standard deviations.
const REACH: f64 = 1.96;
/// The least that the scale shows: a little beyond as new and the mark.
const LEAST: (f64, f64) = (-0.1, 1.15);

/// One line of the drawing.
struct Row {
    label: String,
    value: f64,
    low: f64,
    high: f64,
    is_sum: bool,
}

/// Sets the drawing of these named figures; nothing where there are none.
pub(crate) fn set_evidence(flow: &mut Flow<'_>, section: NodeId, figures: &[(&str, &Figure)]) {
    let rows: Vec<Row> = figures.iter().flat_map(|(name, figure)| rows_of(name, figure)).collect();
    if rows.is_empty() {
        return;
    }
    let figure = flow.tree.add_figure(section, describe(figures));
    let label = Label { typeface: flow.typeface, tag: figure };
    let from = rows.iter().map(|row| row.low).fold(LEAST.0, f64::min).max(-0.5);
    let to = rows.iter().map(|row| row.high).fold(LEAST.1, f64::max).min(1.6);
    let scale = Scale { from, to, x: 0.36 * WIDTH, width: 0.44 * WIDTH };
    let height = AXIS + rows.len() as f64 * ROW + 4.0;
    let mut block = Block { height, ..Block::default() };
    for (value, words) in [(0.0, "as new"), (1.0, "at the mark")] {
        let x = scale.at(value);
        label.put(&mut block, words, (x, 9.0), 80.0, Align::Middle, LABEL);
        put_stroke(&mut block, (x, AXIS - 4.0), (x, height - 2.0), HAIRLINE, figure);
    }
    for (place, row) in rows.iter().enumerate() {
        let y = AXIS + (place as f64 + 0.5) * ROW;
        let (style, pen) = if row.is_sum { (SMALL_BOLD, HEAVY) } else { (SMALL, FINE) };
        let indent = if row.is_sum { 0.0 } else { 10.0 };
        label.put(&mut block, &row.label, (indent, y + 3.0), scale.x - indent - 8.0, Align::Left, style);
        put_stroke(&mut block, (scale.at(row.low), y), (scale.at(row.high), y), pen, figure);
        for end in [row.low, row.high] {
            let x = scale.at(end);
            put_stroke(&mut block, (x, y - 1.8), (x, y + 1.8), pen, figure);
        }
        let x = scale.at(row.value);
        put_stroke(&mut block, (x, y - 4.5), (x, y + 4.5), Pen::solid(Ink::Black, pen.width + 0.6), figure);
        let spread = (row.high - row.low) / 2.0 / REACH;
        let text = format!("{} ± {}", words::number((row.value * 100.0).round() + 0.0, 0), words::percent(spread));
        label.put(&mut block, &text, (WIDTH, y + 3.0), 0.19 * WIDTH, Align::Right, style);
    }
    flow.put(block);
}

/// What a figure was put together from, as far as it was from several, then the figure.
fn rows_of(name: &str, figure: &Figure) -> Vec<Row> {
    let parts = &figure.because.parts;
    let mut rows: Vec<Row> = match parts.len() {
        0 | 1 => Vec::new(),
        _ => parts.iter().filter_map(|part| Some(part_row(part, part.came_to?))).collect(),
    };
    rows.push(Row { label: name.to_owned(), value: figure.value, low: figure.low, high: figure.high, is_sum: true });
    rows
}

fn part_row(part: &Explanation, came_to: Estimate) -> Row {
    let Estimate { value, uncertainty } = came_to;
    Row {
        label: short(&part.text),
        value,
        low: value - REACH * uncertainty,
        high: value + REACH * uncertainty,
        is_sum: false,
    }
}

/// The first clause of a step's sentence.
fn short(text: &str) -> String {
    let ends = [", ", ": ", " with ", " (", ". "];
    let end = ends.iter().filter_map(|end| text.find(end)).min().unwrap_or(text.len());
    words::capital(&text[..end])
}

/// The drawing in words.
fn describe(figures: &[(&str, &Figure)]) -> String {
    let each: Vec<_> = figures.iter().map(|(name, figure)| format!("{name} {}", words::wear(figure))).collect();
    format!("Evidence with its 95 % intervals and what it comes to: {}", each.join("; "))
}
