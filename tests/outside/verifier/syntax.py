"""The file from the first byte to the last, each value in its one spelling (sections 2.1 to 2.3)."""

import re

from .answer import Fault

FILE_BYTES = 536_870_912
NESTING = 64
VALUES = 2_000_000
WHITE = b" \t\r\n\x0c\x00"
NAME = re.compile(rb"/([!\"$&'*+,\-.0-9:;=?@A-Z\\^_`a-z|~#]*)")
NUMBER = re.compile(rb"(-?)([0-9]*)(?:(\.)([0-9]*))?")
MEDIA_TYPES = (b"application#2Fjson", b"application#2Fpdf")


class Name(str):
    """A name without its slash."""


class Reference(int):
    """The number of an object."""


class Real(str):
    """A number with a fraction, as spelt."""


class Text(bytes):
    """A string's bytes; `raw` is what stands between its brackets, at the offset `at`."""

    raw, at, is_hex = b"", 0, False


class Dictionary(dict):
    """A dictionary; `at` is its offset."""

    at = 0


class Thing:
    """An object: number, value, and where it is a stream its data."""

    def __init__(self, number, start, value, stream):
        self.number, self.start, self.value, self.stream = number, start, value, stream


class Reader:
    """A place in the bytes."""

    def __init__(self, data):
        self.data, self.at, self.depth, self.values = data, 0, 0, 0
        self.range, self.contents_end = None, None

    def eat(self, expected):
        found = self.data.startswith(expected, self.at)
        if found:
            self.at += len(expected)
        return found

    def peek(self):
        return self.data[self.at : self.at + 1]

    def fail(self, code, expected=b""):
        """A fault here; a file that ends in the middle of what is expected is truncated."""
        rest = self.data[self.at :]
        raise Fault("truncated" if not rest or (len(rest) < len(expected) and expected.startswith(rest)) else code)

    def digits(self):
        start = self.at
        while self.data[self.at : self.at + 1].isdigit():
            self.at += 1
        return self.data[start : self.at]

    def value(self, key="", is_first=False):
        """A value with the space before it."""
        has_space = self.eat(b" ")
        if has_space and self.peek() in (b"]", b">"):
            raise Fault("white-space")
        value = self.bare(key)
        wants_space = not is_first and (value is None or isinstance(value, (bool, int, Real)))
        if has_space != wants_space:
            raise Fault("white-space")
        return value

    def bare(self, key):
        self.values += 1
        if self.values > VALUES:
            raise Fault("too-many-values")
        byte = self.peek()
        if byte == b"<":
            return self.dictionary() if self.data.startswith(b"<<", self.at) else self.hexadecimal(key == "Contents")
        if byte == b"(":
            return self.literal()
        if byte == b"[":
            return self.array(key)
        if byte == b"/":
            return self.name(key == "Subtype")
        if byte.isdigit() or byte == b"-":
            return self.number()
        for word, value in ((b"true", True), (b"false", False), (b"null", None)):
            if self.eat(word):
                return value
        if byte == b"%":
            raise Fault("comment")
        if byte and byte in WHITE:
            raise Fault("white-space")
        return self.fail("syntax", next((w for w in (b"true", b"false", b"null") if w.startswith(byte)), b""))

    def enter(self):
        self.depth += 1
        if self.depth > NESTING:
            raise Fault("nesting-too-deep")

    def dictionary(self):
        self.enter()
        found = Dictionary()
        found.at = self.at
        self.at += 2
        is_doubled = False
        while not self.eat(b">>"):
            if self.peek() == b"%":
                raise Fault("comment")
            if self.peek() and self.peek() in WHITE:
                raise Fault("white-space")
            if self.peek() != b"/":
                self.fail("syntax", b">>")
            key = self.name(False)
            value = self.value(key)
            is_doubled |= key in found
            found[key] = value
        if is_doubled:
            raise Fault("key-doubled")
        self.depth -= 1
        return found

    def array(self, key):
        self.enter()
        self.at += 1
        found = []
        while True:
            if key == "ByteRange" and found:
                end = self.at
                while self.data[end : end + 1] == b" ":
                    end += 1
                if self.data[end : end + 1] == b"]":
                    self.at = end
            if self.eat(b"]"):
                break
            try:
                found.append(self.value("", not found))
            except Fault as fault:
                if key == "ByteRange" and fault.code == "number-too-large":
                    raise Fault("byte-range-overflow") from fault
                raise
        self.depth -= 1
        if key == "ByteRange" and len(found) == 4 and all(type(number) is int for number in found):
            self.range = found
        return found

    def name(self, may_be_media_type):
        match = NAME.match(self.data, self.at)
        spelt = match[1]
        if self.at + len(match[0]) == len(self.data):
            raise Fault("truncated")
        if b"#" in spelt and not (may_be_media_type and spelt in MEDIA_TYPES):
            raise Fault("name-escaped")
        if not 1 <= len(spelt) <= 127 or self.data[self.at + len(match[0])] > 0x7F:
            raise Fault("name-malformed")
        self.at += len(match[0])
        return Name(spelt.decode())

    def number(self):
        match = NUMBER.match(self.data, self.at)
        minus, whole, point, fraction = match.groups()
        if match.end() == len(self.data):
            raise Fault("truncated")
        if not whole or (len(whole) > 1 and whole.startswith(b"0")):
            raise Fault("number-malformed")
        if point and (not fraction or fraction.endswith(b"0")):
            raise Fault("number-malformed")
        self.at = match.end()
        if point or (minus and whole == b"0"):
            return Real(match[0].decode())
        number = int(match[0])
        if not -(2**63) <= number < 2**63:
            raise Fault("number-too-large")
        return self.reference(number)

    def reference(self, number):
        match = re.compile(rb" ([0-9]+) R").match(self.data, self.at)
        if not match:
            return number
        if match[1] != b"0":
            raise Fault("generation-not-zero")
        if not 1 <= number < 2**32:
            raise Fault("reference-dangling")
        self.at = match.end()
        return Reference(number)

    def literal(self):
        self.at += 1
        start, is_open, found = self.at, 1, bytearray()
        while True:
            byte = self.peek()
            if not byte:
                raise Fault("truncated")
            self.at += 1
            if byte == b"\\":
                escaped = self.peek()
                if not escaped:
                    raise Fault("truncated")
                if escaped not in (b"(", b")", b"\\", b"r"):
                    raise Fault("string-malformed")
                self.at += 1
                found += b"\r" if escaped == b"r" else escaped
                continue
            if byte == b"\r":
                raise Fault("string-malformed")
            is_open += (byte == b"(") - (byte == b")")
            if not is_open:
                break
            found += byte
        text = Text(bytes(found))
        text.raw, text.at = self.data[start : self.at - 1], start
        return text

    def hexadecimal(self, is_contents):
        self.at += 1
        match = re.compile(rb"[0-9a-fA-F]*").match(self.data, self.at)
        start, self.at = self.at, match.end()
        if self.peek() != b">":
            self.fail("contents-not-hex" if is_contents else "string-malformed", b">")
        if len(match[0]) % 2:
            raise Fault("contents-odd" if is_contents else "string-malformed")
        self.at += 1
        if is_contents and self.range:
            self.contents_end = self.at
        text = Text(bytes.fromhex(match[0].decode()))
        text.raw, text.at, text.is_hex = match[0], start, True
        return text


