//! Outside programs, and what each says of a sealed report. None of them is ours.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};
use serde_json::Value;

use crate::place::tool;

/// What pyHanko says of a report's one signature.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Judgement {
    /// Its summary: `INTACT:TRUSTED,UNTOUCHED`.
    pub summary: String,
    /// How much of the file is signed: `ENTIRE_FILE`.
    pub coverage: String,
    /// What changed after the signature: `NONE`.
    pub modification: String,
    /// Its verdict.
    pub bottom_line: bool,
    /// Its judgement as an advanced electronic signature (ETSI EN 319 102-1).
    pub ades: String,
}

/// Key usage and extended key usage as our certificates have them; time of validation from the caller.
const PYHANKO: &str = r"
import sys, json, asyncio, logging
logging.disable(logging.CRITICAL)
from datetime import datetime
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.ades import ades_basic_validation
from pyhanko.sign.validation.policy_decl import SignatureValidationSpec
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko.keys import load_cert_from_pemder
from pyhanko_certvalidator import ValidationContext
from pyhanko_certvalidator.context import CertValidationPolicySpec
from pyhanko_certvalidator.policy_decl import CertRevTrustPolicy, REQUIRE_REVINFO, NO_REVOCATION
from pyhanko_certvalidator.registry import SimpleTrustManager

root = load_cert_from_pemder(sys.argv[2])
moment = datetime.fromisoformat(sys.argv[3])
usage = KeyUsageConstraints(key_usage={'non_repudiation'}, extd_key_usage=None)
with open(sys.argv[1], 'rb') as file:
    [signature] = PdfFileReader(file, strict=True).embedded_signatures
    status = validate_pdf_signature(
        signature,
        ValidationContext(trust_roots=[root], allow_fetching=False, moment=moment),
        key_usage_settings=usage,
    )
    spec = SignatureValidationSpec(
        cert_validation_policy=CertValidationPolicySpec(
            trust_manager=SimpleTrustManager.build(trust_roots=[root]),
            revinfo_policy=CertRevTrustPolicy(NO_REVOCATION),
        ),
        key_usage_settings=usage,
    )
    ades = asyncio.run(ades_basic_validation(
        signature.signer_info and signature.signed_data,
        spec,
        raw_digest=signature.compute_digest(),
    ))
print(json.dumps({
    'summary': status.summary(),
    'coverage': status.coverage.name,
    'modification': status.modification_level.name,
    'bottom_line': status.bottom_line,
    'ades': str(ades.ades_subindic),
}))
";

/// Asks pyHanko with this root at this time (ISO 8601 with offset).
///
/// # Errors
/// It is not installed, or it refuses the file; the error has its words.
pub fn ask_pyhanko(report: &Path, root: &Path, moment: &str) -> Result<Judgement> {
    let python = tool("venv/bin/python")?;
    let said = run(Command::new(python).args(["-c", PYHANKO]).arg(report).arg(root).arg(moment))?;
    let said: Value = serde_json::from_str(said.trim()).context("pyHanko's answer is no JSON")?;
    let text = |key: &str| said[key].as_str().unwrap_or_default().to_owned();
    Ok(Judgement {
        summary: text("summary"),
        coverage: text("coverage"),
        modification: text("modification"),
        bottom_line: said["bottom_line"].as_bool().unwrap_or(false),
        ades: text("ades"),
    })
}

/// Each finding as level, clause and message.
const PDFLUENT: &str = r"
import sys, json, pdfluent
report = pdfluent.validate_pdfa(sys.argv[1])
print(json.dumps([report.pdfa_level, [f'{issue.rule} {issue.message}' for issue in report.issues]]))
";

/// Asks pdfluent for the level of PDF/A (ISO 19005) that the file claims, and for what it finds wrong with it: clause
/// and message, each once.
///
/// # Errors
/// It is not installed, or cannot read the file.
pub fn ask_pdfluent(report: &Path) -> Result<(String, BTreeSet<String>)> {
    let said = run(Command::new(tool("venv/bin/python")?).args(["-c", PDFLUENT]).arg(report))?;
    serde_json::from_str(said.trim()).context("pdfluent's answer is no JSON")
}

/// Lets OpenSSL verify this CMS signature over this content; gives what it says.
///
/// `-purpose any`, because OpenSSL does not know the document-signing purpose of RFC 9336.
///
/// # Errors
/// It is not installed, or it refuses the signature; the error has its words.
pub fn ask_openssl(signature_der: &Path, content: &Path, root: &Path) -> Result<String> {
    let openssl = tool("openssl/apps/openssl")?;
    run(Command::new(openssl)
        .args(["cms", "-verify", "-binary", "-inform", "DER", "-purpose", "any", "-out", "/dev/null", "-in"])
        .arg(signature_der)
        .arg("-content")
        .arg(content)
        .arg("-CAfile")
        .arg(root))
}

/// Lets qpdf check the file's structure; gives what it says.
///
/// # Errors
/// Not installed, or the structure is not clean; also warnings are refused.
pub fn check_with_qpdf(report: &Path) -> Result<String> {
    run(Command::new("qpdf").arg("--check").arg(report))
}

/// What poppler's pdfsig says, whatever its verdict.
///
/// # Errors
/// Not installed.
pub fn ask_pdfsig(report: &Path) -> Result<String> {
    let output = Command::new("pdfsig").arg(report).output().context("pdfsig is missing; run `cargo xtask setup`")?;
    Ok(format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr)))
}

/// The report's text as poppler reads it, in the order in which it was drawn: a sentence stays together, also beside
/// another column.
///
/// # Errors
/// Not installed, or the file cannot be read.
pub fn read_text(report: &Path) -> Result<String> {
    run(Command::new("pdftotext").args(["-raw", "-enc", "UTF-8"]).arg(report).arg("-"))
}

/// Draws the pages as PNG pictures in grey at this resolution; gives their paths in order.
///
/// # Errors
/// Not installed, or the file cannot be drawn.
pub fn draw_pages(report: &Path, folder: &Path, dots_an_inch: u32) -> Result<Vec<PathBuf>> {
    std::fs::create_dir_all(folder)?;
    run(Command::new("pdftoppm")
        .args(["-png", "-gray", "-r", &dots_an_inch.to_string()])
        .arg(report)
        .arg(folder.join("page")))?;
    let mut pages = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|ending| ending == "png") {
            pages.push(path);
        }
    }
    pages.sort();
    Ok(pages)
}

fn run(command: &mut Command) -> Result<String> {
    let name = Path::new(command.get_program()).file_name().unwrap_or_default().to_string_lossy().into_owned();
    let output = command.output().with_context(|| format!("{name} is missing; run `cargo xtask setup`"))?;
    let said = format!("{}{}", String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    if !output.status.success() {
        bail!("{name} ended with {}: {said}", output.status);
    }
    Ok(said)
}
