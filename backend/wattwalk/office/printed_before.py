"""What the chapters before the record have printed of it, so that the technical file says no answer twice."""

from __future__ import annotations

from collections.abc import Iterable

from wattwalk.survey.building import Surface
from wattwalk.survey.chapters import CHAPTERS
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.kinds import Record
from wattwalk.survey.services import HotWater, Supply
from wattwalk.survey.site import NearbyObject, OutdoorPosition
from wattwalk.survey.standing import NO_UNIT, unit_at
from wattwalk.survey.unit import Unit
from wattwalk.survey.wording import is_recorded
from wattwalk.survey.works import Design, Photo, PriceLine, ScopeItem

from .chapters import LEFT_TO_THE_RECORD, UNIT_GROUPS
from .recorded import Printed
from .report_inputs import ReportInputs
from .room_working import printed_of_surfaces

#: What a row of a chapter says of each record of a kind.
_NEAR = frozenset({"name", "type", "along_m", "out_m", "up_m", "remedy", "remedy_done"})
_WORK = frozenset({"trade", "what", "specification", "why", "needed_by", "state", "drawn_from"})
_PRICE = frozenset(
    {
        "part_of",
        "what",
        "quantity",
        "unit_price",
        "vat_rate",
        "group",
        "is_hidden",
        "is_optional",
        "discount_percent",
        "discount_pounds",
    }
)
_PHOTO = frozenset({"caption", "category", "of"})


def _answered(record: Record, without: Iterable[str] = ()) -> frozenset[str]:
    kept = set(without)
    return frozenset(spec.name for spec in record.kind.fields if spec.name not in kept and is_recorded(spec, record))


def printed_before(inputs: ReportInputs) -> dict[str, Printed]:
    """Return what the chapters before the record print of each kind: a field only where its own chapter prints it.

    Rooms have a line for each surface that counts, places and works a row for each thing, a price a line for each charge;
    hot water, supply, place, design and the chosen unit are printed there as they were recorded.
    """
    survey, label = inputs.survey, {chapter.name: chapter.label for chapter in CHAPTERS}
    places = survey.of_kind(OutdoorPosition)
    standing = [unit for unit in (unit_at(survey, place) for place in places) if unit is not NO_UNIT]
    # A photo of the house as a whole does not say so under it.
    house = {item.id for item in survey.of_kind(SurveyRecord)}
    charges = {line.record for line in (*inputs.quote.charges(), *inputs.quote.optional())}
    units = {
        unit.id: frozenset(
            spec.name
            for spec in unit.kind.fields
            if spec.group in UNIT_GROUPS and spec.name not in LEFT_TO_THE_RECORD and is_recorded(spec, unit)
        )
        for unit in standing
    }
    found: dict[type[Record], tuple[str, dict[str, frozenset[str]]]] = {
        Surface: ("working", printed_of_surfaces(survey, inputs.assessment)),
        HotWater: ("water", {item.id: _answered(item) for item in survey.of_kind(HotWater)}),
        Supply: ("routes", {item.id: _answered(item) for item in survey.of_kind(Supply)}),
        OutdoorPosition: ("site", {item.id: _answered(item, ("name",)) for item in places}),
        NearbyObject: (
            "site",
            {item.id: _NEAR for place in places for item in survey.children(NearbyObject, place.id)},
        ),
        Unit: ("site", units),
        Design: ("site", {item.id: _answered(item, ("remarks",)) for item in survey.of_kind(Design)}),
        PriceLine: ("price", {item.id: _PRICE for item in survey.of_kind(PriceLine) if item.key() in charges}),
        ScopeItem: ("works", {item.id: _WORK for item in survey.of_kind(ScopeItem)}),
        Photo: (
            "photos",
            {item.id: _PHOTO - ({"of"} if item.of in house else set()) for item in survey.of_kind(Photo)},
        ),
    }
    return {kind.kind.name: Printed(label[chapter], fields) for kind, (chapter, fields) in found.items() if fields}
