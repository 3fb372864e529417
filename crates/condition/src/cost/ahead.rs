//! What is to be expected within the buyer's own distance, and what it means beside the asking price.

use model::{
    Axle, CornerReckoning, CostRow, Decimal, Evidence, ExpectedCost, ExpectedRow, Inspection, LifeBasis, PerCorner,
    PriceBasis, Scope, Sentence,
};

use super::{due, scope::cost_of};
use crate::answer::{grouped, list as list_words};
use crate::life::{EndsWithin, Lives};

/// Σ p·c over the renewals that may fall within the buyer's distance, on each basis that a distance rests on; nothing
/// where the buyer's distance is not known. Each renewal counts once: what falls twice in that time costs more.
pub fn expect(
    inspection: &Inspection,
    basis: &PriceBasis,
    rows: &[CostRow],
    corners: &PerCorner<CornerReckoning>,
    lives: &Lives,
) -> Vec<ExpectedCost> {
    let Some(ahead) = &inspection.use_ahead else { return Vec::new() };
    let mut bases: Vec<_> =
        Axle::ALL.iter().flat_map(|&axle| lives.discs_end.at(axle)).map(|ends| ends.basis).collect();
    bases.sort_unstable();
    bases.dedup();
    let on_basis = |life_basis| {
        let (mut found, mut lacks) = (Vec::new(), Vec::new());
        for &axle in Axle::ALL {
            let due = due(inspection, corners, axle);
            let discs = if due.discs { Some(1.0) } else { chance_on(lives.discs_end.at(axle), life_basis) };
            let pads = if due.pads { Some(1.0) } else { chance_on(lives.pads_end.at(axle), life_basis) };
            found.extend(row(basis, rows, axle, true, discs, &mut lacks));
            // Where the discs are renewed the pads go with them: they cost on their own only where the discs stay.
            let alone = pads.map(|pads| pads * (1.0 - discs.unwrap_or(0.0)));
            if discs != Some(1.0) {
                found.extend(row(basis, rows, axle, false, alone, &mut lacks));
            }
        }
        let sum =
            found.iter().map(|row: &ExpectedRow| row.cost * Decimal::try_from(row.chance).unwrap_or_default()).sum();
        ExpectedCost {
            basis: life_basis,
            within_km: ahead.km(),
            rows: found,
            expected: basis.currency.round(sum),
            lacks,
        }
    };
    bases.into_iter().map(on_basis).collect()
}

/// The chance on this basis, or on the one that there is.
fn chance_on(ends: &[EndsWithin], basis: LifeBasis) -> Option<f64> {
    ends.iter().find(|end| end.basis == basis).or_else(|| ends.first()).map(|end| end.chance)
}

fn row(
    basis: &PriceBasis,
    rows: &[CostRow],
    axle: Axle,
    discs: bool,
    chance: Option<f64>,
    lacks: &mut Vec<String>,
) -> Option<ExpectedRow> {
    let (scope, what) = if discs { (Scope::OneAxle, "discs") } else { (Scope::PadsOnly, "pads") };
    let Some(chance) = chance else {
        lacks.push(format!("the {} axle's {what}: how far they go is not reckoned", axle.words()));
        return None;
    };
    let Some(cost) = cost_of(basis, rows, axle, scope) else {
        lacks.push(format!("the {} axle's {what}: no price was given", axle.words()));
        return None;
    };
    Some(ExpectedRow { axle, discs, chance, cost })
}

/// What is due and what is to be expected, beside what is asked for the car.
pub fn hold_against_asking(
    inspection: &Inspection,
    basis: &PriceBasis,
    (due_now, is_anything_due): (Decimal, bool),
    expected: &[ExpectedCost],
) -> Vec<Sentence> {
    let Some(asking) = inspection.use_ahead.as_ref().and_then(|ahead| ahead.asking_price.as_ref()) else {
        return Vec::new();
    };
    let evidence = vec![Evidence::Prices];
    let code = asking.currency.code();
    if asking.currency != basis.currency {
        let text = format!(
            "The car is asked for in {code}, the prices are in {}: they are not held against each other.",
            basis.currency.code()
        );
        return vec![Sentence { text, evidence }];
    }
    let share = |amount: Decimal| {
        let of = amount.checked_div(asking.amount).unwrap_or_default() * Decimal::ONE_HUNDRED;
        of.round_dp(1)
    };
    if asking.amount.is_zero() {
        return Vec::new();
    }
    let asked = format!("{code}\u{A0}{}", grouped(asking.amount));
    let mut text = if !is_anything_due {
        format!("By what was found, no disc and no pad is due for renewal now, beside the {asked} asked for the car.")
    } else if due_now.is_zero() {
        format!("What is due now has no price here, so it is not held against the {asked} asked for the car.")
    } else {
        format!(
            "What is due now, {code}\u{A0}{}, is {} % of the {asked} asked for the car.",
            grouped(due_now),
            share(due_now)
        )
    };
    let each: Vec<_> = expected
        .iter()
        .map(|one| {
            format!("{code}\u{A0}{} by {} ({} %)", grouped(one.expected), one.basis.words(), share(one.expected))
        })
        .collect();
    if !each.is_empty() {
        text += &format!(
            " To be expected within the buyer's own distance, what is due now included: {}.",
            list_words(&each)
        );
    }
    vec![Sentence { text, evidence }]
}
