"""Answers, and the faults that lead to them (section 1)."""


class Fault(Exception):
    """Something that makes an answer "failed"; the code is stable."""

    def __init__(self, code, words=""):
        super().__init__(f"{code}: {words}" if words else code)
        self.code = code


class Open(Exception):
    """Something that makes an answer "not checked"."""

    def __init__(self, code):
        super().__init__(code)
        self.code = code


PASSED = "passed"


def failed(code):
    return f"failed: {code}"


def not_checked(code):
    return f"not checked: {code}"


def state(answer):
    """"passed", "failed" or "not checked" of a spelt answer."""
    return answer.split(":")[0]


def headline(unchanged, whose, since_when, still_stands):
    """The first row of the table of section 13 that fits."""
    states = [state(answer) for answer in (unchanged, whose, since_when)]
    if "failed" in states:
        return "do-not-rely"
    is_confirmed = states[0] == states[1] == PASSED
    if not is_confirmed:
        return "do-not-rely" if state(still_stands) == "failed" else "cannot-be-fully-confirmed"
    if state(still_stands) == "failed":
        return "genuine-but-superseded" if still_stands == failed("superseded") else "genuine-but-withdrawn"
    return "genuine" if still_stands == PASSED else "genuine-standing-not-checked"
