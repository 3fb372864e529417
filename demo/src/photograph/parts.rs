//! The parts around a disc as solids: calliper and pads, bell and fixings, wheel, upright.

use super::{
    shape::{Near, blend, drum, hexagon, rod, rounded_box},
    vector::{Vec3, smooth, vec3},
};

/// What a part is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// The calliper's painted body.
    Calliper,
    /// Bare or plated steel.
    Steel,
    /// A pad's backing plate.
    Backing,
    /// A pad's lining.
    Lining,
    /// The bell: anodised aluminium.
    Bell,
    /// A painted wheel.
    Wheel,
    /// Cast aluminium, dirty.
    Casting,
    /// Rubber.
    Rubber,
}

/// A fixed calliper over the ring, seen from its open side.
#[derive(Debug, Clone, Copy)]
pub(super) struct Calliper {
    /// Where around the axis, in radians.
    pub angle: f32,
    /// Middle of the friction track.
    pub radius: f32,
    /// Outer radius of the disc.
    pub outer: f32,
}

impl Calliper {
    /// Distance from a place to calliper and pad.
    pub fn near(&self, point: Vec3) -> Near<Part> {
        let (sin, cos) = (libm::sinf(self.angle), libm::cosf(self.angle));
        // Along the arc, outwards, off the face: bent around the axis so that the body follows the disc.
        let (out, side) = (point.x * cos + point.y * sin, point.y * cos - point.x * sin);
        let radius = (out * out + side * side).sqrt();
        let along = libm::atan2f(side, out) * (self.radius + 20.0);
        let local = vec3(along, radius - self.radius, point.z);

        let mut body = rounded_box(local - vec3(0.0, 6.0, 44.0), vec3(104.0, 42.0, 24.0), 13.0);
        let bridge = rounded_box(local - vec3(0.0, self.outer - self.radius + 16.0, 8.0), vec3(104.0, 13.0, 62.0), 9.0);
        body = blend(body, bridge, 16.0);
        for (place, size) in [(-58.0, 25.0), (0.0, 27.0), (58.0, 25.0)] {
            let piston = drum(local - vec3(place, -2.0, 0.0), size, 40.0, 76.0, 7.0);
            body = blend(body, piston, 10.0);
        }
        // Window over the pads, between the bridge's two ends.
        let window = rounded_box(local - vec3(0.0, self.outer - self.radius + 16.0, 0.0), vec3(62.0, 26.0, 17.0), 5.0);
        body = body.max(-window);
        let mut near = Near::new(body * 0.85, Part::Calliper);
        for place in [-88.0, 88.0] {
            let bolt = hexagon(local - vec3(place, 24.0, 0.0), 13.0, 60.0, 74.0);
            let washer = drum(local - vec3(place, 24.0, 0.0), 10.5, 60.0, 69.5, 0.8);
            near = near.or(Near::new(bolt.min(washer) * 0.85, Part::Steel));
        }
        let bleed = rod(local, vec3(74.0, 34.0, 55.0), vec3(96.0, 58.0, 55.0), 3.8);
        near = near.or(Near::new(bleed * 0.85, Part::Steel));
        let lining = rounded_box(local - vec3(0.0, -1.0, 6.5), vec3(70.0, 33.0, 5.7), 1.5);
        let backing = rounded_box(local - vec3(0.0, 0.0, 15.0), vec3(74.0, 36.0, 3.2), 1.0);
        near.or(Near::new(lining * 0.85, Part::Lining)).or(Near::new(backing * 0.85, Part::Backing))
    }
}

/// The bell inside a ring of that inner radius, with its fixings.
pub(super) fn bell(point: Vec3, inner: f32) -> Near<Part> {
    const HEIGHT: f32 = 34.0;
    let radius = (point.x * point.x + point.y * point.y).sqrt();
    let angle = libm::atan2f(point.y, point.x);
    let step = core::f32::consts::TAU / 10.0;
    let off = ((angle / step) - (angle / step).round()) * step;
    // One fixing, folded from all ten.
    let fixing = vec3(radius * libm::cosf(off) - (inner - 9.0), radius * libm::sinf(off), point.z);

    let top = flat(radius, point.z, 0.0, 80.0, HEIGHT - 7.0, HEIGHT);
    let wall = {
        let share =
            (((radius - 79.0) * 22.0 - (point.z - HEIGHT + 4.0) * 38.0) / (22.0 * 22.0 + 38.0 * 38.0)).clamp(0.0, 1.0);
        let (dr, dz) = (radius - 79.0 - 22.0 * share, point.z - HEIGHT + 4.0 + 38.0 * share);
        (dr * dr + dz * dz).sqrt() - 4.2
    };
    let petal = inner - 3.0 - 13.0 * smooth(8.5, 15.0, fixing.y.abs());
    let flange = flat(radius, point.z, 92.0, petal, -9.0, -2.5);
    let mut body = blend(blend(top, wall, 7.0), flange, 5.0);
    // Bore, wheel bolts' holes, and a shallow recess around them.
    body = body.max(-drum(point, 35.0, 0.0, 60.0, 1.5)).max(-drum(point, 71.0, HEIGHT - 1.2, 60.0, 0.4));
    let fifth = core::f32::consts::TAU / 5.0;
    let turn = ((angle / fifth) - (angle / fifth).round()) * fifth;
    let bolt = vec3(radius * libm::cosf(turn) - 56.0, radius * libm::sinf(turn), point.z);
    body = body.max(-drum(bolt, 7.6, 0.0, 60.0, 0.6));
    let between = angle + fifth / 2.0;
    let turn = ((between / fifth) - (between / fifth).round()) * fifth;
    let small = vec3(radius * libm::cosf(turn) - 56.0, radius * libm::sinf(turn), point.z);
    let screw = drum(small, 5.4, HEIGHT - 4.0, HEIGHT + 0.2, 0.7).max(-hexagon(small, 5.0, HEIGHT - 3.0, HEIGHT + 4.0));
    let hub = drum(point, 33.0, -20.0, HEIGHT + 3.0, 2.5).max(-drum(point, 25.0, HEIGHT - 9.0, 80.0, 2.0));
    let thread = drum(bolt, 7.0, -20.0, HEIGHT - 15.0, 0.4);

    let head = hexagon(fixing, 10.0, -3.0, 4.6).max(-drum(fixing, 2.4, 2.6, 9.0, 0.3));
    let washer = drum(fixing, 7.6, -3.0, -0.6, 0.5);
    Near::new(body * 0.9, Part::Bell)
        .or(Near::new(head.min(washer), Part::Steel))
        .or(Near::new(hub.min(screw).min(thread), Part::Casting))
}

