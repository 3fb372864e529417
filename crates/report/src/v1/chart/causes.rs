//! The causes as bars, each with what speaks for and against it.

use model::{CauseReckoning, SignWeight};

use super::{Align, Label, put_stroke};
use crate::v1::{
    flow::{Block, Flow, WIDTH},
    ink::Ink,
    mark::{Area, Mark, Pen},
    setting::{HAIRLINE, LABEL, SMALL, SMALL_BOLD, SMALL_LEADING},
    text::{Span, set_lines},
    tree::NodeId,
    words,
};

const NAME_AT: f64 = 0.0;
const BAR_AT: f64 = 0.27 * WIDTH;
const BAR: f64 = 0.16 * WIDTH;
const SIGNS_AT: f64 = 0.55 * WIDTH;
/// Under this chance the signs are left to the record.
const SIGNS_FROM: f64 = 0.05;
const BAR_HEIGHT: f64 = 7.0;

/// Sets the bars of one corner.
pub(crate) fn set_causes(flow: &mut Flow<'_>, section: NodeId, cause: &CauseReckoning) {
    let figure = flow.tree.add_figure(section, describe(cause));
    let alone = format!("{} of {} signs could be looked at", cause.signs_seen, cause.signs_known);
    let mut rows = vec![("ordinary wear alone", cause.wear_only, None, alone)];
    rows.extend(cause.causes.iter().map(|one| (one.cause.words(), one.chance, Some(one.before), say_signs(one))));
    for (place, (name, chance, before, signs)) in rows.into_iter().enumerate() {
        let label = Label { typeface: flow.typeface, tag: figure };
        let style = if place == 0 { SMALL_BOLD } else { SMALL };
        let mut block = Block { height: SMALL_LEADING + 2.0, ..Block::default() };
        let base = SMALL_LEADING * 0.76;
        label.put(&mut block, &words::capital(name), (NAME_AT, base), BAR_AT - 6.0, Align::Left, style);
        let top = base - BAR_HEIGHT + 0.5;
        let outline = Area::new(BAR_AT, top, BAR, BAR_HEIGHT);
        block.put(Mark::frame(outline, None, Some(HAIRLINE)), Some(figure));
        let filled = Area::new(BAR_AT, top, BAR * chance.clamp(0.0, 1.0), BAR_HEIGHT);
        block.put(Mark::frame(filled, Some(Ink::Black), None), Some(figure));
        if let Some(before) = before {
            let x = BAR_AT + BAR * before;
            put_stroke(&mut block, (x, top - 2.0), (x, top + BAR_HEIGHT + 2.0), Pen::solid(Ink::Grey, 0.8), figure);
        }
        let at = (BAR_AT + BAR + 0.1 * WIDTH, base);
        label.put(&mut block, &words::chance(chance), at, 0.095 * WIDTH, Align::Right, style);
        for (line_place, line) in
            set_lines(flow.typeface, &[Span::new(&signs, LABEL)], WIDTH - SIGNS_AT).iter().enumerate()
        {
            let y = base + line_place as f64 * SMALL_LEADING;
            block.put_line(line, SIGNS_AT, y, Some(figure));
            block.height = block.height.max(y + SMALL_LEADING * 0.24 + 3.0);
        }
        block.stays_with_next = place < cause.causes.len();
        flow.put(block);
    }
    flow.space(4.0);
}

fn say_signs(one: &model::CauseChance) -> String {
    let list = |signs: &[SignWeight]| signs.iter().map(|sign| sign.text.as_str()).collect::<Vec<_>>().join(", ");
    let mut parts = Vec::new();
    if one.chance < SIGNS_FROM {
        return String::new();
    }
    if !one.speaks_for.is_empty() {
        parts.push(format!("for: {}", list(&one.speaks_for)));
    }
    if !one.speaks_against.is_empty() {
        parts.push(format!("against: {}", list(&one.speaks_against)));
    }
    parts.join("; ")
}

/// The drawing in words.
fn describe(cause: &CauseReckoning) -> String {
    let each: Vec<_> =
        cause.causes.iter().map(|one| format!("{} {}", one.cause.words(), words::chance(one.chance))).collect();
    format!(
        "Chances of the causes, more than one of which may hold: ordinary wear alone {}; {}",
        words::chance(cause.wear_only),
        each.join("; ")
    )
}
