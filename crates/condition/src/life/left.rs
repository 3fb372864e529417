//! The distance that a part has left: draws, their points, and the days on which they end.

use std::collections::BTreeMap;

use chrono::Days;
use model::{
    ChanceOnBasis, CornerName, CornerReckoning, Evidence, Explanation, FaceName, Figure, Inspection, Life, LifeBasis,
    LifeEnds, LifeLeft, PadName,
};

use super::draw::Normals;
use super::line::Line;
use super::rate::{Quantity, Wearing};
use super::{Draws, EndsWithin};
use crate::explain::{from_evidence, from_parts};
use crate::number::{kilometres, percent};
use crate::rule::{DISC_BY_PAPER, DISC_BY_THUMB, PADS_BY_THUMB, Rule};

/// Further than any car runs: what a rate too slow to tell from none comes to, in kilometres.
const MOST_KM: f64 = 1_000_000.0;
/// The shares of the draws that lie under the points told.
const POINTS: [f64; 5] = [0.05, 0.25, 0.50, 0.75, 0.95];
/// The streams of what all corners share: the car's own luck with a rule.
const SHARED_STREAM: u64 = 1_000;

/// Which part of a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Disc,
    Pads,
}

/// What is known of how far a part goes.
pub enum Outlook {
    /// Nothing, for this reason.
    Unknown(String),
    /// Draws of the distance on each basis, in kilometres, and what they rest on.
    Drawn { draws: BTreeMap<LifeBasis, Vec<f64>>, because: BTreeMap<LifeBasis, Explanation> },
}

impl Outlook {
    /// Draws the distances of this part.
    pub fn of(
        inspection: &Inspection,
        corner: CornerName,
        figures: &CornerReckoning,
        part: Part,
        luck: &Luck,
        count: Draws,
    ) -> Self {
        let wearing = list_wearing(inspection, corner, figures, part);
        if wearing.is_empty() {
            let what = if part == Part::Disc { "the disc is" } else { "the linings are" };
            return Self::Unknown(format!("Nothing that was seen or measured tells how worn {what}."));
        }
        let rules: &[Rule] = match part {
            Part::Disc => &[DISC_BY_THUMB, DISC_BY_PAPER],
            Part::Pads => &[PADS_BY_THUMB],
        };
        // The rule fills in for what no earlier visit saw.
        let bases: Vec<(LifeBasis, Rule)> = if wearing.iter().any(|one| one.line.is_some()) {
            vec![(LifeBasis::OwnVisits, rules[0])]
        } else {
            rules.iter().map(|&rule| (rule.basis, rule)).collect()
        };
        let mut draws = BTreeMap::new();
        let mut because = BTreeMap::new();
        for (basis, rule) in bases {
            let source = Source { corner, basis, rule, luck: luck.with(rule, part), count };
            draws.insert(basis, source.draw(&wearing));
            because.insert(basis, explain(&wearing, basis, rule, count));
        }
        Self::Drawn { draws, because }
    }

    /// The points of the distance on each basis, or why there are none.
    pub fn say(&self, inspection: &Inspection) -> Life {
        match self {
            Self::Unknown(why) => Life::NotReckoned(why.clone()),
            Self::Drawn { draws, because } => Life::Reckoned(
                draws
                    .iter()
                    .zip(because.values())
                    .map(|((&basis, draws), because)| {
                        let km = points(draws);
                        LifeLeft { basis, km, ends: find_ends(inspection, km), because: because.clone() }
                    })
                    .collect(),
            ),
        }
    }
}

fn list_wearing(inspection: &Inspection, corner: CornerName, figures: &CornerReckoning, part: Part) -> Vec<Wearing> {
    let of: Vec<(Quantity, &Option<Figure>)> = match part {
        Part::Disc => vec![
            (Quantity::Bulk, &figures.bulk),
            (Quantity::Face(FaceName::Outer), &figures.outer_face),
            (Quantity::Face(FaceName::Inner), &figures.inner_face),
        ],
        Part::Pads => vec![
            (Quantity::Lining(PadName::Outer), &figures.outer_pad),
            (Quantity::Lining(PadName::Inner), &figures.inner_pad),
        ],
    };
    let known = of.into_iter().filter_map(|(quantity, figure)| Some((quantity, figure.as_ref()?)));
    known.map(|(quantity, figure)| Wearing::of(inspection, corner, quantity, figure)).collect()
}

