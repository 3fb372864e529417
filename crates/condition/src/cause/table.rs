//! Every number of the causes, in one table.
//!
//! What a sign speaks for is common practice of the trade, without a source, where the row says `TRADE`; elsewhere it is
//! the project's assumption (`OURS`). How strongly it speaks is the project's assumption in every row: no published
//! figure links any of these signs to a cause. A sign's likelihood ratio for a cause is how many times more often it
//! shows where the cause holds than with ordinary wear alone; 1 says nothing.

use model::Cause;

/// How likely each cause is on a car of which nothing is known (project assumption).
pub const PRIORS: [(Cause, f64); 5] = [
    (Cause::Cleaner, 0.04),
    (Cause::Heat, 0.05),
    (Cause::Standing, 0.05),
    (Cause::Damage, 0.04),
    (Cause::PadOrCalliper, 0.07),
];

/// A sign that can be looked for at a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    OuterStain,
    InnerStain,
    BellStained,
    BellEtched,
    BellDiscoloured,
    OuterWorse,
    InnerWorse,
    AheadOfDistance,
    HeatTint,
    Craze,
    Spalling,
    Crack,
    Chip,
    Groove,
    Deposit,
    PadPrint,
    FixingsCorroded,
    FixingsLoose,
    CalliperNotFree,
    Taper,
    PadsDiffer,
    Glazed,
    Crumbling,
    WorseThanOtherSide,
}

/// One row: a sign, how often it shows with ordinary wear alone, and its likelihood ratio for each cause.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    pub sign: Sign,
    /// The share of corners with ordinary wear alone that show it.
    pub alone: f64,
    /// Cleaner, heat, standing, damage, pad or calliper.
    pub ratios: [f64; 5],
    /// Whether what it speaks for is common practice of the trade.
    pub is_trade: bool,
    /// Said where it shows.
    pub shows: &'static str,
    /// Said where it was looked for and does not show.
    pub absent: &'static str,
}

const TRADE: bool = true;
const OURS: bool = false;

#[rustfmt::skip]
const fn row(sign: Sign, alone: f64, ratios: [f64; 5], is_trade: bool, shows: &'static str, absent: &'static str) -> Row {
    Row { sign, alone, ratios, is_trade, shows, absent }
}

#[rustfmt::skip]
pub const SIGNS: [Row; 24] = [
    //                          alone   clean  heat  stand damage  pad
    row(Sign::OuterStain,       0.020, [20.0,  2.0,  2.0,  1.0,  1.0], TRADE, "the outer face is stained", "the outer face has no stain"),
    row(Sign::InnerStain,       0.010, [ 6.0,  2.0,  4.0,  1.0,  1.0], OURS,  "the inner face is stained", "the inner face has no stain"),
    row(Sign::BellStained,      0.040, [12.0,  2.0,  2.0,  1.0,  1.0], TRADE, "the bell is stained", "the bell is not stained"),
    row(Sign::BellEtched,       0.005, [60.0,  1.0,  4.0,  1.0,  1.0], TRADE, "the bell is etched", "the bell is not etched"),
    row(Sign::BellDiscoloured,  0.050, [ 3.0,  8.0,  1.0,  1.0,  2.0], TRADE, "the bell is discoloured", "the bell is not discoloured"),
    row(Sign::OuterWorse,       0.030, [15.0,  1.0,  1.0,  2.0,  6.0], TRADE, "the outer face is more worn than the inner one", "the outer face is not more worn than the inner one"),
    row(Sign::InnerWorse,       0.040, [ 1.0,  2.0,  1.0,  2.0, 12.0], TRADE, "the inner face is more worn than the outer one", "the inner face is not more worn than the outer one"),
    row(Sign::AheadOfDistance,  0.050, [ 8.0,  6.0,  2.0,  2.0,  4.0], TRADE, "the wear runs ahead of the distance", "the wear does not run ahead of the distance"),
    row(Sign::HeatTint,         0.030, [ 1.0, 20.0,  1.0,  1.0,  5.0], TRADE, "a face is discoloured by heat", "no face is discoloured by heat"),
    row(Sign::Craze,            0.030, [ 1.0, 12.0,  1.0,  2.0,  2.0], TRADE, "a face has a net of fine cracks", "no face has a net of fine cracks"),
    row(Sign::Spalling,         0.010, [ 3.0, 15.0,  5.0,  8.0,  2.0], TRADE, "material has flaked off", "no material has flaked off"),
    row(Sign::Crack,            0.010, [ 1.0, 10.0,  1.0, 15.0,  1.0], TRADE, "a face is cracked", "no face is cracked"),
    row(Sign::Chip,             0.030, [ 1.0,  1.0,  1.0, 14.0,  1.0], TRADE, "an edge or a hole is chipped", "no edge or hole is chipped"),
    row(Sign::Groove,           0.050, [ 1.0,  1.0,  2.0,  8.0,  3.0], TRADE, "a face is grooved", "no face is grooved"),
    row(Sign::Deposit,          0.080, [ 1.0,  4.0,  2.0,  1.0,  2.0], TRADE, "pad material lies on a face", "no pad material lies on a face"),
    row(Sign::PadPrint,         0.040, [ 1.0,  2.0, 12.0,  1.0,  1.0], TRADE, "a pad that stood has left its print", "no pad has left its print"),
    row(Sign::FixingsCorroded,  0.040, [ 4.0,  1.0, 10.0,  1.0,  1.0], TRADE, "fixings are corroded", "no fixing is corroded"),
    row(Sign::FixingsLoose,     0.010, [ 1.0,  2.0,  2.0,  8.0,  1.0], OURS,  "fixings are missing or loose", "no fixing is missing or loose"),
    row(Sign::CalliperNotFree,  0.005, [ 1.0,  4.0,  4.0,  1.0, 90.0], TRADE, "the calliper does not work freely", "the calliper is free"),
    row(Sign::Taper,            0.040, [ 1.0,  1.0,  1.0,  1.0, 12.0], TRADE, "a lining is tapered", "no lining is tapered"),
    row(Sign::PadsDiffer,       0.050, [ 1.0,  1.0,  1.0,  1.0, 10.0], TRADE, "the two linings differ", "the two linings do not differ"),
    row(Sign::Glazed,           0.050, [ 1.0,  9.0,  1.0,  1.0,  2.0], TRADE, "a lining is glazed", "no lining is glazed"),
    row(Sign::Crumbling,        0.010, [ 1.0, 20.0,  3.0,  1.0,  8.0], TRADE, "a lining crumbles", "no lining crumbles"),
    row(Sign::WorseThanOtherSide, 0.050, [ 4.0,  1.0,  1.0,  3.0,  8.0], OURS, "the disc is more worn than the one across", "the disc is not more worn than the one across"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_a_probability_for_every_cause() {
        for (at, row) in SIGNS.iter().enumerate() {
            assert_eq!(row.sign as usize, at, "the rows stand in the order of the signs");
            assert!(
                row.alone > 0.0 && row.ratios.iter().all(|ratio| *ratio >= 1.0 && row.alone * ratio < 0.95),
                "{row:?}"
            );
        }
        for (at, prior) in PRIORS.iter().enumerate() {
            assert_eq!(prior.0 as usize, at);
        }
    }
}
