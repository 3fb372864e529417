//! The record around its inspection: the device's row, the times, the photographs' copies, the reckoning's texts.

use chrono::TimeDelta;

use super::{Problems, inspection, limits};
use crate::{
    parse::Problem,
    photograph::PhotographTaken,
    reckoning::{CornerReckoning, CostReckoning, Evidence, Explanation, Figure, Life, Reckoning, Sentence, Source},
    record::Record,
    text::check_made,
};

/// The largest whole number that canonical JSON keeps exactly (RFC 8785, 3.2.2.3).
const MOST_EXACT: u64 = (1 << 53) - 1;

pub fn record(record: &Record) -> Vec<Problem> {
    let mut problems = Problems::default();
    let device = &record.device;
    problems.add_if(!(1..=MOST_EXACT).contains(&device.sequence), "device.sequence", || {
        format!("got {}, expected 1 to {MOST_EXACT}", device.sequence)
    });
    problems.add_if((device.sequence == 1) != device.previous.is_none(), "device.previous", || {
        "expected none for a device's first record and the digest of the one before for every other".to_owned()
    });
    problems.add_if(record.renderer.0 == 0, "renderer", || "got 0, expected a version from 1".to_owned());
    problems
        .add_if(record.reckoning.method.0 == 0, "reckoning.method", || "got 0, expected a version from 1".to_owned());
    times(record, &mut problems);
    copies(record, &mut problems);
    texts(&record.reckoning, &mut problems);
    let mut all = problems.0;
    all.extend(
        inspection(&record.inspection)
            .into_iter()
            .map(|problem| Problem::new(format!("inspection.{}", problem.field), problem.message)),
    );
    all
}

/// Nothing is taken after the record is frozen. A photograph from another camera may say so by its clock alone: it
/// does not know its time zone, so a day is allowed.
fn times(record: &Record, problems: &mut Problems) {
    let frozen = record.frozen_at;
    limits::year(frozen, "frozen_at", problems);
    problems.add_if(record.inspection.visited_at > frozen, "frozen_at", || {
        format!("got {frozen}, expected a time after the visit's beginning, {}", record.inspection.visited_at)
    });
    for (at, reading) in record.inspection.readings.iter().enumerate() {
        problems.add_if(reading.taken_at > frozen, format!("inspection.readings[{at}].taken_at"), || {
            format!("got {}, expected a time before the record was frozen, {frozen}", reading.taken_at)
        });
    }
    for (at, photograph) in record.inspection.photographs.iter().enumerate() {
        let slack = match photograph.taken {
            PhotographTaken::InApp => TimeDelta::zero(),
            PhotographTaken::Imported => TimeDelta::days(1),
        };
        let Some(taken_at) = photograph.taken_at else { continue };
        let is_late = taken_at.signed_duration_since(frozen) > slack;
        problems.add_if(is_late, format!("inspection.photographs[{at}].taken_at"), || {
            format!("got {taken_at}, expected a time before the record was frozen, {frozen}")
        });
    }
}

/// One copy for each photograph, in the same order.
fn copies(record: &Record, problems: &mut Problems) {
    let originals = &record.inspection.photographs;
    let copies = &record.report_photographs;
    problems.add_if(originals.len() != copies.len(), "report_photographs", || {
        format!("got {} copies, expected one for each of the {} photographs", copies.len(), originals.len())
    });
    for (at, (original, copy)) in originals.iter().zip(copies).enumerate() {
        problems.add_if(original.id != copy.id, format!("report_photographs[{at}].id"), || {
            format!(
                "got {:?}, expected {:?}: copies stand in the photographs' order",
                copy.id.as_str(),
                original.id.as_str()
            )
        });
        for (name, got) in [("width_px", copy.width_px), ("height_px", copy.height_px)] {
            problems.add_if(!(1..=65_535).contains(&got), format!("report_photographs[{at}].{name}"), || {
                format!("got {got}, expected 1 to 65535 pixels")
            });
        }
    }
}

