"""The record inside (section 6)."""

import functools
import hashlib
import json
import pathlib
import re
from datetime import datetime, timedelta

import jsonschema
import rfc8785

from .answer import Fault, Open

DOCS = pathlib.Path(__file__).resolve().parents[3] / "docs"
MOST = 8_388_608
NEWEST = 1


@functools.cache
def schema(name):
    document = json.loads((DOCS / f"{name}.schema.json").read_text())
    return jsonschema.Draft202012Validator(document)


@functools.cache
def fits(name, data):
    """Whether these bytes, known to be JSON, fit the schema. Many vectors share one record."""
    return schema(name).is_valid(json.loads(data))


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
    if not fits(name, data) or not check(value):
        later = re.fullmatch(rf"rimside\.{name}/([0-9]+)", said) if isinstance(said, str) else None
        if later and int(later[1]) > NEWEST:
            raise Open("record-form-unknown")
        raise Fault("record-malformed")
    try:
        canonical = rfc8785.dumps(value)
    except rfc8785.CanonicalizationError as error:
        raise Fault("record-not-canonical") from error
    if canonical != data:
        raise Fault("record-not-canonical")
    if value["renderer"] > NEWEST:
        raise Open("renderer-unknown")
    return value


def agrees(record):
    """The rules of 6.4."""
    device, inspection = record["device"], record["inspection"]
    frozen = datetime.fromisoformat(record["frozen_at"])

    def is_before(time, slack=timedelta()):
        return time is None or datetime.fromisoformat(time) <= frozen + slack

    copies = [one["id"] for one in record["report_photographs"]]
    return (
        (device["sequence"] == 1) == (device["previous"] is None)
        and is_before(inspection["visited_at"])
        and all(is_before(reading["taken_at"]) for reading in inspection["readings"])
        and all(
            is_before(one["taken_at"], timedelta(days=one["taken"] == "imported")) for one in inspection["photographs"]
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
    device, content, report = statement["device"], statement["content"], statement["rests_on"]
    frozen = datetime.fromisoformat(statement["frozen_at"])
    day = frozen.date().isoformat()
    bases = {answer["basis"] for answer in content["answers"]}
    return (
        (device["sequence"] == 1) == (device["previous"] is None)
        and ("own_findings" not in bases or content["findings"])
        and ("report" not in bases or report)
        and content["asked_on"] <= day
        and all(finding["on"] <= day for finding in content["findings"])
        and (not report or datetime.fromisoformat(report["checked_at"]) <= frozen)
    )


def read_statement(data):
    return read(data, "condition-statement", statement_agrees)
