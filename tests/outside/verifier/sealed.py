"""The signature dictionary, the byte range and the room; a whole file (sections 2.8 and 2.9)."""

import hashlib

from .answer import Fault
from .attachments import find_attachments
from .layout import read_file
from .profile import (
    Objects,
    check_form,
    check_permissions,
    check_reach,
    check_streams,
    kind,
    only,
    read_catalog,
    read_pages,
)
from .syntax import Real, Reference, Text

ROOM = 16_384
KEYS = "Type Filter SubFilter ByteRange Contents M Name Reason Location ContactInfo Reference".split()


class Sealed:
    """A file of the profile."""

    def __init__(self, data):
        things, trailer = read_file(data)
        objects = Objects(things)
        signature = find_signature(objects)
        before, after, self.signature = read_room(signature.value, len(data))
        check_entries(signature.value)
        check_reach(objects, trailer, signature.value)
        catalog = read_catalog(objects, trailer)
        pages = read_pages(objects, catalog)
        check_form(objects, catalog, signature.number, pages)
        check_permissions(objects, catalog, signature)
        record, report = find_attachments(objects, catalog)
        self.photographs, plain = check_streams(objects)
        self.record = plain.get(record.number)
        self.report = report.stream if report else None
        self.digest = hashlib.sha512(data[:before] + data[after:]).digest()
        self.identity = hashlib.sha256(self.digest).digest()


def find_signature(objects):
    found = [thing for thing, value in objects.dictionaries() if kind(value) in ("Sig", "DocTimeStamp")]
    if not found:
        raise Fault("signature-missing")
    if len(found) > 1:
        raise Fault("signature-doubled")
    if found[0].number != len(objects.things):
        raise Fault("signature-not-last")
    return found[0]


def check_entries(signature):
    only(signature, KEYS, "signature-entry")
    for key, expected in (("Type", "Sig"), ("Filter", "Adobe.PPKLite"), ("SubFilter", "ETSI.CAdES.detached")):
        if kind(signature, key) != expected:
            raise Fault("signature-entry")
    for key in ("M", "Name", "Reason", "Location", "ContactInfo"):
        if key in signature and not isinstance(signature[key], Text):
            raise Fault("signature-entry")


def read_room(signature, size):
    """Where the string begins and ends, and the signature in it; empty in a file that is not sealed."""
    numbers = read_numbers(signature)
    text = read_contents(signature)
    check_numbers(numbers, text, size)
    if any(65 <= byte <= 90 for byte in text.raw):
        raise Fault("contents-not-hex")
    der = b"" if not any(text) else cut_sequence(text)
    return text.at - 1, text.at + len(text.raw) + 1, der


def read_numbers(signature):
    if "ByteRange" not in signature:
        raise Fault("byte-range-missing")
    numbers = signature["ByteRange"]
    if numbers is None:
        raise Fault("byte-range-null")
    if isinstance(numbers, Reference):
        raise Fault("byte-range-indirect")
    if not isinstance(numbers, list):
        raise Fault("byte-range-malformed")
    if len(numbers) != 4:
        raise Fault("byte-range-count")
    for number in numbers:
        if isinstance(number, Real):
            raise Fault("byte-range-real")
        if isinstance(number, Reference):
            raise Fault("byte-range-indirect")
        if type(number) is not int:
            raise Fault("byte-range-malformed")
    return numbers


def read_contents(signature):
    if "Contents" not in signature:
        raise Fault("contents-missing")
    text = signature["Contents"]
    if text is None:
        raise Fault("contents-null")
    if isinstance(text, Reference):
        raise Fault("contents-indirect")
    if not isinstance(text, Text) or not text.is_hex:
        raise Fault("contents-not-hex")
    if not text.raw:
        raise Fault("contents-empty")
    if len(text.raw) != 2 * ROOM:
        raise Fault("contents-room")
    return text


def check_numbers(numbers, text, size):
    start, first, second, rest = numbers
    if numbers == [0, 0, 0, 0]:
        raise Fault("byte-range-zeros")
    if min(numbers) < 0:
        raise Fault("byte-range-negative")
    if start != 0:
        raise Fault("byte-range-start")
    if max(first, second, second + rest) > size:
        raise Fault("byte-range-overflow")
    if second < first:
        raise Fault("byte-range-reversed" if second + rest <= first else "byte-range-overlap")
    if (first, second) != (text.at - 1, text.at + len(text.raw) + 1):
        raise Fault("byte-range-gap")
    if second + rest != size:
        raise Fault("byte-range-end")


def cut_sequence(room):
    """The one DER sequence at the room's start; zeros follow it."""
    count = {0x81: 1, 0x82: 2}.get(room[1], 0)
    length = int.from_bytes(room[2 : 2 + count], "big") if count else room[1]
    is_short = (count == 0 and length < 0x80) or (count == 1 and length >= 0x80) or (count == 2 and length > 0xFF)
    end = 2 + count + length
    if room[0] != 0x30 or not is_short or end > len(room):
        raise Fault("contents-not-der")
    if any(room[end:]):
        raise Fault("contents-padding")
    return bytes(room[:end])


