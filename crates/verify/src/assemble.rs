//! Puts the seal's report and the gate's result together into a verdict.

use seal::{
    certificate::{Role, Subject},
    digest::{Fingerprint, Sha256Digest},
    trust::Trust,
    verdict::{Check, Finding, Named, SealReport, Standing, Whose},
};

#[cfg(feature = "rerender")]
use crate::{gate::Gate, gate::Refusal, gate_codes, statement_gate::StatementGate};
use crate::{
    headline,
    indication::indicate,
    kind::is_statement,
    verdict::{Answer, Details, Identified, Questions, Remark, Root, SignedBy, Verdict},
    words,
};

/// What is known of the pages.
#[derive(Debug)]
pub(crate) enum Inside {
    /// Nothing: the record was not drawn.
    NotDrawn,
    /// The record was read and drawn again.
    #[cfg(feature = "rerender")]
    Drawn(Gate),
    /// The condition statement was read and drawn again, and its report checked.
    #[cfg(feature = "rerender")]
    Stated(StatementGate),
    /// A statement inside a statement.
    #[cfg(feature = "rerender")]
    Nested,
}

/// What the record says of itself that a verdict passes on.
#[derive(Debug, Default)]
struct Record {
    author: Option<String>,
    firm: Option<String>,
    renderer: Option<u32>,
    method: Option<u32>,
    demonstration: Option<bool>,
}

impl Inside {
    fn record(&self) -> Record {
        match self {
            Self::NotDrawn => Record::default(),
            #[cfg(feature = "rerender")]
            Self::Nested => Record::default(),
            #[cfg(feature = "rerender")]
            Self::Stated(gate) => gate.statement.as_ref().map_or_else(Record::default, |statement| Record {
                author: Some(statement.author.to_string()),
                firm: Some(statement.content.firm.to_string()),
                renderer: Some(statement.renderer.0),
                method: None,
                demonstration: Some(statement.content.demonstration),
            }),
            #[cfg(feature = "rerender")]
            Self::Drawn(gate) => gate.record().map_or_else(Record::default, |record| Record {
                author: Some(record.author.to_string()),
                firm: Some(record.inspection.inspector.firm.to_string()),
                renderer: Some(record.renderer.0),
                method: Some(record.reckoning.method.0),
                demonstration: Some(record.inspection.demonstration),
            }),
        }
    }
}

/// The verdict. `record` holds the bytes of the record inside, if they could be unpacked.
pub(crate) fn assemble(seal: SealReport, inside: Inside, record: Option<&[u8]>, trust: &Trust) -> Verdict {
    let is_signed = seal.unchanged.passed().is_some();
    let says = inside.record();
    let kind = if record.is_some_and(is_statement) { Role::Dealer } else { Role::Inspector };
    let whose = answer_whose(&seal.whose, &says, kind);
    let (unchanged, ground) = answer_unchanged(&seal.unchanged, inside);
    let questions = Questions {
        unchanged,
        whose,
        since_when: answer_since_when(&seal),
        still_stands: answer_still_stands(&seal.still_stands, ground.lost),
    };
    let headline = headline::decide(&questions);
    let report = seal.unchanged.passed().map(|verified| {
        let record = record.map(Sha256Digest::of);
        Identified {
            identity: verified.identity().to_string(),
            record: record.map(|digest| digest.to_string()).unwrap_or_default(),
            record_short: record.map(shorten).unwrap_or_default(),
            claimed_time: seal.claimed_time,
        }
    });
    let named = seal.named.as_ref().filter(|_| is_signed);
    let mut remarks: Vec<Remark> = seal.remarks.into_iter().map(to_remark).collect();
    remarks.extend(remark_on_firm(named, &says));
    let words = words::write(headline, &questions, named);
    let states = named
        .filter(|_| kind == Role::Dealer)
        .map(|named| words::states(&named.person.organization, ground.rests_on.as_deref()));
    Verdict {
        headline,
        title: headline.title().to_owned(),
        because: words.because,
        meaning: words.meaning,
        next: words.next,
        signed_by: named.map(|named| signed_by(&named.person, named.signer.to_string())),
        root: named.map(|named| Root {
            name: named.root.name.clone(),
            fingerprint: named.root_fingerprint.to_string(),
            given_by_reader: is_given(&named.root, named.root_fingerprint, trust),
        }),
        report,
        states,
        rests_on: ground.rests_on,
        details: Details {
            indication: indicate(&questions),
            renderer: says.renderer,
            method: says.method,
            demonstration: says.demonstration,
            remarks,
        },
        questions,
    }
}

fn is_given(root: &Subject, fingerprint: Fingerprint, trust: &Trust) -> bool {
    trust.roots.iter().any(|own| own.fingerprint() == fingerprint && own.subject().as_ref() == Ok(root))
}

fn to_remark(Finding { code, reason }: Finding) -> Remark {
    Remark { code, reason: words::sentence(&reason) }
}

/// The first 80 bits in five groups, as the pages print them.
fn shorten(digest: Sha256Digest) -> String {
    digest.to_groups().chars().take(24).collect()
}

