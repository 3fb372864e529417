//! The disc glyph: one drawing says a corner. Shapes without a page, so that a screen can draw the same.
//!
//! Lengths are in radii of the ring; x runs to the right and y down from its centre.

mod caption;
mod draw;

pub use caption::Caption;

use model::{BellFinish, Corner, CornerName, CornerReckoning, FaceName, Figure, Inspected, Side, Stage};

use draw::{PAD_AT, PAD_HALF_WIDTH, draw_bar, draw_bell, draw_half};

/// A place; x to the right, y down, in radii of the ring from its centre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Down.
    pub y: f64,
}

/// A step of an outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Command {
    /// Begins here.
    Move(Point),
    /// A straight line to here.
    Line(Point),
    /// A cubic curve by two control points to the last point.
    Curve(Point, Point, Point),
    /// Back to the beginning.
    Close,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Its width.
    pub width: f64,
    /// Length of a dash and of the gap after it; none for an unbroken line.
    pub dash: Option<f64>,
}

/// A shape in ink.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// An outline, filled or drawn.
    Path {
        /// Its steps.
        commands: Vec<Command>,
        /// Whether it is filled with ink.
        filled: bool,
        /// How it is drawn.
        stroke: Option<Stroke>,
    },
    /// Filled dots of one size.
    Dots {
        /// Their centres.
        centres: Vec<Point>,
        /// Their radius.
        radius: f64,
    },
    /// Small letters, centred on a point of their baseline.
    Letters {
        /// The middle of the baseline.
        at: Point,
        /// The letters.
        text: &'static str,
        /// Their size.
        size: f64,
    },
}

/// One half of the ring: a face of the disc.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Half {
    /// Not looked at.
    NotInspected,
    /// Looked at; its wear was not told by it.
    NotTold,
    /// Worn so far.
    Worn {
        /// 0 as new, 1 at the mark.
        wear: f64,
        /// Low end of the 95 % interval.
        low: f64,
        /// High end of the 95 % interval.
        high: f64,
        /// Whether it ends the disc's life.
        spent: bool,
    },
}

/// The hub circle: the bell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BellLook {
    /// Not looked at.
    NotInspected,
    /// Even.
    Plain,
    /// Discoloured or stained.
    Speckled,
    /// Etched.
    Hatched,
}

/// A bar beside the ring: a pad's lining.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bar {
    /// Not measured.
    NotMeasured,
    /// Worn so far: 0 as new, 1 at the renewal mark.
    Worn(f64),
}

/// A corner as its glyph shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DiscGlyph {
    /// The side of the car: on the left the outer face is the left half.
    pub side: Side,
    /// The face away from the car.
    pub outer: Half,
    /// The face towards the car.
    pub inner: Half,
    /// The bell.
    pub bell: BellLook,
    /// The pad away from the car.
    pub outer_pad: Bar,
    /// The pad towards the car.
    pub inner_pad: Bar,
}

impl DiscGlyph {
    /// How far the drawing reaches from its centre to either side.
    pub const HALF_WIDTH: f64 = PAD_AT + PAD_HALF_WIDTH + 0.08;
    /// How far it reaches up.
    pub const UP: f64 = 1.24;
    /// How far it reaches down, letters included.
    pub const DOWN: f64 = 1.48;

    /// The glyph of a corner. A half shows the worse of its face's surface and the disc's bulk.
    pub fn of(corner: CornerName, seen: &Inspected<Corner>, reckoning: &CornerReckoning) -> Self {
        let half = |face: FaceName| {
            let inspected = seen.seen().is_some_and(|corner| {
                match face {
                    FaceName::Outer => corner.outer_face.seen(),
                    FaceName::Inner => corner.inner_face.seen(),
                }
                .is_some()
            });
            if !inspected {
                return Half::NotInspected;
            }
            worse_of(face_figure(reckoning, face), reckoning.bulk.as_ref()).map_or(Half::NotTold, |figure| Half::Worn {
                wear: figure.value,
                low: figure.low,
                high: figure.high,
                spent: reckoning.disc_stage == Stage::EndOfLife && figure.value >= spent_from(reckoning),
            })
        };
        let bar = |figure: &Option<Figure>| figure.as_ref().map_or(Bar::NotMeasured, |figure| Bar::Worn(figure.value));
        let bell = seen.seen().and_then(|corner| corner.bell.seen()).map_or(BellLook::NotInspected, |bell| match bell
            .finish
        {
            BellFinish::Even => BellLook::Plain,
            BellFinish::Discoloured | BellFinish::Stained => BellLook::Speckled,
            BellFinish::Etched => BellLook::Hatched,
        });
        Self {
            side: corner.side(),
            outer: half(FaceName::Outer),
            inner: half(FaceName::Inner),
            bell,
            outer_pad: bar(&reckoning.outer_pad),
            inner_pad: bar(&reckoning.inner_pad),
        }
    }

