//! Since when has the signature existed?

use chrono::{DateTime, TimeDelta, Utc};

use super::timestamp;
use crate::{
    digest::ReportIdentity,
    receipt::{LogKey, LoggedTime, Receipt, ReceiptFault, Witnesses},
    signature::SignedMessage,
    trust::FirmLog,
    verdict::{ByWitnesses, Check, Finding, SinceWhen},
};

/// How far a log's clock may be ahead of the reader's, or of the witnesses'.
const CLOCK_TOLERANCE: TimeDelta = TimeDelta::minutes(10);

/// Since when the signature is proven to exist. A receipt or token that belongs to something else fails; the mere
/// absence of one does not.
pub(super) fn check_time(
    message: &SignedMessage,
    report: ReportIdentity,
    logs: &[&FirmLog],
    now: DateTime<Utc>,
    remarks: &mut Vec<Finding>,
) -> Check<SinceWhen> {
    if let Some(token) = message.timestamp() {
        match timestamp::check_imprint(token, message.signature()) {
            Ok(remark) => remarks.push(remark),
            Err(finding) => return Check::Failed(finding),
        }
    }
    let Some(text) = message.receipt() else {
        return Check::not_checked("no-proof-of-time", "only the signer's own clock says when it was signed");
    };
    match check_receipt(text, report, message.signature(), logs, now, remarks) {
        Ok(check) => check,
        Err(fault @ ReceiptFault::UnknownLog { .. }) => Check::not_checked(fault.code(), fault.to_string()),
        Err(fault) => Check::failed(fault.code(), fault.to_string()),
    }
}

fn check_receipt(
    text: &str,
    report: ReportIdentity,
    signature: &[u8],
    logs: &[&FirmLog],
    now: DateTime<Utc>,
    remarks: &mut Vec<Finding>,
) -> Result<Check<SinceWhen>, ReceiptFault> {
    let receipt = Receipt::parse(text)?;
    let keys: Vec<LogKey> = logs.iter().map(|log| log.key.clone()).collect();
    let logged = receipt.check(report, signature, &keys)?;
    if logged.at > now + CLOCK_TOLERANCE {
        let at = spell(logged.at);
        let reason = format!("the log's receipt is of {at}, later than this check");
        return Ok(Check::failed("receipt-from-the-future", reason));
    }
    let log = logs.iter().find(|log| receipt.checkpoint.names(&log.key));
    match log.and_then(|log| log.witnesses.as_ref()) {
        Some(witnesses) => ask_witnesses(&receipt, logged, witnesses, now, remarks),
        None => Ok(as_the_log_says(logged)),
    }
}

fn as_the_log_says(LoggedTime { at, log, index }: LoggedTime) -> Check<SinceWhen> {
    Check::Passed(SinceWhen { at, log, index, by_witnesses: None })
}

/// What the reader's witnesses make of the log's word. Where too few of them have signed, it stays the log's word alone, and
/// that is said.
fn ask_witnesses(
    receipt: &Receipt,
    logged: LoggedTime,
    witnesses: &Witnesses,
    now: DateTime<Utc>,
    remarks: &mut Vec<Finding>,
) -> Result<Check<SinceWhen>, ReceiptFault> {
    let (needed, known) = (witnesses.at_least(), witnesses.keys().len());
    let found = witnesses.judge(&receipt.checkpoint, now + CLOCK_TOLERANCE)?;
    let Some(by) = found.by else {
        let reason = format!(
            "the time is the log's own word: {} of your witnesses had signed the log's head, and {needed} are needed",
            found.count
        );
        remarks.push(Finding { code: "witnesses-too-few", reason });
        return Ok(as_the_log_says(logged));
    };
    if logged.at > by + CLOCK_TOLERANCE {
        let (by, at) = (spell(by), spell(logged.at));
        let reason = format!("the witnesses had signed by {by} what the log says it entered later, on {at}");
        return Ok(Check::failed("receipt-times-disagree", reason));
    }
    let by_witnesses = Some(ByWitnesses { needed, known, entered: logged.at });
    Ok(Check::Passed(SinceWhen { at: by, log: logged.log, index: logged.index, by_witnesses }))
}

fn spell(time: DateTime<Utc>) -> String {
    time.format("%Y-%m-%d %H:%M UTC").to_string()
}