/// What stands inside the ring on the car's side: the upright, its bearing carrier, a shaft where the axle is driven.
pub(super) fn upright(point: Vec3, driven: bool) -> Near<Part> {
    let carrier = drum(point, 72.0, -40.0, 26.0, 8.0);
    let collar = drum(point, 52.0, 10.0, 48.0, 5.0);
    let arm_up = rod(point, vec3(0.0, 40.0, 20.0), vec3(14.0, 240.0, 74.0), 21.0);
    let arm_low = rod(point, vec3(0.0, -50.0, 20.0), vec3(-60.0, -230.0, 110.0), 17.0);
    let link = rod(point, vec3(50.0, -20.0, 24.0), vec3(250.0, -70.0, 90.0), 11.0);
    let body = blend(blend(carrier, collar, 9.0), arm_up.min(arm_low), 22.0);
    let mut near = Near::new(body * 0.9, Part::Casting).or(Near::new(link, Part::Steel));
    let angle = libm::atan2f(point.y, point.x);
    let radius = (point.x * point.x + point.y * point.y).sqrt();
    let fourth = core::f32::consts::TAU / 4.0;
    let turn = ((angle / fourth) - (angle / fourth).round()) * fourth;
    let bolt = vec3(radius * libm::cosf(turn) - 62.0, radius * libm::sinf(turn), point.z);
    near = near.or(Near::new(hexagon(bolt, 15.0, 24.0, 37.0), Part::Steel));
    if driven {
        let shaft = rod(point, vec3(0.0, 0.0, 20.0), vec3(20.0, 14.0, 420.0), 15.0);
        let along = point.z.clamp(50.0, 150.0);
        let fold = 2.6 * libm::sinf(along * 0.52);
        let boot =
            drum(point - vec3(along * 0.05, along * 0.03, 0.0), 44.0 - 0.17 * (along - 50.0) + fold, 48.0, 150.0, 3.0);
        near = near.or(Near::new(shaft, Part::Steel)).or(Near::new(boot * 0.6, Part::Rubber));
    }
    near
}

/// A wheel in front of the disc: five pairs of spokes and the rim.
pub(super) fn wheel(point: Vec3, turn: f32) -> Near<Part> {
    let radius = (point.x * point.x + point.y * point.y).sqrt();
    let angle = libm::atan2f(point.y, point.x) + turn;
    let step = core::f32::consts::TAU / 5.0;
    let off = (angle / step - (angle / step).round()) * step;
    let (out, side) = (radius * libm::cosf(off), radius * libm::sinf(off));
    // Each pair leaves the hub together and parts towards the rim.
    let apart = 9.0 + 26.0 * smooth(60.0, 235.0, out);
    let across = side.abs() - apart;
    let crown = 128.0 + 14.0 * smooth(240.0, 60.0, out);
    let local = vec3(out - 150.0, across, point.z - crown);
    let spoke = rounded_box(local, vec3(105.0, 10.5 - 2.0 * smooth(60.0, 220.0, out), 13.0), 5.0);
    let hub = drum(point, 84.0, 112.0, 150.0, 12.0).max(-drum(point, 36.0, 140.0, 170.0, 3.0));
    let rim = {
        let (dr, dz) = ((radius - 252.0).abs() - 9.0, (point.z - 90.0).abs() - 52.0);
        let (x, y) = (dr.max(0.0), dz.max(0.0));
        (x * x + y * y).sqrt() + dr.max(dz).min(0.0) - 3.0
    };
    Near::new(blend(blend(spoke, hub, 14.0), rim, 12.0) * 0.85, Part::Wheel)
}

/// A flat ring between two radii and two heights, in the half plane of radius and height.
fn flat(radius: f32, height: f32, inner: f32, outer: f32, low: f32, high: f32) -> f32 {
    super::shape::rounded_rectangle(
        radius - f32::midpoint(inner, outer),
        height - f32::midpoint(low, high),
        ((outer - inner) / 2.0, (high - low) / 2.0),
        0.8,
    )
}
