//! Questions for the buyer to put to the seller in writing, filled in for this car.

use model::{Axle, Cause, CornerName, DiscMaterial, Evidence, Measurand, Sentence};

use super::phrase::{carriers, list};
use super::{Findings, cause};

/// What the findings leave to ask, the car's whole history first.
pub fn list_open(findings: &Findings<'_>) -> Vec<Sentence> {
    let inspection = findings.inspection;
    let car = &inspection.car;
    let mut asked = Vec::new();
    let mut ask = |text: String, evidence: Vec<Evidence>| asked.push(Sentence { text, evidence });
    for &axle in Axle::ALL {
        if car.brakes.at(axle).material == DiscMaterial::CarbonCeramic && car.pad_sets_used.at(axle).is_none() {
            ask(
                format!("How many sets of pads has the {} axle used, when, and who fitted them?", axle.words()),
                vec![Evidence::Missing { what: format!("pad sets of the {} axle", axle.words()) }],
            );
        }
    }
    let unread: Vec<_> = CornerName::ALL
        .iter()
        .filter(|&&corner| car.disc(corner).serial.is_none())
        .map(|c| c.words().to_owned())
        .collect();
    if !unread.is_empty() {
        ask(
            format!("Are the discs the ones that the car left the works with (serial numbers: {})?", list(&unread)),
            vec![Evidence::Missing { what: "serial numbers".to_owned() }],
        );
    }
    let unweighed: Vec<_> = CornerName::ALL
        .iter()
        .filter(|&&corner| inspection.readings_of(Measurand::DiscMass { corner }).next().is_none())
        .map(|corner| corner.words().to_owned())
        .collect();
    if !unweighed.is_empty() {
        ask(
            format!("Were the discs ever weighed or measured, by whom, and what was read ({})?", list(&unweighed)),
            vec![Evidence::Missing { what: "disc mass".to_owned() }],
        );
    }
    for (name, corner) in findings.corners.iter() {
        let Some(one) = cause::find_likely(corner) else { continue };
        let question = match one.cause {
            Cause::Cleaner => "which cleaner was used on the wheels, and how often",
            Cause::Heat => "was the car driven on a track or down long passes, and was a dragging brake ever reported",
            Cause::Standing => "how long did the car stand, and where",
            Cause::Damage => "was the disc struck, or a wheel fitted badly",
            Cause::PadOrCalliper => "when was the calliper last seen to, and what was done",
        };
        ask(format!("Of the {} brake: {question}?", name.words()), carriers(corner));
    }
    if inspection.readings_of(Measurand::FluidBoilingPoint).next().is_none() {
        ask(
            "When was the brake fluid last changed, and with fluid of which class?".to_owned(),
            vec![Evidence::Missing { what: "brake fluid".to_owned() }],
        );
    }
    asked
}