/// The car's own luck with the rules of thumb: one car, one driver, the same at every corner. A factor for each draw.
pub struct Luck {
    discs: Vec<f64>,
    pads: Vec<f64>,
}

impl Luck {
    /// Draws it.
    pub fn draw(count: Draws) -> Self {
        let factors = |number, rule: Rule| {
            let mut normals = Normals::stream(number);
            (0..count.0.get()).map(|_| libm::exp(rule.spread * normals.next())).collect()
        };
        Self { discs: factors(SHARED_STREAM, DISC_BY_THUMB), pads: factors(SHARED_STREAM + 1, PADS_BY_THUMB) }
    }

    /// The factors of this rule; none where its distance is the most, and exact.
    fn with(&self, rule: Rule, part: Part) -> Option<&[f64]> {
        (rule.spread > 0.0).then_some(match part {
            Part::Disc => &self.discs,
            Part::Pads => &self.pads,
        })
    }
}

/// What the distances of one part are drawn from.
struct Source<'a> {
    corner: CornerName,
    basis: LifeBasis,
    rule: Rule,
    luck: Option<&'a [f64]>,
    count: Draws,
}

impl Source<'_> {
    /// The distance to the first of the quantities that reaches its mark.
    fn draw(&self, wearing: &[Wearing]) -> Vec<f64> {
        let mut left = vec![MOST_KM; self.count.0.get()];
        for one in wearing {
            let normals = Normals::stream(one.quantity.stream(self.corner));
            match &one.line {
                Some(line) if self.basis == LifeBasis::OwnVisits => shorten_by_line(&mut left, line, normals),
                _ => self.shorten_by_rule(&mut left, one, normals),
            }
        }
        left
    }

    fn shorten_by_rule(&self, left: &mut [f64], one: &Wearing, mut normals: Normals) {
        let mut open = || (1.0 - (one.value + one.uncertainty * normals.next())).max(0.0) * self.rule.km;
        match self.luck {
            Some(luck) => left.iter_mut().zip(luck).for_each(|(km, luck)| *km = km.min(open() * luck)),
            None => left.iter_mut().for_each(|km| *km = km.min(open())),
        }
    }
}

/// What wears by its own line goes to where the line meets the mark.
fn shorten_by_line(left: &mut [f64], line: &Line, mut normals: Normals) {
    let with_slope = line.covariance / line.u_at;
    let of_its_own = (line.u_slope * line.u_slope - with_slope * with_slope).max(0.0).sqrt();
    for km in left {
        let (z, other) = (normals.next(), normals.next());
        let open = 1.0 - (line.at + line.u_at * z);
        let rate = line.slope + with_slope * z + of_its_own * other;
        let goes = match (open > 0.0, rate > 0.0) {
            (false, _) => 0.0,
            (true, true) => open / rate,
            (true, false) => MOST_KM,
        };
        *km = km.min(goes);
    }
}

fn explain(wearing: &[Wearing], basis: LifeBasis, rule: Rule, count: Draws) -> Explanation {
    let of_rule = |one: &Wearing| {
        let text = format!(
            "Of {}, {} % is used; from new to the mark lasts {} {}{}.",
            one.quantity.words(),
            percent(one.value, one.uncertainty),
            if rule.basis == LifeBasis::Paper { "at most" } else { "about" },
            kilometres(rule.km),
            if rule.spread > 0.0 {
                format!(
                    ", in two cars of three between {} and {}",
                    kilometres(rule.km * libm::exp(-rule.spread)),
                    kilometres(rule.km * libm::exp(rule.spread))
                )
            } else {
                String::new()
            }
        );
        from_evidence(text, rule.source(), Vec::new())
    };
    let parts = wearing
        .iter()
        .map(|one| match &one.because {
            Some(because) if basis == LifeBasis::OwnVisits => because.clone(),
            _ => of_rule(one),
        })
        .collect();
    let text = format!(
        "By {}: the distance to the first of these that reaches its mark, from {} draws with a fixed seed (JCGM 101:2008).",
        basis.words(),
        count.0
    );
    let mut because = from_parts(text, model::Source::Arithmetic, parts);
    because.evidence.push(Evidence::Odometer);
    because
}

