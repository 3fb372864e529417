//! The lines, arcs and dots of the glyph.

use super::{
    super::stipple::{BELL, DOT, HALF_GAP, RING_INNER, bell_points, half_points},
    Bar, BellLook, Command, Half, Point, Shape, Stroke,
};

const FINE: f64 = 0.022;
const HEAVY: f64 = 0.085;
const DASH: f64 = 0.09;
pub(super) const PAD_AT: f64 = 1.46;
pub(super) const PAD_HALF_WIDTH: f64 = 0.075;
const PAD_HALF_HEIGHT: f64 = 0.62;
/// Where on its bar a pad's renewal mark is drawn.
const PAD_MARK: f64 = 0.2;
const ARC_AT: f64 = 1.15;
/// The scale of wear runs along a half from this angle below the level to the same above it.
const SCALE_END: f64 = 1.35;
const LEAST_INK: f64 = 0.03;
const MOST_INK: f64 = 0.56;

pub(super) fn draw_half(half: Half, to: f64, shapes: &mut Vec<Shape>) {
    let (width, dash) = match half {
        Half::NotInspected => (FINE, Some(DASH)),
        Half::NotTold | Half::Worn { spent: false, .. } => (FINE, None),
        Half::Worn { spent: true, .. } => (HEAVY, None),
    };
    if let Half::Worn { wear, .. } = half {
        let points = half_points();
        let share = LEAST_INK + (MOST_INK - LEAST_INK) * wear.clamp(0.0, 1.0);
        let count = (share / MOST_INK * points.len() as f64) as usize;
        let centres = points[..count.min(points.len())].iter().map(|&(x, y)| Point { x: x * to, y }).collect();
        shapes.push(Shape::Dots { centres, radius: DOT });
    }
    shapes.push(Shape::Path { commands: half_outline(to), filled: false, stroke: Some(Stroke { width, dash }) });
    if let Half::Worn { wear, low, high, .. } = half {
        let mut scale = Vec::new();
        let (low, high) = (angle(low), angle(high));
        arc(to, ARC_AT, low, high, true, &mut scale);
        for end in [low, high] {
            tick(to, end, ARC_AT - 0.035, ARC_AT + 0.035, &mut scale);
        }
        tick(to, angle(wear), ARC_AT - 0.085, ARC_AT + 0.085, &mut scale);
        shapes.push(Shape::Path {
            commands: scale,
            filled: false,
            stroke: Some(Stroke { width: 1.5 * FINE, dash: None }),
        });
    }
}

/// Where a wear stands on its half: as new at the bottom, the mark at the top. Counted from the level, upwards.
fn angle(wear: f64) -> f64 {
    (2.0 * wear.clamp(0.0, 1.0) - 1.0) * SCALE_END
}

fn on_circle(to: f64, radius: f64, angle: f64) -> Point {
    Point { x: to * radius * libm::cos(angle), y: -radius * libm::sin(angle) }
}

fn tick(to: f64, at: f64, from_radius: f64, to_radius: f64, commands: &mut Vec<Command>) {
    commands.push(Command::Move(on_circle(to, from_radius, at)));
    commands.push(Command::Line(on_circle(to, to_radius, at)));
}

/// An arc in pieces of at most a right angle.
fn arc(to: f64, radius: f64, from: f64, until: f64, moves: bool, commands: &mut Vec<Command>) {
    let start = on_circle(to, radius, from);
    commands.push(if moves { Command::Move(start) } else { Command::Line(start) });
    let pieces = libm::ceil((until - from).abs() / 1.5).max(1.0);
    let step = (until - from) / pieces;
    // The usual length of a control arm for an arc of a circle.
    let arm = 4.0 / 3.0 * libm::tan(step / 4.0) * radius;
    for piece in 0..pieces as usize {
        let a = from + step * piece as f64;
        let b = a + step;
        let (begin, end) = (on_circle(to, radius, a), on_circle(to, radius, b));
        let leave = |point: Point, at: f64, by: f64| Point {
            x: point.x - to * by * libm::sin(at),
            y: point.y - by * libm::cos(at),
        };
        commands.push(Command::Curve(leave(begin, a, arm), leave(end, b, -arm), end));
    }
}

