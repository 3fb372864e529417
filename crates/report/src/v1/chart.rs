//! The reckoning as drawings: evidence, causes, distances. Lines and strokes like those of the disc's own drawing: a fine
//! line for what is likely, a long stroke for the best value.

mod causes;
mod drive;
mod evidence;
mod fan;

pub(crate) use causes::set_causes;
pub(crate) use drive::set_drive;
pub use drive::{Anchor, DrivePlot, LETTERS, Lettering, Stroke};
pub(crate) use evidence::set_evidence;
pub(crate) use fan::set_fans;

use super::face::Typeface;
use super::{
    flow::Block,
    ink::Ink,
    mark::{Mark, Pen, Place, Step},
    text::{Style, fit},
    tree::NodeId,
};

const FINE: Pen = Pen::solid(Ink::Black, 0.6);
const HEAVY: Pen = Pen::solid(Ink::Black, 1.5);

/// A scale from values to points.
#[derive(Debug, Clone, Copy)]
struct Scale {
    from: f64,
    to: f64,
    x: f64,
    width: f64,
}

impl Scale {
    fn at(&self, value: f64) -> f64 {
        self.x + (value.clamp(self.from, self.to) - self.from) / (self.to - self.from) * self.width
    }
}

/// Puts a line from place to place.
fn put_stroke(block: &mut Block, from: (f64, f64), to: (f64, f64), pen: Pen, tag: NodeId) {
    let steps = vec![Step::Move(Place { x: from.0, y: from.1 }), Step::Line(Place { x: to.0, y: to.1 })];
    block.put(Mark::Path { steps, fill: None, pen: Some(pen) }, Some(tag));
}

/// Where a text stands against its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Align {
    Left,
    Middle,
    Right,
}

/// Puts a text of one line, cut where it is wider than `most`.
struct Label<'a> {
    typeface: &'a Typeface,
    tag: NodeId,
}

impl Label<'_> {
    fn put(&self, block: &mut Block, text: &str, (x, y): (f64, f64), most: f64, align: Align, style: Style) {
        let text = fit(self.typeface, text, style, most);
        let width = self.typeface.measure(&text, style.face, style.size);
        let x = match align {
            Align::Left => x,
            Align::Middle => x - width / 2.0,
            Align::Right => x - width,
        };
        block.put(Mark::Text { at: Place { x, y }, width, text, style }, Some(self.tag));
    }
}
