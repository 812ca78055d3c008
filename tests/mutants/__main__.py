"""`make mutants`: draw mutants of the program, run the tests that touch them, and say how many the tests noticed.

    python -m tests.mutants [--mutants 400] [--area sync|office|engine] [--seed 1] [--minutes 90]

It works in a copy under ``var/mutants`` and goes on where it was stopped: a killed mutant stays killed for as long as its file is the same, a
survivor is tried again when the tests have changed.
"""

from __future__ import annotations

import argparse
import fcntl
import hashlib
import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from itertools import zip_longest
from pathlib import Path
from typing import Any

from tests.mutants.draw import AREAS, Mutant, draw, files_of
from tests.mutants.mapping import AT_COLLECTION, AT_IMPORT, SECONDS_PER_TEST, TESTS
from tests.mutants.tally import read_equivalent, tell
from tests.mutants.workshop import FOLDER, Workshop, set_up_workshop

#: The quickest tests come first, up to so many seconds; a survivor of these meets the others up to so many more, those of its own subject first.
SECONDS_AT_FIRST, SECONDS_MORE = 8.0, 40.0
#: Where the tests of each part are.
_OWN_TESTS = {
    "engine": ("tests/engine", "tests/published"),
    "sync": ("tests/sync",),
    "office": ("tests/office",),
    "api": ("tests/api",),
}


