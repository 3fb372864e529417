//! What the answer means for each of its readers.

use model::{Cause, CornerName, Evidence, Sentence};

use super::phrase::{carriers, list};
use super::{Findings, cause};
use crate::disc_part::{WHOLE, part_of};
use crate::number::chance_percent;
use crate::renewal::{find_pad_due, is_disc_due};

fn sentence(text: String, evidence: Vec<Evidence>) -> Sentence {
    Sentence { text, evidence }
}

fn words(names: &[CornerName]) -> String {
    list(&names.iter().map(|name| name.words().to_owned()).collect::<Vec<_>>())
}

fn due(findings: &Findings<'_>) -> Vec<CornerName> {
    let is_due = |name: &CornerName| is_disc_due(findings.inspection, *name, findings.corners.at(*name));
    CornerName::ALL.iter().copied().filter(is_due).collect()
}

fn evidence_at(findings: &Findings<'_>, names: &[CornerName]) -> Vec<Evidence> {
    names.iter().flat_map(|&name| carriers(findings.corners.at(name))).collect()
}

fn plural_disc(names: &[CornerName]) -> &'static str {
    if names.len() == 1 { "disc" } else { "discs" }
}

/// Someone who decides whether to buy, and for how much.
pub fn to_buyer(findings: &Findings<'_>) -> Vec<Sentence> {
    let mut said = Vec::new();
    if findings.warnings.iter().any(|warning| warning.do_not_drive) {
        said.push(sentence(
            "Do not drive the car home: have it carried, or have what is named above put right first.".to_owned(),
            findings.warnings.iter().flat_map(|warning| warning.evidence.clone()).collect(),
        ));
    }
    let due = due(findings);
    if !due.is_empty() {
        said.push(sentence(
            format!(
                "Count the renewal of the {} {} into the price, or ask for it before the sale; discs are renewed axle by axle as a rule.",
                words(&due),
                plural_disc(&due)
            ),
            evidence_at(findings, &due),
        ));
    }
    said.extend(findings.cost.into_iter().flat_map(|cost| cost.against_asking.iter().cloned()));
    if let Some(cost) = findings.cost {
        for expected in &cost.expected {
            let rows: Vec<_> = expected
                .rows
                .iter()
                .map(|row| {
                    let what = if row.discs { "discs and pads" } else { "pads alone" };
                    format!("{} axle {what} {}", row.axle.words(), chance_percent(row.chance))
                })
                .collect();
            let unit = findings.inspection.use_ahead.as_ref().map_or(model::OdometerUnit::Km, model::UseAhead::unit);
            let lacks =
                if expected.lacks.is_empty() { String::new() } else { format!(" It lacks {}.", list(&expected.lacks)) };
            said.push(sentence(
                format!(
                    "Within {} of your own, by {}, the chance of a renewal: {}; the expected cost is {} {} with tax.{lacks}",
                    crate::number::distance(expected.within_km, unit),
                    expected.basis.words(),
                    list(&rows),
                    cost.currency.code(),
                    super::grouped(expected.expected)
                ),
                vec![Evidence::Prices, Evidence::Odometer],
            ));
        }
    }
    if said.is_empty() {
        said.push(sentence(
            "No disc was found due for renewal. What else was found, and what was not inspected, is to be weighed against the price.".to_owned(),
            vec![Evidence::Missing { what: "what was not inspected".to_owned() }],
        ));
    }
    said
}

/// Someone who sells, and must say what is so.
pub fn to_seller(findings: &Findings<'_>) -> Vec<Sentence> {
    let mut said = vec![sentence(
        "Carbon-ceramic discs are wear parts: they have a mark at which they are renewed, and no distance that holds for every car.".to_owned(),
        CornerName::ALL.iter().map(|&corner| Evidence::Mark { corner }).collect(),
    )];
    let due = due(findings);
    if !due.is_empty() {
        said.push(sentence(
            format!(
                "Who offers the car as it stands should say in writing that the {} {} {} to be renewed.",
                words(&due),
                plural_disc(&due),
                if due.len() == 1 { "is" } else { "are" }
            ),
            evidence_at(findings, &due),
        ));
    }
    let unsure = findings.corners.iter().flat_map(|(name, corner)| {
        [(WHOLE, corner.bulk.is_none()), ("inner face", corner.inner_face.is_none())]
            .into_iter()
            .filter(|(_, is_missing)| *is_missing)
            .map(move |(what, _)| part_of(name, what))
    });
    let unsure: Vec<_> = unsure.collect();
    if !unsure.is_empty() {
        said.push(sentence(
            format!(
                "If the answer is disputed, what settles it is a look or a measurement of what could not be judged: {}.",
                list(&unsure)
            ),
            unsure.iter().map(|what| Evidence::Missing { what: what.clone() }).collect(),
        ));
    }
    said
}

/// Someone who works on the car.
pub fn to_workshop(findings: &Findings<'_>) -> Vec<Sentence> {
    let mut said = Vec::new();
    for (name, corner) in findings.corners.iter() {
        let mut work = Vec::new();
        if is_disc_due(findings.inspection, name, corner) {
            work.push("renew the disc, with the axle's other one, by the maker's procedure".to_owned());
        }
        for &pad in model::PadName::ALL {
            if let Some(due) = find_pad_due(findings.inspection, name, pad) {
                work.push(format!("renew the pads of the axle (the {} one {})", pad.words(), due.words()));
            }
        }
        if let Some(one) = cause::find_likely(corner) {
            work.push(match one.cause {
                Cause::PadOrCalliper => "free or renew the calliper before new parts go in".to_owned(),
                Cause::Heat => "look for what overheated it: a dragging pad, a blocked duct, use on a track".to_owned(),
                Cause::Cleaner => "keep acid and alkaline wheel cleaners off disc and bell".to_owned(),
                Cause::Standing => "look at the fixings and the face under the pad for corrosion".to_owned(),
                Cause::Damage => "look at the ring's edges and holes for damage".to_owned(),
            });
        }
        if !work.is_empty() {
            said.push(sentence(format!("{}: {}.", super::capital(name.words()), work.join("; ")), carriers(corner)));
        }
    }
    said.extend(findings.next_look.map(|look| {
        let what = format!("causes at the {}", look.corner.words());
        sentence(look.text.clone(), vec![Evidence::Missing { what }])
    }));
    said.push(sentence(
        "Follow the maker's procedure and torque figures; catch brake dust wet or enclosed, never with compressed air."
            .to_owned(),
        vec![Evidence::Missing { what: "the maker's procedure".to_owned() }],
    ));
    said
}
