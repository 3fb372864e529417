//! The answer itself: at most three sentences, the gravest thing first.

use model::{CornerName, CornerReckoning, CostReckoning, Decimal, Evidence, Figure, PadName, Sentence, Stage};

use super::phrase::{capital, carriers, clause, disc_is, grouped, list, pads, share};
use super::{Findings, life};
use crate::cost::{is_anything_due, is_stale, list_unpriced};
use crate::disc_part::find_worst;
use crate::explain::{plural, reading_of};
use crate::mark::{UsedUp, find_thinnest, find_used_up, is_worn_out, lining_mark};
use crate::stage::may_be_at_mark;

/// A part of a sentence, and what carries it.
struct Clause {
    text: String,
    evidence: Vec<Evidence>,
}

impl Clause {
    fn into_sentence(self) -> Sentence {
        Sentence { text: capital(&self.text) + ".", evidence: self.evidence }
    }

    fn and(mut self, other: Self) -> Self {
        self.text = format!("{}; {}", self.text, other.text);
        self.evidence.extend(other.evidence);
        self
    }
}

/// Discs, pads, money; where the car must not be driven, that first, and discs and pads in one.
pub fn write(findings: &Findings<'_>) -> Vec<Sentence> {
    let (discs, pads) = (discs(findings), linings(findings));
    match do_not_drive(findings) {
        Some(stop) => vec![stop, discs.and(pads).into_sentence(), money(findings)],
        None => vec![discs.into_sentence(), pads.into_sentence(), money(findings)],
    }
}

fn do_not_drive(findings: &Findings<'_>) -> Option<Sentence> {
    let reasons: Vec<_> = findings.warnings.iter().filter(|warning| warning.do_not_drive).collect();
    let first = clause(&reasons.first()?.text);
    let others = match reasons.len() - 1 {
        0 => String::new(),
        count => format!(", and {count} more reason{} below", plural(count)),
    };
    Some(Sentence {
        text: format!("Do not drive the car as it is: {first}{others}."),
        evidence: reasons.iter().flat_map(|warning| warning.evidence.clone()).collect(),
    })
}

fn discs(findings: &Findings<'_>) -> Clause {
    let of_stage = |stage| findings.corners.iter().filter(move |(_, corner)| corner.disc_stage == stage);
    let spent: Vec<_> = of_stage(Stage::EndOfLife).map(|(name, _)| name).collect();
    let unknown: Vec<_> = of_stage(Stage::Unknown).map(|(name, _)| name.words().to_owned()).collect();
    let not_judged = match unknown.len() {
        0 => String::new(),
        count => format!(", and the {} {} not judged", list(&unknown), disc_is(count)),
    };
    if !spent.is_empty() {
        let text = match spent.as_slice() {
            [name] => {
                format!("the {} disc is at the end of its life ({}){not_judged}", name.words(), reason(findings, *name))
            }
            names => {
                let by: Vec<_> =
                    names.iter().map(|&name| format!("{} ({})", name.words(), reason(findings, name))).collect();
                format!("the {} discs are at the end of their life{not_judged}", list(&by))
            }
        };
        return Clause { text, evidence: spent.iter().flat_map(|&name| disc_evidence(findings, name)).collect() };
    }
    let known = findings.corners.iter().filter_map(|(name, corner)| Some((name, corner, find_worst(corner)?)));
    let Some((name, corner, (what, figure))) = known.max_by(|a, b| a.2.1.value.total_cmp(&b.2.1.value)) else {
        return Clause {
            text: "how worn the discs are could not be told from what was seen and measured".to_owned(),
            evidence: vec![Evidence::Missing { what: "disc findings".to_owned() }],
        };
    };
    Clause {
        text: format!(
            "by its wear, as far as it was seen and measured, no disc is at the end of its life, the most worn being the {} ({what} {}){not_judged}",
            name.words(),
            share(figure)
        ),
        evidence: carriers(corner),
    }
}

/// Why a disc is at the end of its life: "inner face 93 ± 8 % worn".
fn reason(findings: &Findings<'_>, name: CornerName) -> String {
    if is_worn_out(findings.inspection, name) {
        return "a reading beyond its own mark".to_owned();
    }
    find_worst(findings.corners.at(name)).map_or_else(String::new, |(what, figure)| format!("{what} {}", share(figure)))
}

fn disc_evidence(findings: &Findings<'_>, name: CornerName) -> Vec<Evidence> {
    let mut evidence = carriers(findings.corners.at(name));
    if is_worn_out(findings.inspection, name) {
        evidence.push(Evidence::Mark { corner: name });
    }
    evidence
}

struct Lining<'a> {
    name: CornerName,
    pad: PadName,
    figure: Option<&'a Figure>,
    is_measured: bool,
    used_up: Option<UsedUp>,
}

impl Lining<'_> {
    fn words(&self) -> String {
        format!("{} {}", self.name.words(), self.pad.words())
    }
}

