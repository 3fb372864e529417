//! Each claim against what it may not fit with: the findings, arithmetic, the trade's rules, the disc's own mark.

use model::{
    Axle, Cause, Claim, CornerName, Evidence, Inspection, LetterRequest, Measurand, Reckoning, Reply, Source, Stage,
};

use super::{ContradictedBy, Contradiction};
use crate::disc_part::find_worst;
use crate::number::{percent, rounded, thousands};
use crate::rule::PADS_BY_THUMB;

/// What a reply is held against.
pub(super) struct Against<'a> {
    pub request: &'a LetterRequest,
    pub reply: &'a Reply,
    pub inspected: Option<(&'a Inspection, &'a Reckoning)>,
}

fn misfit(by: ContradictedBy, text: String, source: Source, evidence: Vec<Evidence>) -> Contradiction {
    Contradiction { by, text, source, evidence }
}

impl Against<'_> {
    fn inspection(&self) -> Option<&Inspection> {
        self.inspected.map(|(inspection, _)| inspection)
    }

    /// The distance run, by the inspection where there is one.
    fn run_km(&self) -> Option<f64> {
        let inspected = self.inspection().map(|inspection| inspection.car.odometer.km());
        inspected.or_else(|| self.request.car.odometer.map(model::Odometer::km))
    }

    pub fn check(&self, claim: &Claim) -> Vec<Contradiction> {
        match claim {
            Claim::LastsForEver => self.for_ever(),
            Claim::DiscsAreFirst { yes } => self.first_discs(*yes).into_iter().collect(),
            Claim::DiscReplaced { at_km, .. } => self.replaced(at_km.value()).into_iter().collect(),
            Claim::DiscMass { corner, mass_g } => self.mass(*corner, mass_g.value()),
            Claim::DiscThickness { corner, thickness_mm } => self.thickness(*corner, thickness_mm.value()),
            Claim::PadSets { axle, count } => self.pad_sets(*axle, *count),
            Claim::Lining { axle, lining_mm } => self.lining(*axle, lining_mm.value()).into_iter().collect(),
            Claim::WaterOnly => self.cause(Cause::Cleaner, "That water alone was used on the wheels"),
            Claim::HardUse { yes: false } => self.cause(Cause::Heat, "That the car was not driven hard"),
            Claim::FacesLookedAt { day } | Claim::CallipersSeenTo { day } | Claim::FluidChanged { day, .. } => {
                self.day(*day).into_iter().collect()
            }
            Claim::StoodMonths { months } => self.stood(*months).into_iter().collect(),
            Claim::NotKnown | Claim::CleanerUsed { .. } | Claim::HardUse { .. } | Claim::WillSign { .. } => Vec::new(),
        }
    }

    /// Discs without end: every disc has a mark at which it is renewed, and some discs of this car may be near it.
    pub fn for_ever(&self) -> Vec<Contradiction> {
        let mut found = vec![misfit(
            ContradictedBy::Rule,
            "That the discs last as long as the car does not fit with the least mass, thickness or reading that is marked on such discs: they are wear parts, renewed at their own mark.".to_owned(),
            Source::PartMark,
            CornerName::ALL.iter().map(|&corner| Evidence::Mark { corner }).collect(),
        )];
        let Some((_, reckoning)) = self.inspected else { return found };
        for (name, corner) in reckoning.corners.iter() {
            let worst = find_worst(corner).filter(|_| corner.disc_stage == Stage::EndOfLife);
            let Some((what, figure)) = worst else { continue };
            found.push(misfit(
                ContradictedBy::Finding,
                format!(
                    "That the discs last as long as the car does not fit with the {} disc, which is at the end of its life ({what} {} % worn).",
                    name.words(),
                    percent(figure.value, figure.uncertainty)
                ),
                Source::Inspection,
                crate::explain::evidence_of(figure),
            ));
        }
        found
    }

    fn first_discs(&self, yes: bool) -> Option<Contradiction> {
        let replaced = &self.inspection()?.car.discs_replaced;
        let first = replaced.first().filter(|_| yes)?;
        Some(misfit(
            ContradictedBy::Finding,
            format!(
                "That all discs are the first ones does not fit with the {} disc, which was replaced ({}).",
                first.corner.words(),
                first.origin
            ),
            Source::Inspection,
            vec![Evidence::Mark { corner: first.corner }],
        ))
    }

    fn replaced(&self, at_km: f64) -> Option<Contradiction> {
        let run = self.run_km().filter(|run| at_km > *run)?;
        Some(misfit(
            ContradictedBy::Arithmetic,
            format!(
                "A disc replaced at {} km does not fit with an odometer at {} km.",
                thousands(at_km),
                thousands(run)
            ),
            Source::Arithmetic,
            vec![Evidence::Odometer],
        ))
    }

    fn mass(&self, corner: CornerName, grams: f64) -> Vec<Contradiction> {
        let Some(inspection) = self.inspection() else { return Vec::new() };
        let disc = inspection.car.disc(corner);
        let marks = (disc.new_mass_g.map(model::Gram::value), disc.minimum_mass_g.map(model::Gram::value));
        self.against_marks(corner, grams, marks, ("g", 0), Measurand::DiscMass { corner })
    }

    fn thickness(&self, corner: CornerName, mm: f64) -> Vec<Contradiction> {
        let Some(inspection) = self.inspection() else { return Vec::new() };
        let disc = inspection.car.disc(corner);
        let millimetres = model::Millimetre::value;
        let marks = (disc.new_thickness_mm.map(millimetres), disc.minimum_thickness_mm.map(millimetres));
        self.against_marks(corner, mm, marks, ("mm", 2), Measurand::DiscThickness { corner })
    }

    /// A claimed value above new, at or under the mark, or above what was measured by more than three standard
    /// uncertainties of the reading.
    fn against_marks(
        &self,
        corner: CornerName,
        claimed: f64,
        (new, least): (Option<f64>, Option<f64>),
        (unit, digits): (&str, usize),
        of: Measurand,
    ) -> Vec<Contradiction> {
        let what = |value: f64| format!("{} {unit}", rounded(value, digits));
        let mut found = Vec::new();
        let mut say = |by, text: String, source| found.push(misfit(by, text, source, vec![Evidence::Mark { corner }]));
        if let Some(new) = new.filter(|new| claimed > *new) {
            say(
                ContradictedBy::Arithmetic,
                format!(
                    "{} for the {} disc does not fit with {} when new: nothing grows by wear.",
                    what(claimed),
                    corner.words(),
                    what(new)
                ),
                Source::PartMark,
            );
        }
        if let Some(least) = least.filter(|least| claimed <= *least) {
            say(
                ContradictedBy::Rule,
                format!(
                    "{} for the {} disc is at or under its own mark of {}: such a disc is renewed.",
                    what(claimed),
                    corner.words(),
                    what(least)
                ),
                Source::PartMark,
            );
        }
        let measured = self.inspection().into_iter().flat_map(|inspection| inspection.readings_of(of));
        let far = measured.filter_map(|reading| {
            let (mean, spread) =
                crate::combine::mean_of_points(&reading.base_values().collect::<Vec<_>>(), reading.base_uncertainty());
            ((claimed - mean).abs() > 3.0 * spread).then_some((reading, mean, spread))
        });
        for (reading, mean, spread) in far.collect::<Vec<_>>() {
            found.push(misfit(
                ContradictedBy::Finding,
                format!(
                    "{} for the {} disc does not fit with {} ± {} {unit} as measured.",
                    what(claimed),
                    corner.words(),
                    rounded(mean, digits),
                    rounded(spread, digits.max(1))
                ),
                Source::Inspection,
                vec![crate::explain::reading_of(reading)],
            ));
        }
        found
    }

    fn pad_sets(&self, axle: Axle, count: u8) -> Vec<Contradiction> {
        /// A set that lasts less than this share of the rule of thumb, or more than this many times it, does not fit
        /// (project assumption).
        const FITS: (f64, f64) = (0.15, 3.0);
        let mut found = Vec::new();
        if let Some(run) = self.run_km().filter(|run| *run > 0.0) {
            let each = run / (f64::from(count) + 1.0);
            let words = match (each < FITS.0 * PADS_BY_THUMB.km, each > FITS.1 * PADS_BY_THUMB.km) {
                (true, _) => Some("far less than"),
                (_, true) => Some("far more than"),
                _ => None,
            };
            found.extend(words.map(|words| {
                misfit(
                    ContradictedBy::Rule,
                    format!(
                        "{count} sets of pads used on the {} axle in {} km are {} km to a set with the one that is fitted, {words} the rule of thumb of about {} km.",
                        axle.words(),
                        thousands(run),
                        thousands((each / 100.0).round() * 100.0),
                        thousands((PADS_BY_THUMB.km / 1000.0).round() * 1000.0)
                    ),
                    Source::CommonPractice,
                    vec![Evidence::Odometer],
                )
            }));
        }
        let known = self.inspection().and_then(|inspection| *inspection.car.pad_sets_used.at(axle));
        if let Some(other) = known.filter(|known| *known != count) {
            found.push(misfit(
                ContradictedBy::Finding,
                format!(
                    "{count} sets of pads on the {} axle do not fit with the {other} that the inspection took down.",
                    axle.words()
                ),
                Source::Inspection,
                vec![Evidence::Odometer],
            ));
        }
        found
    }

    /// A lining claimed for an axle against the thinnest that was measured there.
    fn lining(&self, axle: Axle, claimed: f64) -> Option<Contradiction> {
        let of_axle = self
            .inspection()?
            .readings
            .iter()
            .filter(|reading| matches!(reading.of, Measurand::Lining { corner, .. } if corner.axle() == axle));
        let (reading, least) = crate::mark::thinnest_of(of_axle)?;
        (claimed - least > 3.0 * reading.base_uncertainty()).then(|| {
            misfit(
                ContradictedBy::Finding,
                format!(
                    "At least {} mm of lining on the {} axle does not fit with {} mm as measured.",
                    rounded(claimed, 1),
                    axle.words(),
                    rounded(least, 1)
                ),
                Source::Inspection,
                vec![crate::explain::reading_of(reading)],
            )
        })
    }

    /// A claim that speaks against a cause which the findings make likely.
    fn cause(&self, of: Cause, claim: &str) -> Vec<Contradiction> {
        /// From this chance on a claim does not fit with a cause (project assumption).
        const LIKELY: f64 = 0.6;
        let Some((_, reckoning)) = self.inspected else { return Vec::new() };
        let at_corner = |(name, corner): (CornerName, &model::CornerReckoning)| {
            let found = corner.cause.as_ref()?.causes.iter().find(|one| one.cause == of)?;
            (found.chance >= LIKELY).then(|| {
                let signs: Vec<_> = found.speaks_for.iter().map(|sign| sign.text.clone()).collect();
                misfit(
                    ContradictedBy::Finding,
                    format!(
                        "{claim} does not fit with {}, which is likely at the {} ({}): {}.",
                        of.words(),
                        name.words(),
                        crate::number::chance_percent(found.chance),
                        crate::answer::list(&signs)
                    ),
                    Source::ProjectAssumption,
                    found.speaks_for.iter().flat_map(|sign| sign.evidence.clone()).collect(),
                )
            })
        };
        reckoning.corners.iter().filter_map(at_corner).collect()
    }

    fn day(&self, day: model::Day) -> Option<Contradiction> {
        let reply = self.reply.dated;
        let registered = self.request.car.first_registered;
        let text = if day > reply {
            format!("{day} does not fit with a reply of {reply}: it lies after it.")
        } else if let Some(first) = registered.filter(|first| day < *first) {
            format!("{day} does not fit with a car that was first registered on {first}.")
        } else {
            return None;
        };
        Some(misfit(ContradictedBy::Arithmetic, text, Source::Arithmetic, Vec::new()))
    }

    fn stood(&self, months: u16) -> Option<Contradiction> {
        let registered = self.request.car.first_registered?;
        let age = (self.reply.dated - registered).num_days() as f64 / 30.44;
        (f64::from(months) > age + 1.0).then(|| {
            misfit(
                ContradictedBy::Arithmetic,
                format!("{months} months of standing do not fit with a car that is {age:.0} months old."),
                Source::Arithmetic,
                Vec::new(),
            )
        })
    }
}
