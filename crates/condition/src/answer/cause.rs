//! Why a disc wore, in words.

use model::{CauseChance, CornerName, CornerReckoning, Evidence, Sentence, SignWeight};

use super::phrase::list;
use crate::number::chance_percent;

/// From this chance on a cause is spoken of.
const TOLD_FROM: f64 = 0.15;

/// What is likely at this corner beside ordinary wear; where nothing is, that ordinary wear is.
pub fn at(name: CornerName, reckoned: &CornerReckoning) -> Vec<Sentence> {
    let Some(cause) = &reckoned.cause else { return Vec::new() };
    let mut told: Vec<_> = cause.causes.iter().filter(|one| one.chance >= TOLD_FROM).collect();
    told.sort_by(|a, b| b.chance.total_cmp(&a.chance));
    if told.is_empty() {
        let text = format!(
            "At the {}, nothing beside ordinary wear is likely: the chance that it is the only cause is {} ({} of {} signs could be looked at).",
            name.words(),
            chance_percent(cause.wear_only),
            cause.signs_seen,
            cause.signs_known
        );
        return vec![Sentence { text, evidence: vec![Evidence::Bell { corner: name }] }];
    }
    told.into_iter().map(|one| likely(name, one)).collect()
}

fn likely(name: CornerName, one: &CauseChance) -> Sentence {
    let how = match one.chance {
        chance if chance >= 0.9 => "very likely",
        chance if chance >= 0.6 => "likely",
        chance if chance >= 0.4 => "as likely as not",
        _ => "possible",
    };
    let signs = |weights: &[SignWeight]| list(&weights.iter().map(|sign| sign.text.clone()).collect::<Vec<_>>());
    let mut text = format!("At the {}, {} is {how} ({})", name.words(), one.cause.words(), chance_percent(one.chance));
    if !one.speaks_for.is_empty() {
        text += &format!(": {}", signs(&one.speaks_for));
    }
    if !one.speaks_against.is_empty() && one.chance < 0.9 {
        text += &format!("; against it, {}", signs(&one.speaks_against));
    }
    let weights = one.speaks_for.iter().chain(&one.speaks_against);
    Sentence { text: text + ".", evidence: weights.flat_map(|sign| sign.evidence.clone()).collect() }
}

/// The likeliest cause beside ordinary wear at this corner, from where it is likely on.
pub fn find_likely(reckoned: &CornerReckoning) -> Option<&CauseChance> {
    let cause = reckoned.cause.as_ref()?;
    cause.causes.iter().filter(|one| one.chance >= 0.5).max_by(|a, b| a.chance.total_cmp(&b.chance))
}
