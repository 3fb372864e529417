"""The signature: one shape of CMS (section 3)."""

import hashlib

from . import der, ed25519
from .answer import Fault
from .certificates import ED25519, Certificate, KeyRefused

SIGNED_DATA, DATA = der.oid("1.2.840.113549.1.7.2"), der.oid("1.2.840.113549.1.7.1")
SHA_512 = b"\x30\x0b" + der.oid("2.16.840.1.101.3.4.2.3")
CONTENT_TYPE, MESSAGE_DIGEST = der.oid("1.2.840.113549.1.9.3"), der.oid("1.2.840.113549.1.9.4")
SIGNING_CERTIFICATE = der.oid("1.2.840.113549.1.9.16.2.47")
RECEIPT = bytes.fromhex("06146982dbc3d896a0caba9df58398cb8bf7d78dd846")
TIMESTAMP = der.oid("1.2.840.113549.1.9.16.2.14")
MOST = 65_536


class Signature:
    """A signature whose structure is sound; whether it fits is for `check`."""

    def __init__(self, data, is_attached=False):
        if len(data) > MOST:
            raise Fault("cms-too-large")
        try:
            self.read(data, is_attached)
        except (der.NotDer, ValueError, IndexError) as error:
            raise Fault("cms-not-canonical", str(error)) from error

    def read(self, data, is_attached):
        outer = der.expect(der.read(data), 0x30).parts()
        if outer[0].whole != SIGNED_DATA:
            raise Fault("cms-not-signed-data")
        kind, content = outer
        [message] = der.expect(content, 0xA0).parts()
        version, algorithms, encapsulated, *rest = der.expect(message, 0x30).parts()
        certificates = rest.pop(0) if rest[0].tag == 0xA0 else None
        [signers] = rest
        infos = der.expect(signers, 0x31).parts()
        for node, tag in ((version, 2), (algorithms, 0x31), (encapsulated, 0x30)):
            der.expect(node, tag).check()
        fields = [read_signer(info) for info in infos]
        parsed = read_certificates(certificates) if certificates else []
        if version.whole != b"\x02\x01\x01":
            raise Fault("cms-version")
        if algorithms.body != SHA_512:
            raise Fault("cms-digest-algorithm")
        kind, *inside = encapsulated.parts()
        if len(inside) > 1:
            raise der.NotDer("more than a type and a content")
        if der.expect(kind, 6).whole != DATA:
            raise Fault("cms-content-type")
        if is_attached and not inside:
            raise Fault("cms-content-missing")
        if not is_attached and inside:
            raise Fault("cms-content-inside")
        self.content = der.expect(der.expect(inside[0], 0xA0).parts()[0], 4).body if inside else None
        if certificates and not der.is_sorted(certificates.parts()):
            raise Fault("cms-set-order")
        self.certificates = [open_certificate(node) for node in parsed]
        if len(self.certificates) != 3:
            raise Fault("cms-certificates")
        if len(fields) != 1:
            raise Fault("cms-signer-count")
        self.read_info(*fields[0])

    def read_info(self, version, who, digest, signed, algorithm, value, unsigned):
        if version.whole != b"\x02\x01\x01":
            raise Fault("cms-version")
        if digest.whole != SHA_512:
            raise Fault("cms-digest-algorithm")
        if algorithm.whole != b"\x30\x05" + ED25519:
            raise Fault("cms-signature-algorithm")
        issuer, serial = der.expect(who, 0x30).parts()
        named = [
            one
            for one in self.certificates
            if (one.issuer.whole, one.serial.whole) == (issuer.whole, serial.whole)
        ]
        if not named:
            raise Fault("cms-signer-unknown")
        self.signer, self.value = named[0], der.expect(value, 4).body
        if signed is None:
            raise Fault("cms-no-signed-attributes")
        self.signed = b"\x31" + signed.whole[1:]
        self.read_signed(signed)
        self.receipt, self.timestamp = None, None
        if unsigned is not None:
            self.read_unsigned(unsigned)

    def read_signed(self, signed):
        attributes = [read_attribute(attribute) for attribute in signed.parts()]
        values = []
        for kind in (CONTENT_TYPE, MESSAGE_DIGEST, SIGNING_CERTIFICATE):
            found = [own_values for own, own_values in attributes if own.whole == kind]
            if sum(map(len, found)) == 0:
                raise Fault("cms-attribute-missing")
            if len(found) > 1 or len(found[0]) > 1:
                raise Fault("cms-attribute-doubled")
            values.append(found[0][0])
        if len(attributes) != 3:
            raise Fault("cms-attribute-unknown")
        if not der.is_sorted(signed.parts()):
            raise Fault("cms-set-order")
        if values[0].whole != DATA:
            raise Fault("cms-attribute-content-type")
        if values[1].tag != 4 or len(values[1].body) != 64:
            raise Fault("cms-attribute-message-digest")
        self.message_digest = values[1].body
        others = [one.data for one in self.certificates if one.data != self.signer.data]
        if len(others) != 2:
            raise Fault("cms-certificates")
        spelt = [name_certificates([self.signer.data, *order]) for order in (others, others[::-1])]
        if values[2].whole not in spelt:
            raise Fault("cms-attribute-signing-certificate")

    def read_unsigned(self, unsigned):
        attributes = unsigned.parts()
        if not attributes:
            raise Fault("cms-unsigned-empty")
        for attribute in attributes:
            kind, values = read_attribute(attribute)
            if kind.whole == RECEIPT:
                if self.receipt is not None or len(values) > 1:
                    raise Fault("receipt-doubled")
                if not values or values[0].tag != 12:
                    raise Fault("receipt-attribute-malformed")
                try:
                    self.receipt = values[0].body.decode()
                except UnicodeDecodeError as error:
                    raise Fault("receipt-attribute-malformed") from error
            elif kind.whole == TIMESTAMP:
                if self.timestamp is not None or len(values) != 1:
                    raise Fault("timestamp-doubled")
                self.timestamp = values[0].whole
            else:
                raise Fault("cms-unsigned-unknown")
        if not der.is_sorted(attributes):
            raise Fault("cms-set-order")

    def check(self, digest):
        """Does it fit what has this SHA-512?"""
        if self.message_digest != digest:
            raise Fault("digest-differs")
        if not ed25519.stands(self.signer.key, self.signed, self.value):
            raise Fault("signature-invalid")


