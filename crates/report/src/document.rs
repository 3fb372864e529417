//! Documents that carry no seal: a letter, a checked reply. One description gives pages and plain text.

use std::fmt::Write as _;

use model::Day;

use crate::{RenderError, v1};

/// A document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Document {
    /// Its heading, which says what it is.
    pub title: String,
    /// Who wrote it.
    pub author: String,
    /// Its day.
    pub dated: Day,
    /// Whether it is invented, to show the program.
    pub demonstration: bool,
    /// What it says, in its order.
    pub parts: Vec<Part>,
}

/// A part of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A label and what it stands for.
    Fact(String, String),
    /// A heading.
    Heading(String),
    /// A paragraph.
    Paragraph(String),
    /// A question or an entry with its number, and what stands small below it.
    Numbered(usize, String, String),
    /// Somebody's own words.
    Quote(String),
    /// Something to be noticed.
    Notice(String),
    /// A line in small type.
    Small(String),
}

impl Document {
    /// The pages as a PDF 2.0 file, tagged, without a signature and without room for one. The same document gives the
    /// same bytes.
    ///
    /// # Errors
    /// [`RenderError::Pages`].
    pub fn render(&self) -> Result<Vec<u8>, RenderError> {
        v1::render_document(self)
    }

    /// The same as plain text, lines as long as they are.
    pub fn to_text(&self) -> String {
        let mut text = String::new();
        if self.demonstration {
            text.push_str("DEMONSTRATION: the car, the people and the findings are invented\n\n");
        }
        let _ = writeln!(text, "{}\n{}\n", self.title, self.dated);
        for part in &self.parts {
            let _ = match part {
                Part::Fact(label, value) => writeln!(text, "{label}: {value}"),
                Part::Heading(words) | Part::Paragraph(words) => writeln!(text, "\n{words}\n"),
                Part::Numbered(number, words, small) if small.is_empty() => writeln!(text, "{number}. {words}\n"),
                Part::Numbered(number, words, small) => writeln!(text, "{number}. {words}\n   ({small})\n"),
                Part::Quote(words) => writeln!(text, "   \"{}\"\n", words.replace('\n', "\n   ")),
                Part::Notice(words) => writeln!(text, "   ! {words}\n"),
                Part::Small(words) => writeln!(text, "{words}"),
            };
        }
        text
    }
}
