"""Work the figures of old surveys out anew, in which every side of a room still stores its size; look at the difference before you commit it.

The documents stay as they are: they, and at first the figures too, were written by a program that knew no side without a size of its own.

Run it from the top folder: ``python -m tests.golden.write_old_sizes``.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.golden.flat import lines_of, read_documents, read_lines, write_lines
from wattwalk.survey.document import Survey, read_document

FOLDER = Path(__file__).parent / "old_sizes"
#: What hangs on the size of a side, from the side itself to the whole house.
FIGURES = (
    "rooms.*.floor_area_m2",
    "rooms.*.volume_m3",
    "rooms.*.total_w",
    "rooms.*.output_w",
    "rooms.*.verdict",
    "rooms.*.lowest_flow_c",
    "rooms.*.surfaces.*.net_area_m2",
    "rooms.*.surfaces.*.loss_w",
    "building.total_w",
    "building.unit_size_w",
    "building.floor_area_m2",
    "building.coefficient_w_k",
    "flow.lowest_c",
    "flow.set_by_room",
    "plant.load_kw",
)


def old_documents() -> dict[str, dict[str, Any]]:
    """Return the old documents by the name of their file."""
    return read_documents(FOLDER)


def kept_figures(name: str) -> list[str]:
    """Return the figures and findings that are kept of a document, a line for each."""
    return read_lines(FOLDER / f"{name}.txt")


def figures_of(survey: Survey) -> list[str]:
    """Return what is kept of a survey."""
    return lines_of(survey, FIGURES)


if __name__ == "__main__":
    for name, document in old_documents().items():
        write_lines(FOLDER / f"{name}.txt", figures_of(read_document(document)))
