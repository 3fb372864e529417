"""What a reader brings (section 11), and how a chain is judged by it (12.2)."""

import hashlib
from datetime import datetime

from .certificates import Certificate
from .log import LOG, WITNESS, Key, audit
from .revocation import RevocationList
from .statement import Statement
from .text import read_pem


def read_firm(folder, at):
    """What a firm shows (7.8), as what a reader brings."""

    def read(path):
        file = folder / path
        return file.read_bytes() if file.is_file() else None

    entries = []
    if audit(read, Key((folder / "log.pub").read_text(), LOG), None, entries) != "good":
        raise ValueError("the log is not good")
    spoken = [entry.digests[-1] for entry in entries if entry.kind in ("withdrawn", "superseded")]
    shown = [f"statements/{digest}.pem" for digest in spoken if hash_of(read(f"statements/{digest}.pem")) == digest]
    return {
        "at": at,
        "roots": ["root.pem"],
        "revocation_lists": ["crl.pem"] if read("crl.pem") else [],
        "logs": ["log.pub"],
        "witnesses": [],
        "witnesses_needed": None,
        "statements": shown,
        "statements_complete_as_of": at if len(shown) == len(spoken) else None,
    }


def hash_of(data):
    return hashlib.sha256(data).hexdigest() if data is not None else None


class Trust:
    """A reader's own knowledge, read from files below a folder."""

    def __init__(self, folder, brought):
        if brought.get("firm"):
            folder = folder / brought["firm"]["folder"]
            brought = read_firm(folder, brought["at"])

        def texts(key):
            return [(folder / path).read_text() for path in brought[key]]

        def time(key):
            return datetime.fromisoformat(brought[key]) if brought[key] else None

        self.at, self.complete_as_of = time("at"), time("statements_complete_as_of")
        self.roots = [Certificate(read_pem("CERTIFICATE", text)) for text in texts("roots")]
        self.lists = [RevocationList(text) for text in texts("revocation_lists")]
        self.logs = [Key(text, LOG) for text in texts("logs")]
        if self.logs and len(self.roots) != 1:
            raise ValueError("the logs are those of one root")
        self.witnesses = [Key(text, WITNESS) for text in texts("witnesses")]
        self.witnesses_needed = brought["witnesses_needed"] or len(self.witnesses)
        self.statements = [Statement(text) for text in texts("statements")]

    def logs_of(self, root):
        return self.logs if self.roots and self.roots[0].key == root.key else []

    def revoked_since(self, certificate, authority):
        """The earliest revocation in any list of the authority, or None."""
        serial = certificate.serial.body
        return min(
            (one.revoked[serial] for one in self.lists if serial in one.revoked and one.is_of(authority)),
            default=None,
        )

    def judge(self, chain, proven):
        """Steps 1 to 3 of 12.2: None, or the state and code."""
        instant = proven or self.at
        for certificate in (chain.person, chain.issuer, chain.root):
            if instant < certificate.first:
                return "failed", "not-yet-valid"
            if instant > certificate.last:
                return ("failed", "expired-before-proven-time") if proven else ("not checked", "expired")
        for certificate, authority in ((chain.person, chain.issuer), (chain.issuer, chain.root)):
            since = self.revoked_since(certificate, authority)
            if since and (proven is None or proven >= since):
                return "failed", "revoked"
        root = chain.root
        if not any((own.key, own.subject.whole) == (root.key, root.subject.whole) for own in self.roots):
            return "not checked", "unknown-root"
        return None
