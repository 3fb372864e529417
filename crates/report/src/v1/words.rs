//! Figures, dates and names as a reader sees them.

use model::{
    CornerName, Currency, Decimal, Evidence, Figure, Inspection, Measurand, Odometer, OdometerUnit, Reading, Stage,
    Timestamp,
};

use super::text::{group_digits, keep_together};

/// `2026-11-24 14:02 +01:00`.
pub(crate) fn moment(at: &Timestamp) -> String {
    keep_together(&at.format("%Y-%m-%d %H:%M %:z").to_string())
}

/// `54.29500° N, 8.01250° E`: to about a metre, as a phone knows it.
pub(crate) fn place(place: model::Place) -> String {
    let half = |degrees: f64, [positive, negative]: [&str; 2]| {
        let letter = if degrees < 0.0 { negative } else { positive };
        keep_together(&format!("{:.5}° {letter}", degrees.abs()))
    };
    format!("{}, {}", half(place.latitude_deg, ["N", "S"]), half(place.longitude_deg, ["E", "W"]))
}

/// A number with so many decimals, its whole part in groups, with a true minus sign.
pub(crate) fn number(value: f64, decimals: usize) -> String {
    let plain = format!("{value:.decimals$}");
    let (sign, digits) = match plain.strip_prefix('-') {
        // What is rounded to nothing has no sign.
        Some(digits) if digits.bytes().all(|digit| matches!(digit, b'0' | b'.')) => ("", digits),
        Some(digits) => ("−", digits),
        None => ("", plain.as_str()),
    };
    match digits.split_once('.') {
        Some((whole, part)) => format!("{sign}{}.{part}", group_digits(whole)),
        None => format!("{sign}{}", group_digits(digits)),
    }
}

/// Decimals of the shortest spelling of a number, at most 6; what lies beyond them is the arithmetic's own.
fn decimals(value: f64) -> usize {
    format!("{value:.6}").trim_end_matches('0').split_once('.').map_or(0, |(_, part)| part.len())
}

/// An uncertainty to two significant digits, or as it was given where that is shorter.
fn round_uncertainty(uncertainty: f64) -> (f64, usize) {
    let given = decimals(uncertainty);
    if uncertainty >= 10.0 || given == 0 {
        return (uncertainty, given.min(1));
    }
    // Digits behind the point up to the second significant one.
    let mut needed = 1;
    let mut scaled = uncertainty;
    while scaled < 1.0 && needed < 6 {
        scaled *= 10.0;
        needed += 1;
    }
    (uncertainty, given.min(needed))
}

/// `5 412 ± 3 g`; of several points the least and the greatest, `28.10 to 28.14 ± 0.02 mm`.
pub(crate) fn measured(reading: &Reading) -> String {
    let (uncertainty, behind) = round_uncertainty(reading.uncertainty.value());
    let behind = reading.points.iter().map(|point| decimals(point.value)).fold(behind, usize::max);
    let values = reading.points.iter().map(|point| point.value);
    let (least, most) = values.fold((f64::MAX, f64::MIN), |(least, most), value| (least.min(value), most.max(value)));
    let spread = if reading.points.len() > 1 && most > least {
        format!("{} to {}", number(least, behind), number(most, behind))
    } else {
        number(least, behind)
    };
    keep_together(&format!("{spread} ± {} {}", number(uncertainty, behind_of(uncertainty)), reading.unit.symbol()))
}

fn behind_of(uncertainty: f64) -> usize {
    round_uncertainty(uncertainty).1
}

/// Each point of a reading with its place: `a: 28.10; b: 28.14`.
pub(crate) fn points(reading: &Reading) -> String {
    let behind = reading
        .points
        .iter()
        .map(|point| decimals(point.value))
        .fold(behind_of(reading.uncertainty.value()), usize::max);
    let points: Vec<String> = reading
        .points
        .iter()
        .map(|point| format!("{}: {}", keep_together(point.at.as_str()), keep_together(&number(point.value, behind))))
        .collect();
    points.join("; ")
}

/// What a reading is of, with its place: `lining (outer pad)`.
pub(crate) fn measurand(of: Measurand) -> String {
    let place = match of {
        Measurand::DiscMass { .. }
        | Measurand::DiscThickness { .. }
        | Measurand::ThicknessVariation { .. }
        | Measurand::FluidBoilingPoint => None,
        Measurand::Electrical { face, .. } | Measurand::Runout { face, .. } => Some(format!("{} face", face.words())),
        Measurand::Lining { pad, .. } => Some(format!("{} pad", pad.words())),
        Measurand::BrakeForce { brake, .. } => Some(brake.words().to_owned()),
    };
    place.map_or_else(|| of.words().to_owned(), |place| format!("{} ({place})", of.words()))
}

