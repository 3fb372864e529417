"""The four questions (section 12) and what follows from them."""

from . import record as records
from . import timestamp
from .answer import PASSED, Fault, Open, failed, headline, not_checked
from .certificates import Chain
from .receipt import Receipt
from .sealed import Sealed
from .signature import Signature

NOT_DRAWN = not_checked("not-drawn-again")


class Check:
    """The answers about one file."""

    def __init__(self, data, trust, is_inside=False):
        self.trust, self.remarks, self.chain, self.proven = trust, [], None, None
        self.author, self.firm, self.lost = None, None, None
        try:
            self.file = Sealed(data)
            if not self.file.signature:
                raise Fault("not-sealed")
            self.signature = Signature(self.file.signature)
            self.signature.check(self.file.digest)
        except Fault as fault:
            self.file = None
            self.unchanged = failed(fault.code)
            self.whose = self.since_when = self.still_stands = not_checked("not-unchanged")
        else:
            self.answer(is_inside)
        self.headline = headline(self.unchanged, self.whose, self.since_when, self.still_stands)

    def answer(self, is_inside):
        try:
            self.chain, refused = Chain(self.signature.signer, self.signature.certificates), None
        except Fault as fault:
            refused = fault.code
        self.since_when = self.ask_since_when()
        judged = ("failed", refused) if refused else self.trust.judge(self.chain, self.proven)
        self.still_stands = self.ask_still_stands(judged)
        self.unchanged = self.ask_record(is_inside)
        self.whose = self.ask_whose(judged)
        if self.lost and not self.still_stands.startswith("failed"):
            self.still_stands = failed(self.lost)
        if self.chain and self.firm not in (None, self.chain.person.names()[0]):
            self.remarks.append("firm-differs")

    def ask_record(self, is_inside):
        data = self.file.record
        try:
            if data is None:
                raise Fault("record-unreadable")
            if records.is_statement(data):
                if is_inside:
                    raise Fault("statement-inside")
                self.read_statement(data)
            else:
                record = records.read_record(data)
                self.author, self.firm = record["author"], record["inspection"]["inspector"]["firm"]
                records.check_photographs(record, self.file.photographs)
        except Fault as fault:
            return failed(fault.code)
        except Open as missing:
            return not_checked(missing.code)
        return NOT_DRAWN

    def read_statement(self, data):
        statement = records.read_statement(data)
        self.author, self.firm = statement["author"], statement["content"]["firm"]
        named, inside = statement["rests_on"], self.file.report
        if (named is None) != (inside is None):
            raise Fault("record-not-renderable")
        if inside is not None:
            self.check_ground(named, Check(inside, self.trust, is_inside=True))

    def check_ground(self, named, report):
        """The table of 6.5."""
        found = named["found"]
        is_named = report.file is not None and report.names() == (named["identity"], named["record"])
        if report.headline == "do-not-rely" and found != "refused":
            raise Fault("report-fails")
        if not is_named and found != "refused":
            raise Fault("report-differs")
        if report.headline == "cannot-be-fully-confirmed" and found not in ("not_confirmed", "refused"):
            raise Open("report-not-confirmed")
        if report.headline == "genuine-but-withdrawn" and found not in ("withdrawn", "refused"):
            self.lost = "withdrawn"
        if report.headline == "genuine-but-superseded" and found not in ("superseded", "withdrawn", "refused"):
            self.lost = "superseded"

    def names(self):
        """Identity and record digest in hexadecimal."""
        return self.file.identity.hex(), records.hashlib.sha256(self.file.record).hexdigest()

    def ask_whose(self, judged):
        if judged:
            state, code = judged
            return f"{state}: {code}"
        _, role, name = self.chain.person.names()
        is_statement = self.file.record is not None and records.is_statement(self.file.record)
        if role != ("Dealer" if is_statement else "Inspector"):
            return failed("role-may-not-seal")
        if self.author not in (None, name):
            return failed("author-differs")
        return PASSED

    def ask_since_when(self):
        signature = self.signature
        try:
            if signature.timestamp is not None:
                timestamp.check(signature.timestamp, signature.value)
                self.remarks.append("timestamp-not-checked")
            if signature.receipt is None:
                return not_checked("no-proof-of-time")
            logs = self.trust.logs_of(self.chain.root) if self.chain else []
            receipt = Receipt(signature.receipt)
            self.proven = receipt.prove(self.file.identity, signature.value, self.trust, logs, self.remarks)
        except Fault as fault:
            return failed(fault.code)
        except Open as missing:
            return not_checked(missing.code)
        return PASSED

    def ask_still_stands(self, judged):
        if self.chain is None:
            return not_checked("signer-refused")
        counting, doubt = [], None
        for statement in self.trust.statements:
            if statement.report != self.file.identity.hex():
                continue
            code = self.judge_statement(statement)
            if code:
                self.remarks.append(code)
                if code in ("statement-key-revoked", "statement-not-yet-valid"):
                    doubt = doubt or code
            else:
                counting.append(statement)
        if counting:
            first = min(counting, key=lambda one: (one.kind != "withdrawn", one.when))
            return failed(first.kind)
        if doubt:
            return not_checked(doubt)
        if judged and judged[0] == "failed":
            return not_checked("signer-refused")
        own = [one for one in self.trust.lists if one.is_of(self.chain.issuer)]
        if not own:
            return not_checked("revocation-list-missing")
        newest = max(own, key=lambda one: (one.this_update, one.number))
        if newest.next_update < self.trust.at or newest.this_update > self.trust.at:
            return not_checked("revocation-list-outdated")
        return PASSED if self.trust.complete_as_of else not_checked("withdrawals-not-checked")

    def judge_statement(self, statement):
        """None where it counts, else the remark."""
        other = statement.chain
        names = other.person.names()
        may_object = names[1] == "Office" or names == self.chain.person.names()
        if other.root.key != self.chain.root.key or not may_object:
            return "statement-without-right"
        judged = self.trust.judge(other, None)
        if judged and judged[0] == "failed":
            open_codes = {"revoked": "statement-key-revoked", "not-yet-valid": "statement-not-yet-valid"}
            return open_codes.get(judged[1], "statement-refused")
        return None

    def told(self):
        """The answers as the manifest spells them."""
        return {
            "unchanged": self.unchanged,
            "whose": self.whose,
            "since_when": self.since_when,
            "still_stands": self.still_stands,
            "headline": self.headline,
            "remarks": self.remarks,
        }
