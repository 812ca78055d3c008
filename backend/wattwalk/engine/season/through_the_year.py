"""The house through a year: its weather-compensation line, what the heating takes, what would lower it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord

from ..answers import Climate, Compensation, EnergyEstimate, Finding, Improvements
from ..fabric.constructions import Constructions
from ..rooms.heated import HIGHEST_C, HeatedRoom
from .compensation import HeatCurve, compensation, floor_findings, heat_curve
from .heating_year import estimate
from .improvements import House, improve
from .year_load import YearPart, together


@dataclass(frozen=True)
class Season:
    """What can be said of the house through a year; None where it cannot be said yet."""

    compensation: Compensation | None = None
    energy: EnergyEstimate | None = None
    improvements: Improvements | None = None


def through_the_year(
    survey: Survey,
    record: SurveyRecord,
    rooms: Sequence[HeatedRoom],
    flow_c: float,
    difference_k: float,
    climate: Climate | None,
    terms: Sequence[YearPart],
    *,
    constructions: Constructions,
) -> tuple[Season, list[Finding]]:
    """Return the house through a year at its design flow, and the findings.

    Parameters
    ----------
    survey, record
        The survey and its household record.
    rooms : sequence of HeatedRoom
        Every room with its emitters.
    flow_c, difference_k : float
        Flow temperature at the design cold, °C, and flow less return, K.
    climate : Climate or None
        Without one nothing can be said.
    terms : sequence of YearPart
        What the heating has to give through a year; none while the house's loss is not known.
    constructions : Constructions
        What the house and its parts are made of, valued.
    """
    if climate is None:
        return Season(), []
    warnings = [finding for room in rooms for finding in floor_findings(room, flow_c)]
    basis = heat_curve(rooms, float(HIGHEST_C), difference_k, climate.outside_c)

    def curve_of(wanted_c: float, exponent: float | None = None) -> HeatCurve | None:
        if basis is None or wanted_c - difference_k <= basis.inside_c:
            return None
        return replace(basis, flow_c=wanted_c, exponent=basis.exponent if exponent is None else exponent)

    curve, load = curve_of(flow_c), together(terms)
    # A line for a flow that leaves a room cold at every temperature would promise what no water can do.
    is_served = not any(room.needs_heat and room.has_emitter and room.serves(HIGHEST_C) is False for room in rooms)
    line = compensation(curve, climate) if curve is not None and is_served else None
    energy = estimate(terms, curve, climate, record.electricity_price_p_kwh) if curve is not None and terms else None
    changes = None
    is_known = load.line_w_k > 0 and all(
        room.serves(flow_c) is not None for room in rooms if room.needs_heat and room.has_emitter
    )
    if is_known and any(room.needs_heat and room.has_emitter for room in rooms):
        changes = improve(
            House(
                survey,
                record,
                rooms,
                difference_k,
                climate,
                load,
                curve_of,
                constructions=constructions,
            )
        )
    return Season(line, energy, changes), warnings