/// Texts that a program made are printed like those that people write: they hide nothing either.
fn texts(reckoning: &Reckoning, problems: &mut Problems) {
    for (name, corner) in reckoning.corners.iter() {
        corner_texts(corner, &format!("reckoning.corners.{}", super::corner::field_name(name)), problems);
    }
    for (at, asymmetry) in reckoning.asymmetries.iter().enumerate() {
        let field = format!("reckoning.asymmetries[{at}]");
        text(&asymmetry.text, || format!("{field}.text"), problems);
        evidence(&asymmetry.evidence, &field, problems);
    }
    for (at, distance) in reckoning.distance.iter().enumerate() {
        let field = format!("reckoning.distance[{at}]");
        text(&distance.text, || format!("{field}.text"), problems);
        source(&distance.source, &field, problems);
        evidence(&distance.evidence, &field, problems);
    }
    for (at, measured) in reckoning.measured.iter().enumerate() {
        let field = format!("reckoning.measured[{at}]");
        text(&measured.what, || format!("{field}.what"), problems);
        text(&measured.unit, || format!("{field}.unit"), problems);
        source(&measured.source, &field, problems);
        explanation(&measured.value.because, &format!("{field}.value.because"), problems);
    }
    if let Some(look) = &reckoning.next_look {
        text(&look.text, || "reckoning.next_look.text".to_owned(), problems);
    }
    for (at, warning) in reckoning.drive_warnings.iter().enumerate() {
        let field = format!("reckoning.drive_warnings[{at}]");
        text(&warning.text, || format!("{field}.text"), problems);
        source(&warning.source, &field, problems);
        evidence(&warning.evidence, &field, problems);
    }
    if let Some(cost) = &reckoning.cost {
        cost_texts(cost, problems);
    }
    let answer = &reckoning.answer;
    for (part, said) in [
        ("lead", &answer.lead),
        ("why", &answer.why),
        ("limits", &answer.limits),
        ("to_buyer", &answer.to_buyer),
        ("to_seller", &answer.to_seller),
        ("to_workshop", &answer.to_workshop),
        ("questions", &answer.questions),
    ] {
        sentences(said, &format!("reckoning.answer.{part}"), problems);
    }
}

fn corner_texts(corner: &CornerReckoning, field: &str, problems: &mut Problems) {
    let figures = [
        ("bulk", &corner.bulk),
        ("outer_face", &corner.outer_face),
        ("inner_face", &corner.inner_face),
        ("outer_pad", &corner.outer_pad),
        ("inner_pad", &corner.inner_pad),
    ];
    for (what, figure) in figures {
        if let Some(Figure { because, .. }) = figure {
            explanation(because, &format!("{field}.{what}.because"), problems);
        }
    }
    for (at, cause) in corner.cause.iter().flat_map(|cause| &cause.causes).enumerate() {
        for (side, signs) in [("speaks_for", &cause.speaks_for), ("speaks_against", &cause.speaks_against)] {
            for (sign_at, sign) in signs.iter().enumerate() {
                let field = format!("{field}.cause.causes[{at}].{side}[{sign_at}]");
                text(&sign.text, || format!("{field}.text"), problems);
                source(&sign.source, &field, problems);
                evidence(&sign.evidence, &field, problems);
            }
        }
    }
    for (what, life) in [("disc", &corner.life.disc), ("pads", &corner.life.pads)] {
        match life {
            Life::NotReckoned(why) => text(why, || format!("{field}.life.{what}.not_reckoned"), problems),
            Life::Reckoned(bases) => {
                for (at, left) in bases.iter().enumerate() {
                    explanation(&left.because, &format!("{field}.life.{what}.reckoned[{at}].because"), problems);
                }
            }
        }
    }
    for (at, missing) in corner.missing.iter().enumerate() {
        text(missing, || format!("{field}.missing[{at}]"), problems);
    }
}

fn cost_texts(cost: &CostReckoning, problems: &mut Problems) {
    for (at, remark) in cost.remarks.iter().enumerate() {
        text(remark, || format!("reckoning.cost.remarks[{at}]"), problems);
    }
    for (at, lacks) in cost.expected.iter().flat_map(|expected| &expected.lacks).enumerate() {
        text(lacks, || format!("reckoning.cost.expected.lacks[{at}]"), problems);
    }
    sentences(&cost.against_asking, "reckoning.cost.against_asking", problems);
}

fn sentences(said: &[Sentence], field: &str, problems: &mut Problems) {
    for (at, Sentence { text: words, evidence: rests_on }) in said.iter().enumerate() {
        let field = format!("{field}[{at}]");
        text(words, || format!("{field}.text"), problems);
        evidence(rests_on, &field, problems);
    }
}

fn explanation(step: &Explanation, field: &str, problems: &mut Problems) {
    text(&step.text, || format!("{field}.text"), problems);
    source(&step.source, field, problems);
    evidence(&step.evidence, field, problems);
    for (at, part) in step.parts.iter().enumerate() {
        explanation(part, &format!("{field}.parts[{at}]"), problems);
    }
}

fn source(source: &Source, field: &str, problems: &mut Problems) {
    if let Source::Published { document } = source {
        text(document, || format!("{field}.source.document"), problems);
    }
}

fn evidence(evidence: &[Evidence], field: &str, problems: &mut Problems) {
    for (at, one) in evidence.iter().enumerate() {
        if let Evidence::Missing { what } = one {
            text(what, || format!("{field}.evidence[{at}].what"), problems);
        }
    }
}

fn text(text: &str, field: impl FnOnce() -> String, problems: &mut Problems) {
    if let Err(error) = check_made(text) {
        problems.add_if(true, field(), || error.to_string());
    }
}
