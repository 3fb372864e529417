"""The record inside (section 6)."""

import functools
import hashlib
import json
import pathlib
import re
from datetime import date, datetime, timedelta

import jsonschema
import rfc8785

from .answer import Fault, Open

DOCS = pathlib.Path(__file__).resolve().parents[3] / "docs"
MOST = 8_388_608
NEWEST = 1


LENIENT = re.compile(r"\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d:\d\d(\.\d+)?([Zz]|[+-]\d\d:?\d\d)")
# Fractions in the fewest of 3, 6 or 9 digits; no offset but Z is zero (6.1).
FRACTION = r"(?:\.(?!000)\d{3}|\.\d{3}(?!000)\d{3}|\.\d{6}(?!000)\d{3})?"
STRICT = re.compile(rf"\d{{4}}-\d\d-\d\dT\d\d:\d\d:\d\d{FRACTION}(?:Z|[+-](?!00:00)\d\d:\d\d)")


def read_moment(text):
    """The time that a text of a record names; raises where it is none."""
    if not LENIENT.fullmatch(text) or not 1990 <= int(text[:4]) <= 2199:
        raise ValueError(f"no time: {text}")
    # A leap second is a time as well.
    text = text.upper().replace(" ", "T")
    return datetime.fromisoformat(text[:17] + text[17:].replace("60", "59", 1) if text[17:19] == "60" else text)


def validator(document, is_time):
    checker = jsonschema.FormatChecker(formats=())
    checker.checks("date-time", raises=ValueError)(is_time)
    checker.checks("date", raises=ValueError)(is_day)
    return jsonschema.Draft202012Validator(document, format_checker=checker)


def is_day(text):
    return not isinstance(text, str) or date.fromisoformat(text).isoformat() == text


def read_schema(name):
    return json.loads((DOCS / f"{name}.schema.json").read_text())


@functools.cache
def schema(name):
    return validator(read_schema(name), lambda text: not isinstance(text, str) or bool(read_moment(text)))


@functools.cache
def fits(name, data):
    """Whether these bytes, known to be JSON, fit the schema. Many vectors share one record."""
    return schema(name).is_valid(json.loads(data))


@functools.cache
def is_whole(name, data):
    """Whether each key that may be null is there, and each time is spelt as 6.1 says."""
    document = read_schema(name)
    demand_nullable(document)
    strict = validator(document, lambda text: not isinstance(text, str) or bool(STRICT.fullmatch(text)))
    return strict.is_valid(json.loads(data))


def demand_nullable(part):
    """Adds to what a schema requires all that may be null."""
    if isinstance(part, list):
        for item in part:
            demand_nullable(item)
    if isinstance(part, dict):
        properties = part.get("properties")
        if isinstance(properties, dict):
            nullable = [key for key, inside in properties.items() if may_be_null(inside)]
            part["required"] = sorted({*part.get("required", ()), *nullable})
        for item in part.values():
            demand_nullable(item)


def may_be_null(part):
    if not isinstance(part, dict):
        return False
    kind = part.get("type")
    return kind == "null" or (isinstance(kind, list) and "null" in kind) or any(map(may_be_null, part.get("anyOf", ())))


def is_statement(data):
    return b'"schema":"rimside.condition-statement/' in data and b'"schema":"rimside.record/' not in data


def read_json(data):
    """The value; refuses doubled keys and numbers that JSON does not have."""

    def pairs(found):
        if len(dict(found)) < len(found):
            raise ValueError("a key stands twice")
        return dict(found)

    def refuse(number):
        raise ValueError(f"the number {number}")

    if len(data) > MOST:
        raise ValueError("too large")
    return json.loads(data.decode(), object_pairs_hook=pairs, parse_constant=refuse)


def read(data, name, check):
    """The value of canonical bytes that fit the schema."""
    try:
        value = read_json(data)
    except (ValueError, RecursionError) as error:
        raise Fault("record-malformed") from error
    said = value.get("schema") if isinstance(value, dict) else None
    if not fits(name, data) or not holds(check, value):
        later = re.fullmatch(rf"rimside\.{name}/([0-9]+)", said) if isinstance(said, str) else None
        if later and int(later[1]) > NEWEST:
            raise Open("record-form-unknown")
        raise Fault("record-malformed")
    try:
        canonical = rfc8785.dumps(value)
    except rfc8785.CanonicalizationError as error:
        raise Fault("record-not-canonical") from error
    if canonical != data or not is_whole(name, data):
        raise Fault("record-not-canonical")
    if value["renderer"] > NEWEST:
        raise Open("renderer-unknown")
    return value


def holds(check, value):
    """Whether the rules beyond the schema hold; a time that is none breaks them."""
    try:
        return check(value)
    except (ValueError, TypeError, KeyError):
        return False


def agrees(record):
    """The rules of 6.4."""
    device, inspection = record["device"], record["inspection"]
    frozen = read_moment(record["frozen_at"])

    def is_before(time, slack=timedelta()):
        return time is None or read_moment(time) <= frozen + slack

    copies = [one["id"] for one in record["report_photographs"]]
    return (
        (device["sequence"] == 1) == (device.get("previous") is None)
        and is_before(inspection["visited_at"])
        and all(is_before(reading["taken_at"]) for reading in inspection["readings"])
        and all(
            is_before(one.get("taken_at"), timedelta(days=one["taken"] == "imported")) for one in inspection["photographs"]
        )
        and copies == [one["id"] for one in inspection["photographs"]]
    )


def read_record(data):
    record = read(data, "record", agrees)
    if record["reckoning"]["method"] > NEWEST:
        raise Open("method-unknown")
    return record


def check_photographs(record, photographs):
    inside = {hashlib.sha256(data).hexdigest() for data in photographs}
    listed = {one["sha256"] for one in record["report_photographs"]}
    if listed - inside:
        raise Fault("photograph-differs")
    if inside - listed:
        raise Fault("photograph-unlisted")


def statement_agrees(statement):
    """The rules of 6.5 beyond the schema."""
    device, content, report = statement["device"], statement["content"], statement.get("rests_on")
    frozen = read_moment(statement["frozen_at"])
    day = frozen.date().isoformat()
    bases = {answer["basis"] for answer in content["answers"]}
    return (
        (device["sequence"] == 1) == (device.get("previous") is None)
        and ("own_findings" not in bases or content["findings"])
        and ("report" not in bases or report)
        and content["asked_on"] <= day
        and all(finding["on"] <= day for finding in content["findings"])
        and (not report or read_moment(report["checked_at"]) <= frozen)
    )


def read_statement(data):
    return read(data, "condition-statement", statement_agrees)
