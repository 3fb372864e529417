use std::fmt::Write as _;

use api::{Fault, Headline, TrustRequest, Verdict, VerifyRequest, verify_report};

use super::WORLD;
use crate::{
    answer::Answer,
    arguments::{Brought, Verify},
};

pub fn verify(arguments: &Verify) -> Result<Answer, Fault> {
    let verdict = verify_report(
        &WORLD,
        &VerifyRequest {
            file: &arguments.file,
            trust: trust(&arguments.trust),
            signature_only: arguments.signature_only,
        },
    )?;
    let code = exit_code(verdict.headline, arguments.require_standing);
    Ok(Answer::told(describe(&verdict), &verdict).with_code(code))
}

/// What the reader brings along.
pub fn trust(brought: &Brought) -> TrustRequest<'_> {
    TrustRequest {
        roots: &brought.roots,
        revocation_lists: &brought.revocation_lists,
        logs: &brought.logs,
        witnesses: &brought.witnesses,
        witnesses_needed: brought.witnesses_needed,
        authorities: &brought.authorities,
        statements: &brought.statements,
        statements_complete_as_of: brought.statements_complete,
    }
}

/// Documented in the help.
fn exit_code(headline: Headline, require_standing: bool) -> u8 {
    match headline {
        Headline::GenuineStandingNotChecked if require_standing => 2,
        Headline::Genuine | Headline::GenuineStandingNotChecked => 0,
        Headline::DoNotRely => 1,
        Headline::CannotBeFullyConfirmed => 2,
        Headline::GenuineButWithdrawn | Headline::GenuineButSuperseded => 3,
    }
}

fn describe(verdict: &Verdict) -> String {
    let mut text = format!("{}\n{}\n\n{}\n\n", verdict.title, verdict.because, verdict.meaning);
    for asked in verdict.questions.list_in_order() {
        let _ = writeln!(text, "{:<21} {:<12} {}", asked.question, asked.state(), asked.answer.sentence());
    }
    if let Some(states) = &verdict.states {
        let _ = writeln!(text, "\n{states}");
    }
    if verdict.root.is_some() || verdict.report.is_some() {
        text.push('\n');
    }
    if let Some(root) = &verdict.root {
        let whose = if root.given_by_reader { "given by you" } else { "named by the file alone; not given by you" };
        let _ = writeln!(text, "Root                  {}, {whose}\n{:22}{}", root.name, "", root.fingerprint);
    }
    if let Some(report) = &verdict.report {
        let _ = writeln!(text, "Record                {} (as on each page)", report.record_short);
    }
    if verdict.details.demonstration == Some(true) {
        let _ = writeln!(text, "Demonstration         The record says that everything in it is invented.");
    }
    for remark in &verdict.details.remarks {
        let _ = writeln!(text, "Remark                {}", remark.reason);
    }
    let _ = writeln!(text, "\nWhat to do: {}", verdict.next);
    if let Some(report) = &verdict.rests_on {
        let _ = writeln!(text, "\nThe report that it rests on\n");
        for line in describe(report).lines() {
            let _ = writeln!(text, "  {line}");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_headline_has_its_documented_exit_code() {
        let codes = |require| Headline::ALL.map(|headline| exit_code(headline, require));
        assert_eq!(codes(false), [0, 0, 3, 3, 2, 1]);
        assert_eq!(codes(true), [0, 2, 3, 3, 2, 1]);
    }
}
