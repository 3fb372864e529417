//! The status of the signature in the words of ETSI EN 319 102-1 (clause 5.1.3; the names from memory).

use schemars::JsonSchema;
use serde::Serialize;

use crate::verdict::{Answer, Questions};

/// The main status.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "SCREAMING-KEBAB-CASE")]
pub enum MainIndication {
    /// All checks of the signature passed.
    TotalPassed,
    /// What there is does not suffice to say either way.
    Indeterminate,
    /// The signature is wrong.
    TotalFailed,
}

/// Main status and, where known, its reason.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Indication {
    /// The main status.
    pub indication: MainIndication,
    /// The reason, where the standard has a name for it.
    pub subindication: Option<&'static str>,
}

const fn passed() -> Indication {
    Indication { indication: MainIndication::TotalPassed, subindication: None }
}

const fn open(subindication: Option<&'static str>) -> Indication {
    Indication { indication: MainIndication::Indeterminate, subindication }
}

const fn failed(subindication: &'static str) -> Indication {
    Indication { indication: MainIndication::TotalFailed, subindication: Some(subindication) }
}

/// The standard speaks of the signature alone: what the pages say, and whether a report was withdrawn, is beyond it.
/// Our own constraints on what is signed (the record, the pages, the author) count as constraints of the policy.
pub(crate) fn indicate(questions: &Questions) -> Indication {
    if let Answer::Failed { code, .. } = &questions.unchanged {
        return judge_file(code);
    }
    let is_time_proven = matches!(questions.since_when, Answer::Passed { .. });
    match &questions.whose {
        Answer::Failed { code, .. } | Answer::NotChecked { code, .. } => return judge_signer(code, is_time_proven),
        Answer::Passed { .. } => {}
    }
    match (&questions.since_when, &questions.still_stands) {
        // A failed answer goes first: where it stands no longer, the age of the revocation list no longer matters.
        (Answer::Failed { .. }, _) | (_, Answer::Failed { .. }) => open(None),
        (_, Answer::NotChecked { code: "revocation-list-missing" | "revocation-list-outdated", .. }) => {
            open(Some("TRY_LATER"))
        }
        _ => passed(),
    }
}

fn judge_file(code: &str) -> Indication {
    match code {
        "digest-differs" => failed("HASH_FAILURE"),
        "signature-invalid" => failed("SIG_CRYPTO_FAILURE"),
        _ if crate::gate_codes::ALL.contains(&code) => open(Some("SIG_CONSTRAINTS_FAILURE")),
        _ => failed("FORMAT_FAILURE"),
    }
}

fn judge_signer(code: &str, is_time_proven: bool) -> Indication {
    match code {
        "revoked" if is_time_proven => failed("REVOKED"),
        "revoked" => open(Some("REVOKED_NO_POE")),
        "not-yet-valid" if is_time_proven => failed("NOT_YET_VALID"),
        "not-yet-valid" | "expired" | "expired-before-proven-time" => open(Some("OUT_OF_BOUNDS_NO_POE")),
        "unknown-root" | "chain-certificate-count" | "chain-certificate-missing" => {
            open(Some("NO_CERTIFICATE_CHAIN_FOUND"))
        }
        "author-differs" | "role-may-not-seal" => open(Some("SIG_CONSTRAINTS_FAILURE")),
        "chain-signature-invalid" | "chain-same-name-other-key" => open(Some("CERTIFICATE_CHAIN_GENERAL_FAILURE")),
        _ => open(Some("CHAIN_CONSTRAINTS_FAILURE")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn yes() -> Answer {
        Answer::Passed { sentence: String::new() }
    }

    fn no(code: &'static str) -> Answer {
        Answer::Failed { code, reason: String::new() }
    }

    fn unknown(code: &'static str) -> Answer {
        Answer::NotChecked { code, reason: String::new() }
    }

    fn said(questions: &Questions) -> (MainIndication, Option<&'static str>) {
        let Indication { indication, subindication } = indicate(questions);
        (indication, subindication)
    }

    #[test]
    fn indications_follow_the_signature() {
        use MainIndication::{Indeterminate, TotalFailed, TotalPassed};
        let good = || Questions {
            unchanged: yes(),
            whose: yes(),
            since_when: unknown("no-proof-of-time"),
            still_stands: yes(),
        };
        assert_eq!(said(&good()), (TotalPassed, None));
        let not_rendered = Questions { unchanged: unknown("not-drawn-again"), ..good() };
        assert_eq!(said(&not_rendered), (TotalPassed, None));
        let cases = [
            ("digest-differs", TotalFailed, "HASH_FAILURE"),
            ("signature-invalid", TotalFailed, "SIG_CRYPTO_FAILURE"),
            ("bytes-after-end", TotalFailed, "FORMAT_FAILURE"),
            ("pages-differ", Indeterminate, "SIG_CONSTRAINTS_FAILURE"),
        ];
        for (code, main, sub) in cases {
            assert_eq!(said(&Questions { unchanged: no(code), ..good() }), (main, Some(sub)), "{code}");
        }
        let unknown_root = Questions { whose: unknown("unknown-root"), ..good() };
        assert_eq!(said(&unknown_root), (Indeterminate, Some("NO_CERTIFICATE_CHAIN_FOUND")));
        let revoked = Questions { whose: no("revoked"), ..good() };
        assert_eq!(said(&revoked), (Indeterminate, Some("REVOKED_NO_POE")));
        let revoked_before = Questions { since_when: yes(), ..revoked };
        assert_eq!(said(&revoked_before), (TotalFailed, Some("REVOKED")));
        // Where it stands no longer, or its time is refuted, no newer list changes that.
        let withdrawn = Questions { still_stands: no("withdrawn"), ..good() };
        assert_eq!(said(&withdrawn), (Indeterminate, None));
        let refuted = Questions {
            since_when: no("receipt-of-another-report"),
            still_stands: unknown("revocation-list-missing"),
            ..good()
        };
        assert_eq!(said(&refuted), (Indeterminate, None));
        for code in ["author-differs", "role-may-not-seal"] {
            let said = said(&Questions { whose: no(code), ..good() });
            assert_eq!(said, (Indeterminate, Some("SIG_CONSTRAINTS_FAILURE")), "{code}");
        }
        for code in ["not-yet-valid", "expired", "expired-before-proven-time"] {
            let said = said(&Questions { whose: no(code), ..good() });
            assert_eq!(said, (Indeterminate, Some("OUT_OF_BOUNDS_NO_POE")), "{code}");
        }
        for code in ["chain-signature-invalid", "chain-same-name-other-key"] {
            let said = said(&Questions { whose: no(code), ..good() });
            assert_eq!(said, (Indeterminate, Some("CERTIFICATE_CHAIN_GENERAL_FAILURE")), "{code}");
        }
        // Signed at a proven time before the certificate was valid: no later proof changes that.
        let too_early = Questions { whose: no("not-yet-valid"), since_when: yes(), ..good() };
        assert_eq!(said(&too_early), (TotalFailed, Some("NOT_YET_VALID")));
        let other = Questions { whose: no("certificate-subject"), ..good() };
        assert_eq!(said(&other), (Indeterminate, Some("CHAIN_CONSTRAINTS_FAILURE")));
        let no_list = Questions { still_stands: unknown("revocation-list-missing"), ..good() };
        assert_eq!(said(&no_list), (Indeterminate, Some("TRY_LATER")));
    }
}
