//! What the recordings say beside what was felt and heard: where both agree, where they do not, what limits them.

use model::{AntiLock, Evidence, Felt, Inspection, MeasuredDrive, RoadTest, RoadTestStep, Sentence};

/// What is to be told beside the figures: the hand and the ear stay the judge, and a reader has to know where an instrument
/// says otherwise.
pub fn beside_what_was_felt(inspection: &Inspection) -> Vec<Sentence> {
    let Some(test) = inspection.road_test.seen() else { return Vec::new() };
    let mut sentences = Vec::new();
    if test.drives.is_empty() {
        return sentences;
    }
    sentences.extend(anti_lock(test));
    sentences.extend(pulsation(test));
    sentences
}

/// What limits the recordings.
pub fn limits(inspection: &Inspection) -> Vec<Sentence> {
    let drives = inspection.road_test.seen().into_iter().flat_map(|test| &test.drives).enumerate();
    let mut sentences = Vec::new();
    for (index, drive) in drives {
        for limit in &drive.limits {
            sentences.push(Sentence {
                text: format!("Of the recorded drive: {limit}."),
                evidence: vec![Evidence::Drive { index: index as u32 }],
            });
        }
    }
    sentences
}

fn evidence<'a>(
    test: &RoadTest,
    steps: impl Fn(&RoadTestStep) -> bool + 'a,
    drives: impl Fn(&MeasuredDrive) -> bool + 'a,
) -> Vec<Evidence> {
    let steps = test.steps.iter().enumerate().filter(|(_, step)| steps(step));
    let drives = test.drives.iter().enumerate().filter(|(_, drive)| drives(drive));
    steps
        .map(|(index, _)| Evidence::RoadTestStep { index: index as u32 })
        .chain(drives.map(|(index, _)| Evidence::Drive { index: index as u32 }))
        .collect()
}

fn worked(drive: &MeasuredDrive) -> bool {
    drive.brakings.iter().any(|one| one.anti_lock.as_ref().is_some_and(|seen| seen.worked))
}

fn anti_lock(test: &RoadTest) -> Option<Sentence> {
    let said = |answer: AntiLock| move |step: &RoadTestStep| step.anti_lock == Some(answer);
    let is_recorded = test.drives.iter().any(worked);
    let could_tell = |drive: &MeasuredDrive| drive.brakings.iter().any(|one| one.anti_lock.is_some());
    let is_felt = test.steps.iter().any(said(AntiLock::Worked));
    let was_not = !is_felt && test.steps.iter().any(said(AntiLock::NotReached));
    let text = if is_felt && !is_recorded && test.drives.iter().any(could_tell) {
        "The anti-lock was told to have worked; no recorded braking shows it: either it was not recorded, or it was felt wrongly."
    } else if was_not && is_recorded {
        "The anti-lock was told not to have been reached; a recorded braking shows it at work."
    } else if is_felt && is_recorded {
        "That the anti-lock worked was felt and is recorded: in that braking a tyre reached the limit of its grip. That judges no brake."
    } else {
        return None;
    };
    let steps = |step: &RoadTestStep| step.anti_lock.is_some_and(|told| told != AntiLock::NotTold);
    Some(Sentence { text: text.to_owned(), evidence: evidence(test, steps, could_tell) })
}

fn pulsation(test: &RoadTest) -> Option<Sentence> {
    let pulses =
        |step: &RoadTestStep| step.felt.iter().any(|felt| [Felt::PulsingPedal, Felt::ShakingWheel].contains(felt));
    let looked = |drive: &MeasuredDrive| drive.pulsation.is_some();
    let told = |drive: &MeasuredDrive| {
        drive.pulsation.iter().flat_map(|seen| &seen.orders).any(|order| order.is_told() && order.order <= 2)
    };
    let text = match (test.steps.iter().any(pulses), test.drives.iter().any(told)) {
        (true, false) if test.drives.iter().any(looked) => {
            "A pulsing was felt; the recordings show none that stands out of noise, once or twice a turn of a wheel."
        }
        (false, true) => "The recordings show a pulsation with the wheels' turns that nobody felt.",
        (true, true) => "The pulsing that was felt is recorded too: it comes with the wheels' turns.",
        _ => return None,
    };
    Some(Sentence { text: text.to_owned(), evidence: evidence(test, pulses, looked) })
}
