//! The reckoning's computations beside those of other people's libraries, on a thousand random cases each; the script
//! `tests/outside/reckoning.py` says which library computes what.

use std::io::Write as _;
use std::process::{Command, Stdio};
use std::sync::LazyLock;

use condition::inside;
use model::{Currency, Decimal};
use rand_chacha::{
    ChaCha8Rng,
    rand_core::{Rng as _, SeedableRng as _},
};
use rimside_tests::{tool, top};
use serde_json::{Value, json};

const CASES: usize = 1_000;

/// A seeded source of cases.
struct Cases(ChaCha8Rng);

impl Cases {
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64)
    }

    fn whole(&mut self, low: usize, high: usize) -> usize {
        low + (self.0.next_u64() % (high - low) as u64) as usize
    }
}

/// What was asked, and what the libraries said.
struct Asked {
    means: Vec<Vec<(f64, f64)>>,
    lines: Vec<(f64, Vec<inside::Point>)>,
    below: Vec<(f64, f64, f64)>,
    beliefs: Vec<Vec<(usize, bool)>>,
    rounded: Vec<(&'static str, String)>,
    said: Value,
}

const CURRENCIES: [&str; 4] = ["EUR", "GBP", "JPY", "KWD"];

static ASKED: LazyLock<Asked> = LazyLock::new(|| {
    let mut cases = Cases(ChaCha8Rng::seed_from_u64(11));
    let means: Vec<Vec<_>> = (0..CASES)
        .map(|_| {
            // Some agree, some do not, some hold one that is far off.
            let (count, spread) = (cases.whole(1, 8), cases.between(0.0, 0.5));
            (0..count).map(|_| (0.5 + cases.between(-spread, spread), cases.between(0.01, 0.2))).collect()
        })
        .collect();
    let lines: Vec<_> = (0..CASES)
        .map(|number| {
            let (count, slope) = (cases.whole(3, 9), cases.between(0.002, 0.02));
            // The guide's own example has no errors along x; half of the cases have some.
            let has_both = number % 2 == 1;
            let points: Vec<_> = (0..count)
                .map(|place| {
                    let x = 10.0 * place as f64 + cases.between(0.0, 5.0);
                    let (u_x, u_y) =
                        (if has_both { cases.between(0.05, 0.5) } else { 0.0 }, cases.between(0.005, 0.05));
                    inside::Point { x, u_x, y: 0.1 + slope * x + cases.between(-2.0, 2.0) * u_y, u_y }
                })
                .collect();
            (cases.between(-20.0, 120.0), points)
        })
        .collect();
    let below: Vec<_> =
        (0..CASES).map(|_| (cases.between(-1.0, 2.0), cases.between(-0.5, 1.5), cases.between(0.01, 0.6))).collect();
    let signs = inside::list_signs();
    assert!(signs.len() > 20, "the method has more signs than {}", signs.len());
    let beliefs: Vec<Vec<_>> = (0..CASES)
        .map(|_| {
            let share = cases.between(0.0, 1.0);
            let mut case = Vec::new();
            for at in 0..signs.len() {
                if cases.between(0.0, 1.0) < share {
                    case.push((at, cases.between(0.0, 1.0) < 0.3));
                }
            }
            case
        })
        .collect();
    let rounded: Vec<_> = (0..CASES)
        .map(|number| {
            // Every fourth amount lies exactly on a half.
            let mills = cases.whole(0, 10_000_000);
            let amount = if number % 4 == 0 {
                format!("{}.{:03}5", mills / 1000, mills % 1000)
            } else {
                format!("{}.{:06}", mills / 1000, cases.whole(0, 1_000_000))
            };
            (CURRENCIES[number % CURRENCIES.len()], amount)
        })
        .collect();
    let question = json!({
        "means": means,
        "lines": lines.iter().map(|(from, points)| json!({"from": from,
            "points": points.iter().map(|point| [point.x, point.u_x, point.y, point.u_y]).collect::<Vec<_>>()})).collect::<Vec<_>>(),
        "below": below,
        "student": (1..200).collect::<Vec<_>>(),
        "chi": (1..200).collect::<Vec<_>>(),
        "priors": inside::list_priors(),
        "signs": signs,
        "beliefs": beliefs,
        "rounded": rounded.iter().map(|(currency, amount)| json!({"currency": currency, "amount": amount})).collect::<Vec<_>>(),
    });
    let said = ask(&question);
    Asked { means, lines, below, beliefs, rounded, said }
});

/// Each case with its answer; an answer that is missing is no agreement.
#[track_caller]
fn pairs<'a, T>(cases: &'a [T], name: &str) -> impl Iterator<Item = (&'a T, &'static Value)> {
    let said = ASKED.said[name].as_array().unwrap();
    assert_eq!(said.len(), cases.len(), "answers to {name}");
    cases.iter().zip(said)
}

