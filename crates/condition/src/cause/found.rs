//! Which signs a corner shows, which it does not, and which were not looked for.

use model::{
    Asymmetry, BellFinish, CalliperState, Corner, CornerName, CornerReckoning, DefectKind, Evidence, FaceName, Figure,
    Inspection, Measurand, PadName, Pairing,
};

use super::table::{Row, SIGNS, Sign};
use crate::rule::DISC_BY_THUMB;

/// From this taper on a lining counts as tapered, in millimetres (project assumption).
const TAPERED_FROM_MM: f64 = 0.8;
/// Wear runs ahead where it is surely beyond so many times the share of the rule of thumb's distance, and a margin
/// (project assumption).
const AHEAD: (f64, f64) = (1.5, 0.2);

/// Whether a sign shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    Shows,
    Absent,
    NotLooked,
}

/// One sign of the table as it was found.
#[derive(Debug, Clone)]
pub struct Found {
    pub sign: Sign,
    pub state: State,
    pub evidence: Vec<Evidence>,
}

impl Found {
    pub const fn row(&self) -> &'static Row {
        &SIGNS[self.sign as usize]
    }
}

/// Every sign of the table, in its order.
pub fn find_signs(
    inspection: &Inspection,
    corner: CornerName,
    seen: &Corner,
    figures: &CornerReckoning,
    asymmetries: &[Asymmetry],
) -> Vec<Found> {
    let at = At { inspection, corner, seen, figures, asymmetries };
    SIGNS
        .iter()
        .map(|row| {
            let (shows, evidence) = at.look_for(row.sign);
            let state = match shows {
                Some(true) => State::Shows,
                Some(false) => State::Absent,
                None => State::NotLooked,
            };
            Found { sign: row.sign, state, evidence }
        })
        .collect()
}

struct At<'a> {
    inspection: &'a Inspection,
    corner: CornerName,
    seen: &'a Corner,
    figures: &'a CornerReckoning,
    asymmetries: &'a [Asymmetry],
}

/// Whether it shows, if it was looked for, and what says so.
type Seen = (Option<bool>, Vec<Evidence>);

