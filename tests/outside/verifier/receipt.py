"""The receipt, and what it proves (section 8)."""

from datetime import datetime, timedelta, timezone

from .answer import Fault, Open
from .log import Checkpoint, Entry, leaf, node, sha256
from .text import read_base64, read_decimal

TOLERANCE = timedelta(minutes=10)
MOST = 16_384


class Receipt:
    """A receipt as read; nothing of it counts before `prove`."""

    def __init__(self, text):
        if len(text.encode()) > MOST:
            raise Fault("receipt-too-large")
        head, blank, note = text.partition("\n\n")
        lines = head.split("\n")
        if not blank or len(lines) < 3 or lines[0] != "c2sp.org/tlog-proof@v1":
            raise Fault("receipt-malformed")
        extra = read_base64(lines[1].removeprefix("extra ")) if lines[1].startswith("extra ") else None
        if extra is None:
            raise Fault("receipt-malformed")
        try:
            self.entry, self.leaf = Entry(extra), leaf(extra)
        except ValueError as error:
            raise Fault("receipt-entry-malformed") from error
        if self.entry.kind != "issued":
            raise Fault("receipt-entry-malformed")
        self.index = read_decimal(lines[2].removeprefix("index ")) if lines[2].startswith("index ") else None
        self.path = [read_base64(line) for line in lines[3:]]
        if self.index is None or len(self.path) > 64 or any(one is None or len(one) != 32 for one in self.path):
            raise Fault("receipt-malformed")
        try:
            self.checkpoint = Checkpoint(note)
        except ValueError as error:
            raise Fault("receipt-malformed") from error

    def prove(self, identity, signature, trust, logs, remarks):
        """The proven time."""
        entry, checkpoint = self.entry, self.checkpoint
        if entry.digests[0] != identity.hex():
            raise Fault("receipt-of-another-report")
        if entry.digests[1] != sha256(signature).hex():
            raise Fault("receipt-of-another-signature")
        named = [key for key in logs if checkpoint.names(key)]
        if not named:
            raise Open("receipt-log-unknown")
        if not checkpoint.is_signed_by(named[0]):
            raise Fault("receipt-checkpoint-signature")
        if follow(self.leaf, self.index, checkpoint.size, self.path) != checkpoint.root:
            raise Fault("receipt-not-included")
        if entry.at > trust.at + TOLERANCE:
            raise Fault("receipt-from-the-future")
        return self.ask_witnesses(trust, remarks) if trust.witnesses else entry.at

    def ask_witnesses(self, trust, remarks):
        times = []
        for witness in trust.witnesses:
            try:
                time = self.checkpoint.cosigned_at(witness)
            except ValueError as error:
                raise Fault("receipt-witness-signature") from error
            if time and time <= (trust.at + TOLERANCE).timestamp():
                times.append(datetime.fromtimestamp(time, timezone.utc))
        if len(times) < trust.witnesses_needed:
            remarks.append("witnesses-too-few")
            return self.entry.at
        by = sorted(times)[trust.witnesses_needed - 1]
        if self.entry.at > by + TOLERANCE:
            raise Fault("receipt-times-disagree")
        return by


def follow(found, index, size, path):
    """The root that a path leads to (RFC 9162, section 2.1.3.2), or None."""
    if index >= size:
        return None
    place, last = index, size - 1
    for sibling in path:
        if last == 0:
            return None
        if place % 2 or place == last:
            found = node(sibling, found)
            while place % 2 == 0 and place:
                place, last = place >> 1, last >> 1
        else:
            found = node(found, sibling)
        place, last = place >> 1, last >> 1
    return found if last == 0 else None
