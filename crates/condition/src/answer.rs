//! The answer in words: first the answer, then why, then what limits it.

use model::{
    Answer, BellFinish, CornerName, CornerReckoning, CostReckoning, Decimal, DriveWarning, Evidence, FaceName, Figure,
    Inspected, Inspection, PadName, PerCorner, Sentence, Stage,
};

use crate::cost::spent_discs;

/// The sentences, each tied to what carries it.
pub fn write(
    inspection: &Inspection,
    corners: &PerCorner<CornerReckoning>,
    warnings: &[DriveWarning],
    cost: Option<&CostReckoning>,
) -> Answer {
    Answer {
        lead: lead(corners, warnings, cost),
        why: CornerName::ALL.iter().flat_map(|&name| why(inspection, name, corners.at(name))).collect(),
        limits: limits(inspection, corners),
    }
}

fn sentence(text: String, evidence: Vec<Evidence>) -> Sentence {
    Sentence { text, evidence }
}

/// Three sentences: the discs, the pads, the money.
fn lead(
    corners: &PerCorner<CornerReckoning>,
    warnings: &[DriveWarning],
    cost: Option<&CostReckoning>,
) -> Vec<Sentence> {
    let mut lead = vec![discs(corners), pads(corners)];
    lead.push(match cost {
        Some(cost) if cost.due_now > Decimal::ZERO => sentence(
            format!(
                "What is due now costs {} {} with tax by the prices given; renewing everything would cost {} {}.",
                cost.currency.code(),
                grouped(cost.due_now),
                cost.currency.code(),
                grouped(cost.all)
            ),
            vec![Evidence::Prices],
        ),
        Some(cost) => sentence(
            format!(
                "Nothing is due now; renewing everything would cost {} {} with tax by the prices given.",
                cost.currency.code(),
                grouped(cost.all)
            ),
            vec![Evidence::Prices],
        ),
        None => sentence(
            "What renewal costs was not reckoned: no prices were given.".to_owned(),
            vec![Evidence::Missing { what: "prices".to_owned() }],
        ),
    });
    if warnings.iter().any(|warning| warning.do_not_drive) {
        lead[0].text = format!("Do not drive the car as it is. {}", lead[0].text);
    }
    lead
}

fn discs(corners: &PerCorner<CornerReckoning>) -> Sentence {
    let spent = spent_discs(corners);
    let evidence = spent.iter().flat_map(|&name| carriers(name, corners.at(name))).collect();
    if !spent.is_empty() {
        let by: Vec<_> =
            spent.iter().map(|&name| format!("{} ({})", name.words(), governs(corners.at(name)))).collect();
        let text = match by.as_slice() {
            [one] => format!("One disc is at the end of its life: {one}."),
            more => format!("{} discs are at the end of their life: {}.", count(more.len()), more.join(", ")),
        };
        return sentence(text, evidence);
    }
    let unknown: Vec<_> = corners
        .iter()
        .filter(|(_, corner)| corner.disc_stage == Stage::Unknown)
        .map(|(name, _)| name.words())
        .collect();
    let known = corners.iter().filter(|(_, corner)| corner.disc_stage != Stage::Unknown);
    let Some((name, worst)) = known.max_by(|a, b| worst_value(a.1).total_cmp(&worst_value(b.1))) else {
        return sentence(
            "How worn the discs are could not be told from what was seen and measured.".to_owned(),
            vec![Evidence::Missing { what: "disc findings".to_owned() }],
        );
    };
    let mut text = format!(
        "No disc that could be judged is at the end of its life; the most worn is {} ({}).",
        name.words(),
        governs(worst)
    );
    if !unknown.is_empty() {
        text += &format!(" Not judged: {}.", unknown.join(", "));
    }
    sentence(text, carriers(name, worst))
}

fn pads(corners: &PerCorner<CornerReckoning>) -> Sentence {
    let all: Vec<_> = corners
        .iter()
        .flat_map(|(name, corner)| {
            [(name, PadName::Outer, &corner.outer_pad), (name, PadName::Inner, &corner.inner_pad)]
        })
        .filter_map(|(name, pad, figure)| Some((name, pad, figure.as_ref()?)))
        .collect();
    let Some((name, pad, worst)) = all.iter().max_by(|a, b| a.2.value.total_cmp(&b.2.value)) else {
        return sentence(
            "The pads' linings were not measured.".to_owned(),
            vec![Evidence::Missing { what: "linings".to_owned() }],
        );
    };
    let at_mark: Vec<_> = all.iter().filter(|(_, _, figure)| figure.value >= 1.0).collect();
    let text = match at_mark.len() {
        0 => format!(
            "No measured lining is at its renewal mark; the thinnest for its mark is the {} {} pad ({}).",
            name.words(),
            pad.words(),
            share(worst)
        ),
        _ => format!(
            "Pads at or past their renewal mark: {}.",
            at_mark
                .iter()
                .map(|(name, pad, _)| format!("{} {}", name.words(), pad.words()))
                .collect::<Vec<_>>()
                .join(", ")
        ),
    };
    sentence(text, all.iter().map(|&(corner, pad, _)| Evidence::Pad { corner, pad }).collect())
}

