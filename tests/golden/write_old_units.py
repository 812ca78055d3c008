"""Work the figures of surveys of version 2 out anew, in which places said what their units are; look at the difference before you commit it.

The documents stay as they are: they, and at first the figures too, were written by a program that knew no unit's data but at its place.

Run it from the top folder: ``python -m tests.golden.write_old_units``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.golden.flat import lines_of, read_documents, read_lines, write_lines
from wattwalk.survey.document import Survey, read_document

FOLDER = Path(__file__).parent / "old_units"
#: Units that the taking over makes: of them the answer tells that they have no table, which nobody asked for before.
MADE = ("plant.units.unit-of-", "plant.units.second-of-")
#: What hangs on a unit: its zone, sound, base, water and supply, and how it bears the house's load.
FIGURES = (
    "site.zones.*.corners",
    "site.zones.*.is_makers",
    "site.zones.*.safety_class",
    "site.zones.*.top_m",
    "site.zones.*.unit",
    "site.zones.*.objects.*.state",
    "site.zones.*.clearances.*.has_mm",
    "site.zones.*.clearances.*.needs_mm",
    "site.zones.*.clearances.*.is_declared",
    "site.noise.*.level_dba",
    "site.noise.*.compared_dba",
    "site.noise.*.limit_dba",
    "site.noise.*.just_does_m",
    "site.bases.*.edge_mm",
    "site.bases.*.bearing_kpa",
    "site.bases.*.foot_kpa",
    "bases.*.fall_mm_m",
    "bases.*.feet.*.x_mm",
    "bases.*.feet.*.y_mm",
    "bases.*.feet.*.packing_mm",
    "site.circuit.load_kw",
    "site.circuit.flow_l_min",
    "site.circuit.index_kpa",
    "site.circuit.residual_kpa",
    "site.circuit.content_l",
    "site.circuit.open_l",
    "site.circuit.needed_l",
    "site.circuit.volumiser_l",
    "site.circuit.expansion_l",
    "site.supply.house_a",
    "site.supply.unit_a",
    "site.supply.demand_a",
    "site.supply.ask",
    "site.supply.cables.*.current_a",
    "site.supply.cables.*.drop_v",
    "plant.load_kw",
    "plant.units.*.is_chosen",
    "plant.units.*.capacity_kw",
    "plant.units.*.covers",
    "plant.units.*.electricity_kwh",
    "plant.units.*.verdict",
    "plant.hot_water.charges.*.minutes",
    "plant.hot_water.capacity_asked_kw",
)


def old_documents() -> dict[str, dict[str, Any]]:
    """Return the old documents by the name of their file."""
    return read_documents(FOLDER)


def kept_figures(name: str) -> list[str]:
    """Return the figures and findings that are kept of a document, a line for each."""
    return read_lines(FOLDER / f"{name}.txt")


def figures_of(survey: Survey) -> list[str]:
    """Return what is kept of a survey: no unit that was made."""
    return [line for line in lines_of(survey, FIGURES) if not line.startswith(MADE)]


if __name__ == "__main__":
    for name, document in old_documents().items():
        write_lines(FOLDER / f"{name}.txt", figures_of(read_document(document)))
