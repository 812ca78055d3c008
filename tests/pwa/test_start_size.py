"""What the phone has to read until its first form takes an answer is held to a limit, so that no screen that comes later slips into it.

'Own' is the JavaScript of this project that the page asks for by itself, gzipped, without libraries. The honest figure is the
next one, all JavaScript until the form is usable: what is our own and the libraries (Preact, signals, Dexie). The survey model is no
JavaScript but the text of a table that is read as one string; it has a limit of its own. A kB is 1,000 bytes.
"""

from __future__ import annotations

import gzip
import re
from pathlib import Path

from wattwalk.paths import pwa_folder

OWN_KB, ALL_KB, MODEL_KB = 60, 96, 37

#: The parts of the start script, as the build marks them (`pwa/tools/start_scripts.mjs`).
_PARTS = re.compile(r"/\*(libraries|first)\*/")


def packed_kb(text: str) -> float:
    """Return how much a text takes when it is gzipped, in kB."""
    return len(gzip.compress(text.encode(), 9)) / 1000


def scripts() -> dict[str, Path]:
    """Return the scripts that the page asks for by itself, by the name before their hash."""
    page = (pwa_folder() / "index.html").read_text()
    found = re.findall(r'<(?:script[^>]* src|link rel="(?:modulepreload|preload)"[^>]* href)="/([^"]+)"', page)
    return {name.removeprefix("assets/").rsplit("-", 1)[0]: pwa_folder() / name for name in found}


def parts() -> dict[str, str]:
    """Return what the start script holds of our own and of libraries."""
    before, *marked = _PARTS.split(scripts()["start"].read_text())
    held = dict(zip(marked[::2], marked[1::2], strict=True))
    return {"own": before + held["first"], "libraries": held["libraries"]}


def test_the_page_asks_for_three_plain_scripts_and_nothing_more() -> None:
    page = (pwa_folder() / "index.html").read_text()
    assert sorted(scripts()) == ["early", "model", "start"]
    # Only of a plain script does the browser keep the compiled form that the service worker's cache gives it.
    assert 'type="module"' not in page
    assert page.count("<script") == 3
    for path in scripts().values():
        # A scope of its own: two scripts of a page share all names that stand outside of one.
        assert re.match(r"\(\(\)=>\{|globalThis\.wattwalkModel=", path.read_text()), path.name


def test_our_own_part_of_the_start_stays_small() -> None:
    assert packed_kb(parts()["own"]) + packed_kb(scripts()["early"].read_text()) <= OWN_KB


def test_all_that_the_first_form_needs_stays_small() -> None:
    assert sum(packed_kb(scripts()[name].read_text()) for name in ("early", "start")) <= ALL_KB
    assert packed_kb(scripts()["model"].read_text()) <= MODEL_KB


def test_the_libraries_are_found_where_they_are_said_to_be() -> None:
    # A word of Dexie and one of the survey's own screens: else 'own' would be counted short.
    assert "MissingAPI" in parts()["libraries"]
    assert "MissingAPI" not in parts()["own"]
    assert "Length × width × height" in parts()["own"]
    assert "Length × width × height" not in parts()["libraries"]


def leant_on(name: str) -> set[str]:
    """Return the parts of the app that must be read before a part of it can run, by their names before the hash."""
    found: dict[str, Path] = {}
    left = [next((pwa_folder() / "assets").glob(f"{name}-*.js"))]
    while left:
        part = left.pop()
        if part.name in found:
            continue
        found[part.name] = part
        left += [part.with_name(each) for each in re.findall(r'(?:from|import)"\./([^"]+\.js)"', part.read_text())]
    # The hash is eight characters, and a hyphen may be one of them.
    return {each[: -len("-12345678.js")] for each in found}


def test_rooms_and_results_wait_for_nothing_of_the_offices_pages() -> None:
    # The office's pages are one part, as large as all of the walk: whoever goes to the rooms first would wait for them.
    assert {"measuring", "results"} <= leant_on("measuring")
    for name in ("measuring", "results", "Photos", "Leaving"):
        assert "office" not in leant_on(name), name