def main(arguments: Sequence[str]) -> int:
    """Prepare the copy with this checkout's Python, then go on with the copy's."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.mutants", description="Draw mutants and see whether the tests notice them."
    )
    parser.add_argument("--mutants", type=int, default=400, help="how many of each area")
    parser.add_argument("--area", choices=sorted(AREAS), help="one area instead of all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=90.0, help="stop after so long; the next call goes on")
    parser.add_argument("--inside", type=Path, help=argparse.SUPPRESS)
    asked = parser.parse_args(arguments)
    if asked.inside is not None:
        return try_all(Workshop(asked.inside), asked)
    workshop = Workshop(FOLDER)
    workshop.folder.mkdir(parents=True, exist_ok=True)
    # Two at once would write into each other's copy.
    hold = os.open(workshop.folder, os.O_RDONLY)
    try:
        fcntl.flock(hold, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        raise SystemExit("mutants: another run is at work here") from None
    os.set_inheritable(hold, True)
    set_up_workshop(workshop)
    environment = {name: value for name, value in os.environ.items() if name not in {"PYTHONPATH", "DATABASE_URL"}}
    learn(workshop, environment)
    command = [workshop.python, "-m", "tests.mutants", *arguments, "--inside", workshop.folder]
    return subprocess.run(command, cwd=workshop.checkout, env=environment, close_fds=False).returncode


def learn(workshop: Workshop, environment: dict[str, str]) -> None:
    """See to it that the map of tests and lines is that of this program and these tests."""
    program = fingerprint(
        p
        for folder in ("backend/wattwalk", "migrations", "tests/support")
        for p in sorted((workshop.checkout / folder).rglob("*"))
    )
    files = {
        str(p.relative_to(workshop.checkout)): fingerprint([p])
        for folder in TESTS
        for p in sorted((workshop.checkout / folder).rglob("test_*.py"))
    }
    known = json.loads(workshop.map.read_text()) if workshop.map.exists() else {}
    if known.get("program") != program:
        known = {}
    changed = sorted(name for name, mark in files.items() if known.get("files", {}).get(name) != mark)
    if changed:
        print(
            f"mutants: which test of {len(changed)} files runs which line; the first time this takes about a quarter of an hour",
            flush=True,
        )
        if not known:
            workshop.map.unlink(missing_ok=True)
        command = [workshop.python, "-m", "tests.mutants.mapping", workshop.package, workshop.map, *changed]
        status = subprocess.run(command, cwd=workshop.checkout, env=environment).returncode
        if status not in (0, 1):
            raise SystemExit(f"mutants: the tests could not be run (status {status})")
        known = json.loads(workshop.map.read_text())
    known["tests"] = {name: seconds for name, seconds in known["tests"].items() if name.partition("::")[0] in files}
    workshop.map.write_text(json.dumps({**known, "program": program, "files": files}))


def fingerprint(paths: Any) -> str:
    """Return a mark that changes with the content of the files."""
    mark = hashlib.sha256()
    for path in paths:
        if path.is_file() and "__pycache__" not in path.parts:
            mark.update(f"{path.name}\0".encode() + path.read_bytes())
    return mark.hexdigest()


def try_all(workshop: Workshop, asked: argparse.Namespace) -> int:
    """Try the mutants that are drawn and not known yet, and report on all of them."""
    from tests.mutants.forks import Nursery, clean, remember_sources

    # Whoever ends the run ends what it has started, and finds the copy as it was.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit("mutants: ended"))
    until = time.monotonic() + asked.minutes * 60
    known = json.loads(workshop.map.read_text())
    areas = [asked.area] if asked.area else list(AREAS)
    drawn = {area: drawn_once(workshop, area, asked.seed, asked.mutants) for area in areas}
    remember_sources(workshop.package)
    tests_now = hashlib.sha256(json.dumps(known["files"], sort_keys=True).encode()).hexdigest()[:16]
    killers: set[str] = set()
    known_of = {area: past(workshop, area) for area in areas}
    # One of each area in turn, so that a run which is stopped has seen as much of each.
    turns = [
        (area, mutant)
        for row in zip_longest(*drawn.values())
        for area, mutant in zip(areas, row, strict=True)
        if mutant is not None
    ]
    waiting = [
        (area, mutant) for area, mutant in turns if not is_known(known_of[area].get(mutant.key), mutant, tests_now)
    ]
    if waiting:
        print(f"mutants: {len(waiting)} to try, {sum(map(len, drawn.values())) - len(waiting)} known", flush=True)
        with Nursery(workshop.checkout, known["modules"], workshop.folder) as nursery:
            for place, (area, mutant) in enumerate(waiting, start=1):
                if time.monotonic() > until:
                    print(f"mutants: stopped after {asked.minutes:g} minutes; call again to go on", flush=True)
                    break
                line = {**attempt(nursery, mutant, known), "fingerprint": source_mark(mutant), "tests_mark": tests_now}
                with workshop.results(area).open("a") as file:
                    print(json.dumps(line), file=file)
                killers.add(line["killer"])
                print(
                    f"{place:4} {line['outcome']:<14} {line['seconds']:6.1f} s {mutant.file} {mutant.function}",
                    flush=True,
                )
            untrue = nursery.failing(sorted(killers & set(known["tests"])), known["tests"])
        clean(workshop.folder)
        if untrue:
            for area in areas:
                forget(workshop.results(area), untrue)
            print(
                f"mutants: {len(untrue)} tests fail without any mistake as well, so what they killed is tried again next time: {', '.join(sorted(untrue))}"
            )
    equivalent = read_equivalent()
    for area in areas:
        results = past(workshop, area)
        ours = [results[mutant.key] for mutant in drawn[area] if mutant.key in results]
        if ours:
            print("\n".join(tell(area, ours, equivalent)))
    return 0


def drawn_once(workshop: Workshop, area: str, seed: int, most: int) -> list[Mutant]:
    """Return the mutants of an area; drawing takes a minute, so what was drawn of the same program is kept."""
    mark = fingerprint([*files_of(workshop.package, area), Path(__file__).with_name("draw.py")])
    path = workshop.folder / f"drawn-{area}-{seed}-{most}.json"
    if path.exists() and (kept := json.loads(path.read_text()))["mark"] == mark:
        return [Mutant(**{**fields, "lines": tuple(fields["lines"])}) for fields in kept["mutants"]]
    mutants = list(draw(workshop.package, area, seed, most))
    path.write_text(json.dumps({"mark": mark, "mutants": [asdict(mutant) for mutant in mutants]}))
    return mutants


def past(workshop: Workshop, area: str) -> dict[str, dict[str, Any]]:
    """Return what is known of an area's mutants; of one that was tried again, the last."""
    path = workshop.results(area)
    return {line["key"]: line for line in map(json.loads, path.read_text().splitlines())} if path.exists() else {}


def forget(path: Path, untrue: set[str]) -> None:
    """Drop what these tests have killed."""
    if path.exists():
        lines = [line for line in path.read_text().splitlines() if json.loads(line)["killer"] not in untrue]
        path.write_text("".join(f"{line}\n" for line in lines))


