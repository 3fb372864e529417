//! Text set in lines: measured, broken, never lost.

use unicode_normalization::UnicodeNormalization;

use super::{
    face::{FIXED_SPACE, Face, NARROW_SPACE, Typeface},
    ink::Ink,
};

/// How a piece of text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Style {
    pub face: Face,
    /// Points.
    pub size: f64,
    pub ink: Ink,
}

impl Style {
    pub(crate) const fn new(face: Face, size: f64, ink: Ink) -> Self {
        Self { face, size, ink }
    }

    pub(crate) const fn ink(self, ink: Ink) -> Self {
        Self { ink, ..self }
    }
}

/// A piece of text in one style.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Span {
    pub text: String,
    pub style: Style,
}

impl Span {
    /// Letters and their marks are put together where a letter with the mark exists (Unicode NFC).
    pub(crate) fn new(text: &str, style: Style) -> Self {
        Self { text: if text.is_ascii() { text.to_owned() } else { text.nfc().collect() }, style }
    }
}

/// A piece of a set line.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Piece {
    /// From the line's left end, in points.
    pub x: f64,
    pub width: f64,
    pub text: String,
    pub style: Style,
}

/// A set line.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Line {
    pub pieces: Vec<Piece>,
    pub width: f64,
}

/// A part of a word: all of one style.
struct Part {
    span: usize,
    text: String,
    width: f64,
}

enum Token {
    Word(Vec<Part>),
    Space { span: usize, width: f64 },
    LineEnd,
}

/// Breaks text into lines of at most `width` points: at spaces, after a dash or a slash inside a word, and
/// inside a word that is wider than a line. At least one line comes back.
pub(crate) fn set_lines(typeface: &Typeface, spans: &[Span], width: f64) -> Vec<Line> {
    let mut setter = Setter { typeface, spans, width, lines: Vec::new(), line: Vec::new(), used: 0.0, space: None };
    for token in split_tokens(typeface, spans) {
        match token {
            Token::Word(parts) => setter.put_word(parts),
            Token::Space { span, width } => setter.put_space(span, width),
            Token::LineEnd => setter.end_line(),
        }
    }
    setter.end_line();
    setter.lines
}

fn split_tokens(typeface: &Typeface, spans: &[Span]) -> Vec<Token> {
    let mut tokens = Vec::new();
    let mut word: Vec<Part> = Vec::new();
    let mut before = ' ';
    for (index, span) in spans.iter().enumerate() {
        let Style { face, size, .. } = span.style;
        let mut letters = span.text.chars().peekable();
        while let Some(mut c) = letters.next() {
            if c == ' ' && binds(&word, before, letters.peek().copied()) {
                c = FIXED_SPACE;
            }
            let advance = typeface.width(face, c) * size / 1000.0;
            let splits = may_split(before, c, &word);
            if (c == ' ' || c == '\n' || splits) && !word.is_empty() {
                tokens.push(Token::Word(std::mem::take(&mut word)));
            }
            match c {
                '\n' => tokens.push(Token::LineEnd),
                ' ' => tokens.push(Token::Space { span: index, width: advance }),
                _ => match word.last_mut() {
                    Some(part) if part.span == index => {
                        part.text.push(c);
                        part.width += advance;
                    }
                    _ => word.push(Part { span: index, text: c.to_string(), width: advance }),
                },
            }
            before = c;
        }
    }
    if !word.is_empty() {
        tokens.push(Token::Word(word));
    }
    tokens
}

/// A figure stays with its unit, its uncertainty and its currency.
fn binds(word: &[Part], before: char, after: Option<char>) -> bool {
    let code = || {
        word.iter().map(|part| part.text.chars().count()).sum::<usize>() == 3
            && word.iter().all(|part| part.text.bytes().all(|byte| byte.is_ascii_uppercase()))
    };
    match after {
        Some('%' | '±') => true,
        Some(after) => before == '±' || (after.is_ascii_digit() && (before.is_ascii_digit() || code())),
        None => false,
    }
}

/// Whether a line may end inside a word: after a dash between letters, and after a slash that is not a unit's.
/// Dates, negative numbers and addresses stay whole.
fn may_split(before: char, after: char, word: &[Part]) -> bool {
    if !matches!(before, '-' | '–' | '—' | '/') || !after.is_alphabetic() {
        return false;
    }
    let letters: Vec<char> = word.iter().flat_map(|part| part.text.chars()).collect();
    let address = letters.contains(&'@') || letters.windows(3).any(|three| three == [':', '/', '/']);
    let led = letters.iter().rev().nth(1).is_some_and(|letter| letter.is_alphabetic());
    !address && led && letters.len() > if before == '/' { 4 } else { 2 }
}

struct Setter<'a> {
    typeface: &'a Typeface,
    spans: &'a [Span],
    width: f64,
    lines: Vec<Line>,
    line: Vec<Part>,
    used: f64,
    space: Option<(usize, f64)>,
}