    /// The shapes, in the order in which they are drawn.
    pub fn draw(&self) -> Vec<Shape> {
        // Seen from above with the front of the car upwards, a left wheel's outer side is to the left.
        let outwards = match self.side {
            Side::Left => -1.0,
            Side::Right => 1.0,
        };
        let mut shapes = Vec::new();
        for (half, to) in [(self.outer, outwards), (self.inner, -outwards)] {
            draw_half(half, to, &mut shapes);
        }
        draw_bell(self.bell, &mut shapes);
        for (bar, to) in [(self.outer_pad, outwards), (self.inner_pad, -outwards)] {
            draw_bar(bar, to, &mut shapes);
        }
        for (text, to) in [("outer", outwards), ("inner", -outwards)] {
            shapes.push(Shape::Letters { at: Point { x: 0.72 * to, y: 1.44 }, text, size: 0.24 });
        }
        shapes
    }
}

fn face_figure(reckoning: &CornerReckoning, face: FaceName) -> Option<&Figure> {
    match face {
        FaceName::Outer => reckoning.outer_face.as_ref(),
        FaceName::Inner => reckoning.inner_face.as_ref(),
    }
}

fn worse_of<'a>(one: Option<&'a Figure>, other: Option<&'a Figure>) -> Option<&'a Figure> {
    match (one, other) {
        (Some(one), Some(other)) => Some(if other.value > one.value { other } else { one }),
        (one, other) => one.or(other),
    }
}

/// The wear from which a half of a spent disc is outlined: the mark, or that of the worst figure where a spent disc
/// was called so for another reason.
fn spent_from(reckoning: &CornerReckoning) -> f64 {
    let figures = [&reckoning.bulk, &reckoning.outer_face, &reckoning.inner_face];
    figures.into_iter().flatten().map(|figure| figure.value).fold(0.0, f64::max).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn glyph(side: Side, outer: Half) -> DiscGlyph {
        DiscGlyph {
            side,
            outer,
            inner: Half::NotInspected,
            bell: BellLook::Plain,
            outer_pad: Bar::NotMeasured,
            inner_pad: Bar::Worn(0.3),
        }
    }

    const fn worn(wear: f64) -> Half {
        Half::Worn { wear, low: wear - 0.1, high: wear + 0.1, spent: false }
    }

    fn dots(shapes: &[Shape]) -> Vec<Point> {
        let dots = shapes.iter().filter_map(|shape| match shape {
            Shape::Dots { centres, .. } => Some(centres.clone()),
            _ => None,
        });
        dots.flatten().collect()
    }

    #[test]
    fn ink_grows_with_wear() {
        let counts: Vec<usize> =
            [0.0, 0.25, 0.5, 0.75, 1.0, 7.0].map(|wear| dots(&glyph(Side::Left, worn(wear)).draw()).len()).to_vec();
        assert!(counts.is_sorted() && counts[0] > 0 && counts[0] * 10 < counts[4], "{counts:?}");
        assert_eq!(counts[4], counts[5], "beyond the mark there is no more room");
    }

    #[test]
    fn the_outer_face_is_away_from_the_car() {
        assert!(dots(&glyph(Side::Left, worn(0.5)).draw()).iter().all(|dot| dot.x < 0.0));
        assert!(dots(&glyph(Side::Right, worn(0.5)).draw()).iter().all(|dot| dot.x > 0.0));
    }

    #[test]
    fn the_two_sides_of_the_car_mirror_each_other() {
        let left = dots(&glyph(Side::Left, worn(0.5)).draw());
        let right = dots(&glyph(Side::Right, worn(0.5)).draw());
        assert!(left.iter().zip(&right).all(|(one, other)| one.x + other.x == 0.0 && (one.y - other.y) == 0.0));
    }

    #[test]
    fn the_end_of_life_is_outlined_and_what_was_not_seen_is_dashed() {
        let widest = |half: Half| {
            let shapes = glyph(Side::Left, half).draw();
            let widths = shapes.iter().filter_map(|shape| match shape {
                Shape::Path { stroke: Some(stroke), .. } => Some(stroke.width),
                _ => None,
            });
            widths.fold(0.0, f64::max)
        };
        let spent = Half::Worn { wear: 1.0, low: 0.9, high: 1.1, spent: true };
        assert!(widest(spent) > 2.0 * widest(worn(1.0)));
        let dashed = glyph(Side::Left, Half::NotInspected)
            .draw()
            .iter()
            .filter(|shape| matches!(shape, Shape::Path { stroke: Some(Stroke { dash: Some(_), .. }), .. }))
            .count();
        assert_eq!(dashed, 3, "both halves and the pad that was not measured");
    }
}