def source_mark(mutant: Mutant) -> str:
    """Return a mark of the mutated file as a whole."""
    return hashlib.sha256(mutant.source.encode()).hexdigest()[:16]


def is_known(line: dict[str, Any] | None, mutant: Mutant, tests_now: str) -> bool:
    """Whether a mutant need not be tried again."""
    if line is None or line["fingerprint"] != source_mark(mutant):
        return False
    return line["outcome"] != "survived" or line["tests_mark"] == tests_now


def attempt(nursery: Any, mutant: Mutant, known: dict[str, Any]) -> dict[str, Any]:
    """Try one mutant: the quick tests first, then the others."""
    tests, cold, retried = choose(mutant, known)
    tried, outcome, killer, took = 0, "survived", "", 0.0
    for portion in portions(tests, known["tests"], mutant):
        seconds = sum(known["tests"][name] for name in portion)
        found = nursery.attempt(mutant, portion, seconds, cold=cold)
        if found.outcome == "survived" and retried and not cold:
            # What a test module works out when it is collected has been worked out without the mistake.
            found = nursery.attempt(mutant, portion, seconds, cold=True)
        tried, took = tried + len(portion), took + found.seconds
        outcome, killer = found.outcome, found.killer
        if outcome != "survived":
            break
    return {
        "key": mutant.key,
        "area": mutant.area,
        "file": mutant.file,
        "function": mutant.function,
        "operator": mutant.operator,
        "line": mutant.line,
        "becomes": mutant.becomes,
        "outcome": outcome,
        "killer": killer,
        "tests": tried,
        "seconds": round(took, 2),
    }


def choose(mutant: Mutant, known: dict[str, Any]) -> tuple[list[str], bool, bool]:
    """Return the tests that touch a mutant, whether it must be imported anew, and whether a collection may have hidden it."""
    by_line = known["lines"].get(mutant.file, {})
    early = {moment: set(known["early"][moment].get(mutant.file, ())) for moment in (AT_IMPORT, AT_COLLECTION)}
    touching = {test for line in mutant.lines for test in by_line.get(str(line), ())}
    cold = not mutant.is_in_function or bool(early[AT_IMPORT].intersection(mutant.lines))
    if not mutant.is_in_function or not touching:
        # What runs at import counts for every test that comes by the file at all, and for those of its subject that only see what was made then.
        touching = {test for tests in by_line.values() for test in tests} | {
            name for name in known["tests"] if name.startswith(own_tests(mutant))
        }
    return (
        [name for name in touching if known["tests"].get(name, SECONDS_PER_TEST + 1) <= SECONDS_PER_TEST],
        cold,
        bool(early[AT_COLLECTION].intersection(mutant.lines)),
    )


def own_tests(mutant: Mutant) -> tuple[str, ...]:
    """Return the folders of the tests of a mutant's part."""
    return _OWN_TESTS.get(mutant.file.partition("/")[0], ("tests/api",))


def portions(tests: list[str], seconds: dict[str, float], mutant: Mutant) -> Iterator[list[str]]:
    """Yield the tests to be run at once: the quick ones, then those of the subject, then the rest, until the time is used up."""
    quick = sorted(tests, key=lambda name: (seconds[name], name))
    first = list(within(quick, seconds, SECONDS_AT_FIRST))
    own = own_tests(mutant)
    others = [name for name in quick if name not in set(first)]
    more = list(
        within(sorted(others, key=lambda name: (not name.startswith(own), seconds[name])), seconds, SECONDS_MORE)
    )
    yield from (grouped(portion, seconds) for portion in (first, more) if portion)


def within(tests: list[str], seconds: dict[str, float], most: float) -> Iterator[str]:
    """Yield tests until the time is used up."""
    used = 0.0
    for name in tests:
        used += seconds[name]
        if used > most:
            return
        yield name


def grouped(tests: list[str], seconds: dict[str, float]) -> list[str]:
    """Return the tests file by file and make of database by make, so that what they share is set up once; the quickest group first."""
    groups: dict[tuple[bool, str], list[str]] = {}
    for name in tests:
        groups.setdefault(("postgresql" in name, name.partition("::")[0]), []).append(name)
    return [
        name
        for _, group in sorted(groups.items(), key=lambda item: (item[0][0], sum(seconds[name] for name in item[1])))
        for name in group
    ]


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
