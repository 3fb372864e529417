//! What every page carries: the record's short digest, the page's number, the demonstration's banner.

use super::{
    Subject,
    face::{Face, Typeface},
    flow::{BOTTOM, Flow, MARGIN, PAGE_WIDTH, WIDTH},
    ink::Ink,
    mark::{Area, Mark, Pen, Place, Tagged},
    setting::HAIRLINE,
    text::{Style, keep_together},
};

const FOOT: Style = Style::new(Face::Regular, 8.5, Ink::Grey);
const RULE_AT: f64 = BOTTOM + 22.0;
const FOOT_AT: f64 = RULE_AT + 12.0;

/// Puts the foot under each page, and the banner over it.
pub(crate) fn set(flow: &mut Flow<'_>, subject: &Subject<'_>) {
    let count = flow.sheets.len();
    let digest = format!("record {}", keep_together(&subject.digest.short()));
    let inspection = &subject.record.inspection;
    let car = format!("VIN {}", inspection.car.vin);
    let typeface = flow.typeface;
    for (place, sheet) in flow.sheets.iter_mut().enumerate() {
        let unprinted = count_unprinted(typeface, &sheet.marks);
        let mut marks = vec![Mark::rule(MARGIN, RULE_AT, WIDTH, HAIRLINE)];
        marks.push(line(typeface, &digest, FOOT.ink(Ink::Blue), MARGIN, FOOT_AT, 0.0));
        marks.push(line(typeface, &car, FOOT, PAGE_WIDTH / 2.0, FOOT_AT, 0.5));
        let number = format!("page {} of {count}", place + 1);
        marks.push(line(typeface, &number, FOOT, PAGE_WIDTH - MARGIN, FOOT_AT, 1.0));
        if unprinted > 0 {
            let (characters, stand) =
                if unprinted == 1 { ("character", "it stands") } else { ("characters", "they stand") };
            let note = format!(
                "{unprinted} {characters} on this page could not be printed in this typeface and show as their code; {stand} in the attached record.json."
            );
            marks.push(line(typeface, &note, FOOT.ink(Ink::Black), MARGIN, RULE_AT - 6.0, 0.0));
        }
        if inspection.demonstration {
            marks.extend(banner(typeface));
        }
        sheet.marks.extend(marks.into_iter().map(|mark| Tagged { mark, tag: None }));
    }
}

/// The banner over a page whose content is invented.
pub(crate) fn banner(typeface: &Typeface) -> [Mark; 2] {
    let style = Style::new(Face::Bold, 9.0, Ink::Black);
    let area = Area::new(MARGIN, 22.0, WIDTH, 17.0);
    let words = "DEMONSTRATION: the car, the people and the findings are invented";
    [
        Mark::frame(area, None, Some(Pen::solid(Ink::Black, 0.8))),
        line(typeface, words, style, PAGE_WIDTH / 2.0, 33.5, 0.5),
    ]
}

/// A line of text whose left end, middle or right end (0, ½, 1) stands at `x`.
pub(crate) fn line(typeface: &Typeface, text: &str, style: Style, x: f64, y: f64, anchor: f64) -> Mark {
    let width = typeface.measure(text, style.face, style.size);
    Mark::Text { at: Place { x: x - anchor * width, y }, width, text: text.to_owned(), style }
}

fn count_unprinted(typeface: &Typeface, marks: &[Tagged]) -> usize {
    marks
        .iter()
        .map(|tagged| match &tagged.mark {
            Mark::Text { text, .. } => text.chars().filter(|&c| !typeface.prints(c)).count(),
            _ => 0,
        })
        .sum()
}
