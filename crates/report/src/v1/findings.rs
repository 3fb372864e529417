//! The findings by their numbers.

use super::{
    Subject,
    flow::{Block, Flow, WIDTH},
    setting::{LABEL, SMALL, SMALL_LEADING},
    text::{Span, set_lines},
    tree::Role,
    words,
};

const COLUMNS: usize = 2;
const GAP: f64 = 16.0;
const NUMBER: f64 = 24.0;

/// Sets the list, two columns wide, numbered down the page from left to right.
pub(crate) fn set(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    if subject.findings.is_empty() {
        return;
    }
    let section = flow.section("Findings by number", None);
    flow.paragraph(section, &[Span::new("Numbers in square brackets behind a sentence lead here.", LABEL)]);
    let width = (WIDTH - GAP * (COLUMNS - 1) as f64) / COLUMNS as f64;
    for (row, pair) in subject.findings.chunks(COLUMNS).enumerate() {
        let mut block = Block::default();
        for (column, finding) in pair.iter().enumerate() {
            let x = column as f64 * (width + GAP);
            let tag = flow.tree.add(section, Role::Paragraph);
            let number = (row * COLUMNS + column + 1).to_string();
            let text = words::capital(&words::finding(finding, &subject.record.inspection));
            for line in set_lines(flow.typeface, &[Span::new(&number, LABEL)], NUMBER) {
                block.put_line(&line, x, SMALL_LEADING * 0.76, Some(tag));
            }
            for (place, line) in set_lines(flow.typeface, &[Span::new(&text, SMALL)], width - NUMBER).iter().enumerate()
            {
                let y = SMALL_LEADING * (place as f64 + 0.76);
                block.put_line(line, x + NUMBER, y, Some(tag));
                block.height = block.height.max(y + SMALL_LEADING * 0.3);
            }
        }
        flow.put(block);
    }
    flow.space(8.0);
}
