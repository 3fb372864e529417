//! The disc glyph and the QR code as a screen draws them: the report's own shapes, written as SVG outlines.

use std::fmt::Write as _;

use model::{CornerName, Inspection, Reckoning};
use report::glyph::{Caption, Command, DiscGlyph, Point, Shape};

use super::{CodeView, GlyphView, Letters, Outline, error::DoorError};

pub(super) fn view(inspection: &Inspection, reckoning: &Reckoning, corner: CornerName) -> GlyphView {
    let Caption { title, lines } = Caption::of(inspection, reckoning, corner);
    let glyph = DiscGlyph::of(corner, inspection.corners.at(corner), reckoning.corners.at(corner));
    let (mut outlines, mut letters) = (Vec::new(), Vec::new());
    for shape in glyph.draw() {
        match shape {
            Shape::Path { commands, filled, stroke } => outlines.push(Outline {
                d: steps(&commands),
                filled,
                width: stroke.map_or(0.0, |stroke| stroke.width),
                dash: stroke.and_then(|stroke| stroke.dash).unwrap_or(0.0),
                round: false,
            }),
            Shape::Dots { centres, radius } => {
                outlines.push(Outline {
                    d: dots(&centres),
                    filled: false,
                    width: 2.0 * radius,
                    dash: 0.0,
                    round: true,
                });
            }
            Shape::Letters { at, text, size } => {
                letters.push(Letters { x: at.x, y: at.y, size, text: text.to_owned() });
            }
        }
    }
    let view = [-DiscGlyph::HALF_WIDTH, -DiscGlyph::UP, 2.0 * DiscGlyph::HALF_WIDTH, DiscGlyph::UP + DiscGlyph::DOWN];
    GlyphView { title, lines, view, outlines, letters }
}

fn steps(commands: &[Command]) -> String {
    let mut text = String::new();
    for command in commands {
        let (letter, points): (char, &[Point]) = match command {
            Command::Move(to) => ('M', &[*to]),
            Command::Line(to) => ('L', &[*to]),
            Command::Curve(a, b, to) => ('C', &[*a, *b, *to]),
            Command::Close => ('Z', &[]),
        };
        text.push(letter);
        for point in points {
            put(&mut text, *point);
        }
    }
    text
}

/// Lines without length, whose round ends make them dots.
fn dots(centres: &[Point]) -> String {
    let mut text = String::new();
    for centre in centres {
        text.push('M');
        put(&mut text, *centre);
        text.push_str("h0");
    }
    text
}

/// A thousandth of the radius is finer than a screen's dot.
fn put(text: &mut String, point: Point) {
    let separator = if text.ends_with(|last: char| last.is_ascii_digit()) { " " } else { "" };
    // Writing to a text cannot fail.
    let _ = write!(text, "{separator}{:.3} {:.3}", point.x, point.y);
}

pub(super) fn code(text: &str) -> Result<CodeView, DoorError> {
    let too_long = || DoorError::Unfit(format!("a text of {} letters is too long for a QR code", text.chars().count()));
    let rows = report::square_code(text).ok_or_else(too_long)?;
    let mut d = String::new();
    for (y, row) in rows.iter().enumerate() {
        for (x, _) in row.iter().enumerate().filter(|(_, dark)| **dark) {
            let _ = write!(d, "M{x} {y}h1v1h-1z");
        }
    }
    Ok(CodeView { side: rows.len() as u32, d })
}
