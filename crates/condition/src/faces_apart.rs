//! The outer face of a disc against its inner one.

use rand_xoshiro::{
    Xoshiro256PlusPlus,
    rand_core::{Rng as _, SeedableRng as _},
};
use serde::Serialize;

use model::{PartFigures, Pattern, ciede2000};

/// How two faces of one disc differ.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FaceDifference {
    /// Outer less inner, in the order of [`Pattern::NAMES`].
    pub differences: PartFigures,
    /// CIEDE2000 between their colours.
    pub colour: f64,
    /// Chance that parts of one and the same face would differ that much, were they dealt out anew.
    pub chance: f64,
}

/// Deals; the chance is known to a thousandth.
const DEALS: usize = 2000;

/// Compares by dealing the parts of both faces out anew, again and again, with a fixed seed: how often do they differ as
/// much as they do?
pub fn compare_faces(outer: &Pattern, inner: &Pattern) -> FaceDifference {
    let parts: Vec<PartFigures> = outer.parts.iter().chain(&inner.parts).copied().collect();
    let count = outer.parts.len();
    let spreads: PartFigures = std::array::from_fn(|nth| {
        let mean = parts.iter().map(|part| part[nth]).sum::<f64>() / parts.len() as f64;
        let square: f64 = parts.iter().map(|part| (part[nth] - mean) * (part[nth] - mean)).sum();
        libm::sqrt(square / parts.len() as f64).max(1e-9)
    });
    let apart = |dealt: &[usize]| {
        let mean = |range: &[usize], nth: usize| {
            range.iter().map(|&place| parts[place][nth]).sum::<f64>() / range.len().max(1) as f64
        };
        let differences: PartFigures =
            std::array::from_fn(|nth| mean(&dealt[..count], nth) - mean(&dealt[count..], nth));
        let size: f64 = (0..9).map(|nth| (differences[nth] / spreads[nth]) * (differences[nth] / spreads[nth])).sum();
        (differences, size)
    };
    let mut dealt: Vec<usize> = (0..parts.len()).collect();
    let (differences, size) = apart(&dealt);
    let mut random = Xoshiro256PlusPlus::seed_from_u64(20_261_125);
    let mut as_much = 0;
    for _ in 0..DEALS {
        for place in (1..dealt.len()).rev() {
            dealt.swap(place, (random.next_u64() % (place as u64 + 1)) as usize);
        }
        as_much += usize::from(apart(&dealt).1 >= size);
    }
    FaceDifference {
        differences,
        colour: ciede2000(outer.colour, inner.colour),
        chance: (as_much + 1) as f64 / (DEALS + 1) as f64,
    }
}
