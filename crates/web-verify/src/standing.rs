//! What a firm shows of itself, gathered by a page.

use log::{Entry, EntryKind, Papers};
use serde_json::{Value, json};
use verify::TrustTexts;
use wasm_bindgen::prelude::wasm_bindgen;

/// What a firm shows of itself beside its log, as the files come.
#[wasm_bindgen]
#[derive(Default)]
pub struct Standing(log::Standing);

#[wasm_bindgen]
impl Standing {
    /// Nothing yet.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Self {
        Self::default()
    }

    /// The files that are to be fetched next, each below the firm's address; none when all were asked for.
    pub fn wants(&self) -> Vec<String> {
        self.0.wants()
    }

    /// Puts in what came.
    pub fn put(&mut self, path: &str, bytes: &[u8]) {
        self.0.put(path, Some(bytes));
    }

    /// There is no such file.
    pub fn lack(&mut self, path: &str) {
        self.0.put(path, None);
    }

    /// The firm's papers as JSON, to be kept and to be given with a file that is checked. `now` is when they were read, by
    /// the reader's clock (RFC 3339).
    ///
    /// # Errors
    /// A sentence that says what is missing or wrong.
    pub fn papers(&self, now: &str) -> Result<String, String> {
        let Papers { root, revoked, log, statements, is_complete, .. } = self.read()?;
        let kept = Kept { root, revoked, log, statements, is_complete, read_at: now.to_owned() };
        serde_json::to_string(&kept).map_err(|error| error.to_string())
    }

    /// Whose log it is and every entry of it, as JSON: `firm`, `fingerprint`, `log`, `size`, `root`, `complete`, `entries`.
    ///
    /// # Errors
    /// A sentence that says what is missing or wrong.
    pub fn entries(&self) -> Result<String, String> {
        let papers = self.read()?;
        let entries: Vec<Value> = papers.audited.entries.iter().map(tell).collect();
        let told = json!({
            "firm": papers.firm, "fingerprint": papers.fingerprint, "log": papers.log, "size": papers.audited.checkpoint.size(),
            "root": papers.audited.checkpoint.root().to_string(), "complete": papers.is_complete, "entries": entries,
        });
        Ok(told.to_string())
    }
}

impl Standing {
    fn read(&self) -> Result<Papers, String> {
        self.0.read().map_err(|error| error.to_string())
    }
}

fn tell(entry: &Entry) -> Value {
    let (about, by) = match entry.kind {
        EntryKind::Issued { report, .. } | EntryKind::Withdrawn { report, .. } => (report.to_string(), None),
        EntryKind::Superseded { report, by, .. } => (report.to_string(), Some(by.to_string())),
        EntryKind::Revoked { certificate } => (certificate.to_string(), None),
    };
    json!({ "what": entry.kind.name(), "about": about, "by": by, "at": entry.at.to_rfc3339() })
}

/// Papers as a page keeps them.
#[derive(serde::Serialize, serde::Deserialize)]
pub(crate) struct Kept {
    root: String,
    revoked: Option<String>,
    log: String,
    statements: Vec<String>,
    is_complete: bool,
    read_at: String,
}

impl Kept {
    /// What a reader knows who goes by these papers alone.
    pub(crate) fn texts(self, at: chrono::DateTime<chrono::Utc>) -> Result<TrustTexts, String> {
        let read_at = crate::read_time(&self.read_at)?;
        Ok(TrustTexts {
            roots: vec![self.root],
            revocation_lists: self.revoked.into_iter().collect(),
            logs: vec![self.log],
            statements: self.statements,
            statements_complete_as_of: self.is_complete.then_some(read_at),
            ..TrustTexts::at(at)
        })
    }
}
