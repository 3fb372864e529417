"""Timestamp tokens: that one belongs to the signature (section 9)."""

import hashlib

from asn1crypto import cms, tsp

from .answer import Fault

DIGESTS = {"sha256": hashlib.sha256, "sha384": hashlib.sha384, "sha512": hashlib.sha512}


def check(token, signature):
    """Refuses a token that is none, or that belongs to another signature."""
    try:
        content = cms.ContentInfo.load(token, strict=True)["content"]["encap_content_info"]
        if content["content_type"].native != "tst_info":
            raise ValueError("another content")
        info = tsp.TSTInfo.load(bytes(content["content"]), strict=True)
        if info["version"].native != "v1":
            raise ValueError("another version")
        imprint = info["message_imprint"]
        algorithm, digest = imprint["hash_algorithm"]["algorithm"].native, imprint["hashed_message"].native
    except (ValueError, TypeError, KeyError) as error:
        raise Fault("timestamp-malformed") from error
    if algorithm not in DIGESTS:
        raise Fault("timestamp-digest")
    if DIGESTS[algorithm](signature).digest() != digest:
        raise Fault("timestamp-of-another-signature")
