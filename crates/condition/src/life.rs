//! How far discs and pads will go, by Monte Carlo (JCGM 101:2008) with a fixed seed.

mod draw;
mod left;
pub(crate) mod line;
mod rate;

use std::num::NonZeroUsize;

use model::{
    Axle, CauseReckoning, ChanceOnBasis, CornerLife, CornerName, CornerReckoning, DiscMaterial, Inspection, Life,
    LifeBasis, PerAxle, PerCorner,
};

use crate::cause::LEAST_FOR_DISTANCE;
use crate::number::chance_percent;
use left::{Luck, Outlook, Part};

/// How many draws a distance is read from (JCGM 101:2008, 7.2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Draws(pub NonZeroUsize);

impl Draws {
    /// What the method takes.
    pub const OF_METHOD: Self = Self(NonZeroUsize::new(100_000).unwrap());
}

/// The chance that something of an axle ends within a distance.
#[derive(Debug, Clone, Copy)]
pub struct EndsWithin {
    pub basis: LifeBasis,
    pub chance: f64,
}

/// How far everything goes, and what of it ends within the buyer's own distance.
pub struct Lives {
    /// Corner by corner.
    pub corners: PerCorner<CornerLife>,
    /// The chance that a disc of the axle ends within the buyer's distance; empty where that cannot be told.
    pub discs_end: PerAxle<Vec<EndsWithin>>,
    /// The same for its pads.
    pub pads_end: PerAxle<Vec<EndsWithin>>,
}

/// Reads every distance.
pub fn reckon(inspection: &Inspection, corners: &PerCorner<CornerReckoning>, draws: Draws) -> Lives {
    let luck = Luck::draw(draws);
    let outlooks = PerCorner::from_fn(|name| {
        let figures = corners.at(name);
        let held_back = hold_back(inspection, name, figures.cause.as_ref());
        let disc = held_back
            .clone()
            .map_or_else(|| Outlook::of(inspection, name, figures, Part::Disc, &luck, draws), Outlook::Unknown);
        let pads = held_back
            .map_or_else(|| Outlook::of(inspection, name, figures, Part::Pads, &luck, draws), Outlook::Unknown);
        (disc, pads)
    });
    let within = inspection.use_ahead.as_ref().map(model::UseAhead::km);
    let ends = |axle: Axle, of: fn(&(Outlook, Outlook)) -> &Outlook| -> Vec<EndsWithin> {
        let on_axle: Vec<_> =
            outlooks.iter().filter(|(name, _)| name.axle() == axle).map(|(_, both)| of(both)).collect();
        within.map_or_else(Vec::new, |km| left::ends_within(&on_axle, km))
    };
    Lives {
        discs_end: PerAxle { front: ends(Axle::Front, |both| &both.0), rear: ends(Axle::Rear, |both| &both.0) },
        pads_end: PerAxle { front: ends(Axle::Front, |both| &both.1), rear: ends(Axle::Rear, |both| &both.1) },
        corners: PerCorner::from_fn(|name| {
            let (disc, pads) = outlooks.at(name);
            CornerLife {
                disc: disc.say(inspection),
                pads: pads.say(inspection),
                disc_outlives_pads: left::outlives(disc, pads),
            }
        }),
    }
}

/// The life of a corner of which nothing is reckoned yet.
pub fn not_yet() -> CornerLife {
    let not = || Life::NotReckoned(String::new());
    CornerLife { disc: not(), pads: not(), disc_outlives_pads: Vec::<ChanceOnBasis>::new() }
}

/// Why no distance is given at this corner, where its state is not ordinary wear's alone.
fn hold_back(inspection: &Inspection, name: CornerName, cause: Option<&CauseReckoning>) -> Option<String> {
    if inspection.car.brakes.at(name.axle()).material == DiscMaterial::Iron {
        return Some("The disc is of iron; the rules used here are for carbon-ceramic discs.".to_owned());
    }
    let cause = cause?;
    (cause.wear_only < LEAST_FOR_DISTANCE).then(|| {
        let likeliest = cause.causes.iter().max_by(|a, b| a.chance.total_cmp(&b.chance));
        let what = likeliest.map_or_else(String::new, |one| {
            format!(" ({}: {})", one.cause.words(), chance_percent(one.chance))
        });
        format!(
            "The chance that ordinary wear is the only cause at the {} is {}, under the {:.0} % that a distance needs{what}.",
            name.words(),
            chance_percent(cause.wear_only),
            LEAST_FOR_DISTANCE * 100.0
        )
    })
}
