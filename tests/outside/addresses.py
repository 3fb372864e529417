"""What schemathesis 4.32.5 does before it sends what it made of the office's OpenAPI document: a body goes with its true
digest (RFC 9530), as a device sends it, wherever the header was to be a good one.
"""

import base64
import hashlib

import schemathesis
from schemathesis.core.parameters import ParameterLocation

HEADER = "Content-Digest"
OWN = "device-office"


class Digest:
    """Called with the request as it will go out."""

    def __call__(self, request):
        body = request.body or b""
        body = body.encode() if isinstance(body, str) else body
        if isinstance(body, bytes):
            digest = base64.b64encode(hashlib.sha256(body).digest()).decode()
            request.headers[HEADER] = f"sha-256=:{digest}:"
        return request


@schemathesis.serializer("application/x-pem-file")
def write_text(context, value):
    return value if isinstance(value, bytes) else str(value).encode(errors="replace")


@schemathesis.hook
def before_call(context, case, kwargs):
    # What it has read in the list of devices it also shuts out; its own it may not, or it would learn nothing more.
    if (case.path_parameters or {}).get("device") == OWN:
        case.path_parameters["device"] = "device-spare"
    headers = case.meta.components.get(ParameterLocation.HEADER) if case.meta else None
    is_good = headers is None or headers.mode.is_positive
    if is_good and HEADER in (case.headers or {}):
        kwargs["auth"] = Digest()
