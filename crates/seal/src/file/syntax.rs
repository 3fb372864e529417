//! The object syntax in the one spelling that the report's writer uses: no comments, no free white
//! space, no `#` escapes, no second way to write a number. What can be spelt in only one way cannot
//! be read in two.

use super::fault::{Fault, FaultCode};
use super::limits;
use super::object::{Dictionary, Entry, Text, TextForm, Value};

/// The names that are spelt with an escape: the media types that PDF/A asks for on attachments.
pub(crate) const MEDIA_TYPES: [&str; 2] = ["application#2Fjson", "application#2Fpdf"];

pub(crate) struct Parser<'a> {
    pub bytes: &'a [u8],
    pub at: usize,
    depth: usize,
    values: usize,
    /// The numbers of the last byte range that was read, to explain a later fault.
    pub byte_range: Option<[i64; 4]>,
    /// Where the signature's string after that byte range ends, for the same.
    pub contents_end: Option<usize>,
}

impl<'a> Parser<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0, depth: 0, values: 0, byte_range: None, contents_end: None }
    }

    pub fn rest(&self) -> &'a [u8] {
        self.bytes.get(self.at..).unwrap_or_default()
    }

    pub fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    /// Steps over the expected bytes, or stays and says no.
    pub fn eat(&mut self, expected: &[u8]) -> bool {
        let found = self.rest().starts_with(expected);
        if found {
            self.at += expected.len();
        }
        found
    }

    /// Steps over a run of decimal digits and returns it; it may be empty.
    pub fn digits(&mut self) -> &'a [u8] {
        let rest = self.rest();
        let count = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
        self.at += count;
        &rest[..count]
    }

    /// A fault here; where the file is at its end or has only the beginning of `expected`, it is cut.
    pub fn fault(&self, code: FaultCode, expected: &[u8], message: impl Into<String>) -> Fault {
        let rest = self.rest();
        if rest.is_empty() || (rest.len() < expected.len() && expected.starts_with(rest)) {
            return self.cut();
        }
        Fault::at(code, self.at, message)
    }

    /// The file is at its end in the middle of something.
    pub fn cut(&self) -> Fault {
        let bytes = self.bytes.len();
        Fault::at(FaultCode::Truncated, bytes, format!("the file ends early, after {bytes} bytes"))
    }

    /// A value with the white space before it: one space before a number, a keyword or a reference
    /// unless a bracket of the writer's stands there, none before anything else.
    pub fn spaced_value(&mut self, spaced: Spacing, key: &str) -> Result<Value<'a>, Fault> {
        let start = self.at;
        let space = self.eat(b" ");
        if space && matches!(self.peek(), Some(b']' | b'>')) {
            return Err(Fault::at(FaultCode::WhiteSpace, start, "white space stands before a bracket"));
        }
        let value = self.value(key)?;
        let expected = match spaced {
            Spacing::ByKind => needs_space(&value),
            Spacing::Never => false,
        };
        if space != expected {
            let message = if space { "a space stands where none is written" } else { "a space is missing" };
            return Err(Fault::at(FaultCode::WhiteSpace, start, message));
        }
        Ok(value)
    }

    fn value(&mut self, key: &str) -> Result<Value<'a>, Fault> {
        self.values += 1;
        if self.values > limits::VALUES {
            return Err(Fault::at(
                FaultCode::TooManyValues,
                self.at,
                format!("the file has more than {} values", limits::VALUES),
            ));
        }
        match self.peek() {
            Some(b'<') if self.bytes.get(self.at + 1) == Some(&b'<') => self.dictionary().map(Value::Dictionary),
            Some(b'<') => self.hexadecimal(key == "Contents").map(Value::Text),
            Some(b'(') => self.literal().map(Value::Text),
            Some(b'[') => self.array(key).map(Value::Array),
            Some(b'/') => self.name(key == "Subtype").map(Value::Name),
            Some(b'0'..=b'9' | b'-') => self.number_or_reference(),
            Some(b'%') => Err(Fault::at(FaultCode::Comment, self.at, "a comment stands where none is written")),
            Some(b' ' | b'\t' | b'\r' | b'\n' | b'\x0c' | 0) => {
                Err(Fault::at(FaultCode::WhiteSpace, self.at, "white space stands where none is written"))
            }
            _ if self.eat(b"true") => Ok(Value::Boolean(true)),
            _ if self.eat(b"false") => Ok(Value::Boolean(false)),
            _ if self.eat(b"null") => Ok(Value::Null),
            Some(_) if [&b"true"[..], b"false", b"null"].iter().any(|word| word.starts_with(self.rest())) => {
                Err(self.cut())
            }
            Some(byte) => {
                Err(Fault::at(FaultCode::Syntax, self.at, format!("byte {byte:#04x} stands where a value is expected")))
            }
            None => Err(self.cut()),
        }
    }

    fn enter(&mut self) -> Result<(), Fault> {
        self.depth += 1;
        if self.depth > limits::NESTING {
            return Err(Fault::at(
                FaultCode::NestingTooDeep,
                self.at,
                format!("values are nested more than {} deep", limits::NESTING),
            ));
        }
        Ok(())
    }

    pub fn dictionary(&mut self) -> Result<Dictionary<'a>, Fault> {
        self.enter()?;
        let mut dictionary = Dictionary { at: self.at, entries: Vec::new() };
        self.at += 2;
        while !self.eat(b">>") {
            let at = self.at;
            match self.peek() {
                Some(b'/') => {}
                Some(b'%') => return Err(Fault::at(FaultCode::Comment, at, "a comment stands inside a dictionary")),
                Some(b' ' | b'\t' | b'\r' | b'\n' | b'\x0c' | 0) => {
                    return Err(Fault::at(FaultCode::WhiteSpace, at, "white space stands before a key"));
                }
                _ => return Err(self.fault(FaultCode::Syntax, b">>", "a dictionary has something that is no key")),
            }
            let key = self.name(false)?;
            let value = self.spaced_value(Spacing::ByKind, key)?;
            dictionary.entries.push(Entry { key, at, value });
        }
        self.depth -= 1;
        match find_doubled(&dictionary.entries) {
            Some(entry) => {
                Err(Fault::at(FaultCode::KeyDoubled, entry.at, format!("the entry /{} stands twice", entry.key)))
            }
            None => Ok(dictionary),
        }
    }

    fn array(&mut self, key: &str) -> Result<Vec<Value<'a>>, Fault> {
        // The byte range is filled in after the rest is written, so its place is padded with spaces.
        let byte_range = key == "ByteRange";
        self.enter()?;
        self.at += 1;
        let mut items = Vec::new();
        loop {
            if byte_range && !items.is_empty() {
                let padding = self.rest().iter().take_while(|&&byte| byte == b' ').count();
                match self.bytes.get(self.at + padding) {
                    Some(b']') => self.at += padding,
                    Some(_) => {}
                    None => return Err(self.cut()),
                }
            }
            if self.eat(b"]") {
                break;
            }
            let spaced = if items.is_empty() { Spacing::Never } else { Spacing::ByKind };
            items.push(self.spaced_value(spaced, "").map_err(|mut fault| {
                if byte_range && fault.code == FaultCode::NumberTooLarge {
                    fault.code = FaultCode::ByteRangeOverflow;
                }
                fault
            })?);
        }
        self.depth -= 1;
        if byte_range && let [a, b, c, d] = items[..].iter().filter_map(Value::as_integer).collect::<Vec<_>>()[..] {
            self.byte_range = Some([a, b, c, d]);
        }
        Ok(items)
    }

    fn name(&mut self, media_type_allowed: bool) -> Result<&'a str, Fault> {
        let start = self.at;
        self.at += 1;
        let rest = self.rest();
        let count = rest
            .iter()
            .take_while(|byte| byte.is_ascii_graphic() && !b"()<>[]{}/%".contains(byte))
            .take(limits::NAME_BYTES + 1)
            .count();
        if count == rest.len() {
            return Err(self.cut());
        }
        let name = std::str::from_utf8(&rest[..count]).unwrap_or_default();
        if name.contains('#') && !(media_type_allowed && MEDIA_TYPES.contains(&name)) {
            return Err(Fault::at(
                FaultCode::NameEscaped,
                start,
                format!("the name /{name} is spelt with # escapes, which reports never use"),
            ));
        }
        if name.is_empty() || name.len() > limits::NAME_BYTES {
            return Err(Fault::at(FaultCode::NameMalformed, start, "a name is empty or longer than 127 bytes"));
        }
        if rest.get(count).is_some_and(|byte| !byte.is_ascii()) {
            return Err(Fault::at(FaultCode::NameMalformed, start, "a name has bytes outside ASCII"));
        }
        self.at += count;
        Ok(name)
    }

    fn number_or_reference(&mut self) -> Result<Value<'a>, Fault> {
        let number = self.number()?;
        let Value::Integer(target) = number else { return Ok(number) };
        let after_number = self.at;
        if self.eat(b" ") {
            let generation = self.digits();
            if matches!(self.rest(), b"" | b" ") {
                return Err(self.cut());
            }
            if !generation.is_empty() && self.eat(b" R") {
                return match u32::try_from(target) {
                    _ if generation != b"0" => Err(Fault::at(
                        FaultCode::GenerationNotZero,
                        after_number,
                        format!("a reference to object {target} has a generation other than 0"),
                    )),
                    Ok(target) if target > 0 => Ok(Value::Reference(target)),
                    _ => Err(Fault::at(
                        FaultCode::ReferenceDangling,
                        after_number,
                        format!("a reference points to object {target}, which does not exist"),
                    )),
                };
            }
        }
        self.at = after_number;
        Ok(number)
    }

    fn number(&mut self) -> Result<Value<'a>, Fault> {
        let start = self.at;
        let negative = self.eat(b"-");
        let whole = self.digits();
        if self.rest().is_empty() {
            return Err(self.cut());
        }
        let malformed = || {
            Fault::at(
                FaultCode::NumberMalformed,
                start,
                "a number has no digits, superfluous zeros or no digit after its point",
            )
        };
        if whole.is_empty() || (whole.len() > 1 && whole[0] == b'0') {
            return Err(malformed());
        }
        let fraction = if self.eat(b".") { Some(self.digits()) } else { None };
        if self.rest().is_empty() {
            return Err(self.cut());
        }
        if fraction.is_some_and(|digits| digits.last().is_none_or(|&digit| digit == b'0')) {
            return Err(malformed());
        }
        let spelling = std::str::from_utf8(&self.bytes[start..self.at]).unwrap_or_default();
        // The writer spells the 32-bit float minus zero "-0".
        if fraction.is_some() || (negative && whole == b"0") {
            return Ok(Value::Real(spelling));
        }
        spelling.parse().map(Value::Integer).map_err(|_| {
            Fault::at(FaultCode::NumberTooLarge, start, format!("a number of {} digits is too large", whole.len()))
        })
    }

    fn literal(&mut self) -> Result<Text<'a>, Fault> {
        self.at += 1;
        let at = self.at;
        let mut open = 1_usize;
        while let Some(byte) = self.peek() {
            self.at += 1;
            match byte {
                b'(' => open += 1,
                b')' => open -= 1,
                b'\\' => match self.peek() {
                    Some(b'(' | b')' | b'\\' | b'r') => self.at += 1,
                    None => return Err(self.cut()),
                    _ => {
                        return Err(Fault::at(FaultCode::StringMalformed, self.at, "a string has an unknown escape"));
                    }
                },
                b'\r' => {
                    return Err(Fault::at(FaultCode::StringMalformed, self.at, "a string has a bare carriage return"));
                }
                _ => {}
            }
            if open == 0 {
                return Ok(Text { raw: &self.bytes[at..self.at - 1], at, form: TextForm::Literal });
            }
        }
        Err(self.cut())
    }

    fn hexadecimal(&mut self, contents: bool) -> Result<Text<'a>, Fault> {
        self.at += 1;
        let at = self.at;
        let count = self.rest().iter().take_while(|byte| byte.is_ascii_hexdigit()).count();
        self.at += count;
        if self.peek() != Some(b'>') {
            let code = if contents { FaultCode::ContentsNotHex } else { FaultCode::StringMalformed };
            return Err(self.fault(code, b">", "a string of hexadecimal digits has a byte that is no digit"));
        }
        if count % 2 == 1 {
            let code = if contents { FaultCode::ContentsOdd } else { FaultCode::StringMalformed };
            return Err(Fault::at(code, at, format!("a string has an odd number of hexadecimal digits, {count}")));
        }
        self.at += 1;
        if contents && self.byte_range.is_some() {
            self.contents_end = Some(self.at);
        }
        Ok(Text { raw: &self.bytes[at..at + count], at, form: TextForm::Hexadecimal })
    }
}

