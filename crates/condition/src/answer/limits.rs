//! What limits the answer: what was not looked at and why, which rules are rules of thumb, what is not reckoned.

use model::{Corner, CornerName, DiscMaterial, Evidence, Inspected, Inspection, Line, Measurand, PadName, Sentence};

use super::phrase::faces;
use super::{Findings, recorded};
use crate::mark::{find_thinnest, lining_mark};
use crate::stage::{PART_WORN_FROM, SPENT_FROM};

/// The sentences, each tied to what is missing or what it is about.
pub fn write(findings: &Findings<'_>) -> Vec<Sentence> {
    let inspection = findings.inspection;
    let mut limits: Vec<_> = inspection
        .not_inspected
        .iter()
        .map(|omission| {
            missing(format!("Not inspected: {} ({}).", omission.what, omission.why), omission.what.as_str())
        })
        .collect();
    for (name, corner) in inspection.corners.iter() {
        limits.extend(findings.corners.at(name).missing.iter().map(|text| missing(text.clone(), text)));
        limits.extend(unseen_parts(name, corner));
    }
    if let Some(reason) = inspection.road_test.reason() {
        limits.push(missing(format!("No road test: {reason}."), "road test"));
    }
    limits.extend(recorded::limits(inspection));
    limits.extend(rule_of_thumb(findings));
    limits.extend(signs(findings));
    limits.extend(not_measured(inspection));
    limits.extend(findings.next_look.map(|look| {
        let text = format!("What would tell most about the causes: {}", look.text);
        missing(text, &format!("a look at the {}", look.corner.words()))
    }));
    limits.push(missing(
        format!(
            "A figure with ± is the best value and one standard deviation: in two cases of three the truth lies within it, in nineteen of twenty within twice as much. A disc under {:.0} % is called as new and from {:.0} % on at the end of its life; pads last to their mark.",
            PART_WORN_FROM * 100.0,
            SPENT_FROM * 100.0
        ),
        "exactness",
    ));
    if !findings.warnings.iter().any(|warning| warning.do_not_drive) {
        limits.push(missing(
            "No reason against driving was met among those looked for; that is no clearance to drive.".to_owned(),
            "what was not looked for",
        ));
    }
    limits
}

fn missing(text: String, what: &str) -> Sentence {
    Sentence { text, evidence: vec![Evidence::Missing { what: what.to_owned() }] }
}

/// What nobody measured of the whole car.
fn not_measured(inspection: &Inspection) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    if inspection.readings_of(Measurand::FluidBoilingPoint).next().is_none() {
        sentences.push(missing("The brake fluid's boiling point was not measured.".to_owned(), "brake fluid"));
    }
    if !inspection.readings.iter().any(|reading| matches!(reading.of, Measurand::BrakeForce { .. })) {
        sentences.push(missing("Brake forces were not measured on a roller tester.".to_owned(), "roller tester"));
    }
    sentences
}

/// Bell and calliper; the figures' own parts are said with the figures.
fn unseen_parts(name: CornerName, corner: &Inspected<Corner>) -> Vec<Sentence> {
    let say = |part: &str, reason: &Line| {
        missing(format!("The {} {part}: not inspected, {reason}.", name.words()), &format!("{} {part}", name.words()))
    };
    match corner {
        Inspected::NotInspected(reason) => vec![say("bell and calliper", reason)],
        Inspected::Seen(seen) => {
            let parts = [("bell", seen.bell.reason()), ("calliper", seen.calliper.reason())];
            parts.into_iter().filter_map(|(part, reason)| Some(say(part, reason?))).collect()
        }
    }
}

fn rule_of_thumb(findings: &Findings<'_>) -> Option<Sentence> {
    let inspection = findings.inspection;
    let by_thumb: Vec<_> = CornerName::ALL
        .iter()
        .flat_map(|&corner| PadName::ALL.iter().map(move |&pad| (corner, pad)))
        .filter(|&(corner, pad)| {
            !lining_mark(inspection, corner).is_makers && find_thinnest(inspection, corner, pad).is_some()
        })
        .collect();
    let mm = lining_mark(inspection, by_thumb.first()?.0).mm;
    Some(Sentence {
        text: format!(
            "Where the maker's renewal mark of a lining is not known, {mm:.0} mm stands for it: a rule of thumb (2 to 3 mm, common practice, no source)."
        ),
        evidence: by_thumb.into_iter().map(|(corner, pad)| Evidence::Pad { corner, pad }).collect(),
    })
}

fn signs(findings: &Findings<'_>) -> Option<Sentence> {
    let judged: Vec<_> = findings
        .corners
        .iter()
        .filter(|(name, corner)| {
            findings.inspection.car.brakes.at(name.axle()).material == DiscMaterial::CarbonCeramic
                && (corner.outer_face.is_some() || corner.inner_face.is_some())
        })
        .flat_map(|(name, _)| faces(name))
        .collect();
    (!judged.is_empty()).then(|| Sentence {
        text: "What a face's signs stand for is common practice without a source; their figures are assumptions of this method, and so are the borders between the stages.".to_owned(),
        evidence: judged,
    })
}
