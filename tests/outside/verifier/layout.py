"""Header, table, trailer and end (section 2.2)."""

import re

from .answer import Fault
from .syntax import FILE_BYTES, Reader, read_objects

HEADER = b"%PDF-2.0\n"
MARK = b"%\xbb\xad\xc0\xde\n"


def read_file(data):
    """The objects and the trailer of a file."""
    if len(data) > FILE_BYTES:
        raise Fault("file-too-large")
    reader = Reader(data)
    try:
        return read_parts(reader)
    except Fault as fault:
        # Where the byte range leaves out more than the string, that is the reason for whatever does not fit.
        if reader.range and reader.contents_end and reader.range[0] == 0 and reader.range[2] > reader.contents_end:
            raise Fault("byte-range-hole", str(fault)) from fault
        raise


def read_parts(reader):
    data = reader.data
    if not reader.eat(HEADER):
        place = data.find(b"%PDF-")
        if place > 0:
            raise Fault("header-not-at-start")
        reader.fail("header-missing" if place < 0 else "header-version", HEADER)
    if not reader.eat(MARK):
        reader.fail("header-comment", MARK)
    things = read_objects(reader)
    table = reader.at
    read_table(reader, things)
    trailer = read_trailer(reader, len(things) + 1)
    read_end(reader, table)
    return things, trailer


def read_table(reader, things):
    count = len(things) + 1
    reader.eat(b"xref\n")
    if not reader.eat(b"0 %d\n" % count):
        if re.compile(rb"0 [0-9]+\n").match(reader.data, reader.at):
            raise Fault("xref-count")
        reader.fail("xref-malformed", b"0 %d\n" % count)
    for row in [b"0000000000 65535 f \n"] + [b"%010d 00000 n \n" % thing.start for thing in things]:
        if reader.eat(row):
            continue
        is_row = re.compile(rb"[0-9]{10} 00000 n \n").match(reader.data, reader.at)
        if is_row and b"n" in row:
            raise Fault("xref-offset")
        reader.fail("xref-malformed", row)


def read_trailer(reader, size):
    for expected in (b"trailer\n", b"<<"):
        if not reader.data.startswith(expected, reader.at):
            reader.fail("trailer-malformed", expected)
        reader.at += len(expected) if expected == b"trailer\n" else 0
    trailer = reader.dictionary()
    refused = {"Prev": "previous-revision", "XRefStm": "hybrid-file", "Encrypt": "encrypted"}
    for key in trailer:
        if key not in ("Root", "Size", "Info", "ID"):
            raise Fault(refused.get(key, "trailer-entry"))
    if type(trailer.get("Size")) is not int or trailer["Size"] != size:
        raise Fault("xref-count")
    return trailer


def read_end(reader, table):
    end = b"\nstartxref\n%d\n%%%%EOF" % table
    if not reader.eat(end):
        if reader.peek() == b"%":
            raise Fault("comment")
        rest = reader.data[reader.at :]
        if end.startswith(rest):
            raise Fault("truncated")
        match = re.match(rb"\nstartxref\n([0-9]*)", rest)
        if match and match[1] != b"%d" % table:
            raise Fault("startxref-offset")
        raise Fault("startxref-doubled" if match and b"startxref" in rest[match.end() :] else "startxref-malformed")
    rest = reader.data[reader.at :]
    if b"%PDF-" in rest:
        raise Fault("second-document")
    if any(mark in rest for mark in (b" obj", b"xref", b"trailer")):
        raise Fault("incremental-update")
    if rest:
        raise Fault("bytes-after-end")
