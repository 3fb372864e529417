//! The glyph and the QR code, put on a page.

use qrcode::{Color, EcLevel, QrCode};

use super::{
    face::{Face, Typeface},
    flow::Block,
    glyph::{Command, DiscGlyph, Point, Shape},
    ink::Ink,
    mark::{Area, Mark, Pen, Place, Step, rectangle},
    text::Style,
    tree::NodeId,
};

/// The glyph with its centre at `centre` and the ring's radius in points.
pub(crate) fn put_glyph(
    block: &mut Block,
    typeface: &Typeface,
    glyph: &DiscGlyph,
    centre: Place,
    radius: f64,
    tag: NodeId,
) {
    let place = |point: Point| Place { x: centre.x + point.x * radius, y: centre.y + point.y * radius };
    for shape in glyph.draw() {
        let mark = match shape {
            Shape::Path { commands, filled, stroke } => Mark::Path {
                steps: commands
                    .into_iter()
                    .map(|command| match command {
                        Command::Move(to) => Step::Move(place(to)),
                        Command::Line(to) => Step::Line(place(to)),
                        Command::Curve(a, b, to) => Step::Curve(place(a), place(b), place(to)),
                        Command::Close => Step::Close,
                    })
                    .collect(),
                fill: filled.then_some(Ink::Black),
                pen: stroke.map(|stroke| Pen {
                    ink: Ink::Black,
                    width: stroke.width * radius,
                    dash: stroke.dash.map(|dash| dash * radius),
                }),
            },
            Shape::Dots { centres, radius: dot } => {
                Mark::Dots { centres: centres.into_iter().map(place).collect(), radius: dot * radius, ink: Ink::Black }
            }
            Shape::Letters { at, text, size } => {
                let style = Style::new(Face::Regular, (size * radius).clamp(7.5, 9.0), Ink::Grey);
                let width = typeface.measure(text, style.face, style.size);
                let middle = place(at);
                let at = Place { x: middle.x - width / 2.0, y: middle.y };
                Mark::Text { at, width, text: text.to_owned(), style }
            }
        };
        block.put(mark, Some(tag));
    }
}

/// A QR code (ISO/IEC 18004), row by row, dark modules true; none where the text is too long for any.
pub fn square_code(text: &str) -> Option<Vec<Vec<bool>>> {
    let code = QrCode::with_error_correction_level(text.as_bytes(), EcLevel::M).ok()?;
    let dark: Vec<bool> = code.to_colors().into_iter().map(|color| color == Color::Dark).collect();
    Some(dark.chunks(code.width()).map(<[bool]>::to_vec).collect())
}

/// The same as one filled path.
pub(crate) fn put_square_code(text: &str, at: Place, side: f64) -> Option<Mark> {
    let rows = square_code(text)?;
    let module = side / rows.len() as f64;
    let mut steps = Vec::new();
    for (row, modules) in rows.iter().enumerate() {
        let mut column = 0;
        // Neighbours in a row are one rectangle, so that no printer shows a seam.
        for run in modules.chunk_by(|a, b| a == b) {
            if run[0] {
                let area = Area::new(
                    at.x + column as f64 * module,
                    at.y + row as f64 * module,
                    run.len() as f64 * module,
                    module,
                );
                steps.extend(rectangle(area));
            }
            column += run.len();
        }
    }
    Some(Mark::Path { steps, fill: Some(Ink::Black), pen: None })
}
