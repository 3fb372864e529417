//! Why a disc wore: ordinary wear alone, or something beside it. More than one may hold.
//!
//! Each of the 32 sets of causes has a probability. A sign shows with ordinary wear now and then, and each cause that
//! holds may bring it about on its own (a noisy or). Signs are taken to be independent given the causes, which is a
//! simplification of the project's. `table.rs` holds every number, with its source.

pub(crate) mod belief;
mod found;
mod look;
pub(crate) mod table;

use model::{
    Asymmetry, Cause, CauseChance, CauseReckoning, CornerName, CornerReckoning, DiscMaterial, Inspection, NextLook,
    PerCorner, SignWeight, Source,
};

use belief::Belief;
use found::{Found, State, find_signs};
use table::{PRIORS, SIGNS};

/// Under this chance that ordinary wear is the only cause, no distance is given.
pub const LEAST_FOR_DISTANCE: f64 = 0.8;
/// How many signs are listed for and against a cause.
const MOST_LISTED: usize = 3;
/// A sign that changes the odds by less than this is not worth listing.
const LEAST_FACTOR: f64 = 1.05;

/// Why the disc of this corner wore; nothing where the corner was not seen or the disc is of iron, whose wear has
/// other signs.
pub fn reckon(
    inspection: &Inspection,
    corner: CornerName,
    figures: &CornerReckoning,
    asymmetries: &[Asymmetry],
) -> Option<CauseReckoning> {
    let found = signs_of(inspection, corner, figures, asymmetries)?;
    let belief = Belief::of(&found);
    let causes = Cause::ALL.iter().map(|&cause| weigh(cause, &found, &belief)).collect();
    Some(CauseReckoning {
        wear_only: belief.none(),
        causes,
        signs_seen: found.iter().filter(|sign| sign.state != State::NotLooked).count() as u32,
        signs_known: SIGNS.len() as u32,
    })
}

/// The look, over all corners, from which most is to be learnt; nothing where no look would tell more.
pub fn find_next_look(
    inspection: &Inspection,
    corners: &PerCorner<CornerReckoning>,
    asymmetries: &[Asymmetry],
) -> Option<NextLook> {
    let of_corner = |(name, figures): (CornerName, &CornerReckoning)| {
        let found = signs_of(inspection, name, figures, asymmetries)?;
        look::find_best(name, &found)
    };
    corners
        .iter()
        .filter_map(of_corner)
        .max_by(|a, b| a.gain_bits.total_cmp(&b.gain_bits).then(b.corner.cmp(&a.corner)))
}

fn signs_of(
    inspection: &Inspection,
    corner: CornerName,
    figures: &CornerReckoning,
    asymmetries: &[Asymmetry],
) -> Option<Vec<Found>> {
    let seen = inspection.corners.at(corner).seen()?;
    let is_ceramic = inspection.car.brakes.at(corner.axle()).material == DiscMaterial::CarbonCeramic;
    is_ceramic.then(|| find_signs(inspection, corner, seen, figures, asymmetries))
}

fn weigh(cause: Cause, found: &[Found], belief: &Belief) -> CauseChance {
    let chance = belief.of_cause(cause);
    let weights: Vec<_> = found
        .iter()
        .enumerate()
        .filter(|(_, sign)| sign.state != State::NotLooked)
        .map(|(at, sign)| (belief.odds(cause) / Belief::without(found, at).odds(cause), sign))
        .collect();
    let mut speaks_for: Vec<_> = weights.iter().filter(|weight| weight.0 >= LEAST_FACTOR).collect();
    speaks_for.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut speaks_against: Vec<_> = weights.iter().filter(|weight| weight.0 <= 1.0 / LEAST_FACTOR).collect();
    speaks_against.sort_by(|a, b| a.0.total_cmp(&b.0));
    let listed = |weights: Vec<&(f64, &Found)>| weights.into_iter().take(MOST_LISTED).map(say).collect();
    CauseChance {
        cause,
        chance,
        before: PRIORS[cause as usize].1,
        speaks_for: listed(speaks_for),
        speaks_against: listed(speaks_against),
    }
}

fn say(&(factor, sign): &(f64, &Found)) -> SignWeight {
    let row = sign.row();
    let text = if sign.state == State::Shows { row.shows } else { row.absent };
    let source = if row.is_trade { Source::CommonPractice } else { Source::ProjectAssumption };
    SignWeight { text: text.to_owned(), factor, source, evidence: sign.evidence.clone() }
}