fn half_outline(to: f64) -> Vec<Command> {
    let turn = |radius: f64| libm::acos(HALF_GAP / radius);
    let mut commands = Vec::new();
    arc(to, 1.0, -turn(1.0), turn(1.0), true, &mut commands);
    arc(to, RING_INNER, turn(RING_INNER), -turn(RING_INNER), false, &mut commands);
    commands.push(Command::Close);
    commands
}

pub(super) fn draw_bell(look: BellLook, shapes: &mut Vec<Shape>) {
    match look {
        BellLook::NotInspected | BellLook::Plain => {}
        BellLook::Speckled => {
            let centres = bell_points()[..54].iter().map(|&(x, y)| Point { x, y }).collect();
            shapes.push(Shape::Dots { centres, radius: 0.8 * DOT });
        }
        BellLook::Hatched => {
            let mut commands = Vec::new();
            for line in -3_i32..=3 {
                let distance = f64::from(line) * 0.11;
                let reach = libm::sqrt(BELL * BELL - distance * distance);
                let root = std::f64::consts::FRAC_1_SQRT_2;
                for slope in [1.0, -1.0] {
                    let at = |along: f64| Point { x: root * (along + distance), y: slope * root * (along - distance) };
                    commands.push(Command::Move(at(-reach)));
                    commands.push(Command::Line(at(reach)));
                }
            }
            shapes.push(Shape::Path { commands, filled: false, stroke: Some(Stroke { width: FINE, dash: None }) });
        }
    }
    let mut circle = Vec::new();
    arc(1.0, BELL, 0.0, std::f64::consts::TAU, true, &mut circle);
    circle.push(Command::Close);
    let dash = (look == BellLook::NotInspected).then_some(DASH);
    shapes.push(Shape::Path { commands: circle, filled: false, stroke: Some(Stroke { width: FINE, dash }) });
}

pub(super) fn draw_bar(bar: Bar, to: f64, shapes: &mut Vec<Shape>) {
    let middle = PAD_AT * to;
    let upright = |from: f64, until: f64| {
        // Shares of the bar's height, from the bottom.
        let (top, bottom) = (PAD_HALF_HEIGHT * (1.0 - 2.0 * until), PAD_HALF_HEIGHT * (1.0 - 2.0 * from));
        let (left, right) = (middle - PAD_HALF_WIDTH, middle + PAD_HALF_WIDTH);
        vec![
            Command::Move(Point { x: left, y: top }),
            Command::Line(Point { x: right, y: top }),
            Command::Line(Point { x: right, y: bottom }),
            Command::Line(Point { x: left, y: bottom }),
            Command::Close,
        ]
    };
    if let Bar::Worn(wear) = bar {
        let lining = (PAD_MARK + (1.0 - PAD_MARK) * (1.0 - wear)).clamp(0.0, 1.0);
        shapes.push(Shape::Path { commands: upright(0.0, lining), filled: true, stroke: None });
    }
    let (width, dash) = match bar {
        Bar::NotMeasured => (FINE, Some(DASH)),
        Bar::Worn(wear) if wear >= 1.0 => (HEAVY, None),
        Bar::Worn(_) => (FINE, None),
    };
    shapes.push(Shape::Path { commands: upright(0.0, 1.0), filled: false, stroke: Some(Stroke { width, dash }) });
    // The renewal mark reaches beyond the bar on both sides.
    let mark = PAD_HALF_HEIGHT * (1.0 - 2.0 * PAD_MARK);
    let commands = [-1.0, 1.0]
        .into_iter()
        .flat_map(|end| {
            [
                Command::Move(Point { x: middle + end * PAD_HALF_WIDTH, y: mark }),
                Command::Line(Point { x: middle + end * (PAD_HALF_WIDTH + 0.075), y: mark }),
            ]
        })
        .collect();
    shapes.push(Shape::Path { commands, filled: false, stroke: Some(Stroke { width: 1.5 * FINE, dash: None }) });
}
