//! How fast one quantity wears: by this car's own visits where there are any.

use model::{CornerName, Evidence, Explanation, FaceName, Figure, Inspection, PadName, PriorVisit, Source};

use super::line::{Line, Point, fit_line};
use crate::chance::HALF_WIDTH_95;
use crate::explain::{Estimate, from_evidence, from_parts, plural};
use crate::number::{kilometres, percent};
use crate::wear::{bulk_then, face_then, first_visit_of_this_disc, lining_then};

/// One standard deviation of an odometer's figure, in kilometres: it shows whole units and is read on arrival (project
/// assumption).
const ODOMETER_KM: f64 = 5.0;
/// Visits nearer together than this tell no rate (project assumption).
const LEAST_APART_KM: f64 = 500.0;

/// What of a corner wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantity {
    Bulk,
    Face(FaceName),
    Lining(PadName),
}

impl Quantity {
    pub const fn words(self) -> &'static str {
        match self {
            Self::Bulk => "the whole disc",
            Self::Face(FaceName::Outer) => "its outer face",
            Self::Face(FaceName::Inner) => "its inner face",
            Self::Lining(PadName::Outer) => "the outer lining",
            Self::Lining(PadName::Inner) => "the inner lining",
        }
    }

    /// The number of its stream of draws.
    pub const fn stream(self, corner: CornerName) -> u64 {
        let place = match self {
            Self::Bulk => 0,
            Self::Face(FaceName::Outer) => 1,
            Self::Face(FaceName::Inner) => 2,
            Self::Lining(PadName::Outer) => 3,
            Self::Lining(PadName::Inner) => 4,
        };
        corner as u64 * 8 + place
    }
}

/// One quantity as it stands today, and its own line over the distance where earlier visits saw it.
#[derive(Debug, Clone)]
pub struct Wearing {
    pub quantity: Quantity,
    /// Today's share and its standard uncertainty.
    pub value: f64,
    pub uncertainty: f64,
    /// Over kilometres, told at today's odometer.
    pub line: Option<Line>,
    /// How the line came about.
    pub because: Option<Explanation>,
}

impl Wearing {
    /// The quantity with this figure today.
    pub fn of(inspection: &Inspection, corner: CornerName, quantity: Quantity, figure: &Figure) -> Self {
        let (value, uncertainty) = (figure.value, figure.uncertainty);
        let mut wearing = Self { quantity, value, uncertainty, line: None, because: None };
        let now_km = inspection.car.odometer.km();
        let then = earlier(inspection, corner, quantity, figure);
        let is_apart = then.first().is_some_and(|(_, visit, _)| now_km - visit.odometer.km() >= LEAST_APART_KM);
        if !is_apart {
            return wearing;
        }
        let point = |km, y: f64, u_y: f64| Point { x: km, u_x: ODOMETER_KM, y, u_y };
        let mut points: Vec<_> =
            then.iter().map(|(_, visit, was)| point(visit.odometer.km(), was.value, was.uncertainty)).collect();
        points.push(point(now_km, value, uncertainty));
        wearing.line = fit_line(&points, now_km);
        wearing.because = wearing.line.map(|line| explain(quantity, &line, then));
        wearing
    }
}

fn explain(quantity: Quantity, line: &Line, then: Vec<(usize, &PriorVisit, Estimate)>) -> Explanation {
    let count = then.len();
    let text = format!(
        "Of {}, a straight line through today and {count} earlier visit{} gives {} % of the way to the mark in 10\u{202F}000 km (errors in both directions).",
        quantity.words(),
        plural(count),
        percent(line.slope * 1e4, line.u_slope * 1e4)
    );
    let evidence = then.iter().map(|&(index, ..)| Evidence::EarlierVisit { index: index as u32 }).collect();
    let parts = then
        .into_iter()
        .map(|(_, visit, was)| {
            let (on, at) = (visit.on, kilometres(visit.odometer.km()));
            let text = format!("On {on} at {at}: {} %.", percent(was.value, was.uncertainty));
            let source = Source::Inspection;
            Estimate { because: from_evidence(text, source, was.because.evidence), ..was }.into_step()
        })
        .collect();
    Explanation { evidence, ..from_parts(text, published_line(), parts) }
}

fn published_line() -> Source {
    crate::explain::published("York, Evensen, Martínez and Delgado 2004, best straight line; JCGM 100:2008, H.3")
}

/// What earlier visits say of it, the oldest first, as long as it is the same part: a disc that was not replaced since, a
/// lining that has not grown.
fn earlier<'a>(
    inspection: &'a Inspection,
    corner: CornerName,
    quantity: Quantity,
    now: &Figure,
) -> Vec<(usize, &'a PriorVisit, Estimate)> {
    let visits = inspection.car.prior_visits.iter().enumerate();
    let then = |visit: &PriorVisit| match quantity {
        Quantity::Bulk => bulk_then(inspection, corner, &visit.readings),
        Quantity::Face(name) => {
            let is_this = |face: &&model::EarlierFace| (face.corner, face.face) == (corner, name);
            face_then(visit.faces.iter().find(is_this)?)
        }
        Quantity::Lining(pad) => lining_then(inspection, corner, pad, &visit.readings),
    };
    let mut found: Vec<_> = visits.filter_map(|(index, visit)| Some((index, visit, then(visit)?))).collect();
    match quantity {
        Quantity::Bulk | Quantity::Face(_) => {
            let first = first_visit_of_this_disc(inspection, corner);
            found.retain(|&(index, ..)| index >= first);
        }
        Quantity::Lining(_) => {
            let mut same_from = 0;
            let values = found.iter().map(|(.., was)| (was.value, was.uncertainty));
            let series: Vec<_> = values.chain([(now.value, now.uncertainty)]).collect();
            for (at, pair) in series.windows(2).enumerate() {
                let has_grown = pair[0].0 - pair[1].0 > HALF_WIDTH_95 * libm::hypot(pair[0].1, pair[1].1);
                if has_grown {
                    same_from = at + 1;
                }
            }
            found.drain(..same_from.min(found.len()));
        }
    }
    found
}
