//! Signed statements about a report: that it is withdrawn, or superseded by another.

use chrono::{DateTime, SecondsFormat, SubsecRound as _, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha512};

use crate::{
    asn1::{from_pem, to_pem},
    certificate::SubjectError,
    chain::{Chain, ChainFault},
    digest::{ReportIdentity, Sha256Digest},
    signature::{Form, SignatureFault, SignedMessage, Signer, sign_attached},
};

const SCHEMA: &str = "rimside.statement/1";
/// RFC 7468 §9.
const PEM_LABEL: &str = "CMS";
const MOST_BYTES: usize = 32 * 1024;
const MOST_REASON: usize = 2000;

/// What is said of the report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StatementKind {
    /// It no longer counts.
    Withdrawn,
    /// Another report stands in its place.
    Superseded {
        /// The other report.
        by: ReportIdentity,
    },
}

/// A statement's content.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Statement {
    /// Which report is meant.
    pub report: ReportIdentity,
    /// What is said of it.
    pub kind: StatementKind,
    /// Why, in words for a reader.
    pub reason: String,
    /// When it was made, by the signer's clock, whole seconds.
    pub when: DateTime<Utc>,
    /// Who made it, as the signer's certificate names the person.
    pub by: String,
}

/// The content as RFC 8785 writes it: these keys in this order.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Written {
    by: String,
    kind: String,
    reason: String,
    report: String,
    schema: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    superseded_by: Option<String>,
    when: String,
}

impl Written {
    fn to_json(&self) -> Vec<u8> {
        serde_json::to_vec(self).expect("strings under fixed keys can always be written as JSON")
    }
}

/// A statement with a signature that fits. Whether its signer may say so is judged beside the report.
#[derive(Clone, Debug)]
pub struct SignedStatement {
    statement: Statement,
    chain: Chain,
    pem: String,
}

/// Signs a statement about a report; the time is cut to whole seconds.
pub fn sign_statement(
    report: ReportIdentity,
    kind: StatementKind,
    reason: &str,
    when: DateTime<Utc>,
    signer: &Signer,
) -> Result<SignedStatement, StatementError> {
    let by = signer.chain().person().subject()?.to_string();
    let statement = Statement { report, kind, reason: reason.to_owned(), when: when.trunc_subsecs(0), by };
    let content = statement.to_json();
    if Statement::parse_json(&content).as_ref() != Some(&statement) {
        return Err(StatementError::Content);
    }
    let der = sign_attached(&content, signer).map_err(StatementError::Encoding)?;
    SignedStatement::parse_pem(&to_pem(PEM_LABEL, &der))
}

impl Statement {
    /// The canonical JSON (RFC 8785).
    pub fn to_json(&self) -> Vec<u8> {
        let (kind, superseded_by) = match self.kind {
            StatementKind::Withdrawn => ("withdrawn", None),
            StatementKind::Superseded { by } => ("superseded", Some(by.to_string())),
        };
        let written = Written {
            by: self.by.clone(),
            kind: kind.to_owned(),
            reason: self.reason.clone(),
            report: self.report.to_string(),
            schema: SCHEMA.to_owned(),
            superseded_by,
            when: self.when.to_rfc3339_opts(SecondsFormat::Secs, true),
        };
        written.to_json()
    }

    /// Reads exactly what [`Statement::to_json`] writes.
    fn parse_json(bytes: &[u8]) -> Option<Self> {
        let written: Written = serde_json::from_slice(bytes).ok()?;
        let identity = |hex: &str| Sha256Digest::parse_hex(hex).map(ReportIdentity);
        let kind = match (written.kind.as_str(), written.superseded_by) {
            ("withdrawn", None) => StatementKind::Withdrawn,
            ("superseded", Some(by)) => StatementKind::Superseded { by: identity(&by)? },
            _ => return None,
        };
        let statement = Self {
            report: identity(&written.report)?,
            kind,
            reason: written.reason,
            when: DateTime::parse_from_rfc3339(&written.when).ok()?.to_utc(),
            by: written.by,
        };
        let sound = written.schema == SCHEMA
            && statement.reason.chars().count() <= MOST_REASON
            && !statement.reason.trim().is_empty()
            && kind != (StatementKind::Superseded { by: statement.report });
        (sound && statement.to_json() == bytes).then_some(statement)
    }
}

impl SignedStatement {
    /// Reads one PEM block `CMS`: strict signature, canonical content, certificates that belong together, and a
    /// signature that fits.
    pub fn parse_pem(pem: &str) -> Result<Self, StatementError> {
        if pem.len() > MOST_BYTES {
            return Err(StatementError::TooLarge { got: pem.len() });
        }
        let der = from_pem(PEM_LABEL, pem).ok_or(StatementError::NotPem)?;
        let message = SignedMessage::parse(&der, Form::Attached)?;
        let content = message.content().unwrap_or_default();
        message.check(&Sha512::digest(content).into())?;
        let statement = Statement::parse_json(content).ok_or(StatementError::Content)?;
        let chain = Chain::build(message.signer(), message.certificates())?;
        if statement.by != chain.person().subject()?.to_string() {
            return Err(StatementError::OtherName { got: statement.by });
        }
        Ok(Self { statement, chain, pem: to_pem(PEM_LABEL, &der) })
    }

    /// The statement as a PEM block.
    pub fn to_pem(&self) -> &str {
        &self.pem
    }

    /// What it says.
    pub fn statement(&self) -> &Statement {
        &self.statement
    }