/// Which white space stands before a value.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Spacing {
    /// One space before a number, keyword or reference.
    ByKind,
    /// None.
    Never,
}

pub(crate) fn needs_space(value: &Value<'_>) -> bool {
    matches!(value, Value::Null | Value::Boolean(_) | Value::Integer(_) | Value::Real(_) | Value::Reference(_))
}

fn find_doubled<'s, 'a>(entries: &'s [Entry<'a>]) -> Option<&'s Entry<'a>> {
    if entries.len() <= 24 {
        return entries.iter().enumerate().find(|(n, e)| entries[..*n].iter().any(|p| p.key == e.key)).map(|(_, e)| e);
    }
    let mut sorted: Vec<&Entry<'a>> = entries.iter().collect();
    sorted.sort_by_key(|entry| (entry.key, entry.at));
    sorted.array_windows::<2>().find(|[a, b]| a.key == b.key).map(|[_, b]| *b)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<(), FaultCode> {
        let mut parser = Parser::new(text.as_bytes());
        parser.spaced_value(Spacing::Never, "").map(|_| ()).map_err(|fault| fault.code)
    }

    #[test]
    fn values_side_by_side_are_not_deep() {
        let many = limits::NESTING * 3;
        assert_eq!(read(&format!("[{}] ", "[]".repeat(many))), Ok(()));
        assert_eq!(read(&format!("[{}] ", "<<>>".repeat(many))), Ok(()));
    }

    #[test]
    fn values_inside_each_other_are_read_to_the_limit_and_not_beyond() {
        let arrays = |deep: usize| read(&format!("{}{} ", "[".repeat(deep), "]".repeat(deep)));
        let dictionaries = |deep: usize| read(&format!("{}<<>>{} ", "<</A".repeat(deep - 1), ">>".repeat(deep - 1)));
        assert_eq!(arrays(limits::NESTING), Ok(()));
        assert_eq!(arrays(limits::NESTING + 1), Err(FaultCode::NestingTooDeep));
        assert_eq!(arrays(limits::NESTING * 50), Err(FaultCode::NestingTooDeep));
        assert_eq!(dictionaries(limits::NESTING), Ok(()));
        assert_eq!(dictionaries(limits::NESTING + 1), Err(FaultCode::NestingTooDeep));
    }

    #[test]
    fn a_name_has_as_many_bytes_as_the_standard_allows() {
        // ISO 32000-1, annex C: 127.
        assert_eq!(read(&format!("/{} ", "a".repeat(127))), Ok(()));
        assert_eq!(read(&format!("/{} ", "a".repeat(128))), Err(FaultCode::NameMalformed));
    }

    #[test]
    fn an_entry_that_stands_twice_is_found_among_few_and_many() {
        for count in [2, 24, 25, 60] {
            let entries = (0..count).map(|nth| format!("/K{nth}/V")).collect::<Vec<_>>().concat();
            assert_eq!(read(&format!("<<{entries}>> ")), Ok(()), "{count}");
            assert_eq!(read(&format!("<<{entries}/K1/W>> ")), Err(FaultCode::KeyDoubled), "{count}");
        }
    }

    #[test]
    fn of_two_entries_that_stand_twice_the_first_in_the_file_is_named() {
        let mut parser = Parser::new(b"<</Z 1/A 1/Z 2/A 2>> ");
        let fault = parser.spaced_value(Spacing::Never, "").unwrap_err();
        assert_eq!((fault.offset, fault.message.as_str()), (Some(10), "the entry /Z stands twice"));
    }

    #[test]
    fn so_many_values_are_read_and_no_more() {
        // The array itself is one of them, and its first number another.
        let many = |count: usize| read(&format!("[0{}] ", " 0".repeat(count - 2)));
        assert_eq!(many(limits::VALUES), Ok(()));
        assert_eq!(many(limits::VALUES + 1), Err(FaultCode::TooManyValues));
    }

    #[test]
    fn words_that_are_cut_off_are_said_to_be() {
        for cut in ["t", "tru", "fals", "nul", ""] {
            assert_eq!(read(cut), Err(FaultCode::Truncated), "{cut:?}");
        }
        assert_eq!(read("truth"), Err(FaultCode::Syntax));
    }
}
