//! The folder as it grows: files by path, and the manifest that names them.

use std::collections::BTreeMap;
use std::io::Write as _;

use flate2::{Compression, GzBuilder};

use super::firm::NOW;
use crate::manifest::{Brought, Expected, Log, Manifest, Report, WithoutDrawing};

/// Answers in short: `-` passed, `!code` failed, `?code` not checked.
pub type Answers = [&'static str; 4];

/// All four open, as for a file whose bytes are not the signed ones.
pub const fn broken(code: &'static str) -> Answers {
    [code, "?not-unchanged", "?not-unchanged", "?not-unchanged"]
}

/// Codes that only somebody finds who reckons and draws again.
const BY_DRAWING: [&str; 3] = ["!pages-differ", "!reckoning-differs", "!record-not-renderable"];

#[derive(Default)]
pub struct Folder {
    pub files: BTreeMap<String, Vec<u8>>,
    pub manifest: Manifest,
}

impl Folder {
    /// Puts a file in; its path comes back.
    pub fn put(&mut self, path: &str, bytes: impl AsRef<[u8]>) -> String {
        let before = self.files.insert(path.to_owned(), bytes.as_ref().to_vec());
        assert!(before.is_none_or(|before| before == bytes.as_ref()), "two files are called {path}");
        path.to_owned()
    }

    /// A report under its own name, with what everything but the trust says.
    pub fn report(
        &mut self,
        name: &str,
        bytes: &[u8],
        brought: &Brought,
        (answers, headline): (Answers, &str),
        shows: &str,
    ) -> &mut Report {
        // A room is mostly zeros: packed, a hand-made file has a few thousand bytes.
        let mut packed = GzBuilder::new().mtime(0).write(Vec::new(), Compression::best());
        packed.write_all(bytes).unwrap();
        let file = self.put(&format!("reports/{name}.pdf.gz"), packed.finish().unwrap());
        self.again(name, &file, brought, (answers, headline), shows)
    }

    /// A report that is there already, with another reader.
    pub fn again(
        &mut self,
        name: &str,
        file: &str,
        brought: &Brought,
        (answers, headline): (Answers, &str),
        shows: &str,
    ) -> &mut Report {
        let [unchanged, whose, since_when, still_stands] = answers.map(spell);
        let without_drawing = without_drawing(answers);
        self.manifest.reports.push(Report {
            name: name.to_owned(),
            shows: shows.to_owned(),
            file: file.to_owned(),
            brought: brought.clone(),
            expected: Expected {
                unchanged,
                whose,
                since_when,
                still_stands,
                headline: headline.to_owned(),
                remarks: Vec::new(),
            },
            without_drawing,
        });
        self.manifest.reports.last_mut().unwrap()
    }

    /// A log of these files.
    pub fn log(
        &mut self,
        name: &str,
        files: &BTreeMap<String, Vec<u8>>,
        (key, seen, expected): (&str, Option<&str>, &str),
        shows: &str,
    ) {
        let folder = format!("logs/{name}");
        let files = files.iter().map(|(path, bytes)| self.put(&format!("{folder}/{path}"), bytes)).collect();
        self.manifest.logs.push(Log {
            name: name.to_owned(),
            shows: shows.to_owned(),
            folder,
            files,
            key: key.to_owned(),
            seen: seen.map(str::to_owned),
            expected: expected.to_owned(),
        });
    }
}

impl Report {
    /// The remarks that a verifier makes besides.
    pub fn remark(&mut self, codes: &[&str]) {
        self.expected.remarks = codes.iter().map(|code| (*code).to_owned()).collect();
    }
}

impl Report {
    /// Without drawing, the report inside a statement is not confirmed either.
    pub fn not_drawn(&mut self, code: &str) {
        if let Some(otherwise) = &mut self.without_drawing {
            otherwise.unchanged = format!("not checked: {code}");
        }
    }
}

fn spell(answer: &str) -> String {
    match answer.split_at(1) {
        ("!", code) => format!("failed: {code}"),
        ("?", code) => format!("not checked: {code}"),
        _ => "passed".to_owned(),
    }
}

fn without_drawing(answers: Answers) -> Option<WithoutDrawing> {
    let [unchanged, rest @ ..] = answers;
    let because = match unchanged {
        "-" => "every signed byte is right; that the pages follow from the record is seen by drawing them again alone",
        found if BY_DRAWING.contains(&found) => {
            "the signer signed this very file; that it does not follow from its record is seen by reckoning and drawing \
             again alone"
        }
        _ => return None,
    };
    let is_refused = rest.iter().any(|answer| answer.starts_with('!'));
    let headline = if is_refused { "do-not-rely" } else { "cannot-be-fully-confirmed" };
    Some(WithoutDrawing {
        unchanged: spell("?not-drawn-again"),
        headline: headline.to_owned(),
        because: because.to_owned(),
    })
}

/// A reader at [`NOW`] without anything.
pub fn nothing() -> Brought {
    Brought { at: NOW.to_owned(), ..Brought::default() }
}
