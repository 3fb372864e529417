"""Certificates, their profile by rank, and the chain (section 4)."""

import hashlib
import unicodedata
from datetime import datetime, timezone

from . import der, ed25519
from .answer import Fault

ED25519 = der.oid("1.3.101.112")
MOST = 4096
ORGANIZATION, UNIT, NAME = (der.oid(f"2.5.4.{arc}") for arc in (10, 11, 3))
BASIC_CONSTRAINTS, KEY_USAGE, PURPOSE = (der.oid(f"2.5.29.{arc}") for arc in (19, 15, 37))
OWN_KEY, AUTHORITY_KEY = (der.oid(f"2.5.29.{arc}") for arc in (14, 35))
ROLES = ("Inspector", "Dealer", "Office")
# The values of the extensions in DER: SEQUENCE { TRUE, path length }, BIT STRING, SEQUENCE { purpose }.
PATH_LENGTH = {"root": bytes.fromhex("30060101ff020101"), "issuer": bytes.fromhex("30060101ff020100")}
USAGE = {"root": bytes.fromhex("03020106"), "issuer": bytes.fromhex("03020106"), "person": bytes.fromhex("030206c0")}
DOCUMENT_SIGNING = b"\x30\x0a" + der.oid("1.3.6.1.5.5.7.3.36")


def read_time(node):
    """An ASN.1 time: UTCTime or GeneralizedTime in UTC."""
    text = node.body.decode("ascii")
    if node.tag == 0x17 and len(text) == 13:
        text = ("20" if int(text[:2]) < 50 else "19") + text
    elif node.tag != 0x18 or len(text) != 15:
        raise der.NotDer("a time")
    try:
        return datetime.strptime(text, "%Y%m%d%H%M%SZ").replace(tzinfo=timezone.utc)
    except ValueError as error:
        raise der.NotDer("a time") from error


def key_identifier(key):
    """RFC 7093, method 1."""
    return hashlib.sha256(key).digest()[:20]


def read_extensions(node):
    """Each extension's critical mark and value by its type; refuses one that stands twice."""
    found = {}
    for extension in node.parts():
        kind, *rest = der.expect(extension, 0x30).parts()
        critical = len(rest) == 2
        if kind.whole in found:
            raise Fault("certificate-broken-extension")
        if critical and rest[0].whole != b"\x01\x01\xff":
            raise der.NotDer("a default that is spelt")
        found[kind.whole] = critical, der.expect(rest[-1], 4).body
    return found


def read_authority_key(extension):
    """The key identifier alone of an authority key identifier that is not critical, or None."""
    critical, value = extension or (True, b"")
    is_alone = value[:1] == b"\x30" and value[2:3] == b"\x80" and value[1] == len(value) - 2 and value[3] == value[1] - 2
    return value[4:] if not critical and is_alone else None


class KeyRefused(ValueError):
    """DER of a certificate whose key or size is refused."""


