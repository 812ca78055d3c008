"""Which part of the house a room is in, and what its age says there: the one rule that fabric, air and wording ask.

A room is in the main house unless it names an extension. What an extension does not say of itself is as in the main house,
but for how tight it is by its age: that goes by when it was built.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from .building import Room, Surface
from .document import Survey
from .extension import Extension
from .household import SurveyRecord

MAIN_HOUSE = "Main house"

#: How tight a part is usually by the band in which it was built; one that reaches over a change counts as before it.
_TIGHT_BY_BAND = {"J": "2000_to_2006", "K": "after_2006", "L": "after_2006", "M": "after_2006"}


@dataclass(frozen=True, kw_only=True)
class HousePart:
    """A part of the house with what hangs on its age; ``id`` is None for the main house, ``key`` the record that says its age."""

    id: str | None
    key: str
    name: str
    age_band: str | None
    ventilation_age: str | None
    goes_by_band: bool
    draught_proofed_pct: int
    thermal_bridges: str
    #: Of a pressure test of this part alone, m³/hm²; of the house's own for the main house.
    tested_m3_hm2: float | None

    @property
    def whose(self) -> str:
        """Return the part as a sentence calls it."""
        return "the house" if self.id is None else self.name

    @property
    def is_tested_alone(self) -> bool:
        """Say whether a part was pressure-tested by itself, apart from the house."""
        return self.id is not None and self.tested_m3_hm2 is not None


def _extension(item: Extension, main: SurveyRecord) -> HousePart:
    by_band = None if item.age_band is None else _TIGHT_BY_BAND.get(item.age_band, "before_2000")
    proofed = item.draught_proofed_pct
    return HousePart(
        id=item.id,
        key=item.key(),
        name=item.title,
        age_band=item.age_band,
        ventilation_age=item.ventilation_age or by_band,
        goes_by_band=item.ventilation_age is None,
        draught_proofed_pct=main.effective("draught_proofed_pct") if proofed is None else proofed,
        thermal_bridges=item.thermal_bridges or main.effective("thermal_bridges"),
        tested_m3_hm2=item.air_permeability_m3_hm2,
    )


class HouseParts:
    """The parts of one survey's house: the main house first, then its extensions in the order in which they were written down."""

    def __init__(self, survey: Survey, record: SurveyRecord):
        self.main = HousePart(
            id=None,
            key=record.key(),
            name=MAIN_HOUSE,
            age_band=record.age_band,
            ventilation_age=record.effective("ventilation_age"),
            goes_by_band=False,
            draught_proofed_pct=record.effective("draught_proofed_pct"),
            thermal_bridges=record.effective("thermal_bridges"),
            tested_m3_hm2=record.air_permeability_m3_hm2,
        )
        self.extensions = tuple(_extension(item, record) for item in survey.of_kind(Extension))
        by_id = {part.id: part for part in self.extensions}
        self._of_room: Mapping[str, HousePart | None] = {
            room.id: self.main if room.extension is None else by_id.get(room.extension) for room in survey.of_kind(Room)
        }

    @property
    def every(self) -> tuple[HousePart, ...]:
        """Return the main house and its extensions."""
        return (self.main, *self.extensions)

    def of_room(self, room: str | None) -> HousePart | None:
        """Return the part that a room is in: None where it names one that is not in this survey."""
        return self._of_room.get(room or "", self.main)

    def of_surface(self, surface: Surface) -> HousePart | None:
        """Return the part whose age a surface has; between two parts it is the older one's, which stood before the other was built."""
        own = self.of_room(surface.room)
        if surface.other_side != "room" or own is None:
            return own
        beyond = self.of_room(surface.other_room)
        return None if beyond is None else older((own, beyond))


def older(parts: Iterable[HousePart]) -> HousePart:
    """Return the part that was built first; one whose age nobody has said comes first of all, so that it is asked for.

    Parameters
    ----------
    parts : iterable of HousePart
        At least one.
    """
    return min(parts, key=lambda part: part.age_band or "")
