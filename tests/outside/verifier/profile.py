"""What may stand in the file: reach, catalog, pages, form, streams, attachments (sections 2.4 to 2.7)."""

import zlib

from .answer import Fault
from .syntax import Dictionary, Name, Reference, Text

FORBIDDEN_KEYS = {
    "OpenAction": "open-action",
    "AA": "additional-actions",
    **dict.fromkeys(("JavaScript", "JS"), "java-script"),
    "XFA": "xfa",
    **dict.fromkeys(("OCProperties", "OCGs", "OC"), "hidden-layers"),
    **dict.fromkeys(("RichMediaContent", "RichMediaSettings", "3DD"), "rich-media"),
    "Encrypt": "encrypted",
    "XRefStm": "hybrid-file",
    "Linearized": "linearized",
    **dict.fromkeys(("OPI", "RF"), "external-stream"),
    **dict.fromkeys(
        ("Alternates", "Collection", "Requirements", "DSS", "UserUnit", "NeedAppearances"), "entry-forbidden"
    ),
}
FORBIDDEN_ACTIONS = {
    "JavaScript": "java-script",
    "Launch": "launch",
    **dict.fromkeys(("GoToR", "GoToE"), "remote-go-to"),
    **dict.fromkeys(("SubmitForm", "ResetForm", "ImportData"), "form-action"),
    "SetOCGState": "hidden-layers",
    **dict.fromkeys(("Rendition", "RichMediaExecute", "Movie", "Sound", "GoTo3DView"), "rich-media"),
    **dict.fromkeys(("GoToDp", "Named", "Hide", "Thread", "Trans"), "action-forbidden"),
}
CATALOG = """Type Version Pages Extensions Metadata OutputIntents MarkInfo StructTreeRoot Lang ViewerPreferences PageMode
    PageLayout PageLabels Outlines Dests Names AF AcroForm Perms""".split()
TREE = "Type Kids Count Parent Resources MediaBox".split()
PAGE = """Type Parent MediaBox TrimBox BleedBox ArtBox Resources Contents Annots StructParents Tabs Group CropBox
    Rotate""".split()
FIELD = "Type Subtype FT T TU V Rect F P AP StructParent Border Contents Lang".split()
LINK = "Type Subtype Rect Border BS F A Dest StructParent Contents P C H QuadPoints NM Lang".split()
STREAM_BYTES = 67_108_864
ALL_STREAM_BYTES = 268_435_456


class Objects:
    """The file's objects, and what references lead to."""

    def __init__(self, things):
        self.things = things

    def find(self, reference):
        return self.things[reference - 1] if 1 <= reference <= len(self.things) else None

    def resolve(self, value):
        if not isinstance(value, Reference):
            return value
        thing = self.find(value)
        return thing.value if thing else None

    def dictionary(self, parent, key):
        """The dictionary under a key, or None."""
        found = self.resolve(parent.get(key))
        return found if isinstance(found, Dictionary) else None

    def dictionaries(self):
        """Each object that is a dictionary or a stream, with it."""
        return [(thing, thing.value) for thing in self.things if isinstance(thing.value, Dictionary)]


def kind(dictionary, key="Type"):
    """The name under a key, or None."""
    value = dictionary.get(key)
    return value if isinstance(value, Name) else None


def is_number(value, *expected):
    return type(value) is int and value in expected


def only(dictionary, keys, code):
    if any(key not in keys for key in dictionary):
        raise Fault(code)


def check_reach(objects, trailer, signature):
    """One walk over everything that the trailer reaches."""
    reached, waiting = set(), [trailer]

    def walk(value):
        if isinstance(value, Reference):
            if objects.find(value) is None:
                raise Fault("reference-dangling")
            if value not in reached:
                reached.add(value)
                waiting.append(objects.find(value).value)
        elif isinstance(value, list):
            for item in value:
                walk(item)
        elif isinstance(value, Dictionary):
            for key, item in value.items():
                if key in FORBIDDEN_KEYS:
                    raise Fault(FORBIDDEN_KEYS[key])
                if key == "ByteRange" and value is not signature:
                    raise Fault("byte-range-elsewhere")
                if key in ("Font", "DescendantFonts"):
                    check_fonts(objects, item)
                walk(item)
            check_dictionary(objects, value)

    while waiting:
        walk(waiting.pop())
    if len(reached) != len(objects.things):
        raise Fault("object-unreferenced")


