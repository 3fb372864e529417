//! What the answer means for each of its readers.

use model::{Cause, CornerName, Evidence, Sentence, Stage};

use super::phrase::{carriers, list};
use super::{Findings, cause};
use crate::disc_part::{WHOLE, part_of};
use crate::mark::find_used_up;
use crate::number::chance_percent;

fn sentence(text: String, evidence: Vec<Evidence>) -> Sentence {
    Sentence { text, evidence }
}

fn words(names: &[CornerName]) -> String {
    list(&names.iter().map(|name| name.words().to_owned()).collect::<Vec<_>>())
}

fn spent(findings: &Findings<'_>) -> Vec<CornerName> {
    let is_spent = |name: &CornerName| findings.corners.at(*name).disc_stage == Stage::EndOfLife;
    CornerName::ALL.iter().copied().filter(is_spent).collect()
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
    let spent = spent(findings);
    if !spent.is_empty() {
        said.push(sentence(
            format!(
                "Count the renewal of the {} {} into the price, or ask for it before the sale; discs are renewed axle by axle as a rule.",
                words(&spent),
                plural_disc(&spent)
            ),
            evidence_at(findings, &spent),
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
            "Nothing that was found calls for a lower price; what was not inspected stays open.".to_owned(),
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
    let spent = spent(findings);
    if !spent.is_empty() {
        said.push(sentence(
            format!(
                "Who offers the car as it stands should say in writing that the {} {} {} to be renewed.",
                words(&spent),
                plural_disc(&spent),
                if spent.len() == 1 { "is" } else { "are" }
            ),
            evidence_at(findings, &spent),
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
        if corner.disc_stage == Stage::EndOfLife {
            work.push("renew the disc, with the axle's other one, by the maker's procedure".to_owned());
        }
        for &pad in model::PadName::ALL {
            if find_used_up(findings.inspection, name, pad).is_some() {
                work.push(format!("renew the pads of the axle (the {} one is at its mark)", pad.words()));
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