impl Setter<'_> {
    fn put_space(&mut self, span: usize, width: f64) {
        // Several spaces are one, as in a book; a line never begins with one.
        if !self.line.is_empty() && self.space.is_none() {
            self.space = Some((span, width));
        }
    }

    fn put_word(&mut self, parts: Vec<Part>) {
        let width: f64 = parts.iter().map(|part| part.width).sum();
        let space = self.space.map_or(0.0, |(_, width)| width);
        if self.used + space + width > self.width && !self.line.is_empty() {
            self.end_line();
        }
        if let Some((span, width)) = self.space.take() {
            self.push(Part { span, text: " ".into(), width });
        }
        if width <= self.width {
            for part in parts {
                self.push(part);
            }
        } else {
            for part in &parts {
                self.push_letters(part);
            }
        }
    }

    /// A word that no line holds is broken wherever the line ends.
    fn push_letters(&mut self, part: &Part) {
        let Style { face, size, .. } = self.spans[part.span].style;
        for c in part.text.chars() {
            let width = self.typeface.width(face, c) * size / 1000.0;
            if self.used + width > self.width && !self.line.is_empty() {
                self.end_line();
            }
            self.push(Part { span: part.span, text: c.to_string(), width });
        }
    }

    fn push(&mut self, part: Part) {
        self.used += part.width;
        match self.line.last_mut() {
            Some(last) if last.span == part.span => {
                last.text.push_str(&part.text);
                last.width += part.width;
            }
            _ => self.line.push(part),
        }
    }

    fn end_line(&mut self) {
        let mut line = Line::default();
        for part in self.line.drain(..) {
            let style = self.spans[part.span].style;
            line.pieces.push(Piece { x: line.width, width: part.width, text: part.text, style });
            line.width += part.width;
        }
        self.lines.push(line);
        self.used = 0.0;
        self.space = None;
    }
}

/// The text, or as much of it as fits into the width with a sign that some is left out.
pub(crate) fn fit(typeface: &Typeface, text: &str, style: Style, most: f64) -> String {
    let measure = |text: &str| typeface.measure(text, style.face, style.size);
    if measure(text) <= most {
        return text.to_owned();
    }
    let mut kept = text.to_owned();
    while kept.pop().is_some() {
        let shown = format!("{}…", kept.trim_end());
        if measure(&shown) <= most {
            return shown;
        }
    }
    String::new()
}

/// The text with spaces at which no line ends.
pub(crate) fn keep_together(text: &str) -> String {
    text.replace(' ', &FIXED_SPACE.to_string())
}

/// A whole number with its digits in groups of three.
pub(crate) fn group_digits(digits: &str) -> String {
    if digits.len() < 4 {
        return digits.to_owned();
    }
    let mut grouped = String::with_capacity(digits.len() + digits.len() / 3);
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            grouped.push(NARROW_SPACE);
        }
        grouped.push(digit);
    }
    grouped
}

#[cfg(test)]
mod tests {
    use super::*;

    const STYLE: Style = Style::new(Face::Regular, 10.0, Ink::Black);

    fn lines(text: &str, width: f64) -> Vec<String> {
        let typeface = Typeface::read().expect("both fonts can be read");
        let lines = set_lines(&typeface, &[Span::new(text, STYLE)], width);
        assert!(lines.iter().all(|line| line.width <= width + 1e-9), "{text:?} is wider than {width}");
        lines
            .into_iter()
            .map(|line| line.pieces.into_iter().map(|piece| piece.text).collect::<String>().replace(FIXED_SPACE, "_"))
            .collect()
    }

    #[test]
    fn lines_end_at_spaces_and_between_the_words_of_a_compound() {
        assert_eq!(lines("one two three", 40.0), ["one two", "three"]);
        assert_eq!(lines("a carbon-ceramic disc", 46.0), ["a carbon-", "ceramic", "disc"]);
        assert_eq!(lines("one\n\ntwo", 100.0), ["one", "", "two"]);
    }

    #[test]
    fn figures_dates_and_addresses_stay_whole() {
        assert_eq!(lines("worn 93 ± 8 % now", 50.0), ["worn", "93_±_8_%", "now"]);
        assert_eq!(lines("costs EUR 15 722.74", 70.0), ["costs", "EUR_15_722.74"]);
        assert_eq!(lines("on 2026-11-24", 40.0).concat().replace(' ', ""), "on2026-11-24");
        assert_eq!(lines("at 100 km/h and", 44.0), ["at 100", "km/h and"]);
        let address = "office@firm-of.example";
        let typeface = Typeface::read().expect("both fonts can be read");
        let width = typeface.measure(address, Face::Regular, 10.0) + 1.0;
        assert_eq!(lines(&format!("to {address}"), width), ["to", address]);
    }

    #[test]
    fn a_word_wider_than_a_line_is_broken_and_loses_nothing() {
        let set = lines(&"x".repeat(500), 100.0);
        assert!(set.len() > 20);
        assert_eq!(set.concat().len(), 500);
    }

    #[test]
    fn a_character_that_cannot_be_printed_takes_the_room_of_its_code() {
        let typeface = Typeface::read().expect("both fonts can be read");
        let code = typeface.measure("[U+4E2D]", Face::Regular, 10.0);
        assert_eq!(typeface.measure("中", Face::Regular, 10.0).to_bits(), code.to_bits());
    }

    #[test]
    fn digits_stand_in_groups_of_three() {
        let grouped: Vec<String> = ["5", "412", "5412", "19460", "1234567"].map(group_digits).to_vec();
        let plain = grouped.join("|").replace(NARROW_SPACE, " ");
        assert_eq!(plain, "5|412|5 412|19 460|1 234 567");
    }
}