    /// Who signed it.
    pub fn chain(&self) -> &Chain {
        &self.chain
    }
}

/// Why a statement was not made, or refused.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StatementError {
    /// More bytes than any statement.
    #[error("a statement of {got} bytes, expected at most {MOST_BYTES}")]
    TooLarge {
        /// Its length in bytes.
        got: usize,
    },
    /// Not one PEM block named CMS.
    #[error("not a PEM block `{PEM_LABEL}`")]
    NotPem,
    /// The signature is refused.
    #[error("the statement's signature is refused: {0}")]
    Signature(#[from] SignatureFault),
    /// The content is not a statement in canonical JSON, its reason is empty or longer than 2000 characters, or it
    /// supersedes a report by itself.
    #[error("not a statement in canonical JSON with a reason of 1 to {MOST_REASON} characters")]
    Content,
    /// The certificates do not belong together.
    #[error("the statement's certificates are refused: {0}")]
    Chain(#[from] ChainFault),
    /// The certificate's subject is refused.
    #[error(transparent)]
    Subject(#[from] SubjectError),
    /// The statement names somebody else than its signer.
    #[error("a statement in the name of `{got}`, signed by somebody else")]
    OtherName {
        /// The name in the statement.
        got: String,
    },
    /// The signature could not be encoded.
    #[error("the statement could not be encoded")]
    Encoding(#[source] der::Error),
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        certificate::Role,
        fixture::{TestFirm, at},
    };

    fn report(name: &str) -> ReportIdentity {
        ReportIdentity(Sha256Digest::of(name.as_bytes()))
    }

    #[test]
    fn a_statement_is_read_back_and_its_bytes_are_canonical() {
        let signer = TestFirm::found("North Bay").hire("Nadia Okoro", Role::Office);
        let kind = StatementKind::Superseded { by: report("second") };
        let when = at("2026-04-01T10:00:00.9Z");
        let signed = sign_statement(report("first"), kind, "Wrong \"axle\"\n", when, &signer).unwrap();
        let again = SignedStatement::parse_pem(signed.to_pem()).unwrap();
        assert_eq!(again.statement(), signed.statement());
        assert_eq!(again.statement().when, at("2026-04-01T10:00:00Z"));
        let json = String::from_utf8(again.statement().to_json()).unwrap();
        // RFC 8785 §3.2: no blanks, keys sorted, the two-character escapes.
        assert_eq!(
            json,
            format!(
                r#"{{"by":"Nadia Okoro, North Bay (Office)","kind":"superseded","reason":"Wrong \"axle\"\n","report":"{}","schema":"rimside.statement/1","superseded_by":"{}","when":"2026-04-01T10:00:00Z"}}"#,
                report("first"),
                report("second")
            )
        );
    }

    #[test]
    fn nonsense_is_refused() {
        let signer = TestFirm::found("North Bay").hire("Nadia Okoro", Role::Office);
        let when = at("2026-04-01T10:00:00Z");
        let itself = StatementKind::Superseded { by: report("a") };
        for (kind, reason) in [
            (itself, "same".to_owned()),
            (StatementKind::Withdrawn, " ".to_owned()),
            (StatementKind::Withdrawn, "x".repeat(2001)),
        ] {
            let refused = sign_statement(report("a"), kind, &reason, when, &signer).unwrap_err();
            assert!(matches!(refused, StatementError::Content), "{refused:?}");
        }
    }

    #[test]
    fn content_that_is_signed_but_not_canonical_is_refused() {
        let signer = TestFirm::found("North Bay").hire("Nadia Okoro", Role::Office);
        let when = at("2026-04-01T10:00:00Z");
        let good = sign_statement(report("a"), StatementKind::Withdrawn, "wrong car", when, &signer).unwrap();
        let good = String::from_utf8(good.statement().to_json()).unwrap();
        let spoilt = [
            good.replacen('{', "{ ", 1),
            good.replacen(r#""kind":"#, r#""kind":"withdrawn","kind":"#, 1),
            good.replacen(r#""kind":"#, r#""extra":1,"kind":"#, 1),
            good.replacen("withdrawn", "retired", 1),
            good.replacen("statement/1", "statement/2", 1),
            good.replacen("10:00:00Z", "12:00:00+02:00", 1),
            format!("{good}\n"),
        ];
        for content in spoilt {
            let der = sign_attached(content.as_bytes(), &signer).unwrap();
            let pem = to_pem(PEM_LABEL, &der);
            let refused = SignedStatement::parse_pem(&pem).unwrap_err();
            assert!(matches!(refused, StatementError::Content), "{content}: {refused:?}");
        }
        let forged = good.replacen("Nadia Okoro", "Maja Holt", 1);
        let der = sign_attached(forged.as_bytes(), &signer).unwrap();
        let pem = to_pem(PEM_LABEL, &der);
        let refused = SignedStatement::parse_pem(&pem).unwrap_err();
        assert!(matches!(refused, StatementError::OtherName { .. }), "{refused:?}");
    }

    #[test]
    fn other_text_is_no_statement() {
        assert!(matches!(SignedStatement::parse_pem("hello"), Err(StatementError::NotPem)));
        let long = "x".repeat(40_000);
        assert!(matches!(SignedStatement::parse_pem(&long), Err(StatementError::TooLarge { .. })));
        let root = TestFirm::found("North Bay").root.to_pem();
        assert!(matches!(SignedStatement::parse_pem(&root), Err(StatementError::NotPem)));
    }
}