/// The odometer in its own unit and, in brackets, the other one.
pub(crate) fn odometer(odometer: Odometer) -> String {
    let (other, unit) = match odometer.unit {
        OdometerUnit::Km => (odometer.km() / Odometer::KM_PER_MILE, "mi"),
        OdometerUnit::Mi => (odometer.km(), "km"),
    };
    let own = number(f64::from(odometer.figure), 0);
    keep_together(&format!("{own} {} ({} {unit})", odometer.unit.words(), number(other, 0)))
}

/// A number with the digits that it was given with.
pub(crate) fn plain(value: f64) -> String {
    number(value, decimals(value))
}

/// A share as a whole percentage.
pub(crate) fn percent(share: f64) -> String {
    keep_together(&format!("{} %", number((share * 100.0).round() + 0.0, 0)))
}

/// A chance; what is all but certain is not called certain.
pub(crate) fn chance(chance: f64) -> String {
    match chance {
        chance if chance < 0.01 => keep_together("under 1 %"),
        chance if chance > 0.99 => keep_together("over 99 %"),
        chance => percent(chance),
    }
}

/// A distance to two figures that count, in the unit that the car counts in.
pub(crate) fn distance(km: f64, unit: OdometerUnit) -> String {
    let value = match unit {
        OdometerUnit::Km => km,
        OdometerUnit::Mi => km / Odometer::KM_PER_MILE,
    };
    let step = if value < 10.0 { 1.0 } else { libm::pow(10.0, libm::floor(libm::log10(value)) - 1.0) };
    keep_together(&format!("{} {}", number((value / step).round() * step, 0), unit.words()))
}

/// A wear with its 95 % interval: `34 % (22 to 47 %)`.
pub(crate) fn wear(figure: &Figure) -> String {
    let (low, high) = ((figure.low * 100.0).round() + 0.0, (figure.high * 100.0).round() + 0.0);
    keep_together(&format!("{} ({} to {} %)", percent(figure.value), number(low, 0), number(high, 0)))
}

/// An amount of money: `EUR 12 340.00`.
pub(crate) fn money(currency: Currency, amount: Decimal) -> String {
    let text = amount.to_string();
    let (sign, digits) = text.strip_prefix('-').map_or(("", text.as_str()), |digits| ("−", digits));
    let amount = match digits.split_once('.') {
        Some((whole, part)) => format!("{}.{part}", group_digits(whole)),
        None => group_digits(digits),
    };
    keep_together(&format!("{} {sign}{amount}", currency.code()))
}

/// What something rests on, in words; what belongs to one corner stands together.
pub(crate) fn evidence(evidence: &[Evidence], inspection: &Inspection) -> String {
    let named: Vec<(Option<CornerName>, String)> = evidence.iter().map(|one| one_evidence(one, inspection)).collect();
    let groups: Vec<String> = named
        .chunk_by(|one, other| one.0 == other.0)
        .map(|group| {
            let words: Vec<&str> = group.iter().map(|(_, words)| words.as_str()).collect();
            match group[0].0 {
                Some(corner) => format!("{}: {}", corner.words(), words.join(", ")),
                None => words.join(", "),
            }
        })
        .collect();
    groups.join("; ")
}

/// The numbers of the findings that something rests on: `[3, 7]`; empty where it rests on none.
pub(crate) fn findings(evidence: &[Evidence], listed: &[&Evidence]) -> String {
    let mut numbers: Vec<_> = evidence.iter().filter_map(|one| listed.iter().position(|other| *other == one)).collect();
    numbers.sort_unstable();
    numbers.dedup();
    if numbers.is_empty() {
        return String::new();
    }
    let runs: Vec<_> = numbers
        .chunk_by(|one, other| one + 1 == *other)
        .map(|run| match run {
            [one] => (one + 1).to_string(),
            [one, other] => format!("{}, {}", one + 1, other + 1),
            [first, .., last] => format!("{}–{}", first + 1, last + 1),
            [] => String::new(),
        })
        .collect();
    format!("[{}]", runs.join(", "))
}

/// A finding in words, with its place.
pub(crate) fn finding(evidence: &Evidence, inspection: &Inspection) -> String {
    match one_evidence(evidence, inspection) {
        (Some(corner), words) => format!("{}: {words}", corner.words()),
        (None, words) => words,
    }
}

