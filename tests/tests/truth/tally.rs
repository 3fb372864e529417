//! What came of it: how often intervals hold the truth and how wide they are, whether chances are what they say.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use model::{Cause, CornerName, Figure, Reckoning};

use crate::car::{Age, Car, TROUBLES, Trouble};
use crate::note::Noted;

/// Figures of one kind.
#[derive(Debug, Default, Clone, Copy)]
pub struct Stratum {
    pub count: u32,
    held: u32,
    width: f64,
}

impl Stratum {
    pub fn coverage(&self) -> f64 {
        f64::from(self.held) / f64::from(self.count.max(1))
    }

    fn mean_width(&self) -> f64 {
        self.width / f64::from(self.count.max(1))
    }

    fn add(&mut self, figure: &Figure, truth: f64) {
        self.count += 1;
        self.held += u32::from((figure.low..=figure.high).contains(&truth));
        self.width += figure.high - figure.low;
    }
}

/// Chances of one size, and how often they came true.
#[derive(Debug, Default, Clone, Copy)]
struct Bin {
    count: u32,
    said: f64,
    came: u32,
}

const BINS: usize = 10;

#[derive(Debug, Default)]
pub struct Tally {
    strata: BTreeMap<String, Stratum>,
    causes: [Bin; BINS],
    wear_only: [Bin; BINS],
    ends: [Bin; BINS],
    /// True cause by likeliest cause; the last is ordinary wear alone.
    confusion: [[u32; 6]; 6],
    pub warned: u32,
    pub unwarned: Vec<String>,
}

fn put(bins: &mut [Bin; BINS], said: f64, came: bool) {
    let bin = &mut bins[((said * BINS as f64) as usize).min(BINS - 1)];
    bin.count += 1;
    bin.said += said;
    bin.came += u32::from(came);
}

fn cause_of(trouble: Trouble) -> Cause {
    match trouble {
        Trouble::Cleaner => Cause::Cleaner,
        Trouble::Heat => Cause::Heat,
        Trouble::Standing => Cause::Standing,
        Trouble::Damage => Cause::Damage,
        Trouble::PadOrCalliper => Cause::PadOrCalliper,
    }
}

impl Tally {
    pub fn add(&mut self, number: u64, car: &Car, noted: &Noted, reckoning: &Reckoning) {
        for (at, (_, corner)) in reckoning.corners.iter().enumerate() {
            let truth = &car.corners[at];
            let age = match car.age {
                Age::New => "stage: as new",
                Age::PartWorn => "stage: part-worn",
                Age::Spent => "stage: end of life",
            };
            let cause = match truth.troubles.as_slice() {
                [] => "cause: ordinary wear alone".to_owned(),
                [one] => format!("cause: {}", cause_of(*one).words()),
                _ => "cause: two together".to_owned(),
            };
            let figures = [
                ("bulk", &corner.bulk, truth.bulk, format!("evidence: bulk by {}", noted.measured[at])),
                (
                    "outer face",
                    &corner.outer_face,
                    truth.faces[0],
                    format!("evidence: outer face, {}", noted.reach[at].word()),
                ),
                (
                    "inner face",
                    &corner.inner_face,
                    truth.faces[1],
                    format!("evidence: inner face, {}", noted.reach[at].word()),
                ),
                ("lining", &corner.outer_pad, truth.linings[0], "evidence: lining".to_owned()),
                ("lining", &corner.inner_pad, truth.linings[1], "evidence: lining".to_owned()),
            ];
            for (what, figure, true_wear, evidence) in figures {
                let Some(figure) = figure else { continue };
                for name in ["all".to_owned(), format!("{what}: {age}"), format!("{what}: {cause}"), evidence] {
                    self.strata.entry(name).or_default().add(figure, true_wear);
                }
            }
            if let Some(chances) = corner.disc_chances {
                let known = [
                    (&corner.bulk, truth.bulk),
                    (&corner.outer_face, truth.faces[0]),
                    (&corner.inner_face, truth.faces[1]),
                ];
                let worst =
                    known.iter().filter(|(figure, _)| figure.is_some()).map(|(_, wear)| *wear).fold(0.0, f64::max);
                put(&mut self.ends, chances.end_of_life, worst >= 0.9);
            }
            let Some(reckoned) = &corner.cause else { continue };
            put(&mut self.wear_only, reckoned.wear_only, truth.troubles.is_empty());
            for (one, trouble) in reckoned.causes.iter().zip(TROUBLES) {
                assert_eq!(one.cause, cause_of(trouble));
                put(&mut self.causes, one.chance, truth.troubles.contains(&trouble));
            }
            let likeliest =
                reckoned.causes.iter().enumerate().max_by(|a, b| a.1.chance.total_cmp(&b.1.chance)).unwrap();
            let said = if likeliest.1.chance > reckoned.wear_only { likeliest.0 } else { 5 };
            if truth.troubles.len() < 2 {
                let is = truth.troubles.first().map_or(5, |trouble| *trouble as usize);
                self.confusion[is][said] += 1;
            }
        }
        if !noted.stops.is_empty() {
            self.warned += 1;
            if !reckoning.drive_warnings.iter().any(|warning| warning.do_not_drive) {
                self.unwarned.push(format!("car {number}: {}", noted.stops.join(", ")));
            }
        }
        assert_eq!(CornerName::ALL.len(), car.corners.len());
    }

