"""Runs inside Pyodide at build time: work a sample out, then pack the engine and what it needed of the standard library.

Both archives hold compiled modules only, in a fixed order, with fixed dates and not deflated: the same bytes at each build,
quick to import, and the server compresses them better than an archive would.
"""

from __future__ import annotations

import importlib
import importlib.util
import json
import marshal
import pkgutil
import sys
import traceback
import zipfile
from collections.abc import Callable
from importlib.machinery import FrozenImporter
from pathlib import PurePosixPath

#: Modules that only a fault asks for, or a name with other letters than ASCII.
ALLOWED = ("encodings.ascii", "encodings.latin_1", "linecache", "traceback")
FIXED_DATE = (1980, 1, 1, 0, 0, 0)
UNCHECKED_HASH = 0b01


def start(sources: str) -> None:
    """Make the package's sources importable, as the archive will be later."""
    sys.path.append(sources)
    sys.dont_write_bytecode = True


def run_sample() -> tuple[str, str, str]:
    """Work the sample house out; return the request, its figures and the rest as JSON text."""
    from sample.house import house

    from wattwalk.answer import Desk

    document = house()
    records = [
        {"kind": kind, "id": item["id"], "values": {name: value for name, value in item.items() if name != "id"}}
        for kind, items in document["records"].items()
        for item in items
    ]
    request = json.dumps({"id": document["id"], "records": records})
    desk = Desk()
    return request, desk.figures(request), desk.rest()


def without_words(request: str) -> str:
    """Return the sample's request without whatever is told in words: the phone keeps a memory of it, which names nobody's house."""
    from wattwalk.survey.model import survey_model

    kinds = survey_model()["kinds"]
    told = {
        kind: {field["name"] for field in declared["fields"] if field["type"] in ("text", "long_text")}
        for kind, declared in kinds.items()
    }
    records = [
        {
            **item,
            "values": {name: value for name, value in item["values"].items() if name not in told[item["kind"]]},
        }
        for item in json.loads(request)["records"]
    ]
    return json.dumps({"id": "sample", "records": records})


def import_everything() -> None:
    """Import each module of the engine, and walk the path of a fault, so that what they lean on is known."""
    import wattwalk

    for found in pkgutil.walk_packages(wattwalk.__path__, "wattwalk."):
        importlib.import_module(found.name)
    for name in ALLOWED:
        importlib.import_module(name)
    from wattwalk.answer import Desk

    try:
        Desk().figures("{")
    except ValueError as fault:
        traceback.format_exception(fault)


def pack_standard_library(stock: str, target: str) -> int:
    """Write the modules that are loaded now and came from the stock archive; return how many."""
    names = []
    with zipfile.ZipFile(stock) as archive:
        for module in list(sys.modules.values()):
            spec = getattr(module, "__spec__", None)
            origin = getattr(spec, "origin", None) or ""
            if spec is None or spec.loader is FrozenImporter or not origin.startswith(f"{stock}/"):
                continue
            names.append(origin.removeprefix(f"{stock}/"))
        # Without docstrings, which nobody reads there. The engine keeps its own: a dataclass without one makes one up, slowly.
        return _pack(target, sorted(names), archive.read, optimize=2)


def pack_engine(sources: str, files: list[str], target: str) -> int:
    """Write the engine's own modules and tables; return how many."""

    def read(name: str) -> bytes:
        with open(f"{sources}/{name}", "rb") as file:
            return file.read()

    return _pack(target, sorted(files), read, optimize=0)


def _pack(target: str, names: list[str], read: Callable[[str], bytes], *, optimize: int) -> int:
    with zipfile.ZipFile(target, "w", zipfile.ZIP_STORED) as archive:
        for name in names:
            data = read(name)
            if name.endswith(".py"):
                data, name = _compiled(name, data, optimize), str(PurePosixPath(name).with_suffix(".pyc"))
            info = zipfile.ZipInfo(name, FIXED_DATE)
            info.external_attr = 0o644 << 16
            archive.writestr(info, data)
    return len(names)


def _compiled(name: str, source: bytes, optimize: int) -> bytes:
    code = compile(source, name, "exec", dont_inherit=True, optimize=optimize)
    header = importlib.util.MAGIC_NUMBER + UNCHECKED_HASH.to_bytes(4, "little") + importlib.util.source_hash(source)
    return header + marshal.dumps(code)
