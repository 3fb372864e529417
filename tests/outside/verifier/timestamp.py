"""Timestamp tokens: that one belongs to the signature (section 9)."""

import hashlib

from . import der
from .answer import Fault

TST_INFO = der.oid("1.2.840.113549.1.9.16.1.4")
DIGESTS = {
    der.oid("2.16.840.1.101.3.4.2.1"): hashlib.sha256,
    der.oid("2.16.840.1.101.3.4.2.2"): hashlib.sha384,
    der.oid("2.16.840.1.101.3.4.2.3"): hashlib.sha512,
}


def check(token, signature):
    """Refuses a token that is none, or that belongs to another signature."""
    try:
        algorithm, digest = read(token)
    except (der.NotDer, ValueError, IndexError) as error:
        raise Fault("timestamp-malformed") from error
    if algorithm not in DIGESTS:
        raise Fault("timestamp-digest")
    if DIGESTS[algorithm](signature).digest() != digest:
        raise Fault("timestamp-of-another-signature")


def read(token):
    """The imprint's algorithm and digest."""
    whole = der.read(token)
    whole.check()
    kind, content = der.expect(whole, 0x30).parts()
    [data] = der.expect(content, 0xA0).parts()
    version, algorithms, encapsulated, *rest = der.expect(data, 0x30).parts()
    der.expect(version, 2), der.expect(algorithms, 0x31), der.expect(rest[-1], 0x31)
    der.expect(kind, 6)
    if any(node.tag not in (0xA0, 0xA1) for node in rest[:-1]):
        raise der.NotDer("another message")
    if len(version.body) > 1 or version.body[0] > 5:
        raise der.NotDer("another version")
    for algorithm in algorithms.parts():
        read_algorithm(algorithm)
    kind, content = der.expect(encapsulated, 0x30).parts()
    if kind.whole != TST_INFO:
        raise der.NotDer("another content")
    [octets] = der.expect(content, 0xA0).parts()
    version, policy, imprint, serial = read_first_four(der.expect(octets, 4).body)
    if version.whole != b"\x02\x01\x01":
        raise der.NotDer("another version")
    der.expect(policy, 6).check(), der.expect(serial, 2).check()
    algorithm, digest = der.expect(imprint, 0x30).parts()
    return read_algorithm(algorithm), der.expect(digest, 4).body


def read_first_four(info):
    """The first four fields of a TSTInfo; what follows them is not looked at."""
    if info[:1] != b"\x30":
        raise der.NotDer("no TSTInfo")
    at = 2 if info[1] < 0x80 else 2 + (info[1] & 0x7F)
    fields = []
    for _ in range(4):
        field, at = der.read_at(info, at)
        fields.append(field)
    return fields


def read_algorithm(node):
    kind, *parameters = der.expect(node, 0x30).parts()
    if len(parameters) > 1:
        raise der.NotDer("an algorithm with several parameters")
    return der.expect(kind, 6).whole
