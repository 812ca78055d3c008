"""A part of the house of another age than the main house: an extension, a conversion."""

from __future__ import annotations

from .fields import AT_OFFICE, choice, integer, number, text
from .household import AGE_BANDS, BRIDGE_ALLOWANCES, VENTILATION_AGES
from .kinds import Part, Record, record_kind
from .purposes import HEAT_LOSS


@record_kind(
    "extension",
    "Extension",
    "Extensions",
    stage="household",
    part=Part("rooms", photo="outside"),
    title=("name",),
    groups=(("what", "What it is"), ("air", "Air-tightness and thermal bridges")),
    help="A part of another age than the main house: an extension, a loft or garage conversion. Each room then says which part it is in.",
)
class Extension(Record):
    """One part of the house that was built at another time; what it does not say is as in the main house."""

    name: str | None = text("Name", group="what", max_length=60, needed_for=HEAT_LOSS, help="Such as: rear extension.")
    age_band: str | None = choice(
        "Built",
        AGE_BANDS,
        group="what",
        needed_for=HEAT_LOSS,
        spoils="Without it no usual wall, roof or floor of its rooms can be taken from its age.",
        help="When this part was built or converted. The years are those of England and Wales.",
    )
    ventilation_age: str | None = choice(
        "Air-tightness by age",
        VENTILATION_AGES,
        group="air",
        help="Leave empty to go by when it was built.",
    )
    air_permeability_m3_hm2: float | None = number(
        "Air leakage, if this part was tested by itself",
        unit="m³/hm²",
        low=0.1,
        high=50,
        decimals=2,
        group="air",
        help="At 50 Pa, from its own certificate. A test of the whole house belongs to the house.",
    )
    draught_proofed_pct: int | None = integer(
        "Windows and doors draught-proofed",
        unit="%",
        low=0,
        high=100,
        group="air",
        help="Leave empty when it is as in the main house.",
    )
    thermal_bridges: str | None = choice(
        "Allowance for thermal bridges",
        BRIDGE_ALLOWANCES,
        group="air",
        help="Leave empty when it is counted as in the main house.",
        answered=AT_OFFICE,
    )