fn signed_by(person: &Subject, fingerprint: String) -> SignedBy {
    SignedBy {
        name: person.name.clone(),
        organization: person.organization.clone(),
        role: person.role.map(|role| role.name().to_owned()),
        fingerprint,
    }
}

fn failed(finding: &Finding) -> Answer {
    Answer::Failed { code: finding.code, reason: words::sentence(&finding.reason) }
}

fn not_checked(finding: &Finding) -> Answer {
    Answer::NotChecked { code: finding.code, reason: words::sentence(&finding.reason) }
}

/// What a condition statement rests on.
#[derive(Default)]
struct Ground {
    rests_on: Option<Box<Verdict>>,
    /// Why it does not stand any longer, though the statement does.
    lost: Option<Finding>,
}

fn answer_unchanged<T>(seal: &Check<T>, inside: Inside) -> (Answer, Ground) {
    let alone = |answer| (answer, Ground::default());
    match seal {
        Check::Failed(Finding { code, reason }) => {
            return alone(Answer::Failed { code, reason: words::sentence(&words::explain_file(code, reason)) });
        }
        Check::NotChecked(finding) => return alone(not_checked(finding)),
        Check::Passed(_) => {}
    }
    let answer = match inside {
        Inside::NotDrawn => Answer::NotChecked { code: "not-drawn-again", reason: words::NOT_DRAWN.to_owned() },
        #[cfg(feature = "rerender")]
        Inside::Drawn(Gate::Passed(_)) => Answer::Passed { sentence: words::UNCHANGED.to_owned() },
        #[cfg(feature = "rerender")]
        Inside::Drawn(Gate::Failed(finding, _)) => failed(&finding),
        #[cfg(feature = "rerender")]
        Inside::Drawn(Gate::NotKnown(finding)) => not_checked(&finding),
        #[cfg(feature = "rerender")]
        Inside::Nested => Answer::Failed {
            code: gate_codes::STATEMENT_INSIDE,
            reason: "What a condition statement rests on is a report; this is another statement.".to_owned(),
        },
        #[cfg(feature = "rerender")]
        Inside::Stated(StatementGate { result, ground_lost, rests_on, .. }) => {
            let answer = match result {
                Ok(()) => Answer::Passed { sentence: words::UNCHANGED.to_owned() },
                Err(Refusal::Failed(finding)) => failed(&finding),
                Err(Refusal::NotKnown(finding)) => not_checked(&finding),
            };
            return (answer, Ground { rests_on, lost: ground_lost });
        }
    };
    alone(answer)
}

/// The seal knows the signer; only here is it known whom the pages name, and what is being signed.
fn answer_whose(seal: &Check<Whose>, says: &Record, kind: Role) -> Answer {
    let whose = match seal {
        Check::Failed(finding) => return failed(finding),
        Check::NotChecked(finding) => return not_checked(finding),
        Check::Passed(whose) => whose,
    };
    if whose.person.role != Some(kind) {
        let role = whose.person.role.map_or("no role", Role::name);
        let who =
            if kind == Role::Dealer { "a dealer seals a condition statement" } else { "an inspector seals a report" };
        let reason = format!("Only {who}; this key is certified for another part ({role}).");
        return Answer::Failed { code: "role-may-not-seal", reason };
    }
    match &says.author {
        Some(author) if *author != whose.person.name => Answer::Failed {
            code: "author-differs",
            reason: format!("The pages name {author} as the author, and {} signed.", whose.person.name),
        },
        _ => Answer::Passed { sentence: words::whose(whose) },
    }
}

fn remark_on_firm(named: Option<&Named>, says: &Record) -> Option<Remark> {
    let certified = &named?.person.organization;
    let firm = says.firm.as_ref().filter(|firm| *firm != certified)?;
    let reason = format!("The pages name the firm {firm}; the certificate names {certified}.");
    Some(Remark { code: "firm-differs", reason })
}

fn answer_since_when(seal: &SealReport) -> Answer {
    match &seal.since_when {
        Check::Failed(finding) => failed(finding),
        Check::NotChecked(Finding { code: "no-proof-of-time", .. }) => {
            Answer::NotChecked { code: "no-proof-of-time", reason: words::no_proof_of_time(seal.claimed_time) }
        }
        Check::NotChecked(finding) => not_checked(finding),
        Check::Passed(since) => Answer::Passed { sentence: words::since(since) },
    }
}

/// A statement whose ground was taken back does not stand either, unless it was itself taken back before.
fn answer_still_stands(seal: &Check<Standing>, ground_lost: Option<Finding>) -> Answer {
    if let Some(finding) = ground_lost.filter(|_| !matches!(seal, Check::Failed(_))) {
        return failed(&finding);
    }
    match seal {
        Check::Failed(finding) => failed(finding),
        Check::NotChecked(finding) => not_checked(finding),
        Check::Passed(Standing { as_of }) => Answer::Passed { sentence: words::stands(*as_of) },
    }
}