def read_objects(reader):
    """The objects one after another, up to the table."""
    things = []
    while not reader.data.startswith(b"xref\n", reader.at):
        things.append(read_object(reader, len(things) + 1))
    return things


def read_object(reader, expected):
    start = reader.at
    match = re.compile(rb"([0-9]+) ([0-9]+) obj\n").match(reader.data, start)
    if not match:
        return explain_between(reader)
    if match[2] != b"0":
        raise Fault("generation-not-zero")
    number = int(match[1])
    if number != expected or match[1].startswith(b"0"):
        raise Fault("object-doubled" if 0 < number < expected else "object-out-of-order")
    reader.at = match.end()
    value = reader.value()
    stream = None
    if isinstance(value, Dictionary):
        kind = value.get("Type")
        if kind in ("XRef", "ObjStm"):
            raise Fault("xref-stream" if kind == "XRef" else "object-stream")
        if "Linearized" in value:
            raise Fault("linearized")
        if reader.eat(b"stream\n"):
            stream = read_stream(reader, value)
    is_spaced = stream is not None or value is None or isinstance(value, (bool, int, Real, Name))
    end = b" \nendobj\n" if is_spaced else b"\nendobj\n"
    if not reader.eat(end):
        if reader.peek() == b"%":
            raise Fault("comment")
        reader.fail("syntax", b"stream\n" if b"stream\n".startswith(reader.data[reader.at :]) else end)
    return Thing(number, start, value, stream)


def explain_between(reader):
    rest = reader.data[reader.at :]
    if rest.startswith(b"%"):
        raise Fault("comment")
    if rest.startswith((b"trailer", b"startxref")):
        raise Fault("xref-missing")
    if rest.startswith(b"xref") and len(rest) > 5:
        raise Fault("xref-malformed")
    if len(rest) < 20 and re.fullmatch(rb"[0-9 objxref\n]*", rest):
        raise Fault("truncated")
    raise Fault("bytes-between-objects")


def read_stream(reader, dictionary):
    length = dictionary.get("Length")
    if isinstance(length, Reference):
        raise Fault("stream-length-indirect")
    if type(length) is not int:
        raise Fault("stream-length-missing")
    data = reader.data[reader.at : reader.at + length] if length >= 0 else b""
    if len(data) == length and reader.data.startswith(b"\nendstream", reader.at + length):
        reader.at += length + len(b"\nendstream")
        return data
    is_later = reader.data.find(b"\nendstream", reader.at) >= 0
    raise Fault("stream-length" if is_later else "truncated")