fn ask(question: &Value) -> Value {
    let script = top().join("tests/outside/reckoning.py");
    let mut python = Command::new(tool("venv/bin/python").unwrap())
        .arg(script)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut stdin = python.stdin.take().unwrap();
    let question = question.to_string();
    let writing = std::thread::spawn(move || stdin.write_all(question.as_bytes()));
    let output = python.wait_with_output().unwrap();
    writing.join().unwrap().unwrap();
    assert!(output.status.success(), "the script ended with {}", output.status);
    serde_json::from_slice(&output.stdout).unwrap()
}

#[track_caller]
fn agree(ours: f64, theirs: &Value, relative: f64, what: &str) {
    let theirs = theirs.as_f64().unwrap_or_else(|| panic!("{what}: got {theirs}"));
    let by = relative * ours.abs().max(theirs.abs()).max(1e-3);
    assert!((ours - theirs).abs() <= by, "{what}: ours {ours}, theirs {theirs}");
}

#[test]
fn means_and_their_spread() {
    let mut disagreeing = 0;
    for (case, said) in pairs(&ASKED.means, "means") {
        let ours = inside::combine(case).unwrap();
        agree(ours.value, &said["value"], 1e-9, "mean");
        agree(ours.chi_squared, &said["chi"], 1e-9, "χ²");
        let freedom = case.len() - 1;
        let is_wide = freedom > 0 && ours.chi_squared > inside::chi_squared_95(freedom);
        let birge = if is_wide { (said["chi"].as_f64().unwrap() / freedom as f64).sqrt() } else { 1.0 };
        agree(ours.uncertainty / birge, &said["uncertainty"], 1e-9, "uncertainty");
        disagreeing += usize::from(is_wide);
        assert_eq!(ours.outlier.is_some(), is_wide);
    }
    assert!((100..900).contains(&disagreeing), "the cases are of one kind: {disagreeing} disagree");
}

#[test]
fn straight_lines() {
    for ((from, points), said) in pairs(&ASKED.lines, "lines") {
        let ours = inside::fit_line(points, *from).unwrap();
        let has_both = points[0].u_x > 0.0;
        // With errors in y alone it is the same method; with errors in both, another one for the same optimum, whose
        // uncertainties are told by another approximation.
        let (value, spread) = if has_both { (1e-5, 0.05) } else { (1e-9, 1e-9) };
        agree(ours.at, &said["at"], value, "value");
        agree(ours.slope, &said["slope"], value, "slope");
        agree(ours.u_at, &said["u_at"], spread, "uncertainty of the value");
        agree(ours.u_slope, &said["u_slope"], spread, "uncertainty of the slope");
        if !has_both {
            agree(ours.covariance / (ours.u_at * ours.u_slope), &said["r"], 1e-9, "correlation");
        }
    }
}

#[test]
fn distributions() {
    for (&(limit, mean, deviation), said) in pairs(&ASKED.below, "below") {
        let theirs = said.as_f64().unwrap();
        assert!((inside::below(limit, mean, deviation) - theirs).abs() < 1e-12);
    }
    for (at, said) in ASKED.said["student"].as_array().unwrap().iter().enumerate() {
        agree(inside::student_95(at + 1), said, 1e-3, "Student's t");
    }
    for (at, said) in ASKED.said["chi"].as_array().unwrap().iter().enumerate() {
        agree(inside::chi_squared_95(at + 1), said, 1e-3, "χ²");
    }
}

#[test]
fn sets_of_causes() {
    for (case, said) in pairs(&ASKED.beliefs, "beliefs") {
        let (none, causes, bits) = inside::believe(case);
        agree(none, &said["none"], 1e-9, "wear only");
        for (ours, theirs) in causes.iter().zip(said["causes"].as_array().unwrap()) {
            agree(*ours, theirs, 1e-9, "cause");
        }
        agree(bits, &said["bits"], 1e-9, "entropy");
    }
}

#[test]
fn minor_units_and_rounding() {
    let mut known = 0;
    for (code, digits) in ASKED.said["digits"].as_object().unwrap() {
        let Ok(currency) = Currency::try_from(code.clone()) else { continue };
        // Currencies that nobody pays with any more may differ from list to list.
        if [
            "EUR", "GBP", "USD", "JPY", "KWD", "CHF", "SEK", "NOK", "DKK", "PLN", "KRW", "ISK", "BHD", "OMR", "TND",
            "JOD", "CLP", "VND", "XOF", "XAF", "PYG", "UGX", "RWF", "AUD", "NZD", "CAD", "ZAR", "INR", "CNY", "BRL",
        ]
        .contains(&code.as_str())
        {
            assert_eq!(u64::from(currency.minor_digits()), digits.as_u64().unwrap(), "{code}");
            known += 1;
        }
    }
    assert_eq!(known, 30);
    for ((code, amount), said) in pairs(&ASKED.rounded, "rounded") {
        let currency = Currency::try_from((*code).to_owned()).unwrap();
        let ours = currency.round(amount.parse::<Decimal>().unwrap());
        assert_eq!(ours.to_string(), said.as_str().unwrap(), "{amount} {code}");
    }
}
