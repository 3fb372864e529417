"""Ed25519 with the strictness of section 1: OpenSSL's check, and no point of small order."""

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

P = 2**255 - 19
D = -121665 * pow(121666, P - 2, P) % P
ORDER = 2**252 + 27742317777372353535851937790883648493
SPKI_HEAD = bytes.fromhex("302a300506032b6570032100")


def decode(spelt):
    """The point, or None where it is none or spelt in a second way (RFC 8032, section 5.1.3)."""
    number = int.from_bytes(spelt, "little")
    sign, y = number >> 255, number & (1 << 255) - 1
    if y >= P:
        return None
    squared = (y * y - 1) * pow(D * y * y + 1, P - 2, P) % P
    x = pow(squared, (P + 3) // 8, P)
    if x * x % P != squared:
        x = x * pow(2, (P - 1) // 4, P) % P
    if x * x % P != squared or (x == 0 and sign):
        return None
    return (P - x if x & 1 != sign else x), y


def add(one, other):
    (x1, y1), (x2, y2) = one, other
    product = D * x1 * x2 * y1 * y2
    return (
        (x1 * y2 + x2 * y1) * pow(1 + product, P - 2, P) % P,
        (y1 * y2 + x1 * x2) * pow(1 - product, P - 2, P) % P,
    )


def is_sound(spelt):
    """A canonical point whose order does not divide 8."""
    point = decode(spelt) if len(spelt) == 32 else None
    if point is None:
        return False
    for _ in range(3):
        point = add(point, point)
    return point != (0, 1)


def stands(key, message, signature):
    """Whether the signature stands under the key's 32 bytes."""
    if len(signature) != 64 or not is_sound(key) or not is_sound(signature[:32]):
        return False
    if int.from_bytes(signature[32:], "little") >= ORDER:
        return False
    try:
        Ed25519PublicKey.from_public_bytes(key).verify(signature, message)
    except InvalidSignature:
        return False
    return True
