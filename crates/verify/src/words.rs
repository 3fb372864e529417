//! The verdict in plain words, for somebody who has never heard of a signature.

use chrono::{DateTime, Utc};
use seal::verdict::{ByWitnesses, Named, Proof, SinceWhen, Whose};

use crate::{
    headline::Headline,
    verdict::{Answer, Questions, Verdict},
};

/// Of a file that passed the gate.
#[cfg(feature = "rerender")]
pub(crate) const UNCHANGED: &str = "Every byte is as it was signed, and its record gives the same pages again.";
/// Of a file whose signature alone was checked.
pub(crate) const NOT_DRAWN: &str =
    "Every byte is as it was signed. Whether the pages show what the record says was not checked.";

/// What is said once, above and below the four answers.
pub(crate) struct Words {
    pub because: String,
    pub meaning: String,
    pub next: String,
}

pub(crate) fn write(headline: Headline, questions: &Questions, named: Option<&Named>) -> Words {
    Words {
        because: explain(headline, questions),
        meaning: meaning(headline).to_owned(),
        next: advise(headline, questions, named),
    }
}

/// The sentence of the answer that decided.
fn explain(headline: Headline, questions: &Questions) -> String {
    let Questions { unchanged, whose, since_when, still_stands } = questions;
    let deciding = match headline {
        Headline::Genuine => return format!("Nothing was altered. {} {}", whose.sentence(), still_stands.sentence()),
        Headline::GenuineStandingNotChecked | Headline::GenuineButWithdrawn | Headline::GenuineButSuperseded => {
            still_stands
        }
        Headline::CannotBeFullyConfirmed => {
            let open: Vec<&str> = [unchanged, whose]
                .into_iter()
                .filter(|answer| matches!(answer, Answer::NotChecked { .. }))
                .map(Answer::sentence)
                .collect();
            return open.join(" ");
        }
        Headline::DoNotRely => [unchanged, whose, since_when, still_stands]
            .into_iter()
            .find(|answer| matches!(answer, Answer::Failed { .. }))
            .unwrap_or(unchanged),
    };
    deciding.sentence().to_owned()
}

const fn meaning(headline: Headline) -> &'static str {
    match headline {
        Headline::Genuine => {
            "Genuine means that nothing was altered, and whose report it is. It does not mean that what it says is true, \
             or that the car is safe."
        }
        Headline::GenuineStandingNotChecked => {
            "Nothing was altered, and it is known whose report it is. Whether it was withdrawn since is not known. \
             Genuine does not mean that what it says is true, or that the car is safe."
        }
        Headline::GenuineButWithdrawn => {
            "Nothing was altered, and it is known whose report it is; its firm has taken it back."
        }
        Headline::GenuineButSuperseded => {
            "Nothing was altered, and it is known whose report it is; its firm has put another report in its place."
        }
        Headline::CannotBeFullyConfirmed => {
            "Nothing was found wrong, and something that is needed could not be checked."
        }
        Headline::DoNotRely => "Nobody answers for this file as it lies here.",
    }
}

fn advise(headline: Headline, questions: &Questions, named: Option<&Named>) -> String {
    let firm = named.map_or("whoever gave you the report", |named| named.person.organization.as_str());
    match headline {
        Headline::Genuine => format!(
            "Read it as the word of the person who signed. If you have not done so yet, compare the root's fingerprint \
             with {firm} by another way than this file's."
        ),
        Headline::GenuineStandingNotChecked => format!(
            "Ask {firm} whether the report still stands, or check again with the firm's revocation list and its \
             statements."
        ),
        Headline::GenuineButWithdrawn => format!("Do not use it any longer. Ask {firm} why it was withdrawn."),
        Headline::GenuineButSuperseded => format!("Do not use it any longer. Ask {firm} for the report in its place."),
        Headline::CannotBeFullyConfirmed => advise_on_missing(questions, firm),
        Headline::DoNotRely if questions.still_stands.code().is_some_and(|code| code == "withdrawn") => {
            format!("Do not use it. Ask {firm} why it was withdrawn.")
        }
        Headline::DoNotRely => format!("Do not use it. Ask {firm} for the original, and check that."),
    }
}

