"""Every code that a finding may have: its title and its chapter, declared by the subject that finds it (``codes.py`` in its folder)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from wattwalk.survey.kinds import KINDS

from .air import codes as air
from .answers import Finding
from .answers.codes import Code, Codes, joined
from .circuit import codes as circuit
from .climate import codes as climate
from .cost import codes as cost
from .electric import codes as electric
from .emitters import codes as emitters
from .fabric import codes as fabric
from .hot_water import codes as hot_water
from .layout import codes as layout
from .place import codes as place
from .plausibility import codes as plausibility
from .rooms import codes as rooms
from .season import codes as season
from .strays import stray_codes
from .unit import codes as unit

_OF_SUBJECTS = joined(
    *(
        subject.CODES
        for subject in (
            climate,
            fabric,
            air,
            emitters,
            rooms,
            season,
            unit,
            hot_water,
            place,
            circuit,
            electric,
            cost,
            plausibility,
            layout,
        )
    )
)


def declared_codes() -> Codes:
    """Return every declared code; those of records that belong to nothing follow the kinds as they are declared at the moment."""
    return joined(_OF_SUBJECTS, stray_codes(KINDS.values()))


def declared(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings with what their codes declare, in the same order.

    Raises
    ------
    LookupError
        When a code is not declared: nobody could say where the finding belongs.
    """
    codes = declared_codes()
    return tuple(_filled(item, codes.get(item.code)) for item in findings)


def _filled(finding: Finding, code: Code | None) -> Finding:
    if code is None:
        raise LookupError(f"the code {finding.code!r} of a finding is not declared")
    return replace(finding, title=code.title, chapter=code.chapter)
