//! Why: what was found and measured, corner by corner, then what belongs to the whole car.

use model::{
    Bell, BellFinish, Calliper, CalliperState, Corner, CornerName, CornerReckoning, Evidence, Face, FaceName, Felt,
    Heard, Inspection, Measured, Outcome, Pad, PadName, Sentence, Stage, WearLead,
};

use super::phrase::{carriers, list, pads, share};
use super::{Findings, cause, life, recorded};
use crate::disc_part::parts;
use crate::explain::{evidence_of, plural, reading_of};
use crate::faces_apart::compare_faces;
use crate::mark::list_beyond;
use crate::number::{digits_for, rounded};
use crate::stage::may_be_at_mark;

/// What carries the answer at one corner.
pub fn corner(findings: &Findings<'_>, name: CornerName) -> Vec<Sentence> {
    let reckoned = findings.corners.at(name);
    let mut sentences = Vec::new();
    sentences.extend(disc(findings.inspection, name, reckoned));
    sentences.extend(findings.remarks.at(name).iter().cloned());
    let seen = findings.inspection.corners.at(name).seen();
    if let Some(seen) = seen {
        sentences.extend(faces(name, seen));
        sentences.extend(apart(findings.inspection, name));
        sentences.extend(seen.bell.seen().and_then(|found| bell(name, found)));
    }
    sentences.extend(linings(name, reckoned));
    sentences.extend(cause::at(name, reckoned));
    sentences.extend(life::at(findings.inspection, name, reckoned));
    if let Some(seen) = seen {
        sentences.extend(seen.outer_pad.seen().and_then(|found| pad(name, PadName::Outer, found)));
        sentences.extend(seen.inner_pad.seen().and_then(|found| pad(name, PadName::Inner, found)));
        sentences.extend(seen.calliper.seen().and_then(|found| calliper(name, found)));
    }
    sentences
}

fn sentence(text: String, evidence: Vec<Evidence>) -> Sentence {
    Sentence { text, evidence }
}

fn disc(inspection: &Inspection, name: CornerName, reckoned: &CornerReckoning) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    let (known, unknown): (Vec<_>, Vec<_>) = parts(reckoned).into_iter().partition(|(_, figure)| figure.is_some());
    if reckoned.disc_stage == Stage::Unknown {
        return sentences;
    }
    let mut text = format!("The {} disc is {}", name.words(), reckoned.disc_stage.words());
    let figures: Vec<_> =
        known.iter().filter_map(|(what, figure)| Some(format!("{what} {}", share((*figure)?)))).collect();
    if !figures.is_empty() {
        text += &format!(": {}", list(&figures));
    }
    let beyond: Vec<_> = list_beyond(inspection, name)
        .into_iter()
        .filter(|beyond| beyond.is_wear)
        .map(|beyond| beyond.reading)
        .collect();
    text += &match (beyond.len(), figures.len()) {
        (0, 2..) => "; the worse governs.".to_owned(),
        (0, _) => ".".to_owned(),
        (count, _) => format!("; {count} reading{} beyond its own mark.", if count == 1 { " lies" } else { "s lie" }),
    };
    let mut evidence = carriers(reckoned);
    evidence
        .extend(beyond.into_iter().map(reading_of).filter(|reading| !evidence.contains(reading)).collect::<Vec<_>>());
    sentences.push(sentence(text, evidence));
    for (what, figure) in &known {
        let Some(figure) = figure.filter(|figure| may_be_at_mark(figure)) else { continue };
        sentences.push(sentence(
            format!(
                "The {} disc's {what} may be at its mark already: the interval that holds it with 95 % runs from {} to {} %.",
                name.words(),
                rounded(figure.low * 100.0, 0),
                rounded(figure.high * 100.0, 0)
            ),
            evidence_of(figure),
        ));
    }
    if !unknown.is_empty() {
        let what: Vec<_> = unknown.iter().map(|(what, _)| (*what).to_owned()).collect();
        sentences.push(sentence(
            format!("Of the {} disc, {} could not be reckoned.", name.words(), list(&what)),
            what.iter().map(|what| Evidence::Missing { what: format!("{} {what}", name.words()) }).collect(),
        ));
    }
    sentences
}

