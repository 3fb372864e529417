"""DER (X.690), strictly: what is spelt in a second way is refused."""

CONTAINERS = {0x30, 0x31}


class NotDer(Exception):
    """The bytes are not DER."""


class Node:
    """A value: its tag, its bytes with the head, its content."""

    def __init__(self, data, start, head, end):
        self.tag = data[start]
        self.whole = data[start:end]
        self.body = data[start + head : end]

    def parts(self):
        """The values inside."""
        found, at = [], 0
        while at < len(self.body):
            node, at = read_at(self.body, at)
            found.append(node)
        return found

    def check(self):
        """Refuses whatever inside is not DER."""
        if self.tag in CONTAINERS or self.tag & 0xE0 == 0xA0:
            for part in self.parts():
                part.check()
        elif self.tag < 0x20:
            check_primitive(self.tag, self.body)


def read_at(data, at):
    """The value that begins here, and where the next one begins."""
    if len(data) < at + 2 or data[at] & 0x1F == 0x1F:
        raise NotDer("no tag and length")
    first = data[at + 1]
    if first < 0x80:
        head, length = 2, first
    else:
        count = first & 0x7F
        digits = data[at + 2 : at + 2 + count]
        if not 1 <= count <= 4 or len(digits) < count or digits[0] == 0:
            raise NotDer("a length that is indefinite or too long")
        head, length = 2 + count, int.from_bytes(digits, "big")
        if length < 0x80:
            raise NotDer("a length in more bytes than needed")
    if at + head + length > len(data):
        raise NotDer("a value that goes beyond its container")
    return Node(data, at, head, at + head + length), at + head + length


def read(data):
    """One value and nothing after it."""
    node, end = read_at(data, 0)
    if end != len(data):
        raise NotDer("bytes after the end")
    return node


def check_primitive(tag, body):
    if tag == 1 and body not in (b"\x00", b"\xff"):
        raise NotDer("a boolean")
    if tag in (2, 10) and (not body or (len(body) > 1 and body[0] in (0, 0xFF) and (body[0] ^ body[1]) < 0x80)):
        raise NotDer("a number with superfluous bytes")
    if tag == 3 and (not body or body[0] > 7 or (body[0] and (len(body) == 1 or body[-1] & ((1 << body[0]) - 1)))):
        raise NotDer("a bit string")
    if tag == 5 and body:
        raise NotDer("a null with content")
    if tag == 6:
        starts = [body[:1]] + [body[at + 1 : at + 2] for at in range(len(body) - 1) if body[at] < 0x80]
        if not body or body[-1] >= 0x80 or b"\x80" in starts:
            raise NotDer("an object identifier")
    if tag == 12:
        try:
            body.decode()
        except UnicodeDecodeError as error:
            raise NotDer("a text") from error


def expect(node, tag):
    """The node, if it has this tag."""
    if node.tag != tag:
        raise NotDer(f"got the tag {node.tag:#04x}, expected {tag:#04x}")
    return node


def oid(text):
    """The encoding of an object identifier that is given by its arcs."""
    first, second, *rest = map(int, text.split("."))
    encoded = b""
    for arc in [first * 40 + second, *rest]:
        digits = [arc & 0x7F]
        while arc > 0x7F:
            arc >>= 7
            digits.insert(0, 0x80 | (arc & 0x7F))
        encoded += bytes(digits)
    return b"\x06" + bytes([len(encoded)]) + encoded


def is_sorted(nodes):
    wholes = [node.whole for node in nodes]
    return wholes == sorted(wholes)
