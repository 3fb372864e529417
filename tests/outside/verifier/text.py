"""Spellings that several texts share (section 1)."""

import base64
import binascii
import re
from datetime import datetime, timezone

TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ")
DIGEST = re.compile(r"[0-9a-f]{64}")
PEM = re.compile(r"-----BEGIN ([A-Z0-9 ]+)-----\n((?:[A-Za-z0-9+/=]+\n)+)-----END \1-----")


def read_base64(text):
    """The bytes, or None where they are not spelt as they would be written again."""
    try:
        data = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        return None
    return data if base64.b64encode(data).decode() == text else None


def read_decimal(text):
    return int(text) if re.fullmatch(r"0|[1-9][0-9]{0,19}", text) else None


def read_time(text):
    """The time, or None where it is not spelt as section 1 says."""
    if not TIME.fullmatch(text):
        return None
    try:
        return datetime.strptime(text, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=timezone.utc)
    except ValueError:
        return None


def read_pem(label, text):
    """The bytes of exactly one block (RFC 7468), or None."""
    match = PEM.fullmatch(text.strip())
    return read_base64(match[2].replace("\n", "")) if match and match[1] == label else None
