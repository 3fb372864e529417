//! Whoever looks at the corpus, and sealed files.

use anyhow::{Context as _, Result};
use chrono::{DateTime, Utc};
use seal::{
    check::check_file,
    digest::ReportIdentity,
    receipt::{Receipt, WitnessKey},
    sealing::lone_signature,
    signature::{Form, SignedMessage},
};
use verify::{Headline, Trust, TrustTexts};

use super::corpus;
use crate::top;

/// The time at which the corpus is checked: 2026-06-01 00:00 UTC, while the certificates in it are valid.
const CHECKED_AT: DateTime<Utc> = DateTime::from_timestamp(1_780_272_000, 0).expect("a time in 2026");

/// What a reader has who looks at the corpus: a root, which is an authority for timestamps as well, the key of a log and of
/// its witness, no statements; and the one report that was ever signed under that root, with the one receipt.
pub struct Reader {
    pub(super) trust: Trust,
    pub(super) signed: ReportIdentity,
    /// The report's file.
    pub(super) file: Vec<u8>,
    /// Its signature in DER, without what was added later.
    pub(super) signature: Vec<u8>,
    /// The signature's value.
    pub(super) value: Vec<u8>,
    pub(super) receipt: Receipt,
    pub(super) witness: WitnessKey,
}

impl Reader {
    /// The reader of the committed corpus.
    ///
    /// # Errors
    /// The corpus is not there, or its valid file is not valid.
    pub fn of_corpus() -> Result<Self> {
        let text = |name: &str| {
            let path = top().join("tests/corpus").join(name);
            std::fs::read_to_string(&path).with_context(|| path.display().to_string())
        };
        let (root, witness) = (text("root.pem")?, text("witness.pub")?);
        let texts = TrustTexts {
            logs: vec![text("log.pub")?],
            witnesses: vec![witness.clone()],
            authorities: vec![root.clone()],
            roots: vec![root],
            ..TrustTexts::at(CHECKED_AT)
        };
        let trust = texts.parse()?;
        let file = std::fs::read(corpus("sealed_file").join("valid-signed.pdf"))?;
        let report = check_file(&file, &trust);
        let signed = report.unchanged.passed().context("the corpus's valid file is refused")?.identity();
        let signature = lone_signature(&file)?;
        let value = SignedMessage::parse(&signature, Form::Detached)?.signature().to_vec();
        let receipt = Receipt::parse(&text("receipt/valid-first.txt")?)?;
        let witness = WitnessKey::parse(witness.trim_end())?;
        Ok(Self { trust, signed, file, signature, value, receipt, witness })
    }

    /// Checks the bytes as a sealed file. No other signed bytes than those of the one report are ever called unchanged,
    /// and nothing is called genuine, since that report holds no record to draw; gives whether the seal is in order.
    ///
    /// # Panics
    /// Something does not hold.
    pub fn check(&self, bytes: &[u8]) -> bool {
        let report = check_file(bytes, &self.trust);
        let verdict = verify::check_fully(bytes, &self.trust);
        assert_eq!(verdict.headline, Headline::DoNotRely, "{}", verdict.because);
        assert!(!verdict.because.is_empty() && serde_json::to_string(&verdict).is_ok());
        let Some(verified) = report.unchanged.passed() else {
            assert!(report.whose.passed().is_none(), "a changed file is somebody's");
            assert!(report.since_when.passed().is_none(), "a changed file has a time");
            return false;
        };
        assert!(verified.identity() == self.signed, "another file is called unchanged");
        report.whose.passed().is_some()
    }
}
