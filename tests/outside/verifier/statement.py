"""Withdrawals and supersessions (section 10)."""

import hashlib
import json

import rfc8785

from .certificates import Chain
from .signature import Signature
from .text import DIGEST, read_pem, read_time

KEYS = {"by", "kind", "reason", "report", "schema", "when"}


class Statement:
    """A signed statement; whether its signer may say so is for the questions."""

    def __init__(self, pem):
        data = read_pem("CMS", pem) if len(pem.encode()) <= 32_768 else None
        if data is None:
            raise ValueError("no statement")
        signature = Signature(data, is_attached=True)
        signature.check(hashlib.sha512(signature.content).digest())
        content = json.loads(signature.content)
        if rfc8785.dumps(content) != signature.content or not all(isinstance(text, str) for text in content.values()):
            raise ValueError("a statement that is not canonical")
        self.kind, self.report = content.get("kind"), content.get("report")
        wanted = KEYS | {"superseded_by"} if self.kind == "superseded" else KEYS
        self.when = read_time(content.get("when", ""))
        is_sound = (
            set(content) == wanted
            and self.kind in ("withdrawn", "superseded")
            and content["schema"] == "rimside.statement/1"
            and DIGEST.fullmatch(self.report)
            and self.when
            and content["reason"].strip()
            and len(content["reason"]) <= 2000
        )
        if not is_sound:
            raise ValueError("another statement than the form's")
        if self.kind == "superseded":
            other = content["superseded_by"]
            if not DIGEST.fullmatch(other) or other == self.report:
                raise ValueError("superseded by nothing else")
        self.chain = Chain(signature.signer, signature.certificates)
        organization, role, name = self.chain.person.names()
        if content["by"] != f"{name}, {organization} ({role})":
            raise ValueError("a statement in another's name")
