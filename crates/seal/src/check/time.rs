//! Since when has the signature existed?

use chrono::{DateTime, TimeDelta, Utc};

use super::timestamp;
#[cfg(feature = "authority")]
use crate::timestamp::{Judged, Token, judge_token};
use crate::{
    digest::ReportIdentity,
    receipt::{LogKey, LoggedTime, Receipt, ReceiptFault, Witnesses},
    signature::SignedMessage,
    trust::{FirmLog, Trust},
    verdict::{ByWitnesses, Check, Finding, Proof, SinceWhen},
};

/// How far a log's clock may be ahead of the reader's, or of the witnesses'.
const CLOCK_TOLERANCE: TimeDelta = TimeDelta::minutes(10);

/// Since when the signature is proven to exist. A receipt or token that belongs to something else fails, and so does a token
/// that claims an authority of the reader's falsely; the mere absence of one does not. Of two proofs the earlier time counts:
/// one more of them never makes a report younger.
pub(super) fn check_time(
    message: &SignedMessage,
    report: ReportIdentity,
    logs: &[&FirmLog],
    trust: &Trust,
    remarks: &mut Vec<Finding>,
) -> Check<SinceWhen> {
    let stamped = match message.timestamp().map(|token| check_token(token, message.signature(), trust, remarks)) {
        Some(Err(finding)) => return Check::Failed(finding),
        Some(Ok(stamped)) => stamped,
        None => None,
    };
    let logged = match message.receipt() {
        None => Check::not_checked("no-proof-of-time", "only the signer's own clock says when it was signed"),
        Some(text) => match check_receipt(text, report, message.signature(), logs, trust.at, remarks) {
            Ok(check) => check,
            Err(fault @ ReceiptFault::UnknownLog { .. }) => Check::not_checked(fault.code(), fault.to_string()),
            Err(fault) => Check::failed(fault.code(), fault.to_string()),
        },
    };
    let Some((at, name)) = stamped else { return logged };
    match logged {
        Check::Failed(finding) => Check::Failed(finding),
        Check::Passed(since) if since.at <= at => {
            let reason =
                format!("the authority for timestamps {name}, which you named, says that it existed on {}", spell(at));
            remarks.push(Finding { code: "timestamp-proven", reason });
            Check::Passed(since)
        }
        Check::Passed(_) | Check::NotChecked(Finding { code: "no-proof-of-time", .. }) => by_authority(at, name),
        Check::NotChecked(finding) => {
            remarks.push(finding);
            by_authority(at, name)
        }
    }
}

fn by_authority(at: DateTime<Utc>, name: String) -> Check<SinceWhen> {
    Check::Passed(SinceWhen { at, proof: Proof::Authority { name } })
}

/// The time that an authority of the reader's says, and its name; none where nobody whom the reader named says one.
fn check_token(
    token: &[u8],
    signature: &[u8],
    trust: &Trust,
    remarks: &mut Vec<Finding>,
) -> Result<Option<(DateTime<Utc>, String)>, Finding> {
    let not_judged = timestamp::check_imprint(token, signature)?;
    #[cfg(feature = "authority")]
    if !trust.authorities.is_empty() {
        return judge(token, trust, remarks);
    }
    // Without the feature the reader has no authorities, and nothing of the reader's is looked at.
    #[cfg(not(feature = "authority"))]
    let _ = trust;
    remarks.push(not_judged);
    Ok(None)
}

/// The same, once the token is known to be over this signature.
#[cfg(feature = "authority")]
fn judge(token: &[u8], trust: &Trust, remarks: &mut Vec<Finding>) -> Result<Option<(DateTime<Utc>, String)>, Finding> {
    let refused = |code, reason| Err(Finding { code, reason });
    let Some(token) = Token::parse(token) else {
        return refused("timestamp-malformed", "the timestamp token is not one that can be judged".to_owned());
    };
    match judge_token(&token, &trust.authorities) {
        Judged::Proven { at, .. } if at > trust.at + CLOCK_TOLERANCE => {
            refused("timestamp-from-the-future", format!("the timestamp is of {}, later than this check", spell(at)))
        }
        Judged::Proven { at, name } => Ok(Some((at, name))),
        Judged::Refused(why) => refused(
            "timestamp-refused",
            format!("the timestamp claims an authority that you named, and does not hold: {why}"),
        ),
        Judged::Unknown => {
            let reason = "the timestamp was issued by none of the authorities that you named".to_owned();
            remarks.push(Finding { code: "timestamp-authority-unknown", reason });
            Ok(None)
        }
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
    Check::Passed(SinceWhen { at, proof: Proof::Log { log, index, by_witnesses: None } })
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
    let proof = Proof::Log { log: logged.log, index: logged.index, by_witnesses };
    Ok(Check::Passed(SinceWhen { at: by, proof }))
}

fn spell(time: DateTime<Utc>) -> String {
    time.format("%Y-%m-%d %H:%M UTC").to_string()
}
