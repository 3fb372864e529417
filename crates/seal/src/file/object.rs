use std::ops::Range;

/// The number of an indirect object, from 1.
pub type ObjectNumber = u32;

/// One value of the object syntax, borrowed from the file.
#[derive(Debug, Clone, PartialEq)]
pub enum Value<'a> {
    /// `null`.
    Null,
    /// `true` or `false`.
    Boolean(bool),
    /// A whole number.
    Integer(i64),
    /// A number with a fraction, as spelt.
    Real(&'a str),
    /// A name without its slash.
    Name(&'a str),
    /// A string.
    Text(Text<'a>),
    /// An array.
    Array(Vec<Value<'a>>),
    /// A dictionary.
    Dictionary(Dictionary<'a>),
    /// A reference to an object of generation 0.
    Reference(ObjectNumber),
}

impl<'a> Value<'a> {
    /// The name, if the value is one.
    pub fn as_name(&self) -> Option<&'a str> {
        if let Self::Name(name) = self { Some(name) } else { None }
    }

    /// The whole number, if the value is one.
    pub fn as_integer(&self) -> Option<i64> {
        if let Self::Integer(number) = self { Some(*number) } else { None }
    }

    /// The number of the object referred to, if the value is a reference.
    pub fn as_reference(&self) -> Option<ObjectNumber> {
        if let Self::Reference(number) = self { Some(*number) } else { None }
    }

    /// The string, if the value is one.
    pub fn as_text(&self) -> Option<Text<'a>> {
        if let Self::Text(text) = self { Some(*text) } else { None }
    }

    /// The dictionary, if the value is one.
    pub fn as_dictionary(&self) -> Option<&Dictionary<'a>> {
        if let Self::Dictionary(dictionary) = self { Some(dictionary) } else { None }
    }

    /// The items, if the value is an array.
    pub fn as_array(&self) -> Option<&[Value<'a>]> {
        if let Self::Array(items) = self { Some(items) } else { None }
    }
}

/// A string as it stands in the file, between its brackets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Text<'a> {
    /// The bytes between the brackets, still spelt as in the file.
    pub raw: &'a [u8],
    /// The offset of the first of these bytes in the file.
    pub at: usize,
    /// How the bytes are spelt.
    pub form: TextForm,
}

/// How a string is spelt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TextForm {
    /// `(text)`.
    Literal,
    /// `<digits>`.
    Hexadecimal,
}

impl Text<'_> {
    /// The string's bytes. The reader let only well-formed strings through.
    pub fn decode(&self) -> Vec<u8> {
        match self.form {
            TextForm::Hexadecimal => {
                self.raw.as_chunks::<2>().0.iter().map(|&[high, low]| (nibble(high) << 4) | nibble(low)).collect()
            }
            TextForm::Literal => {
                let mut bytes = Vec::with_capacity(self.raw.len());
                let mut rest = self.raw.iter();
                while let Some(&byte) = rest.next() {
                    bytes.push(match byte {
                        b'\\' => match rest.next() {
                            Some(b'r') => b'\r',
                            Some(&escaped) => escaped,
                            None => break,
                        },
                        other => other,
                    });
                }
                bytes
            }
        }
    }
}

fn nibble(digit: u8) -> u8 {
    match digit {
        b'0'..=b'9' => digit - b'0',
        b'a'..=b'f' => digit - b'a' + 10,
        b'A'..=b'F' => digit - b'A' + 10,
        _ => 0,
    }
}

/// A dictionary; its keys are distinct.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dictionary<'a> {
    /// The offset of `<<` in the file.
    pub at: usize,
    /// The entries in the file's order.
    pub entries: Vec<Entry<'a>>,
}

/// A key and its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry<'a> {
    /// The key without its slash.
    pub key: &'a str,
    /// The offset of the key's slash in the file.
    pub at: usize,
    /// The value.
    pub value: Value<'a>,
}

impl<'a> Dictionary<'a> {
    /// The value of a key, if the dictionary has it.
    pub fn find(&self, key: &str) -> Option<&Value<'a>> {
        self.entries.iter().find(|entry| entry.key == key).map(|entry| &entry.value)
    }

    /// The name under a key, if there is one.
    pub fn find_name(&self, key: &str) -> Option<&'a str> {
        self.find(key).and_then(Value::as_name)
    }

    /// Whether the dictionary has `/Type` with this name.
    pub fn is_type(&self, name: &str) -> bool {
        self.find_name("Type") == Some(name)
    }
}

/// An object with its number and its place in the file.
#[derive(Debug, Clone, PartialEq)]
pub struct IndirectObject<'a> {
    /// From 1, without gaps.
    pub number: ObjectNumber,
    /// From the object's number to the line end after `endobj`.
    pub span: Range<usize>,
    /// The object; of a stream its dictionary.
    pub value: Value<'a>,
    /// The stream's data as it stands in the file.
    pub stream: Option<&'a [u8]>,
}

/// All objects of a file; number `n` stands at place `n - 1`.
#[derive(Debug, Clone, Default)]
pub struct Objects<'a>(pub(crate) Vec<IndirectObject<'a>>);

impl<'a> Objects<'a> {
    /// The object of a number, if the file has it.
    pub fn find(&self, number: ObjectNumber) -> Option<&IndirectObject<'a>> {
        self.0.get((number as usize).checked_sub(1)?)
    }

    /// The objects in the file's order.
    pub fn iter(&self) -> impl Iterator<Item = &IndirectObject<'a>> {
        self.0.iter()
    }

    /// How many objects the file has.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether the file has no object.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// The value itself, or the object that it refers to. A reference to nothing is null (ISO 32000-2, 7.3.10).
    pub fn resolve<'s>(&'s self, value: &'s Value<'a>) -> &'s Value<'a> {
        match value {
            Value::Reference(number) => self.find(*number).map_or(&Value::Null, |object| &object.value),
            direct => direct,
        }
    }

    /// The dictionary that an entry holds or refers to; also that of a stream.
    pub fn find_dictionary<'s>(&'s self, parent: &'s Dictionary<'a>, key: &str) -> Option<&'s Dictionary<'a>> {
        self.resolve(parent.find(key)?).as_dictionary()
    }
}
