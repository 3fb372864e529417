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

#[cfg(test)]
mod tests {
    use super::*;
    use model::sample::measured_face;

    /// To the bit: the same seed deals the same.
    #[track_caller]
    fn same(got: &[f64], expected: &[f64]) {
        let bits = |all: &[f64]| all.iter().map(|one| one.to_bits()).collect::<Vec<_>>();
        assert_eq!(bits(got), bits(expected), "{got:?}, expected {expected:?}");
    }

    fn pattern(parts: &[PartFigures]) -> Pattern {
        Pattern { parts: parts.to_vec(), ..measured_face().seen.pattern }
    }

    fn all(value: f64) -> PartFigures {
        [value; 9]
    }

    #[test]
    fn a_difference_is_that_of_the_means() {
        let (outer, inner) = (pattern(&[all(1.0), all(3.0)]), pattern(&[all(5.0), all(5.0), all(8.0)]));
        same(&compare_faces(&outer, &inner).differences, &all(2.0 - 6.0));
        // Of one colour they are.
        same(&[compare_faces(&outer, &inner).colour], &[0.0]);
    }

    #[test]
    fn the_chance_is_that_of_dealing_the_same_parts_out_anew() {
        // Of the six ways to deal four parts to two faces, two set them as far apart as they are.
        let (outer, inner) = (pattern(&[all(0.0), all(0.0)]), pattern(&[all(10.0), all(10.0)]));
        let chance = compare_faces(&outer, &inner).chance;
        assert!((chance - 2.0 / 6.0).abs() < 0.04, "{chance}");
        // And of the twenty to deal six to three, two again.
        let (outer, inner) = (pattern(&[all(0.0); 3]), pattern(&[all(10.0); 3]));
        let chance = compare_faces(&outer, &inner).chance;
        assert!((chance - 2.0 / 20.0).abs() < 0.03, "{chance}");
        // What does not differ at all differs as much however it is dealt.
        same(&[compare_faces(&pattern(&[all(4.0); 3]), &pattern(&[all(4.0); 3])).chance], &[1.0]);
    }

    #[test]
    fn neither_a_figure_s_unit_nor_its_zero_changes_the_chance() {
        // Nine figures of five parts each, without a pattern of their own.
        let part = |place: usize| std::array::from_fn(|nth| ((place * 7 + nth * 5) % 11) as f64 + place as f64 * 0.3);
        let faces = |scale: f64, zero: f64| {
            let parts: Vec<PartFigures> = (0..10).map(part).collect();
            let moved = parts.iter().map(|part| {
                let mut part = *part;
                part[2] = part[2] * scale + zero;
                part
            });
            let moved: Vec<_> = moved.collect();
            compare_faces(&pattern(&moved[..5]), &pattern(&moved[5..])).chance
        };
        let chance = faces(1.0, 0.0);
        assert!((0.01..0.99).contains(&chance), "{chance}");
        same(&[faces(1024.0, 0.0)], &[chance]);
        same(&[faces(1.0, 4096.0)], &[chance]);
    }
}
