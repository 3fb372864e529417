//! The parts around a disc as solids: calliper and pads, bell and fixings, wheel, upright.

use super::{
    shape::{Near, blend, drum, hexagon, rod, rounded_box},
    turn::{angle_of, fold},
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
    /// Direction from the axis.
    cos: f32,
    sin: f32,
    /// Middle of the friction track.
    radius: f32,
    /// Outer radius of the disc.
    outer: f32,
}

impl Calliper {
    /// No part of it lies farther from its middle.
    const REACH: f32 = 150.0;

    /// At an angle around the axis, over a track of that middle radius on a disc of that outer radius.
    pub fn new(angle: f32, radius: f32, outer: f32) -> Self {
        Self { cos: libm::cosf(angle), sin: libm::sinf(angle), radius, outer }
    }

    fn middle(&self) -> Vec3 {
        let radius = self.radius + 12.0;
        vec3(radius * self.cos, radius * self.sin, 12.0)
    }

    /// Whether a line from a place can meet it at all.
    pub fn is_near_line(&self, from: Vec3, direction: Vec3) -> bool {
        let way = self.middle() - from;
        let ahead = way.dot(direction).max(0.0);
        (way - direction * ahead).length() < Self::REACH
    }

    /// Distance from a place to calliper and pad.
    pub fn near(&self, point: Vec3) -> Near<Part> {
        let (out, side) = (point.x * self.cos + point.y * self.sin, point.y * self.cos - point.x * self.sin);
        // Far away, a box around it is enough; near, shades would show the box.
        let (low, high) = (self.radius - 58.0, self.outer + 33.0);
        let box_half = vec3((high - low) / 2.0, 132.0, 69.0);
        let away = rounded_box(vec3(out - f32::midpoint(low, high), side, point.z - 9.0), box_half, 0.0);
        if away > 55.0 {
            return Near::new(away, Part::Calliper);
        }
        // Along the arc, outwards, off the face: bent around the axis so that the body follows the disc.
        let radius = (out * out + side * side).sqrt();
        let along = angle_of(out, side) * (self.radius + 20.0);
        let local = vec3(along, radius - self.radius, point.z);

        let mut body = rounded_box(local - vec3(0.0, 6.0, 42.0), vec3(104.0, 42.0, 25.0), 11.0);
        let bridge = rounded_box(local - vec3(0.0, self.outer - self.radius + 16.0, 8.0), vec3(104.0, 13.0, 62.0), 9.0);
        body = blend(body, bridge, 16.0);
        // Two pots under flat caps, a larger and a smaller one, and a shallow recess that joins them.
        let recess = rounded_box(local - vec3(0.0, -1.0, 69.0), vec3(80.0, 27.0, 4.5), 3.5);
        body = body.max(-recess);
        for (place, size) in [(-44.0, 24.0), (40.0, 27.5)] {
            let cap = drum(local - vec3(place, -1.0, 0.0), size, 30.0, 69.0, 3.5);
            body = blend(body, cap, 3.0).max(-drum(local - vec3(place, -1.0, 0.0), size * 0.42, 66.5, 80.0, 1.0));
        }
        // Window over the pads, between the bridge's two ends.
        let window = rounded_box(local - vec3(0.0, self.outer - self.radius + 16.0, 0.0), vec3(62.0, 26.0, 17.0), 5.0);
        body = body.max(-window);
        let mut near = Near::new(body * 0.85, Part::Calliper);
        let end = vec3(local.x.abs() - 92.0, local.y - 22.0, local.z);
        let bolt = hexagon(end, 12.0, 60.0, 73.0).min(drum(end, 9.6, 60.0, 68.2, 0.8));
        near = near.or(Near::new(bolt * 0.85, Part::Steel));
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
    if radius > inner + 6.0 {
        return Near::new(radius - inner + 2.0, Part::Bell);
    }
    if point.z > HEIGHT + 14.0 {
        return Near::new(point.z - HEIGHT - 4.0, Part::Bell);
    }
    let top = flat(radius, point.z, 0.0, 80.0, HEIGHT - 7.0, HEIGHT);
    let wall = {
        let share =
            (((radius - 79.0) * 22.0 - (point.z - HEIGHT + 4.0) * 38.0) / (22.0 * 22.0 + 38.0 * 38.0)).clamp(0.0, 1.0);
        let (dr, dz) = (radius - 79.0 - 22.0 * share, point.z - HEIGHT + 4.0 + 38.0 * share);
        (dr * dr + dz * dz).sqrt() - 4.2
    };
    let body = blend(top, wall, 7.0);
    if radius < 80.0 { bell_middle(point, body, HEIGHT) } else { bell_flange(point, radius, body, inner) }
}

/// Bore, hub, wheel bolts' holes and the screws between them.
fn bell_middle(point: Vec3, body: f32, height: f32) -> Near<Part> {
    let fifth = core::f32::consts::TAU / 5.0;
    let mut body = body.max(-drum(point, 35.0, 0.0, 60.0, 1.5)).max(-drum(point, 71.0, height - 1.2, 60.0, 0.4));
    let (out, side) = fold(point.x, point.y, 5.0, 0.3);
    let bolt = vec3(out - 56.0, side, point.z);
    body = body.max(-drum(bolt, 7.6, 0.0, 60.0, 0.6));
    let (out, side) = fold(point.x, point.y, 5.0, 0.3 + fifth / 2.0);
    let small = vec3(out - 56.0, side, point.z);
    let screw = drum(small, 5.4, height - 4.0, height + 0.2, 0.7).max(-hexagon(small, 5.0, height - 3.0, height + 4.0));
    let hub = drum(point, 33.0, -20.0, height + 3.0, 2.5).max(-drum(point, 25.0, height - 9.0, 80.0, 2.0));
    let thread = drum(bolt, 7.0, -20.0, height - 15.0, 0.4);
    Near::new(body * 0.9, Part::Bell).or(Near::new(hub.min(screw).min(thread), Part::Casting))
}

/// The flange with its petals, a fixing on each.
fn bell_flange(point: Vec3, radius: f32, body: f32, inner: f32) -> Near<Part> {
    let (out, side) = fold(point.x, point.y, 10.0, 0.0);
    let fixing = vec3(out - inner + 9.0, side, point.z);
    let petal = inner - 3.0 - 13.0 * smooth(8.5, 15.0, side.abs());
    let flange = flat(radius, point.z, 92.0, petal, -9.0, -2.5);
    let head = hexagon(fixing, 10.0, -3.0, 4.6).max(-drum(fixing, 2.4, 2.6, 9.0, 0.3));
    let washer = drum(fixing, 7.6, -3.0, -0.6, 0.5);
    Near::new(blend(body, flange, 5.0) * 0.9, Part::Bell).or(Near::new(head.min(washer), Part::Steel))
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
    let (out, side) = fold(point.x, point.y, 4.0, 0.0);
    let bolt = vec3(out - 62.0, side, point.z);
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
    let (out, side) = fold(point.x, point.y, 5.0, -turn);
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