impl At<'_> {
    fn look_for(&self, sign: Sign) -> Seen {
        match sign {
            Sign::OuterStain => self.defect_on(FaceName::Outer, DefectKind::Stain),
            Sign::InnerStain => self.defect_on(FaceName::Inner, DefectKind::Stain),
            Sign::HeatTint => self.defect(DefectKind::HeatTint),
            Sign::Craze => self.defect(DefectKind::Craze),
            Sign::Spalling => self.defect(DefectKind::Spalling),
            Sign::Crack => self.defect(DefectKind::Crack),
            Sign::Chip => self.defect(DefectKind::Chip),
            Sign::Groove => self.defect(DefectKind::Groove),
            Sign::Deposit => self.defect(DefectKind::Deposit),
            Sign::PadPrint => self.defect(DefectKind::PadPrint),
            Sign::BellStained => self.bell(|finish| finish == BellFinish::Stained),
            Sign::BellEtched => self.bell(|finish| finish == BellFinish::Etched),
            Sign::BellDiscoloured => self.bell(|finish| finish == BellFinish::Discoloured),
            Sign::FixingsCorroded => self.fixings(|fixings| fixings.corroded),
            Sign::FixingsLoose => self.fixings(|fixings| fixings.missing_or_loose > 0),
            Sign::OuterWorse => self.differs(Pairing::Faces, |difference| difference > 0.0),
            Sign::InnerWorse => self.differs(Pairing::Faces, |difference| difference < 0.0),
            Sign::PadsDiffer => self.differs(Pairing::Pads, |_| true),
            Sign::WorseThanOtherSide => self.worse_than_other_side(),
            Sign::AheadOfDistance => self.ahead_of_distance(),
            Sign::CalliperNotFree => {
                let state = self.seen.calliper.seen().map(|calliper| calliper.state != CalliperState::Free);
                (state, vec![Evidence::Calliper { corner: self.corner }])
            }
            Sign::Taper => self.pads(|pad| Some(pad.taper_mm?.value() >= TAPERED_FROM_MM)),
            Sign::Glazed => self.pads(|pad| pad.glazed),
            Sign::Crumbling => self.pads(|pad| pad.crumbling),
        }
    }

    fn face(&self, name: FaceName) -> Option<&model::Face> {
        match name {
            FaceName::Outer => self.seen.outer_face.seen(),
            FaceName::Inner => self.seen.inner_face.seen(),
        }
    }

    fn defect_on(&self, name: FaceName, kind: DefectKind) -> Seen {
        let shows = self.face(name).map(|face| face.defects.iter().any(|defect| defect.kind == kind));
        (shows, vec![Evidence::Face { corner: self.corner, face: name }])
    }

    /// On either face. What one face shows, the other does as a rule: seen on one is enough to be called absent.
    fn defect(&self, kind: DefectKind) -> Seen {
        let each: Vec<_> = FaceName::ALL.iter().map(|&name| self.defect_on(name, kind)).collect();
        either(each)
    }

    fn bell(&self, is: impl Fn(BellFinish) -> bool) -> Seen {
        (self.seen.bell.seen().map(|bell| is(bell.finish)), vec![Evidence::Bell { corner: self.corner }])
    }

    fn fixings(&self, is: impl Fn(&model::Fixings) -> bool) -> Seen {
        (self.seen.bell.seen().map(|bell| is(&bell.fixings)), vec![Evidence::Bell { corner: self.corner }])
    }

    fn pads(&self, is: impl Fn(&model::Pad) -> Option<bool>) -> Seen {
        let each = [(PadName::Outer, &self.seen.outer_pad), (PadName::Inner, &self.seen.inner_pad)];
        let each =
            each.map(|(pad, seen)| (seen.seen().and_then(&is), vec![Evidence::Pad { corner: self.corner, pad }]));
        either(each.into())
    }

    fn differs(&self, between: Pairing, is: impl Fn(f64) -> bool) -> Seen {
        let found = self.asymmetries.iter().find(|one| one.between == between && one.corner == Some(self.corner));
        found.map_or((None, Vec::new()), |one| (Some(one.is_significant && is(one.difference)), one.evidence.clone()))
    }

    fn worse_than_other_side(&self) -> Seen {
        let axle = Some(self.corner.axle());
        let found = self.asymmetries.iter().find(|one| one.between == Pairing::DiscsAcross && one.axle == axle);
        found.map_or((None, Vec::new()), |one| {
            let is_left = self.corner.side() == model::Side::Left;
            (Some(one.is_significant && (one.difference > 0.0) == is_left), one.evidence.clone())
        })
    }

    fn ahead_of_distance(&self) -> Seen {
        let figures = [&self.figures.bulk, &self.figures.outer_face, &self.figures.inner_face];
        let low = |figure: &Figure| figure.low;
        let Some(surely) = figures.into_iter().flatten().map(low).max_by(f64::total_cmp) else {
            return (None, Vec::new());
        };
        let car = &self.inspection.car;
        let fitted = car.discs_replaced.iter().filter(|replaced| replaced.corner == self.corner);
        let fitted_km = fitted.filter_map(|replaced| replaced.at_km).map(model::Kilometre::value).fold(0.0, f64::max);
        let run = (car.odometer.km() - fitted_km).max(0.0) / DISC_BY_THUMB.km;
        let mut evidence = vec![Evidence::Odometer];
        evidence.extend(
            self.inspection.readings_of(Measurand::DiscMass { corner: self.corner }).map(crate::explain::reading_of),
        );
        (Some(surely > AHEAD.0 * run + AHEAD.1), evidence)
    }
}

/// Shows where any does; absent where one was looked at and none shows. What shows carries it.
fn either(each: Vec<Seen>) -> Seen {
    let shows: Vec<_> = each.iter().filter(|seen| seen.0 == Some(true)).flat_map(|seen| seen.1.clone()).collect();
    if !shows.is_empty() {
        return (Some(true), shows);
    }
    let looked: Vec<_> = each.into_iter().filter(|seen| seen.0.is_some()).flat_map(|seen| seen.1).collect();
    ((!looked.is_empty()).then_some(false), looked)
}
