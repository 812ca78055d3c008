"""What is drawn, what is left out, and what the shares come to."""

from __future__ import annotations

from pathlib import Path

import pytest

pytest.importorskip("cosmic_ray", reason="`make mutants` installs what draws the mutants")

from tests.mutants.draw import AREAS, RemoveCall, draw, make, places_of
from tests.mutants.workshop import ROOT

PACKAGE = ROOT / "backend" / "wattwalk"

LEFT_OUT = '''
from functools import cache
__all__ = ["a", 1 + 2]
def say(words: int | None = None) -> dict[str, 1 + 1]:
    """Documented 1 + 1."""
    found: list[int | None]
    log.warning("so many: %s", 1 + 1)
    return f"{1 + 1} of {words * 2}"
@cache
def kept(): ...
@dataclass(frozen=True, slots=True)
class Shape: ...
if TYPE_CHECKING:
    x = 1 + 1
'''


def mutants_of(source: str) -> set[str]:
    """Return what each mutant of a source makes of its line."""
    made = (
        make("engine", "a.py", source, name, number, place.start, place.end)
        for place in places_of("a.py", source)
        for name, number in place.choices
    )
    return {mutant.becomes.replace("  ", " ") for mutant in made if mutant is not None}


def test_what_no_behaviour_hangs_on_is_left_out() -> None:
    assert mutants_of(LEFT_OUT) == {"class Shape: ..."}  # a dataclass that is none any more is a mistake that shows


@pytest.mark.parametrize(
    ("source", "mistakes"),
    [
        ("x = a + b", {"x = a - b"}),
        ("x = a < 2", {"x = a <= 2", "x = a >= 2", "x = a < 3", "x = a < 1"}),
        ("if a and b:\n    c = True", {"if a or b:", "if not a and b:", "c = False"}),
        ("def f():\n    check(a)\n    return g(a)", {"pass"}),
        ("def f(*a, b, **c):\n    return {**c, 'a': [*a]}", set()),
        ("try:\n    a = b\nexcept KeyError:\n    a = None", {"except CosmicRayTestingException:"}),
        ("try:\n    a = b\nexcept (c.d, E):\n    a = None", {"except (c.d, CosmicRayTestingException):"}),
        ("for a in b:\n    continue", {"for a in []:", "break"}),
        ("@route('/')\ndef f():\n    return -a", {"def f():", "return a"}),
    ],
)
def test_the_mistakes_are_those_that_a_person_makes(source: str, mistakes: set[str]) -> None:
    assert mutants_of(source) == mistakes


def test_a_call_that_is_left_out_leaves_the_rest_as_it_is() -> None:
    source = "def f():\n    if a:\n        check(a)  # why\n    b = check(a)\n"
    (place,) = (place for place in places_of("a.py", source) if place.family == "RemoveCall")
    mutant = make("engine", "a.py", source, "RemoveCall", 0, place.start, place.end)
    assert mutant is not None
    assert mutant.source == "def f():\n    if a:\n        pass  # why\n    b = check(a)\n"
    assert (mutant.function, mutant.lines, mutant.is_in_function) == ("f", (3,), True)
    assert RemoveCall.examples() == ()


@pytest.mark.parametrize(
    ("source", "is_in_function"),
    [
        ("def f():\n    return 1", True),
        ("x = 1", False),
        ("def f(a=1): ...", False),
        ("class A:\n    x = 1", False),
        ("class A:\n    def f(self):\n        return [1 for _ in self]", True),
    ],
)
def test_what_runs_at_import_is_told_from_what_runs_later(source: str, is_in_function: bool) -> None:
    place = next(place for place in places_of("a.py", source) if place.family == "NumberReplacer")
    mutant = make("engine", "a.py", source, *place.choices[0], place.start, place.end)
    assert mutant is not None
    assert mutant.is_in_function is is_in_function


def test_the_same_seed_draws_the_same_and_fewer_are_the_beginning_of_more() -> None:
    five, eight, others = (list(draw(PACKAGE, "sync", seed, most)) for seed, most in ((1, 5), (1, 8), (2, 5)))
    assert len(eight) == 8
    assert five == eight[:5]
    assert {mutant.key for mutant in others} != {mutant.key for mutant in five}
    assert all((PACKAGE / mutant.file).read_text() != mutant.source for mutant in eight)


def test_a_mutant_keeps_its_name_when_its_line_moves() -> None:
    source = "def f(a):\n    return a + b\n"
    keys = set()
    for text in (source, f"import os\n\n\n{source}"):
        (place,) = (place for place in places_of("a.py", text) if place.family == "ReplaceBinaryOperator")
        mutant = make("engine", "a.py", text, *place.choices[0], place.start, place.end)
        assert mutant is not None
        keys.add(mutant.key)
    assert len(keys) == 1


def test_every_area_is_there() -> None:
    assert all((PACKAGE / Path(name)).exists() for names in AREAS.values() for name in names)