def read_signer(info):
    """The fields of a SignerInfo; the last, and the one of the signed attributes, may be None."""
    version, who, digest, *rest = der.expect(info, 0x30).parts()
    signed = rest.pop(0) if rest[0].tag == 0xA0 else None
    algorithm, value, *unsigned = rest
    for node, tag in ((version, 2), (who, 0x30), (digest, 0x30), (algorithm, 0x30), (value, 4)):
        der.expect(node, tag).check()
    if signed:
        signed.check()
        for attribute in signed.parts():
            read_attribute(attribute)
    if len(unsigned) > 1 or any(node.tag != 0xA1 for node in unsigned):
        raise der.NotDer("a field that a SignerInfo does not have")
    return version, who, digest, signed, algorithm, value, unsigned[0] if unsigned else None


def read_attribute(node):
    """The type and the values of an attribute."""
    kind, values = der.expect(node, 0x30).parts()
    return der.expect(kind, 6), der.expect(values, 0x31).parts()


def read_certificates(node):
    node.check()
    return node.parts()


def open_certificate(node):
    try:
        return Certificate(node.whole)
    except KeyRefused as error:
        raise Fault("cms-certificate-refused", str(error)) from error


def name_certificates(certificates):
    """SigningCertificateV2 in DER, as 3.1 spells it."""
    references = b"".join(b"\x30\x22\x04\x20" + hashlib.sha256(data).digest() for data in certificates)
    listed = b"\x30" + bytes([len(references)]) + references
    return b"\x30" + bytes([len(listed)]) + listed
