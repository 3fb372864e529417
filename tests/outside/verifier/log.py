"""Entries, the tree, keys, checkpoints, cosignatures, and the audit of a whole log (section 7)."""

import hashlib
import re
import struct

from . import ed25519
from .text import DIGEST, read_base64, read_decimal, read_time

HEADER = "rimside.log-entry/1"
DIGESTS = {"issued": 2, "withdrawn": 2, "superseded": 3, "revoked": 1}
BUNDLE = 256
LOG, WITNESS = 1, 4


def sha256(*pieces):
    return hashlib.sha256(b"".join(pieces)).digest()


def leaf(entry):
    return sha256(b"\x00", entry)


def node(left, right):
    return sha256(b"\x01", left, right)


def root(hashes):
    """The root over these leaf hashes."""
    if not hashes:
        return sha256()
    if len(hashes) == 1:
        return hashes[0]
    split = 1 << (len(hashes) - 1).bit_length() - 1
    return node(root(hashes[:split]), root(hashes[split:]))


class Entry:
    """An entry in its one spelling."""

    def __init__(self, data):
        header, self.kind, *self.digests, time, end = data.decode().split("\n")
        self.at = read_time(time)
        if header != HEADER or end or self.at is None or len(self.digests) != DIGESTS.get(self.kind):
            raise ValueError("no entry")
        if not all(DIGEST.fullmatch(digest) for digest in self.digests):
            raise ValueError("no digests")


class Key:
    """The name and key of a log or a witness (7.3)."""

    def __init__(self, text, kind):
        self.name, spelt, material = text.removesuffix("\n").split("+", 2)
        data = read_base64(material)
        if data is None or data[0] != kind or not ed25519.is_sound(data[1:]) or not is_name(self.name):
            raise ValueError("no key of this kind")
        self.key = data[1:]
        self.id = sha256(self.name.encode(), b"\n", data)[:4]
        if self.id.hex() != spelt:
            raise ValueError("the id does not belong to name and key")


def is_name(name):
    return bool(name) and not any(letter.isspace() or ord(letter) < 32 or letter in "+\x7f" for letter in name)


class Checkpoint:
    """A signed head (7.4)."""

    def __init__(self, text):
        if any(letter < " " and letter != "\n" for letter in text):
            raise ValueError("a control character")
        body, signatures = text.rsplit("\n\n", 1)
        self.origin, size, head = body.split("\n")
        self.body, self.size, self.root = body + "\n", read_decimal(size), read_base64(head)
        if not self.origin or self.size is None or self.root is None or len(self.root) != 32:
            raise ValueError("no head")
        if not signatures.endswith("\n"):
            raise ValueError("no newline at the end")
        self.lines = [read_line(line) for line in signatures[:-1].split("\n")]
        if len(self.lines) > 32:
            raise ValueError("too many signatures")

    def lines_of(self, key):
        return [signature for name, id, signature in self.lines if (name, id) == (key.name, key.id)]

    def names(self, key):
        return self.origin == key.name and bool(self.lines_of(key))

    def is_signed_by(self, key):
        return all(ed25519.stands(key.key, self.body.encode(), signature) for signature in self.lines_of(key))

    def cosigned_at(self, witness):
        """The earliest time at which the witness signed, or None. Raises for a signature that does not stand."""
        times = []
        for line in self.lines_of(witness):
            if len(line) != 72:
                raise ValueError("no cosignature")
            (time,) = struct.unpack(">Q", line[:8])
            signed = f"cosignature/v1\ntime {time}\n{self.body}"
            if time >= 2**63 or not ed25519.stands(witness.key, signed.encode(), line[8:]):
                raise ValueError("a false cosignature")
            times.append(time)
        return min(times, default=None)


def read_line(line):
    match = re.fullmatch("\u2014 ([^ ]+) ([^ ]+)", line)
    data = read_base64(match[2]) if match else None
    if data is None or len(data) < 4 or not is_name(match[1]):
        raise ValueError("no signature line")
    return match[1], data[:4], data[4:]


def spell(number, width):
    """A file's number and, where it is not whole, its width (7.6)."""
    groups = [f"{number % 1000:03}"]
    while number >= 1000:
        number //= 1000
        groups.insert(0, f"x{number % 1000:03}")
    return "/".join(groups) + (f".p/{width}" if width < BUNDLE else "")


def widths(count):
    """Each file's number and width for so many entries or hashes."""
    return [(number, min(BUNDLE, count - number * BUNDLE)) for number in range(-(-count // BUNDLE))]


def audit(read, key, seen=None, entries=None):
    """"good", or the code of the rule of 7.7 that the log breaks. `read` gives a file's bytes, or None.

    The entries go into the list that is given.
    """
    text = read("checkpoint")
    if text is None:
        return "read"
    try:
        checkpoint = Checkpoint(text.decode())
    except ValueError:
        return "head"
    if not checkpoint.names(key) or not checkpoint.is_signed_by(key):
        return "foreign"
    hashes, last = [], None
    for number, width in widths(checkpoint.size):
        data = read(f"tile/entries/{spell(number, width)}")
        if data is None:
            return "read"
        texts = read_bundle(data)
        if texts is None or len(texts) != width:
            return "form"
        for text in texts:
            hashes.append(leaf(text))
            try:
                entry = Entry(text)
            except ValueError:
                return "entry"
            if last and last > entry.at:
                return "backwards"
            last = entry.at
            if entries is not None:
                entries.append(entry)
    if root(hashes) != checkpoint.root:
        return "root"
    fault = audit_tiles(read, hashes)
    if fault:
        return fault
    if seen and (seen.size > checkpoint.size or root(hashes[: seen.size]) != seen.root):
        return "forked"
    return "good"


def audit_tiles(read, hashes):
    level = 0
    while hashes:
        for number, width in widths(len(hashes)):
            data = read(f"tile/{level}/{spell(number, width)}")
            if data is None:
                return "read"
            if data != b"".join(hashes[number * BUNDLE : number * BUNDLE + width]):
                return "form"
        whole = len(hashes) // BUNDLE
        hashes = [root(hashes[place * BUNDLE : (place + 1) * BUNDLE]) for place in range(whole)]
        level += 1
    return None


def read_bundle(data):
    texts = []
    while data:
        length = int.from_bytes(data[:2], "big")
        text, data = data[2 : 2 + length], data[2 + length :]
        if len(text) != length:
            return None
        texts.append(text)
    return texts