    pub fn merge(mut self, other: Self) -> Self {
        for (name, stratum) in other.strata {
            let own = self.strata.entry(name).or_default();
            own.count += stratum.count;
            own.held += stratum.held;
            own.width += stratum.width;
        }
        for (own, more) in
            [(&mut self.causes, other.causes), (&mut self.wear_only, other.wear_only), (&mut self.ends, other.ends)]
        {
            for (bin, add) in own.iter_mut().zip(more) {
                bin.count += add.count;
                bin.said += add.said;
                bin.came += add.came;
            }
        }
        for (own, more) in self.confusion.iter_mut().flatten().zip(other.confusion.into_iter().flatten()) {
            *own += more;
        }
        self.warned += other.warned;
        self.unwarned.extend(other.unwarned);
        self
    }

    pub fn coverages(&self) -> impl Iterator<Item = (&String, &Stratum)> {
        self.strata.iter()
    }

    /// All of it as tables.
    pub fn to_markdown(&self) -> String {
        let mut text = String::from(
            "# Simulated truth\n\n10 000 invented cars; the generator is in `tests/tests/truth`. A 95 % interval that holds the truth in fewer than\n93 % of a stratum fails the test; the width shows what that costs.\n\n## Intervals\n\n| figures | count | hold the truth | mean width |\n|---|---|---|---|\n",
        );
        for (name, stratum) in &self.strata {
            let (held, width) = (100.0 * stratum.coverage(), 100.0 * stratum.mean_width());
            let _ = writeln!(text, "| {name} | {} | {held:.1} % | {width:.0} % |", stratum.count);
        }
        for (title, bins) in [
            ("The chance of a cause against how often it was so", &self.causes),
            ("The chance that ordinary wear is the only cause", &self.wear_only),
            ("The chance that a disc is at the end of its life", &self.ends),
        ] {
            let _ = write!(text, "\n## {title}\n\n| said | count | mean said | was so |\n|---|---|---|---|\n");
            for (place, bin) in bins.iter().enumerate().filter(|(_, bin)| bin.count > 0) {
                let (count, from) = (f64::from(bin.count), 100 / BINS * place);
                let (said, came) = (100.0 * bin.said / count, 100.0 * f64::from(bin.came) / count);
                let _ =
                    writeln!(text, "| {from} to {} % | {} | {said:.0} % | {came:.0} % |", from + 100 / BINS, bin.count);
            }
        }
        let names = ["cleaner", "heat", "standing", "damage", "pad or calliper", "wear alone"];
        let _ = write!(
            text,
            "\n## The likeliest cause (across) against the true one (down)\n\n| true | {} |\n|---{}|\n",
            names.join(" | "),
            "|---".repeat(6)
        );
        for (name, row) in names.iter().zip(self.confusion) {
            let cells: Vec<_> = row.iter().map(ToString::to_string).collect();
            let _ = writeln!(text, "| {name} | {} |", cells.join(" | "));
        }
        let _ = write!(
            text,
            "\n## Not to be driven\n\nCars of which something was noted that forbids driving: {}. Without the warning: {}.\n",
            self.warned,
            self.unwarned.len()
        );
        text
    }
}