fn advise_on_missing(questions: &Questions, firm: &str) -> String {
    match (questions.whose.code(), questions.unchanged.code()) {
        (Some("unknown-root"), _) => {
            "Compare the root's fingerprint with the firm by another way than this file's (its invoice, a telephone call \
             to a number that you know). If it is the same, check again with the root that the firm gives you."
                .to_owned()
        }
        (Some("expired"), _) => format!(
            "Ask {firm} for a proof that the report was signed before the certificate expired, or for a fresh report."
        ),
        (_, Some("report-not-confirmed")) => {
            "Check again with the root of the firm whose report it rests on, too.".to_owned()
        }
        (_, Some("not-drawn-again")) => "Check the file fully, with its pages drawn again.".to_owned(),
        (_, Some(_)) => "Check again with a newer release of this program.".to_owned(),
        _ => format!("Ask {firm}."),
    }
}

pub(crate) fn whose(whose: &Whose) -> String {
    let Whose { person, root, revoked_later, .. } = whose;
    let later = revoked_later.as_ref().map_or_else(String::new, |revocation| {
        let since = minute(revocation.since);
        let reason = revocation.reason.name();
        format!(" The key was revoked later, on {since} ({reason}); the signature counts as older, by the time under \"Since when?\".")
    });
    format!("Signed by {person}, under the root that this check was given: {}.{later}", root.name)
}

/// Who says what in a condition statement.
pub(crate) fn states(firm: &str, rests_on: Option<&Verdict>) -> String {
    let Some(report) = rests_on else {
        return format!(
            "{firm} states what stands on these pages; it rests on its own findings, and no report goes with it."
        );
    };
    let signed = report.signed_by.as_ref().map_or_else(
        || "a report that nobody is known to have signed".to_owned(),
        |signed| format!("a report signed by {}, {}", signed.name, signed.organization),
    );
    format!(
        "{firm} states what stands on these pages. It rests on {signed}, which is checked on its own: {}.",
        report.title
    )
}

pub(crate) fn no_proof_of_time(claimed: Option<DateTime<Utc>>) -> String {
    match claimed {
        Some(time) => format!("Only the signer's own clock says when it was signed: {}.", minute(time)),
        None => "Nothing says when it was signed.".to_owned(),
    }
}

pub(crate) fn since(SinceWhen { at, proof }: &SinceWhen) -> String {
    let at = minute(*at);
    let (log, index, by_witnesses) = match proof {
        Proof::Log { log, index, by_witnesses } => (log, index, by_witnesses),
        Proof::Authority { name } => {
            return format!(
                "It existed on {at}, proven by a timestamp of {name}, an authority that you named. Whether a certificate of \
                 that authority was revoked was not asked."
            );
        }
    };
    let Some(ByWitnesses { needed, known, entered }) = by_witnesses else {
        return format!("It existed on {at}, as the firm's log {log} says (entry {index}).");
    };
    let witnesses = match known {
        1 => "the witness that you gave".to_owned(),
        _ => format!("{needed} of the {known} witnesses that you gave"),
    };
    let entered = minute(*entered);
    format!(
        "It existed on {at}, proven by {witnesses}: they had signed the firm's log {log} by then (entry {index}, made on \
         {entered} by the log's own clock)."
    )
}

pub(crate) fn stands(as_of: DateTime<Utc>) -> String {
    format!("Nothing that you gave withdraws it or revokes its key, as of {}.", minute(as_of))
}

fn minute(time: DateTime<Utc>) -> String {
    time.format("%Y-%m-%d %H:%M UTC").to_string()
}

/// What a fault of the file itself means to somebody who does not know how files are built.
pub(crate) fn explain_file(code: &str, reason: &str) -> String {
    match code {
        "header-missing" | "signature-missing" | "not-sealed" | "file-too-large" => {
            format!("this is no sealed report: {reason}")
        }
        "digest-differs" => "this report was changed after it was signed: not all bytes are the signed ones".to_owned(),
        "bytes-after-end" | "incremental-update" | "second-document" => {
            format!("this report was changed after it was signed: {reason}")
        }
        _ => format!("this file was changed after it was signed, or never was a sealed report: {reason}"),
    }
}

