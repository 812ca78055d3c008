"""Heat carried out of a room by air: the usual air changes of its use and age, or the surveyor's own figure."""

from __future__ import annotations

from wattwalk.catalogue import table
from wattwalk.survey.building import Room
from wattwalk.survey.household import SurveyRecord

from .citing import COMMON_PRACTICE, SURVEYOR, cite_row
from .results import Finding, Severity, VentilationLoss
from .rounding import TEMPERATURE, WATTS, figure, rounded

AIR_CHANGES = "room_air_changes_heating_design_guide"
CHIMNEYS = "open_chimney_heating_design_guide"

#: Heat content of air, Wh/m³K: UK practice and SAP; EN 12831:2003 has 0.34.
HEAT_WH_M3K = 0.33

_COLUMN = {"before_2000": "before_2000_h", "2000_to_2006": "from_2000_to_2006_h", "after_2006": "after_2006_h"}


def ventilation_loss(air_changes_h: float, volume_m3: float, difference_k: float, heat_wh_m3k: float = HEAT_WH_M3K) -> float:
    """Return the heat in W carried by air: ``heat × air changes × volume × difference``.

    Parameters
    ----------
    air_changes_h : float
        Air changes per hour, 1/h.
    volume_m3 : float
        Volume of the room, m³.
    difference_k : float
        Inside less outside, K.
    heat_wh_m3k : float
        Heat content of air, Wh/m³K.
    """
    return heat_wh_m3k * air_changes_h * volume_m3 * difference_k


def with_open_chimney(air_changes_h: float, volume_m3: float) -> tuple[float, str]:
    """Return the air changes of a room with an open chimney, and the source.

    The tabulated rate of such a room takes the place of a lower usual rate; a room bigger than the table
    keeps the flow of the table's biggest room.
    """
    rows = table(CHIMNEYS).rows
    for row in rows:
        if volume_m3 <= row.number("up_to_m3"):
            return max(air_changes_h, row.number("air_changes_h")), cite_row(row)
    last = rows[-1]
    return max(air_changes_h, last.number("air_changes_h") * last.number("up_to_m3") / volume_m3), cite_row(last)


def room_ventilation(room: Room, record: SurveyRecord, name: str, volume_m3: float, difference_k: float) -> tuple[VentilationLoss | None, float, list[Finding]]:
    """Return a room's ventilation loss, its unrounded watts, and what is to be said about it.

    The loss is None when neither a rate nor the room's use is known.
    """
    findings = []
    if room.air_changes_h is not None:
        rate, words, source = room.air_changes_h, "as written in the survey", SURVEYOR
    elif room.use is not None:
        age = record.effective("ventilation_age")
        row = table(AIR_CHANGES).get(use=room.use)
        rate = row.number(_COLUMN[age])
        label = record.kind.field("ventilation_age").choice_label(age).lower()
        words, source = f"usual for {room.kind.field('use').choice_label(room.use).lower()}, {label}", cite_row(row)
        if room.open_chimney:
            rate, source = with_open_chimney(rate, volume_m3)
            words = "room with an open chimney"
            findings.append(
                Finding(
                    Severity.NOTE, "open_chimney", room.key(), "open_chimney",
                    f"{name} has an open chimney: {figure(rate, 2)} air changes an hour are taken, a figure from memory that rules the room's loss.",
                    "Close the chimney off with a vented cap if it is not used, or write down a measured rate.", source,
                )
            )
    else:
        return None, 0.0, findings
    if room.damp_seen:
        findings.append(
            Finding(
                Severity.CHECK, "damp_seen", room.key(), "damp_seen", f"Damp or mould was seen in {name}.",
                "Find the cause before the heating changes: a leak, a cold corner, or too little fresh air.", COMMON_PRACTICE,
            )
        )
    watts = ventilation_loss(rate, volume_m3, difference_k)
    loss = VentilationLoss(
        rounded(rate, 3), rounded(volume_m3, 3), HEAT_WH_M3K, rounded(difference_k, TEMPERATURE), rounded(watts, WATTS), words, source
    )
    return loss, watts, findings
