"""`python -m verifier vectors <folder>`: what this verifier says of every vector (section 14), as JSON.

`python -m verifier structure <folder>`: the code with which section 2 refuses each file of a folder, as JSON.

`python -m verifier check <file> <time> [<root.pem> [<crl.pem> [<log.pub>]]]`: what it says of one file.
"""

import gzip
import json
import pathlib
import sys

from .answer import Fault
from .log import LOG, Checkpoint, Key, audit
from .questions import Check
from .sealed import Sealed
from .trust import Trust


def check_vectors(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    reports = {
        report["name"]: Check(gzip.decompress((folder / report["file"]).read_bytes()), Trust(folder, report)).told()
        for report in manifest["reports"]
    }
    return {"reports": reports, "logs": {log["name"]: check_log(folder, log) for log in manifest["logs"]}}


def check_structure(folder):
    codes = {}
    for file in folder.iterdir():
        try:
            Sealed(file.read_bytes())
        except Fault as fault:
            codes[file.name] = fault.code
    return codes


def check_log(folder, log):
    def read(path):
        file = folder / log["folder"] / path
        return file.read_bytes() if file.is_file() else None

    seen = Checkpoint((folder / log["seen"]).read_text()) if log["seen"] else None
    return audit(read, Key((folder / log["key"]).read_text(), LOG), seen)


def check_file(file, at, *brought):
    kinds = ("roots", "revocation_lists", "logs")
    trust = dict.fromkeys((*kinds, "witnesses", "statements"), ()) | dict.fromkeys(
        ("witnesses_needed", "statements_complete_as_of")
    )
    trust |= {"at": at} | {kind: [path] for kind, path in zip(kinds, brought)}
    return Check(pathlib.Path(file).read_bytes(), Trust(pathlib.Path(), trust)).told()


def main():
    match sys.argv[1:]:
        case ["vectors", folder]:
            told = check_vectors(pathlib.Path(folder))
        case ["structure", folder]:
            told = check_structure(pathlib.Path(folder))
        case ["check", file, at, *brought] if len(brought) <= 3:
            told = check_file(file, at, *brought)
        case _:
            sys.exit(__doc__)
    json.dump(told, sys.stdout, indent=1)
    print()


main()