/// A reason as a sentence: a capital first, a full stop last.
pub(crate) fn sentence(reason: &str) -> String {
    let mut characters = reason.chars();
    let Some(first) = characters.next() else { return String::new() };
    let stop = if reason.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{}{}{stop}", first.to_uppercase(), characters.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reasons_become_sentences() {
        assert_eq!(sentence("312 bytes were added"), "312 bytes were added.");
        assert_eq!(sentence("withdrawn by Ines: wrong car!"), "Withdrawn by Ines: wrong car!");
        assert_eq!(sentence(""), "");
    }

    #[test]
    fn genuine_never_claims_truth_or_safety() {
        for headline in [Headline::Genuine, Headline::GenuineStandingNotChecked] {
            let said = meaning(headline);
            assert!(said.contains("not mean that what it says is true, or that the car is safe"), "{said}");
        }
    }

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    #[test]
    fn when_it_existed_is_said_with_who_says_so() {
        let at = at("2026-05-20T10:02:59Z");
        let log = |by_witnesses| Proof::Log { log: "log.example/north-bay".to_owned(), index: 7, by_witnesses };
        let by = |needed, known| {
            let entered = "2026-05-20T09:58:00Z".parse().unwrap();
            since(&SinceWhen { at, proof: log(Some(ByWitnesses { needed, known, entered })) })
        };
        let alone = since(&SinceWhen { at, proof: log(None) });
        assert_eq!(
            alone,
            "It existed on 2026-05-20 10:02 UTC, as the firm's log log.example/north-bay says (entry 7)."
        );
        let rest = "they had signed the firm's log log.example/north-bay by then (entry 7, made on 2026-05-20 09:58 UTC by \
                    the log's own clock).";
        assert_eq!(
            by(1, 1),
            format!("It existed on 2026-05-20 10:02 UTC, proven by the witness that you gave: {rest}")
        );
        assert_eq!(
            by(2, 3),
            format!("It existed on 2026-05-20 10:02 UTC, proven by 2 of the 3 witnesses that you gave: {rest}")
        );
        let authority = since(&SinceWhen { at, proof: Proof::Authority { name: "Time of Hull".to_owned() } });
        assert!(
            authority.contains("proven by a timestamp of Time of Hull, an authority that you named."),
            "{authority}"
        );
    }

    #[test]
    fn what_nobody_proves_is_said_to_be_the_signers_word_or_nobodys() {
        assert_eq!(
            no_proof_of_time(Some(at("2026-05-20T10:02:59Z"))),
            "Only the signer's own clock says when it was signed: 2026-05-20 10:02 UTC."
        );
        assert_eq!(no_proof_of_time(None), "Nothing says when it was signed.");
        assert_eq!(
            stands(at("2026-05-30T00:00:00Z")),
            "Nothing that you gave withdraws it or revokes its key, as of 2026-05-30 00:00 UTC."
        );
        assert_eq!(
            states("South Bay Motors", None),
            "South Bay Motors states what stands on these pages; it rests on its own findings, and no report goes with it."
        );
    }

    fn questions(unchanged: Answer, whose: Answer, still_stands: Answer) -> Questions {
        Questions { unchanged, whose, since_when: missing("no-proof-of-time"), still_stands }
    }

    fn yes() -> Answer {
        Answer::Passed { sentence: String::new() }
    }

    fn missing(code: &'static str) -> Answer {
        Answer::NotChecked { code, reason: String::new() }
    }

    fn no(code: &'static str) -> Answer {
        Answer::Failed { code, reason: String::new() }
    }

    #[test]
    fn what_to_do_next_follows_from_what_is_missing() {
        let next = |unchanged, whose, still_stands| {
            advise(Headline::CannotBeFullyConfirmed, &questions(unchanged, whose, still_stands), None)
        };
        let says = |advice: String, words: &str| assert!(advice.contains(words), "{advice}");
        says(
            next(yes(), missing("unknown-root"), yes()),
            "Compare the root's fingerprint with the firm by another way",
        );
        says(next(yes(), missing("expired"), yes()), "before the certificate expired, or for a fresh report");
        says(next(missing("report-not-confirmed"), yes(), yes()), "the firm whose report it rests on, too");
        says(next(missing("not-drawn-again"), yes(), yes()), "Check the file fully, with its pages drawn again.");
        says(next(missing("renderer-unknown"), yes(), yes()), "with a newer release of this program");
        says(next(yes(), missing("not-yet-valid"), yes()), "Ask whoever gave you the report.");
        let refused = |still_stands| advise(Headline::DoNotRely, &questions(yes(), yes(), still_stands), None);
        says(refused(no("withdrawn")), "Ask whoever gave you the report why it was withdrawn.");
        says(refused(yes()), "for the original, and check that");
        says(refused(no("revoked")), "for the original, and check that");
    }

    #[test]
    fn a_fault_of_the_file_is_said_in_words_of_the_reader() {
        for (code, expected) in [
            ("header-missing", "this is no sealed report: why"),
            ("not-sealed", "this is no sealed report: why"),
            ("digest-differs", "this report was changed after it was signed: not all bytes are the signed ones"),
            ("incremental-update", "this report was changed after it was signed: why"),
            ("key-doubled", "this file was changed after it was signed, or never was a sealed report: why"),
        ] {
            assert_eq!(explain_file(code, "why"), expected, "{code}");
        }
    }
}