fn one_evidence(evidence: &Evidence, inspection: &Inspection) -> (Option<CornerName>, String) {
    match evidence {
        Evidence::Face { corner, face } => (Some(*corner), format!("{} face", face.words())),
        Evidence::Bell { corner } => (Some(*corner), "bell".into()),
        Evidence::Pad { corner, pad } => (Some(*corner), format!("{} pad", pad.words())),
        Evidence::Calliper { corner } => (Some(*corner), "calliper".into()),
        Evidence::Mark { corner } => (Some(*corner), "marks on the disc".into()),
        Evidence::Reading { id } => match inspection.readings.iter().find(|reading| reading.id == *id) {
            None => (None, format!("reading {id}")),
            Some(reading) => (reading.of.corner(), format!("{} {}", measurand(reading.of), measured(reading))),
        },
        Evidence::RoadTestStep { index } => (None, format!("road test, step {}", index + 1)),
        Evidence::Drive { index } => (None, format!("recorded drive {}", index + 1)),
        Evidence::Photograph { id } => match inspection.find_photograph(id) {
            Some(photograph) => (photograph.subject.corner(), format!("photograph {id}")),
            None => (None, format!("photograph {id}")),
        },
        Evidence::EarlierVisit { index } => match inspection.car.prior_visits.get(*index as usize) {
            Some(visit) => (None, format!("visit of {}", visit.on)),
            None => (None, format!("earlier visit {}", index + 1)),
        },
        Evidence::Odometer => (None, "odometer".into()),
        Evidence::Prices => (None, "price list".into()),
        Evidence::Missing { what } => (None, format!("not given: {what}")),
    }
}

/// The stage of a disc or of pads, as the head of a sentence.
pub(crate) fn stage(what: &str, stage: Stage) -> String {
    match stage {
        Stage::Unknown => format!("{what}: wear not known"),
        stage => format!("{what} {}", stage.words()),
    }
}

/// The text with its first letter as a capital.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Hexadecimal digits in groups of eight.
pub(crate) fn groups_of_eight(digits: &str) -> String {
    digits.as_bytes().chunks(8).map(|group| String::from_utf8_lossy(group).into_owned()).collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::v1::face::{FIXED_SPACE, NARROW_SPACE};

    fn plain(text: &str) -> String {
        text.replace([FIXED_SPACE, NARROW_SPACE], " ")
    }

    fn reading(values: &[f64], uncertainty: f64, unit: &str) -> Reading {
        let points: Vec<_> = values.iter().map(|value| serde_json::json!({"at": "a", "value": value})).collect();
        serde_json::from_value(serde_json::json!({
            "id": "r", "of": {"kind": "disc_mass", "corner": "front_left"}, "unit": unit, "points": points,
            "uncertainty": uncertainty, "instrument": {"name": "scale", "serial": null, "calibrated_on": null},
            "taken_at": "2026-11-24T10:00:00+01:00"
        }))
        .expect("a reading")
    }

    #[test]
    fn a_figure_has_as_many_digits_as_its_uncertainty_and_none_is_lost() {
        for (values, uncertainty, unit, expected) in [
            (&[5412.0][..], 3.0, "g", "5 412 ± 3 g"),
            (&[28.1], 0.05, "mm", "28.10 ± 0.05 mm"),
            (&[28.125], 0.05, "mm", "28.125 ± 0.05 mm"),
            (&[6.4], 0.028_867_5, "mm", "6.400 ± 0.029 mm"),
            (&[41.25, 41.5], 0.25, "uH", "41.25 to 41.50 ± 0.25 µH"),
            (&[12_345.0], 12.5, "N", "12 345.0 ± 12.5 N"),
        ] {
            assert_eq!(plain(&measured(&reading(values, uncertainty, unit))), expected);
        }
    }

    #[test]
    fn numbers_have_groups_and_a_true_minus_sign() {
        assert_eq!(plain(&number(-1234.5, 2)), "−1 234.50");
        assert_eq!(plain(&percent(-0.001)), "0 %");
        assert_eq!(plain(&percent(1.2)), "120 %");
        let euro = Currency::try_from("EUR".to_owned()).expect("a code");
        assert_eq!(plain(&money(euro, Decimal::new(1_234_000, 2))), "EUR 12 340.00");
    }

    #[test]
    fn findings_are_named_by_their_numbers() {
        let all: Vec<_> = (0..9).map(|index| Evidence::RoadTestStep { index }).collect();
        let listed: Vec<_> = all.iter().collect();
        let of = |places: &[usize]| findings(&places.iter().map(|&at| all[at].clone()).collect::<Vec<_>>(), &listed);
        assert_eq!(of(&[]), "");
        assert_eq!(of(&[2]), "[3]");
        assert_eq!(of(&[4, 3, 4, 0]), "[1, 4, 5]");
        assert_eq!(of(&[8, 1, 2, 3]), "[2–4, 9]");
    }

    #[test]
    fn the_odometer_shows_the_other_unit_too() {
        let shown = odometer(Odometer { figure: 100, unit: OdometerUnit::Mi });
        assert_eq!(plain(&shown), "100 mi (161 km)");
    }
}