class Certificate:
    """A certificate of 4.1; its profile is another question."""

    def __init__(self, data):
        if len(data) > MOST:
            raise KeyRefused("a certificate that is too large")
        self.data = data
        node = der.read(data)
        node.check()
        body, self.algorithm, signature = der.expect(node, 0x30).parts()
        self.signed, self.signature = body.whole, der.expect(signature, 3).body[1:]
        if signature.body[:1] != b"\x00":
            raise der.NotDer("a signature of half bytes")
        parts = der.expect(body, 0x30).parts()
        self.version = parts.pop(0).body if parts[0].tag == 0xA0 else None
        self.serial, self.inner_algorithm, self.issuer, validity, self.subject, key, *rest = parts
        for node, tag in ((self.serial, 2), (self.inner_algorithm, 0x30), (self.issuer, 0x30), (self.subject, 0x30)):
            der.expect(node, tag)
        if any(part.tag not in (0x81, 0x82, 0xA3) for part in rest):
            raise der.NotDer("a field that a certificate does not have")
        self.first, self.last = map(read_time, der.expect(validity, 0x30).parts())
        if not key.whole.startswith(ed25519.SPKI_HEAD) or not ed25519.is_sound(key.whole[12:]):
            raise KeyRefused("another key than Ed25519, or no sound one")
        self.key = key.whole[12:]
        self.fingerprint = hashlib.sha256(key.whole).digest()
        self.has_unique = any(part.tag in (0x81, 0x82) for part in rest)
        self.raw_extensions = next((part.parts()[0] for part in rest if part.tag == 0xA3), None)

    def is_signed_by(self, other):
        return ed25519.stands(other.key, self.signed, self.signature)

    def names(self):
        """O, role or None, CN; None where the subject is not of the profile."""
        found = {}
        for relative in self.subject.parts():
            attributes = der.expect(relative, 0x31).parts()
            kind, value = der.expect(attributes[0], 0x30).parts()
            if len(attributes) != 1 or value.tag != 12 or not is_name(value.body.decode()):
                return None
            if kind.whole in found:
                return None
            found[kind.whole] = value.body.decode()
        if list(found) not in ([ORGANIZATION, NAME], [ORGANIZATION, UNIT, NAME]):
            return None
        role = found.get(UNIT)
        return None if role not in (None, *ROLES) else (found[ORGANIZATION], role, found[NAME])

    def check_profile(self, rank):
        """Section 4.2, in its order."""
        extensions = self.extensions()
        if self.version != b"\x02\x01\x02":
            raise Fault("certificate-version")
        bare = b"\x30\x05" + ED25519
        if self.algorithm.whole != bare or self.inner_algorithm.whole != bare:
            raise Fault("certificate-signature-algorithm")
        if self.has_unique:
            raise Fault("certificate-unique-identifier")
        names = self.names()
        if names is None:
            raise Fault("certificate-subject")
        constraints = extensions.get(BASIC_CONSTRAINTS)
        is_authority = constraints is not None and constraints[1][2:5] == b"\x01\x01\xff"
        if rank == "person" and is_authority:
            raise Fault("authority-as-signer")
        if rank != "person" and not is_authority:
            raise Fault("signer-as-authority")
        if constraints != ((True, PATH_LENGTH[rank]) if rank in PATH_LENGTH else None):
            raise Fault("certificate-path-length")
        if extensions.get(KEY_USAGE) != (True, USAGE[rank]):
            raise Fault("certificate-key-usage")
        if extensions.get(PURPOSE) != ((False, DOCUMENT_SIGNING) if rank == "person" else None):
            raise Fault("certificate-purpose")
        own = (False, b"\x04\x14" + key_identifier(self.key))
        if extensions.get(OWN_KEY) != own or self.authority_key() is None:
            raise Fault("certificate-key-identifier")
        if (names[1] is None) == (rank == "person"):
            raise Fault("certificate-subject")
        known = {KEY_USAGE, OWN_KEY, AUTHORITY_KEY, PURPOSE if rank == "person" else BASIC_CONSTRAINTS}
        if set(extensions) - known:
            raise Fault("certificate-unknown-extension")

    def extensions(self):
        return read_extensions(self.raw_extensions) if self.raw_extensions else {}

    def authority_key(self):
        return read_authority_key(self.extensions().get(AUTHORITY_KEY))


def is_name(text):
    hidden = ("\u00ad", "\u061c", "\u180e", "\ufeff")
    ranges = (("\u200b", "\u200f"), ("\u2028", "\u202e"), ("\u2060", "\u206f"), ("\ufff9", "\ufffb"))

    def is_invisible(letter):
        return (
            unicodedata.category(letter) == "Cc"
            or (letter.isspace() and letter != " ")
            or letter in hidden
            or any(first <= letter <= last for first, last in (*ranges, ("\U000e0000", "\U000e007f")))
        )

    return 1 <= len(text) <= 64 and text.strip() == text and not any(map(is_invisible, text))


class Chain:
    """Person, issuer and root of section 4.3."""

    def __init__(self, signer, certificates):
        signer.check_profile("person")
        others = [certificate for certificate in certificates if certificate.data != signer.data]
        if len(others) != 2:
            raise Fault("chain-certificate-count")
        one, other = others
        named = [certificate.subject.whole == signer.issuer.whole for certificate in others]
        if not any(named):
            raise Fault("chain-certificate-missing")
        is_first = named[0] and (not named[1] or signer.authority_key() == key_identifier(one.key))
        self.person = signer
        self.issuer, self.root = (one, other) if is_first else (other, one)
        self.issuer.check_profile("issuer")
        self.root.check_profile("root")
        for below, above in ((self.person, self.issuer), (self.issuer, self.root), (self.root, self.root)):
            if below.issuer.whole != above.subject.whole:
                raise Fault("chain-certificate-missing")
            if below.authority_key() != key_identifier(above.key):
                raise Fault("chain-same-name-other-key")
            if not below.is_signed_by(above):
                raise Fault("chain-signature-invalid")