fn faces(name: CornerName, seen: &Corner) -> Vec<Sentence> {
    let both = [(FaceName::Outer, seen.outer_face.seen()), (FaceName::Inner, seen.inner_face.seen())];
    both.into_iter().filter_map(|(face, found)| defects(name, face, found?)).collect()
}

fn defects(name: CornerName, face: FaceName, found: &Face) -> Option<Sentence> {
    let defects: Vec<_> = found
        .defects
        .iter()
        .map(|defect| {
            let extent = defect.extent.map_or_else(String::new, |extent| format!(" {}", extent.words()));
            let size = defect.size_mm.map_or_else(String::new, |size| format!(" of {:.0} mm", size.value()));
            let hour = defect.place.hour.map_or_else(String::new, |hour| format!(" at {hour} o'clock"));
            format!("{}{size}{extent}, {}{hour}", defect.kind.words(), defect.place.zone.words())
        })
        .collect();
    (!defects.is_empty()).then(|| {
        sentence(
            format!("On the {} {} face: {}.", name.words(), face.words(), defects.join("; ")),
            vec![Evidence::Face { corner: name, face }],
        )
    })
}

/// Parts of one face differ as much in fewer drawings than this (project assumption).
const TOLD_CHANCE: f64 = 0.01;

/// How the two faces of a disc differ in their photographs.
fn apart(inspection: &Inspection, name: CornerName) -> Option<Sentence> {
    let (outer_id, outer) = inspection.find_measured_face(name, FaceName::Outer)?;
    let (inner_id, inner) = inspection.find_measured_face(name, FaceName::Inner)?;
    let difference = compare_faces(&outer.seen.pattern, &inner.seen.pattern);
    let told = if difference.chance < TOLD_CHANCE {
        "more than the parts of one face do"
    } else {
        "by no more than the parts of one face do"
    };
    Some(sentence(
        format!(
            "In their photographs the two faces of the {} disc differ {told}: by {:.1} in colour (CIEDE2000), by {:+.1} % of the area in what stands out of the fibre pattern, outer less inner.",
            name.words(),
            difference.colour,
            difference.differences[1] * 100.0
        ),
        vec![Evidence::Photograph { id: outer_id.clone() }, Evidence::Photograph { id: inner_id.clone() }],
    ))
}

fn bell(name: CornerName, found: &Bell) -> Option<Sentence> {
    let mut words = Vec::new();
    if found.finish != BellFinish::Even {
        words.push(format!("the bell is {}", found.finish.words()));
    }
    if found.fixings.corroded {
        words.push("its fixings are corroded".to_owned());
    }
    if found.fixings.missing_or_loose > 0 {
        let count = found.fixings.missing_or_loose;
        words.push(format!("{count} fixing{} missing or loose", if count == 1 { " is" } else { "s are" }));
    }
    (!words.is_empty())
        .then(|| sentence(format!("At the {}, {}.", name.words(), list(&words)), vec![Evidence::Bell { corner: name }]))
}

fn linings(name: CornerName, reckoned: &CornerReckoning) -> Option<Sentence> {
    let known: Vec<_> = pads(reckoned).into_iter().filter_map(|(pad, figure)| Some((pad, figure?))).collect();
    let words: Vec<_> = known.iter().map(|(pad, figure)| format!("{} {}", pad.words(), share(figure))).collect();
    let evidence = known
        .iter()
        .flat_map(|&(pad, figure)| evidence_of(figure).into_iter().chain([Evidence::Pad { corner: name, pad }]))
        .collect();
    (!known.is_empty())
        .then(|| sentence(format!("The {} lining{}: {}.", name.words(), plural(known.len()), list(&words)), evidence))
}