/// The points of the draws, each within them.
fn points(draws: &[f64]) -> [f64; 5] {
    // No distance is negative, and the bits of such doubles stand in the order of their values.
    let mut sorted: Vec<u64> = draws.iter().map(|km| km.to_bits()).collect();
    let mut from = 0;
    POINTS.map(|share| {
        let at = ((share * draws.len() as f64) as usize).clamp(from, draws.len() - 1);
        let (_, found, _) = sorted[from..].select_nth_unstable(at - from);
        let km = f64::from_bits(*found);
        from = at;
        km
    })
}

/// The days on which the outer points and the middle are reached at the yearly distance.
fn find_ends(inspection: &Inspection, km: [f64; 5]) -> Option<LifeEnds> {
    let yearly = yearly_km(inspection)?;
    let day = |km: f64| {
        let days = km / yearly * 365.25;
        // Beyond a hundred years no calendar of a car matters.
        (days < 36_525.0).then(|| inspection.visited_at.date_naive().checked_add_days(Days::new(days as u64)))?
    };
    Some(LifeEnds { early_on: day(km[0])?, middle_on: day(km[2])?, late_on: day(km[4])? })
}

/// The buyer's own yearly distance, else the car's since its first registration; none where it is not known or nothing.
pub fn yearly_km(inspection: &Inspection) -> Option<f64> {
    let so_far = || {
        let days = (inspection.visited_at.date_naive() - inspection.car.first_registered?).num_days();
        (days >= 180).then(|| inspection.car.odometer.km() / days as f64 * 365.25)
    };
    let yearly = inspection.use_ahead.as_ref().map(|ahead| ahead.yearly.km()).or_else(so_far)?;
    (yearly > 0.0).then_some(yearly)
}

/// The chance that the disc outlives its present pads, on each basis of the disc.
pub fn outlives(disc: &Outlook, pads: &Outlook) -> Vec<ChanceOnBasis> {
    let (Outlook::Drawn { draws: discs, .. }, Outlook::Drawn { draws: pads, .. }) = (disc, pads) else {
        return Vec::new();
    };
    let Some(pads) = pads.values().next() else { return Vec::new() };
    discs
        .iter()
        .map(|(&basis, disc)| {
            let longer = disc.iter().zip(pads).filter(|(disc, pads)| disc > pads).count();
            ChanceOnBasis { basis, chance: longer as f64 / pads.len() as f64 }
        })
        .collect()
}

/// The chance that any of these ends within so many kilometres, on each basis of the first; nothing where one is not known.
pub fn ends_within(parts: &[&Outlook], within_km: f64) -> Vec<EndsWithin> {
    let drawn: Option<Vec<_>> = parts
        .iter()
        .map(|part| match part {
            Outlook::Drawn { draws, .. } => Some(draws),
            Outlook::Unknown(_) => None,
        })
        .collect();
    let Some(drawn) = drawn.filter(|drawn| !drawn.is_empty()) else { return Vec::new() };
    let on_basis = |&basis: &LifeBasis| {
        // A part that has no such basis is taken on the one that it has.
        let each: Vec<_> =
            drawn.iter().filter_map(|draws| draws.get(&basis).or_else(|| draws.values().next())).collect();
        let count = each[0].len();
        let ends = (0..count).filter(|&at| each.iter().any(|draws| draws[at] <= within_km)).count();
        EndsWithin { basis, chance: ends as f64 / count as f64 }
    };
    drawn[0].keys().map(on_basis).collect()
}