def check_dictionary(objects, value):
    subtype = kind(value, "Subtype")
    if kind(value) in ("OCG", "OCMD"):
        raise Fault("hidden-layers")
    if subtype == "PS":
        raise Fault("entry-forbidden")
    if subtype in ("RichMedia", "3D", "Movie", "Sound", "Screen"):
        raise Fault("rich-media")
    if subtype == "Form" and "Ref" in value:
        raise Fault("external-stream")
    if kind(value) == "Font":
        check_font(objects, value)
    action = objects.resolve(value.get("S"))
    if isinstance(action, Name):
        if action in FORBIDDEN_ACTIONS:
            raise Fault(FORBIDDEN_ACTIONS[action])
        if action == "URI":
            address = objects.resolve(value.get("URI"))
            if not isinstance(address, Text) or not address.startswith(b"https://"):
                raise Fault("link-forbidden")
            if "Next" in value:
                raise Fault("action-forbidden")


def check_fonts(objects, value):
    fonts = objects.resolve(value)
    items = fonts.values() if isinstance(fonts, Dictionary) else fonts
    if not isinstance(fonts, (Dictionary, list)) or (isinstance(fonts, list) and not fonts):
        raise Fault("font-external")
    for item in items:
        font = objects.resolve(item)
        if not isinstance(font, Dictionary) or kind(font) != "Font":
            raise Fault("font-external")


def check_font(objects, font):
    subtype = objects.resolve(font.get("Subtype"))
    if subtype == "Type0" and "DescendantFonts" in font:
        return
    if subtype in ("Type1", "TrueType", "CIDFontType0", "CIDFontType2"):
        descriptor = objects.dictionary(font, "FontDescriptor") or {}
        for key in ("FontFile", "FontFile2", "FontFile3"):
            program = descriptor.get(key)
            if isinstance(program, Reference) and objects.find(program) and objects.find(program).stream is not None:
                return
    raise Fault("font-external")


def read_catalog(objects, trailer):
    root = trailer.get("Root")
    catalog = objects.resolve(root) if isinstance(root, Reference) else None
    if not isinstance(catalog, Dictionary) or kind(catalog) != "Catalog":
        raise Fault("catalog-missing")
    if any(kind(other) == "Catalog" and other is not catalog for _, other in objects.dictionaries()):
        raise Fault("catalog-doubled")
    only(catalog, CATALOG, "catalog-entry")
    return catalog


def read_pages(objects, catalog):
    """The numbers of the pages in reading order."""
    root, visited, pages = catalog.get("Pages"), set(), []
    if not isinstance(root, Reference):
        raise Fault("page-tree-malformed")

    def walk(number, parent):
        thing = objects.find(number)
        if number in visited:
            raise Fault("page-tree-cycle")
        visited.add(number)
        node = thing.value
        if not isinstance(node, Dictionary) or thing.stream is not None or node.get("Parent") != parent:
            raise Fault("page-tree-malformed")
        if parent is not None and not isinstance(node["Parent"], Reference):
            raise Fault("page-tree-malformed")
        if kind(node) == "Page":
            check_page(objects, node)
            pages.append(number)
            return 1
        if kind(node) != "Pages":
            raise Fault("page-tree-malformed")
        check_crop(objects, node)
        only(node, TREE, "page-entry")
        kids = node.get("Kids")
        if not isinstance(kids, list) or not all(isinstance(kid, Reference) for kid in kids):
            raise Fault("page-tree-malformed")
        count = sum(walk(kid, number) for kid in kids)
        if not is_number(node.get("Count"), count):
            raise Fault("page-tree-malformed")
        return count

    if not walk(root, None):
        raise Fault("page-tree-malformed")
    for thing, node in objects.dictionaries():
        if kind(node) in ("Page", "Pages") and thing.number not in visited:
            raise Fault("page-outside-tree")
    return pages


def check_crop(objects, node):
    if "CropBox" in node and objects.resolve(node["CropBox"]) != objects.resolve(node.get("MediaBox")):
        raise Fault("page-cropped")


def check_page(objects, page):
    check_crop(objects, page)
    only(page, PAGE, "page-entry")
    if "Rotate" in page and not is_number(page["Rotate"], 0):
        raise Fault("page-entry")
    contents = page.get("Contents", [])
    for part in contents if isinstance(contents, list) else [contents]:
        thing = objects.find(part) if isinstance(part, Reference) else None
        if thing is None or thing.stream is None:
            raise Fault("page-entry")