/// From this difference on, a taper is told here; smaller ones stand on the corner's own page (project assumption).
const TOLD_TAPER_MM: f64 = 0.5;

fn pad(name: CornerName, which: PadName, found: &Pad) -> Option<Sentence> {
    let mut words = Vec::new();
    if found.lead == Some(WearLead::WornThrough) {
        words.push("its wear lead is worn through".to_owned());
    }
    if let Some(taper) = found.taper_mm.map(model::Millimetre::value).filter(|&taper| taper >= TOLD_TAPER_MM) {
        words.push(format!("its lining differs by {taper:.1} mm between its ends"));
    }
    if found.glazed == Some(true) {
        words.push("it is glazed".to_owned());
    }
    if found.crumbling == Some(true) {
        words.push("it crumbles".to_owned());
    }
    (!words.is_empty()).then(|| {
        sentence(
            format!("The {} {} pad: {}.", name.words(), which.words(), list(&words)),
            vec![Evidence::Pad { corner: name, pad: which }],
        )
    })
}

fn calliper(name: CornerName, found: &Calliper) -> Option<Sentence> {
    (found.state != CalliperState::Free).then(|| {
        sentence(
            format!("The {} calliper: {}.", name.words(), found.state.words()),
            vec![Evidence::Calliper { corner: name }],
        )
    })
}

/// What belongs to no corner: the road test, what was held against a limit, differences, the distance run.
pub fn whole_car(findings: &Findings<'_>) -> Vec<Sentence> {
    let inspection = findings.inspection;
    let mut sentences = Vec::new();
    for (index, step) in inspection.road_test.seen().into_iter().flat_map(|test| &test.steps).enumerate() {
        let felt = step.felt.iter().filter(|&&felt| felt != Felt::NothingUnusual).map(|felt| felt.words());
        let heard = step.heard.iter().filter(|&&heard| heard != Heard::NearlySilent).map(|heard| heard.words());
        let words: Vec<_> = felt.chain(heard).map(str::to_owned).collect();
        if !words.is_empty() {
            sentences.push(sentence(
                format!("On the road ({}): {}.", step.kind.words(), list(&words)),
                vec![Evidence::RoadTestStep { index: index as u32 }],
            ));
        }
    }
    sentences.extend(recorded::beside_what_was_felt(inspection));
    // What is within its limit stands in the report's table; the whole car's figures are told in any case.
    let told = findings.measured.iter().filter(|one| !is_of_shape(one) || one.outcome != Outcome::Within);
    sentences.extend(told.map(held));
    let differ = findings.asymmetries.iter().filter(|one| one.is_significant);
    sentences.extend(differ.map(|one| sentence(one.text.clone(), one.evidence.clone())));
    sentences.extend(findings.distance.iter().map(|one| sentence(one.text.clone(), one.evidence.clone())));
    sentences
}

/// What was held against its limit, with the limit.
fn held(measured: &Measured) -> Sentence {
    let (value, digits) = (&measured.value, digits_for(measured.value.uncertainty));
    let limit = match measured.limit {
        Some(limit) => {
            format!(", {} ({} {})", measured.outcome.words(), rounded(limit, limit_digits(limit)), measured.unit)
        }
        None => String::new(),
    };
    let text = format!(
        "{}: {} ± {} {}{limit}.",
        measured.what,
        rounded(value.value, digits),
        rounded(value.uncertainty, digits),
        measured.unit
    );
    sentence(text, evidence_of(value))
}

/// Whether it tells of one disc's shape.
fn is_of_shape(measured: &Measured) -> bool {
    measured.unit == "mm"
}

fn limit_digits(limit: f64) -> usize {
    (0..6).find(|&digits| (limit - rounded(limit, digits).parse().unwrap_or(limit)).abs() < 1e-9).unwrap_or(6)
}
