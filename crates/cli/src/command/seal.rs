use std::{fmt::Write as _, path::PathBuf};

use api::{
    Existing, Fault, Finished, ReceiptRequest, SealRequest, SealStatementRequest, SealedReport, StatementRequest,
    seal_report, seal_statement, state_withdrawal,
};

use super::{WORLD, verify::trust};
use crate::{
    answer::Answer,
    arguments::{AttachReceipt, Seal, State, Withdraw},
    passphrase,
    progress::Reporter,
};

pub fn seal(arguments: &Seal) -> Result<Answer, Fault> {
    let passphrase = passphrase::ask(&arguments.person.to_string(), arguments.passphrase.passphrase_file.as_deref())?;
    let reporter = Reporter::new(arguments.quiet);
    let sealed = seal_report(
        &WORLD,
        &SealRequest {
            inspection: &arguments.inspection,
            photographs: &arguments.photographs,
            firm: &arguments.firm,
            person: &arguments.person,
            passphrase: &passphrase,
            device: arguments.device.as_deref(),
            out: &arguments.out,
            existing: existing(arguments.replace),
            supersedes: arguments.supersedes,
            verify_at: arguments.verify_at.clone(),
        },
        &|step| reporter.tell(step),
    );
    reporter.finish();
    let sealed = sealed?;
    Ok(Answer::told(describe(&sealed), &sealed))
}

pub fn state(arguments: &State) -> Result<Answer, Fault> {
    let passphrase = passphrase::ask(&arguments.person.to_string(), arguments.passphrase.passphrase_file.as_deref())?;
    let sealed = seal_statement(
        &WORLD,
        &SealStatementRequest {
            content: &arguments.content,
            report: arguments.report.as_deref(),
            trust: trust(&arguments.trust),
            although_unsound: arguments.although_unsound,
            firm: &arguments.firm,
            person: &arguments.person,
            passphrase: &passphrase,
            device: arguments.device.as_deref(),
            out: &arguments.out,
            existing: existing(arguments.replace),
        },
    )?;
    let rests_on = match sealed.report_found {
        Some(found) => format!("It rests on the report inside, found {}.", found.words()),
        None => "It rests on the dealer's own findings.".to_owned(),
    };
    let finished = sealed.finished.as_ref().map_or_else(String::new, describe_finished);
    let text = format!(
        "{finished}Stated: {} ({} pages).\nSigned by {}.\n{rests_on}\n\
         Record digest, as on each page:  {}\n\
         Root's fingerprint, for readers:  {}\n",
        sealed.file, sealed.pages, sealed.signed_by, sealed.record_short, sealed.root_fingerprint
    );
    Ok(Answer::told(text, &sealed))
}

fn describe(sealed: &SealedReport) -> String {
    let mut text = String::new();
    if let Some(finished) = &sealed.finished {
        text.push_str(&describe_finished(finished));
    }
    let _ = writeln!(
        text,
        "Sealed: {} ({} pages, {} photographs, {} bytes), record {} of {}.\n\
         Signed by {}.\n\
         Record digest, as on each page:  {}\n\
         Root's fingerprint, for readers:  {}",
        sealed.file,
        sealed.pages,
        sealed.photographs,
        sealed.bytes,
        sealed.sequence,
        sealed.device,
        sealed.signed_by,
        sealed.record_short,
        sealed.root_fingerprint,
    );
    text
}

fn describe_finished(finished: &Finished) -> String {
    match finished {
        Finished::InPlace { sequence, place } => {
            format!("Record {sequence}, whose sealing was broken off, is complete: {place}\n")
        }
        Finished::Beside { sequence, place, lies_at } => format!(
            "Record {sequence}, whose sealing was broken off, is complete and lies at {lies_at}: another file is at \
             {place}\n"
        ),
        Finished::Gone { sequence, place } => format!(
            "Record {sequence}, whose sealing was broken off, was taken away from {place} by somebody; its number stays \
             taken\n"
        ),
    }
}

pub fn withdraw(arguments: &Withdraw) -> Result<Answer, Fault> {
    let passphrase = passphrase::ask(&arguments.person.to_string(), arguments.passphrase.passphrase_file.as_deref())?;
    let out = arguments.out.clone().unwrap_or_else(|| beside(arguments));
    let stated = state_withdrawal(
        &WORLD,
        &StatementRequest {
            report: &arguments.file,
            superseded_by: arguments.superseded_by.as_deref(),
            reason: &arguments.reason,
            firm: &arguments.firm,
            person: &arguments.person,
            passphrase: &passphrase,
            out: &out,
            existing: existing(arguments.replace),
        },
    )?;
    let text = format!(
        "The statement is in {}. Readers who check the report with it will be told:\n  {}\n\
         Send it to everybody who has the report: rimside verify {} --statement {}\n",
        stated.file,
        stated.sentence,
        arguments.file.display(),
        stated.file,
    );
    Ok(Answer::told(text, &stated))
}

pub fn attach_receipt(arguments: &AttachReceipt) -> Result<Answer, Fault> {
    let request = ReceiptRequest { report: &arguments.file, receipt: &arguments.receipt };
    let receipted = api::attach_receipt(&WORLD, &request)?;
    let text = format!(
        "{} carries the receipt of the log {} now (entry {}). Readers who have the log's key can check it: rimside \
         verify {} --root root.pem --log log.pub\n",
        receipted.file, receipted.log, receipted.index, receipted.file,
    );
    Ok(Answer::told(text, &receipted))
}

/// `report.pdf.withdrawn.pem` beside `report.pdf`.
fn beside(arguments: &Withdraw) -> PathBuf {
    let what = if arguments.superseded_by.is_some() { "superseded" } else { "withdrawn" };
    let mut name = arguments.file.clone().into_os_string();
    name.push(format!(".{what}.pem"));
    name.into()
}

fn existing(replace: bool) -> Existing {
    if replace { Existing::Replace } else { Existing::Refuse }
}
