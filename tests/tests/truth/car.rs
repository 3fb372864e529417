//! Cars as they truly are.

use crate::chance::Chance;

/// What beside ordinary wear befell a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Trouble {
    Cleaner,
    Heat,
    Standing,
    Damage,
    PadOrCalliper,
}

pub const TROUBLES: [Trouble; 5] =
    [Trouble::Cleaner, Trouble::Heat, Trouble::Standing, Trouble::Damage, Trouble::PadOrCalliper];

/// How far gone the car's discs are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Age {
    New,
    PartWorn,
    Spent,
}

/// A corner; wear is 0 as new and 1 at the mark.
#[derive(Debug, Clone)]
pub struct Corner {
    pub bulk: f64,
    /// Outer, inner. A face is spent at 1; more than spent it cannot be.
    pub faces: [f64; 2],
    /// Outer, inner, at the thinnest.
    pub linings: [f64; 2],
    pub troubles: Vec<Trouble>,
}

/// A car.
#[derive(Debug, Clone)]
pub struct Car {
    pub age: Age,
    pub corners: [Corner; 4],
    pub km: f64,
    pub fluid_c: f64,
    pub bites: bool,
    pub lost_fixing: Option<usize>,
    pub cracked: Option<usize>,
}

impl Car {
    /// Draws a car. Trouble comes to one corner of most cars that have it, now and then two troubles at once.
    pub fn draw(chance: &mut Chance) -> Self {
        let age = [Age::New, Age::PartWorn, Age::Spent][chance.place(3)];
        let base = match age {
            Age::New => chance.between(0.0, 0.2),
            Age::PartWorn => chance.between(0.28, 0.82),
            Age::Spent => chance.between(0.92, 1.05),
        };
        let mut corners: [Corner; 4] = std::array::from_fn(|_| {
            let bulk = (base + chance.normal(0.0, 0.03)).max(0.0);
            Corner {
                bulk,
                faces: std::array::from_fn(|_| (bulk + chance.normal(0.0, 0.05)).clamp(0.0, 1.0)),
                linings: std::array::from_fn(|_| chance.between(0.0, 1.02)),
                troubles: Vec::new(),
            }
        });
        // Pads of one corner wear together.
        for corner in &mut corners {
            corner.linings[1] = (corner.linings[0] + chance.normal(0.0, 0.02)).clamp(0.0, 1.25);
        }
        let count = if chance.is(0.55) { 0 } else { 1 + usize::from(chance.is(0.15)) };
        let at = chance.place(4);
        for _ in 0..count {
            let trouble = TROUBLES[chance.place(TROUBLES.len())];
            if !corners[at].troubles.contains(&trouble) {
                befall(&mut corners[at], trouble, chance);
            }
        }
        corners[at].troubles.sort_unstable();
        Self {
            age,
            km: (base * 70_000.0 * libm::exp(chance.normal(0.0, 0.3))).clamp(200.0, 250_000.0),
            fluid_c: if chance.is(0.1) { chance.between(100.0, 150.0) } else { chance.between(165.0, 260.0) },
            bites: !chance.is(0.02),
            lost_fixing: chance.is(0.02).then(|| chance.place(4)),
            cracked: chance.is(0.02).then(|| chance.place(4)),
            corners,
        }
    }
}

fn befall(corner: &mut Corner, trouble: Trouble, chance: &mut Chance) {
    let worsen = |wear: &mut f64, by: f64| *wear = (*wear + by).min(1.12);
    let roughen = |face: &mut f64, by: f64| *face = (*face + by).min(1.0);
    match trouble {
        Trouble::Cleaner => roughen(&mut corner.faces[0], chance.between(0.15, 0.5)),
        Trouble::Heat => {
            for face in &mut corner.faces {
                roughen(face, chance.between(0.05, 0.3));
            }
            worsen(&mut corner.bulk, chance.between(0.0, 0.1));
        }
        Trouble::Standing => corner.faces.iter_mut().for_each(|face| roughen(face, chance.between(0.0, 0.1))),
        Trouble::Damage => {}
        Trouble::PadOrCalliper => {
            let side = usize::from(chance.is(0.8));
            roughen(&mut corner.faces[side], chance.between(0.15, 0.5));
            worsen(&mut corner.bulk, chance.between(0.0, 0.1));
            corner.linings[side] = (corner.linings[side] + chance.between(0.15, 0.5)).min(1.3);
        }
    }
    corner.troubles.push(trouble);
}