/// The figures of a disc with the words for each.
fn parts(corner: &CornerReckoning) -> [(&'static str, Option<&Figure>); 3] {
    [
        ("bulk", corner.bulk.as_ref()),
        ("outer face", corner.outer_face.as_ref()),
        ("inner face", corner.inner_face.as_ref()),
    ]
}

fn worst_value(corner: &CornerReckoning) -> f64 {
    parts(corner).iter().filter_map(|(_, figure)| Some(figure.as_ref()?.value)).fold(0.0, f64::max)
}

/// What governs the disc's stage, with its figure: "inner face 94 ± 8 % worn".
fn governs(corner: &CornerReckoning) -> String {
    let worst = parts(corner)
        .into_iter()
        .filter_map(|(what, figure)| Some((what, figure?)))
        .max_by(|a, b| a.1.value.total_cmp(&b.1.value));
    worst.map_or_else(|| "not judged".to_owned(), |(what, figure)| format!("{what} {}", share(figure)))
}

fn carriers(name: CornerName, corner: &CornerReckoning) -> Vec<Evidence> {
    let mut evidence: Vec<_> = corner
        .bulk
        .iter()
        .flat_map(|figure| figure.because.parts.iter().flat_map(|part| part.evidence.clone()))
        .collect();
    let faces = [(FaceName::Outer, &corner.outer_face), (FaceName::Inner, &corner.inner_face)];
    evidence.extend(
        faces.into_iter().filter(|(_, figure)| figure.is_some()).map(|(face, _)| Evidence::Face { corner: name, face }),
    );
    evidence
}

fn why(inspection: &Inspection, name: CornerName, corner: &CornerReckoning) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    let known: Vec<_> =
        parts(corner).into_iter().filter_map(|(what, figure)| Some(format!("{what} {}", share(figure?)))).collect();
    if known.is_empty() {
        return sentences;
    }
    sentences.push(sentence(
        format!("The {} disc is {}: {}. The worse governs.", name.words(), corner.disc_stage.words(), known.join(", ")),
        carriers(name, corner),
    ));
    let Inspected::Seen(seen) = inspection.corners.at(name) else { return sentences };
    for (face, finding) in [(FaceName::Outer, &seen.outer_face), (FaceName::Inner, &seen.inner_face)] {
        let Some(finding) = finding.seen() else { continue };
        let defects: Vec<_> = finding
            .defects
            .iter()
            .map(|defect| match defect.size_mm {
                Some(size) => {
                    format!("{} of {:.0} mm, {}", defect.kind.words(), size.value(), defect.place.zone.words())
                }
                None => format!("{}, {}", defect.kind.words(), defect.place.zone.words()),
            })
            .collect();
        if !defects.is_empty() {
            sentences.push(sentence(
                format!("On the {} {} face: {}.", name.words(), face.words(), defects.join("; ")),
                vec![Evidence::Face { corner: name, face }],
            ));
        }
    }
    if let Some(bell) = seen.bell.seen().filter(|bell| bell.finish != BellFinish::Even) {
        sentences.push(sentence(
            format!("The {} bell is {}.", name.words(), bell.finish.words()),
            vec![Evidence::Bell { corner: name }],
        ));
    }
    sentences
}

fn limits(inspection: &Inspection, corners: &PerCorner<CornerReckoning>) -> Vec<Sentence> {
    let missing = |what: &str| vec![Evidence::Missing { what: what.to_owned() }];
    let mut limits: Vec<_> = inspection
        .not_inspected
        .iter()
        .map(|omission| {
            sentence(format!("Not inspected: {} ({}).", omission.what, omission.why), missing(omission.what.as_str()))
        })
        .collect();
    for (_, corner) in corners.iter() {
        limits.extend(corner.missing.iter().map(|text| sentence(text.clone(), missing(text))));
    }
    if let Some(reason) = inspection.road_test.reason() {
        limits.push(sentence(format!("No road test: {reason}."), missing("road test")));
    }
    limits.push(sentence(
        "How far the brakes will go, and why they wore, is not reckoned here.".to_owned(),
        missing("cause and life"),
    ));
    limits.push(sentence(
        "What a face's signs stand for is common practice without a source; their figures are the project's assumption.".to_owned(),
        Vec::new(),
    ));
    limits
}

/// "71 ± 9 % worn".
fn share(figure: &Figure) -> String {
    format!("{:.0} ± {:.0} % worn", figure.value * 100.0, figure.uncertainty * 100.0)
}

fn count(number: usize) -> String {
    match number {
        2 => "Two".to_owned(),
        3 => "Three".to_owned(),
        4 => "All four".to_owned(),
        other => other.to_string(),
    }
}

/// A decimal with its thousands apart: `15 423.87`.
fn grouped(amount: Decimal) -> String {
    let text = amount.to_string();
    let (whole, rest) =
        text.split_once('.').map_or((text.as_str(), String::new()), |(whole, rest)| (whole, format!(".{rest}")));
    let mut grouped = String::new();
    for (at, digit) in whole.chars().enumerate() {
        if at > 0 && (whole.len() - at).is_multiple_of(3) {
            grouped.push('\u{202F}');
        }
        grouped.push(digit);
    }
    grouped + &rest
}