fn every_lining<'a>(findings: &Findings<'a>) -> Vec<Lining<'a>> {
    let inspection = findings.inspection;
    let of_corner = |(name, corner): (CornerName, &'a CornerReckoning)| {
        pads(corner).into_iter().map(move |(pad, figure)| Lining {
            name,
            pad,
            figure,
            is_measured: find_thinnest(inspection, name, pad).is_some(),
            used_up: find_used_up(inspection, name, pad),
        })
    };
    findings.corners.iter().flat_map(of_corner).collect()
}

fn lining_evidence(findings: &Findings<'_>, lining: &Lining<'_>) -> Vec<Evidence> {
    let reading = find_thinnest(findings.inspection, lining.name, lining.pad).map(|(reading, _)| reading_of(reading));
    let pad = Evidence::Pad { corner: lining.name, pad: lining.pad };
    reading.into_iter().chain([pad]).collect()
}

fn linings(findings: &Findings<'_>) -> Clause {
    let every = every_lining(findings);
    let measured: Vec<_> = every.iter().filter(|lining| lining.is_measured).collect();
    let unmeasured = match every.len() - measured.len() {
        0 => String::new(),
        count => {
            let was = if count == 1 { "was" } else { "were" };
            format!(", and {count} of the {} linings {was} not measured", every.len())
        }
    };
    let used_up: Vec<_> = every.iter().filter(|lining| lining.used_up.is_some()).collect();
    if !used_up.is_empty() {
        let words: Vec<_> = used_up.iter().map(|lining| lining.words()).collect();
        let (are, whose) = if used_up.len() == 1 { ("is", "its") } else { ("are", "their") };
        return Clause {
            text: format!(
                "the {} pad{} {are} at or past {whose} renewal mark{}{unmeasured}",
                list(&words),
                plural(used_up.len()),
                by_what(findings, &used_up)
            ),
            evidence: used_up.iter().flat_map(|lining| lining_evidence(findings, lining)).collect(),
        };
    }
    if measured.is_empty() {
        return Clause {
            text: "the pads' linings were not measured".to_owned(),
            evidence: vec![Evidence::Missing { what: "linings".to_owned() }],
        };
    }
    let known = measured.iter().filter_map(|lining| Some((lining, lining.figure?)));
    let nearest = known.max_by(|a, b| a.1.value.total_cmp(&b.1.value)).map_or_else(String::new, |(lining, figure)| {
        let thumb = if is_by_thumb(findings, lining) { ", by a rule of thumb" } else { "" };
        let near = if may_be_at_mark(figure) { ", which may be at it already" } else { "" };
        format!(", the nearest to it being the {} pad ({}{thumb}){near}", lining.words(), share(figure))
    });
    Clause {
        text: format!("no lining that was measured is at its renewal mark{nearest}{unmeasured}"),
        evidence: measured.iter().flat_map(|lining| lining_evidence(findings, lining)).collect(),
    }
}

fn is_by_thumb(findings: &Findings<'_>, lining: &Lining<'_>) -> bool {
    lining.is_measured && !lining_mark(findings.inspection, lining.name).is_makers
}

/// What tells that linings are used up where it is not a reading against the maker's mark.
fn by_what(findings: &Findings<'_>, used_up: &[&Lining<'_>]) -> String {
    let by_lead: Vec<_> =
        used_up.iter().filter(|lining| lining.used_up == Some(UsedUp::WearLead)).map(|lining| lining.words()).collect();
    let mut ways = Vec::new();
    if by_lead.len() == used_up.len() {
        ways.push(format!(
            "by {} worn-through wear lead{}",
            if by_lead.len() == 1 { "its" } else { "their" },
            plural(by_lead.len())
        ));
    } else if !by_lead.is_empty() {
        ways.push(format!("the {} by a worn-through wear lead", list(&by_lead)));
    }
    if used_up.iter().any(|lining| is_by_thumb(findings, lining)) {
        ways.push("by a rule of thumb".to_owned());
    }
    if ways.is_empty() { String::new() } else { format!(" ({})", ways.join("; ")) }
}

fn money(findings: &Findings<'_>) -> Sentence {
    let (inspection, corners) = (findings.inspection, findings.corners);
    let Some(cost) = findings.cost else {
        return Sentence {
            text: "What renewal costs was not reckoned: no prices were given.".to_owned(),
            evidence: vec![Evidence::Missing { what: "prices".to_owned() }],
        };
    };
    let amount = |cost: &CostReckoning, of: Decimal| format!("{} {}", cost.currency.code(), grouped(of));
    let all = amount(cost, cost.all);
    let by = if is_stale(inspection) { "by prices that no longer held on that day" } else { "by the prices given" };
    let unpriced = list_unpriced(inspection, corners);
    let lacking = if unpriced.is_empty() {
        String::new()
    } else {
        format!(", without {}, for which no price was given", list(&unpriced))
    };
    let text = if is_anything_due(inspection, corners) {
        let due = amount(cost, cost.due_now);
        format!("What is due now costs {due} with tax {by}{lacking}; everything on the price list would cost {all}.")
    } else {
        format!(
            "By what was found, no disc and no pad is due for renewal now; everything on the price list would cost {all} with tax {by}."
        )
    };
    let next = life::find_next_to_end(findings).map_or_else(String::new, |words| format!(" {words}"));
    Sentence { text: text + &next, evidence: vec![Evidence::Prices] }
}
