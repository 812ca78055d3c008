"""The survey's choices of method, in words with where each comes from."""

from __future__ import annotations

from wattwalk.survey.building import Room
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.parts import HousePart, HouseParts
from wattwalk.survey.works import Design

from .answers import PartOfHouse
from .answers.rounding import figure
from .fabric.bridges import LENGTHS
from .unit.load import LOAD_CHOICES

_OPTIONS = (
    "design_percentile",
    "height_gradient",
    "room_temperatures",
    "default_tables",
    "thermal_bridges",
    "ground_kind",
    "ground_convention",
    "separate_neighbour",
    "ventilation_method",
    "ventilation_age",
    "air_heat",
    *LOAD_CHOICES,
)


def _chosen_words(record: SurveyRecord | Design, name: str) -> str:
    """Return what was chosen, and whether by a person or by default."""
    spec = record.kind.field(name)
    value = record.effective(name)
    shown = spec.choice_label(value) if spec.choices else f"{value:g} {spec.unit}".strip()
    basis = "chosen in the survey" if getattr(record, name) is not None else f"default: {spec.default_from}"
    return f"{shown} ({basis})"


def option_words(record: SurveyRecord | Design, name: str) -> str:
    """Return one choice as a line: label, what was chosen, and whether by a person or by default."""
    return f"{record.kind.field(name).label}: {_chosen_words(record, name)}"


def load_switches(record: SurveyRecord) -> dict[str, str]:
    """Return what was chosen of each thing that the unit's load may count, by its name; the term that it stands beside says of what."""
    return {name: _chosen_words(record, name) for name in LOAD_CHOICES}


def _age_words(record: SurveyRecord, part: HousePart) -> str:
    """Return what hangs on the age of a part of the house, as one line."""
    label = record.kind.field("age_band").choice_label
    built = "when it was built has not been said" if part.age_band is None else f"built {label(part.age_band)}"
    tight = ""
    if part.ventilation_age is not None:
        of_age = record.kind.field("ventilation_age").choice_label(part.ventilation_age).lower()
        tight = f"; air-tightness by age: {of_age}{' (by when it was built)' if part.goes_by_band else ''}"
    tested = ""
    if part.tested_m3_hm2 is not None:
        tested = f"; air leakage tested{'' if part.id is None else ' by itself'}: {figure(part.tested_m3_hm2)} m³/hm²"
    bridges = record.kind.field("thermal_bridges").choice_label(part.thermal_bridges)
    return f"{built}{tight}{tested}; thermal bridges: {bridges[0].lower()}{bridges[1:]}"


def part_answers(survey: Survey, record: SurveyRecord, parts: HouseParts) -> tuple[PartOfHouse, ...]:
    """Return each part of the house with its age and its rooms; none where the house has only one part."""
    if not parts.extensions:
        return ()
    rooms = [(parts.of_room(room.id), room.id) for room in survey.of_kind(Room)]
    return tuple(
        PartOfHouse(
            part.id or "",
            part.name,
            part.age_band,
            _age_words(record, part),
            tuple(room for of, room in rooms if of is not None and of.key == part.key),
        )
        for part in parts.every
    )


def methods(record: SurveyRecord, design: Design, parts: HouseParts) -> tuple[str, ...]:
    """Return every choice of method that shaped the figures, in words."""
    fixed: tuple[str, ...] = (
        "Thermal bridges are counted by their lengths, with no allowance on any surface."
        if record.effective("thermal_bridges") == LENGTHS
        else "Thermal bridges are allowed for on surfaces to outside air and to unheated spaces; the ground's own formula holds its edge.",
        "A suspended floor is counted to outside air, its void and ground being in its U-value; a slab to the yearly mean outside.",
        "Air by leakage: each room by itself, at a wind of 4 m/s, with windows opened where little leaks in.",
        "Flows between rooms count in each room and cancel in the house; the load for the unit counts a room that others keep warm as needing nothing, and no heat from neighbours.",
        "Radiators by the arithmetic mean difference down to a ratio of 0.7, below that by the logarithmic mean; real radiators lie within about 10 % of it.",
        "Heated floors by types A, B and C of EN 1264, held to a surface of 29 °C, 35 °C along outside walls, 9 K above the room in bathrooms, 27 °C under timber: pipes in screed by its limit curves, plates and boards by their mean surface alone.",
        "What a heated floor loses downward sizes its water; in the load for the unit it counts beyond what the floor's own surface loses.",
        "Every way of counting the air is shown beside the one used; mechanical ventilation only once the heat that its unit recovers is written down.",
    )
    chosen = tuple(option_words(record, name) for name in _OPTIONS)
    if record.outside_annual_mean_c is None:
        fixed = (
            "The yearly mean outside, by which the ground and the year's heat go, is that of the region at the height typical of it (SAP 10.2, Table U1, which has no rule for a house's own height); only the design cold is carried up to the house.",
            *fixed,
        )
    if parts.extensions:
        chosen = (*chosen, *(f"{part.name}: {_age_words(record, part)}" for part in parts.every))
    if record.effective("ground_convention") == "en_12831_2017":
        chosen = (*chosen, option_words(record, "ground_water"))
    if record.effective("separate_neighbour") == "cold":
        chosen = (*chosen, option_words(record, "neighbour_temperature_c"))
    if record.outside_annual_mean_c is not None:
        spec = record.kind.field("outside_annual_mean_c")
        chosen = (*chosen, f"{spec.label}: {record.outside_annual_mean_c:g} {spec.unit}")
    if record.effective("heating_up") != "continuous":
        chosen = (*chosen, option_words(record, "heating_up_drop"), option_words(record, "heating_up_hours"))
    if record.effective("exposure") == "exposed":
        chosen = (*chosen, option_words(record, "exposure_allowance"))
    return (
        *chosen,
        option_words(design, "flow_temperature_c"),
        option_words(design, "flow_return_difference_k"),
        *fixed,
    )
