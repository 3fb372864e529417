//! What is put on a page: text, shapes, photographs, links; each with its place and its tag.

use super::{ink::Ink, text::Style, tree::NodeId};

/// A place on a page in points, from the page's upper left corner to the right and down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Place {
    pub x: f64,
    pub y: f64,
}

/// A rectangle of a page in points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Area {
    pub x: f64,
    pub y: f64,
    pub width: f64,
    pub height: f64,
}

impl Area {
    pub(crate) const fn new(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self { x, y, width, height }
    }

    pub(crate) fn right(&self) -> f64 {
        self.x + self.width
    }

    pub(crate) fn bottom(&self) -> f64 {
        self.y + self.height
    }
}

/// A step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Step {
    Move(Place),
    Line(Place),
    Curve(Place, Place, Place),
    Close,
}

/// A line's look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pen {
    pub ink: Ink,
    pub width: f64,
    /// Length of a dash and of the gap after it.
    pub dash: Option<f64>,
}

impl Pen {
    pub(crate) const fn solid(ink: Ink, width: f64) -> Self {
        Self { ink, width, dash: None }
    }
}

/// Something on a page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Mark {
    Text {
        /// Left end of the baseline.
        at: Place,
        width: f64,
        text: String,
        style: Style,
    },
    Path {
        steps: Vec<Step>,
        fill: Option<Ink>,
        pen: Option<Pen>,
    },
    Dots {
        centres: Vec<Place>,
        radius: f64,
        ink: Ink,
    },
    Photograph {
        area: Area,
        /// Its place among the report's photographs.
        index: usize,
    },
}

impl Mark {
    pub(crate) fn rule(x: f64, y: f64, width: f64, pen: Pen) -> Self {
        let steps = vec![Step::Move(Place { x, y }), Step::Line(Place { x: x + width, y })];
        Self::Path { steps, fill: None, pen: Some(pen) }
    }

    pub(crate) fn upright(x: f64, y: f64, height: f64, pen: Pen) -> Self {
        let steps = vec![Step::Move(Place { x, y }), Step::Line(Place { x, y: y + height })];
        Self::Path { steps, fill: None, pen: Some(pen) }
    }

    pub(crate) fn frame(area: Area, fill: Option<Ink>, pen: Option<Pen>) -> Self {
        Self::Path { steps: rectangle(area).to_vec(), fill, pen }
    }

    pub(crate) fn shift(&mut self, dx: f64, dy: f64) {
        let shift = |place: &mut Place| {
            place.x += dx;
            place.y += dy;
        };
        match self {
            Self::Text { at, .. } => shift(at),
            Self::Path { steps, .. } => steps.iter_mut().for_each(|step| match step {
                Step::Move(to) | Step::Line(to) => shift(to),
                Step::Curve(a, b, to) => [a, b, to].into_iter().for_each(shift),
                Step::Close => {}
            }),
            Self::Dots { centres, .. } => centres.iter_mut().for_each(shift),
            Self::Photograph { area, .. } => {
                area.x += dx;
                area.y += dy;
            }
        }
    }

    /// The smallest rectangle around it, to see whether it lies on the page; nothing for nothing.
    #[cfg(test)]
    pub(crate) fn bounds(&self) -> Option<Area> {
        let around = |places: &[Place], by: f64| {
            let mut places = places.iter();
            let first = places.next()?;
            let (mut left, mut top, mut right, mut bottom) = (first.x, first.y, first.x, first.y);
            for place in places {
                left = left.min(place.x);
                right = right.max(place.x);
                top = top.min(place.y);
                bottom = bottom.max(place.y);
            }
            Some(Area::new(left - by, top - by, right - left + 2.0 * by, bottom - top + 2.0 * by))
        };
        match self {
            Self::Text { at, width, style, .. } => {
                Some(Area::new(at.x, at.y - style.size * 0.75, *width, style.size * 0.97))
            }
            Self::Path { steps, pen, .. } => {
                let places: Vec<Place> = steps
                    .iter()
                    .flat_map(|step| match *step {
                        Step::Move(to) | Step::Line(to) => vec![to],
                        Step::Curve(a, b, to) => vec![a, b, to],
                        Step::Close => vec![],
                    })
                    .collect();
                around(&places, pen.map_or(0.0, |pen| pen.width / 2.0))
            }
            Self::Dots { centres, radius, .. } => around(centres, *radius),
            Self::Photograph { area, .. } => Some(*area),
        }
    }
}

pub(crate) fn rectangle(area: Area) -> [Step; 5] {
    let Area { x, y, .. } = area;
    let (right, bottom) = (area.right(), area.bottom());
    [
        Step::Move(Place { x, y }),
        Step::Line(Place { x: right, y }),
        Step::Line(Place { x: right, y: bottom }),
        Step::Line(Place { x, y: bottom }),
        Step::Close,
    ]
}

/// A mark with the node that it belongs to; without one it is decoration, or repeats what stands elsewhere.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tagged {
    pub mark: Mark,
    pub tag: Option<NodeId>,
}

/// Where a link leads.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Target {
    /// An address that begins with `https://`.
    Address(String),
    /// A heading of the report, by its place among the bookmarks.
    Heading(HeadingKey),
}

/// A heading that can be linked to before it is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct HeadingKey(pub u16);

/// A link on a page.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Link {
    pub area: Area,
    pub target: Target,
    /// What it does, in words.
    pub words: String,
    pub tag: NodeId,
}
