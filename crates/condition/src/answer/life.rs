//! How far things go, in words.

use model::{
    CornerLife, CornerName, CornerReckoning, Evidence, Inspection, Life, LifeBasis, LifeLeft, Sentence, Stage,
};

use super::Findings;
use super::phrase::list;
use crate::number::{chance_percent, distance};

/// How far the disc and the pads of this corner go, or why that is not told.
pub fn at(inspection: &Inspection, name: CornerName, reckoned: &CornerReckoning) -> Vec<Sentence> {
    let CornerLife { disc, pads, disc_outlives_pads } = &reckoned.life;
    let mut sentences = Vec::new();
    if let (Life::NotReckoned(one), Life::NotReckoned(other)) = (disc, pads)
        && one == other
    {
        let text = format!("How far the {} disc and pads go is not told. {one}", name.words());
        return vec![Sentence { text, evidence: vec![missing(name)] }];
    }
    sentences.push(say(inspection, &format!("the {} disc", name.words()), "goes", disc, name));
    sentences.push(say(inspection, &format!("the {} pads", name.words()), "go", pads, name));
    let chances: Vec<_> = disc_outlives_pads
        .iter()
        .map(|one| format!("{} by {}", chance_percent(one.chance), one.basis.words()))
        .collect();
    if !chances.is_empty() {
        let text = format!("The chance that the {} disc outlives its present pads: {}.", name.words(), list(&chances));
        sentences.push(Sentence { text, evidence: vec![Evidence::Odometer] });
    }
    sentences
}

fn missing(name: CornerName) -> Evidence {
    Evidence::Missing { what: format!("distance left at the {}", name.words()) }
}

fn say(inspection: &Inspection, what: &str, verb: &str, life: &Life, name: CornerName) -> Sentence {
    match life {
        Life::NotReckoned(why) => {
            Sentence { text: format!("How far {what} {verb} is not told. {why}"), evidence: vec![missing(name)] }
        }
        Life::Reckoned(bases) => {
            let each: Vec<_> = bases.iter().map(|left| on_basis(inspection, left)).collect();
            let text = format!("How far {what} {verb}: {}.", each.join("; "));
            Sentence { text, evidence: vec![Evidence::Odometer] }
        }
    }
}

/// "by a rule of thumb about 18 000 km (9 000 to 33 000 km with 90 %), about 2028-03".
fn on_basis(inspection: &Inspection, left: &LifeLeft) -> String {
    let km = |at: usize| distance(left.km[at], inspection.car.odometer.unit);
    let when = left.ends.map_or_else(String::new, |ends| format!(", about {}", ends.middle_on.format("%Y-%m")));
    let about = if left.basis == LifeBasis::Paper { "at most about" } else { "about" };
    format!("by {} {about} {} ({} to {} in nine cases of ten){when}", left.basis.words(), km(2), km(0), km(4))
}

/// What ends first of that which is not at its end already: "Next to reach its end, by a rule of thumb: the front left pads, in
/// about 8 200 km."
pub fn find_next_to_end(findings: &Findings<'_>) -> Option<String> {
    let of_corner = |(name, corner): (CornerName, &CornerReckoning)| {
        let parts = [
            (corner.disc_stage, &corner.life.disc, format!("the {} disc", name.words())),
            (corner.pad_stage, &corner.life.pads, format!("the {} pads", name.words())),
        ];
        let goes_on = parts.into_iter().filter_map(|(stage, life, what)| {
            let Life::Reckoned(bases) = life else { return None };
            (stage != Stage::EndOfLife).then_some((bases.first()?.clone(), what))
        });
        goes_on.collect::<Vec<_>>()
    };
    let parts: Vec<_> = findings.corners.iter().flat_map(of_corner).collect();
    let (left, what) = parts.into_iter().min_by(|a, b| a.0.km[2].total_cmp(&b.0.km[2]))?;
    let unit = findings.inspection.car.odometer.unit;
    Some(format!(
        "Next to reach its end, by {}: {what}, in about {} ({} to {}).",
        left.basis.words(),
        distance(left.km[2], unit),
        distance(left.km[0], unit),
        distance(left.km[4], unit)
    ))
}
