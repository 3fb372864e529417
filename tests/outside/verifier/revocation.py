"""Revocation lists (section 5)."""

from . import der, ed25519
from .certificates import AUTHORITY_KEY, ED25519, key_identifier, read_authority_key, read_extensions, read_time
from .text import read_pem

NUMBER, REASON = der.oid("2.5.29.20"), der.oid("2.5.29.21")
REASONS = (0, 1, 3, 4, 5, 9)
MOST = 1_048_576


class RevocationList:
    """A list; whose it is, is for `is_of`."""

    def __init__(self, pem):
        data = read_pem("X509 CRL", pem)
        if data is None or len(data) > MOST:
            raise ValueError("no revocation list")
        node = der.read(data)
        node.check()
        body, algorithm, signature = node.parts()
        version, inner, self.issuer, this_update, next_update, *rest = body.parts()
        bare = b"\x30\x05" + ED25519
        if version.whole != b"\x02\x01\x01" or algorithm.whole != bare or inner.whole != bare:
            raise ValueError("a revocation list of another profile")
        self.signed, self.signature = body.whole, signature.body[1:]
        self.this_update, self.next_update = read_time(this_update), read_time(next_update)
        extensions = read_extensions(rest.pop().parts()[0])
        if set(extensions) != {NUMBER, AUTHORITY_KEY} or extensions[NUMBER][0]:
            raise ValueError("other extensions than number and authority key identifier")
        self.number = int.from_bytes(der.expect(der.read(extensions[NUMBER][1]), 2).body, "big")
        self.authority_key = read_authority_key(extensions[AUTHORITY_KEY])
        if self.number >= 2**64 or self.authority_key is None:
            raise ValueError("another number or authority key identifier")
        self.revoked = {}
        for entry in rest[0].parts() if rest else []:
            self.read_entry(*entry.parts())

    def read_entry(self, serial, since, *extensions):
        if serial.body in self.revoked:
            raise ValueError("a certificate that stands twice")
        if extensions:
            found = read_extensions(extensions[0])
            if set(found) != {REASON} or found[REASON][0] or der.read(found[REASON][1]).body[0] not in REASONS:
                raise ValueError("something else than a final reason")
        self.revoked[serial.body] = read_time(since)

    def is_of(self, authority):
        if self.issuer.whole != authority.subject.whole or self.authority_key != key_identifier(authority.key):
            return False
        return ed25519.stands(authority.key, self.signed, self.signature)