def check_form(objects, catalog, signature, pages):
    form = objects.dictionary(catalog, "AcroForm")
    if form is None:
        raise Fault("form-malformed")
    if not is_number(form.get("SigFlags"), 3):
        raise Fault("signature-flags")
    only(form, ("Fields", "SigFlags"), "form-malformed")
    fields = objects.resolve(form.get("Fields"))
    if not isinstance(fields, list):
        raise Fault("form-malformed")
    kinds = [objects.resolve(field["FT"]) for _, field in objects.dictionaries() if "FT" in field]
    if any(other != "Sig" for other in kinds):
        raise Fault("form-field-extra")
    if len(kinds) > 1:
        raise Fault("signature-field-doubled")
    if len(fields) > 1:
        raise Fault("form-field-extra")
    number = fields[0] if fields else None
    field = objects.resolve(number) if isinstance(number, Reference) else None
    if not kinds or not isinstance(field, Dictionary) or not isinstance(field.get("V"), Reference):
        raise Fault("form-malformed")
    only(field, FIELD, "form-malformed")
    if field["V"] != signature or kind(field, "Subtype") != "Widget" or not is_number(field.get("F"), 4, 132):
        raise Fault("form-malformed")
    check_annotations(objects, pages, number)


def check_annotations(objects, pages, field):
    widgets = 0
    for place, number in enumerate(pages):
        page = objects.find(number).value
        annotations = objects.resolve(page.get("Annots", []))
        if not isinstance(annotations, list):
            raise Fault("annotation-forbidden")
        for annotation in annotations:
            if isinstance(annotation, Reference) and annotation == field and place == 0:
                widgets += 1
                continue
            link = objects.resolve(annotation)
            if not isinstance(link, Dictionary) or kind(link, "Subtype") != "Link" or not is_number(link.get("F"), 4):
                raise Fault("annotation-forbidden")
            only(link, LINK, "annotation-forbidden")
            action = objects.dictionary(link, "A")
            leads = action is not None and kind(action, "S") in ("URI", "GoTo")
            if leads == ("Dest" in link) or ("A" in link and "Dest" in link):
                raise Fault("link-forbidden")
    if widgets != 1:
        raise Fault("form-malformed")


def check_permissions(objects, catalog, signature):
    permissions = objects.dictionary(catalog, "Perms")
    if permissions is None or list(permissions) != ["DocMDP"]:
        raise Fault("doc-mdp")
    if not isinstance(permissions["DocMDP"], Reference) or permissions["DocMDP"] != signature.number:
        raise Fault("doc-mdp")
    references = signature.value.get("Reference")
    reference = objects.resolve(references[0]) if isinstance(references, list) and len(references) == 1 else None
    if not isinstance(reference, Dictionary):
        raise Fault("doc-mdp")
    only(reference, ("Type", "TransformMethod", "TransformParams"), "doc-mdp")
    parameters = objects.dictionary(reference, "TransformParams")
    if kind(reference, "TransformMethod") != "DocMDP" or parameters is None or not is_number(parameters.get("P"), 1):
        raise Fault("doc-mdp")
    only(parameters, ("Type", "P", "V"), "doc-mdp")
    if any(kind(other) == "SigRef" and other is not reference for _, other in objects.dictionaries()):
        raise Fault("doc-mdp")


def check_streams(objects):
    """Every stream's filter and data; gives the photographs and the plain data of the others by number."""
    photographs, plain, left = [], {}, ALL_STREAM_BYTES
    for thing, dictionary in objects.dictionaries():
        if thing.stream is None:
            continue
        if any(key in dictionary for key in ("F", "FFilter", "FDecodeParms")):
            raise Fault("external-stream")
        if any(key in dictionary for key in ("DecodeParms", "DP")):
            raise Fault("filter-parameters")
        packing = dictionary.get("Filter")
        if "Filter" not in dictionary:
            plain[thing.number] = thing.stream
        elif isinstance(packing, Name) and packing == "FlateDecode":
            plain[thing.number] = inflate(thing.stream, left)
            left -= len(plain[thing.number])
        elif isinstance(packing, Name) and packing == "DCTDecode":
            if not (thing.stream.startswith(b"\xff\xd8\xff") and thing.stream.endswith(b"\xff\xd9")):
                raise Fault("image-malformed")
            photographs.append(thing.stream)
        else:
            raise Fault("filter-unknown")
    return photographs, plain


def inflate(data, left):
    most = min(left, STREAM_BYTES, len(data) * 200 + 1_048_576)
    machine = zlib.decompressobj()
    try:
        plain = machine.decompress(data, most + 1)
    except zlib.error as error:
        raise Fault("decompression-failed") from error
    if len(plain) > most:
        raise Fault("decompression-too-large")
    if not machine.eof or machine.unused_data:
        raise Fault("decompression-failed")
    return plain
