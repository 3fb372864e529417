"""The files inside the file (section 2.7)."""

from .answer import Fault
from .profile import kind, only
from .syntax import Dictionary, Reference, Text

KNOWN = (("record.json", "Data"), ("report.pdf", "Source"))


def find_attachments(objects, catalog):
    """The objects of the record's stream and, where there is one, of the report's."""
    files = read_names(objects, catalog)
    listed = objects.resolve(catalog.get("AF"))
    if not isinstance(listed, list) or not listed:
        raise Fault("attachment-malformed")
    if len(listed) != len(files):
        raise Fault("attachment-extra")
    if any(objects.resolve(one) is not file for one, file in zip(listed, files)):
        raise Fault("attachment-swapped")
    streams = [read_file(objects, file, *known) for file, known in zip(files, KNOWN)]
    refuse_others(objects, catalog, files, [stream.value for stream in streams])
    report = streams[1] if len(streams) > 1 else None
    if report and ("Filter" in report.value or not report.stream.startswith(b"%PDF-2.0")):
        raise Fault("attachment-malformed")
    return streams[0], report


def read_names(objects, catalog):
    names = objects.dictionary(catalog, "Names")
    if names is None:
        raise Fault("attachment-missing")
    only(names, ("EmbeddedFiles", "Dests"), "catalog-entry")
    tree = objects.dictionary(names, "EmbeddedFiles")
    if tree is None:
        raise Fault("attachment-missing")
    only(tree, ("Names", "Limits"), "attachment-malformed")
    pairs = objects.resolve(tree.get("Names"))
    if not isinstance(pairs, list):
        raise Fault("attachment-missing")
    if len(pairs) % 2:
        raise Fault("attachment-malformed")
    if not pairs:
        raise Fault("attachment-missing")
    spelt = [name if isinstance(name, Text) else None for name in pairs[::2]]
    if len(set(spelt)) < len(spelt):
        raise Fault("attachment-doubled")
    if len(spelt) > len(KNOWN):
        raise Fault("attachment-extra")
    for name, (known, _) in zip(spelt, KNOWN):
        if name != known.encode():
            raise Fault("attachment-renamed" if len(spelt) == 1 else "attachment-extra")
    files = [objects.resolve(file) for file in pairs[1::2]]
    if not all(isinstance(file, Dictionary) for file in files):
        raise Fault("attachment-malformed")
    return files


def read_file(objects, file, name, relationship):
    only(file, ("Type", "F", "UF", "EF", "AFRelationship", "Desc"), "attachment-malformed")
    spellings = (name.encode(), b"\xfe\xff" + name.encode("utf-16-be"))
    for key in ("F", "UF"):
        if not isinstance(file.get(key), Text) or file[key] not in spellings:
            raise Fault("attachment-renamed")
    embedded = objects.dictionary(file, "EF")
    if kind(file, "AFRelationship") != relationship or embedded is None:
        raise Fault("attachment-malformed")
    only(embedded, ("F", "UF"), "attachment-malformed")
    number = embedded.get("F")
    if not isinstance(number, Reference):
        raise Fault("attachment-malformed")
    if "UF" in embedded and (not isinstance(embedded["UF"], Reference) or embedded["UF"] != number):
        raise Fault("attachment-swapped")
    stream = objects.find(number)
    if stream is None or stream.stream is None or kind(stream.value) != "EmbeddedFile":
        raise Fault("attachment-malformed")
    return stream


def refuse_others(objects, catalog, files, streams):
    def walk(value):
        if isinstance(value, list):
            for item in value:
                walk(item)
        elif isinstance(value, Dictionary):
            is_file = any(value is file for file in files)
            is_stream = any(value is stream for stream in streams)
            if (kind(value) == "Filespec" or "EF" in value) and not is_file:
                raise Fault("attachment-extra")
            if kind(value) == "EmbeddedFile" and not is_stream:
                raise Fault("attachment-extra")
            if "AF" in value and value is not catalog:
                raise Fault("attachment-extra")
            for item in value.values():
                walk(item)

    for thing in objects.things:
        walk(thing.value)
