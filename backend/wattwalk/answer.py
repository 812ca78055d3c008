"""What is worked out of a survey, as one plain answer: the office's API and the phone's worker give the very same.

Standard library only, like all that it leans on, so that the phone runs it as it stands.
"""

from __future__ import annotations

import dataclasses
import json
from typing import Any

from . import pictures
from .engine import as_object, assess, draw_up, to_plain
from .engine.answers import Assessment
from .engine.answers.plan import Plans
from .engine.gaps import every_gap
from .engine.ranges import work_out_ranges
from .offers import suggestions
from .offers.options import option_ids, option_row
from .pictures import DARK, PAPER, Palette
from .survey.book import Book, with_book
from .survey.document import Survey, make_survey
from .survey.firm import PriceBook
from .survey.kinds import Record
from .survey.site import Base
from .survey.standing import unit_on
from .survey.stored import make_record

#: Widths of the drawings in their own units: for a page, and for a phone of 360 px less its margins.
WIDE, NARROW = 640.0, 312.0


def rest(survey: Survey, assessed: Assessment, day: str | None = None) -> dict[str, Any]:
    """Return the gaps, the works and price lines that the survey asks for, how sure the figures are, and every drawing as SVG text, for light and for dark.

    ``day`` (``YYYY-MM-DD``) is the one that the grant is held against; without it nothing is said of it.
    """
    return {
        "gaps": [dataclasses.asdict(gap) for gap in every_gap(survey, assessed)],
        "suggestions": dataclasses.asdict(suggestions(survey, assessed.findings, day)),
        "ranges": dataclasses.asdict(work_out_ranges(survey, assessed)),
        "pictures": _draw(survey, assessed, PAPER),
        "pictures_dark": _draw(survey, assessed, DARK),
    }


def plans(survey: Survey, assessed: Assessment) -> dict[str, Any]:
    """Return the plans of the storeys and their drawings, which belong among the other drawings.

    ``places`` has where each room lies in the drawing of its storey, as shares of its width and height, for who taps it.
    """
    found = draw_up(survey)
    return {
        "plans": {
            **to_plain(found),
            "places": _places(found, WIDE),
            "narrow_places": _places(found, NARROW),
        },
        "pictures": _plans_drawn(survey, assessed, found, PAPER),
        "pictures_dark": _plans_drawn(survey, assessed, found, DARK),
    }


def _places(found: Plans, width: float) -> dict[str, dict[str, tuple[float, float, float, float]]]:
    return {storey.storey: pictures.storey_places(storey, width) for storey in found.storeys}


def _plans_drawn(survey: Survey, assessed: Assessment, found: Plans, palette: Palette) -> dict[str, Any]:
    losses = {room.id: room for room in assessed.rooms}
    things = pictures.placed_things(survey)

    def drawn(width: float) -> dict[str, str]:
        each = {storey.storey: pictures.storey_plan(storey, losses, things, palette, width) for storey in found.storeys}
        return {name: svg for name, svg in each.items() if svg is not None}

    return {"plans": drawn(WIDE), "narrow": {"plans": drawn(NARROW)}}


def together(rest_of: dict[str, Any], plans_of: dict[str, Any]) -> dict[str, Any]:
    """Return what goes with the figures and the plans as one, the drawings of both together."""
    joined = {**rest_of, "plans": plans_of["plans"]}
    for name in ("pictures", "pictures_dark"):
        more = plans_of[name]
        narrow = {**rest_of[name]["narrow"], **more["narrow"]}
        joined[name] = {**rest_of[name], "plans": more["plans"], "narrow": narrow}
    return joined


def _draw(survey: Survey, assessed: Assessment, palette: Palette) -> dict[str, Any]:
    """Return every drawing by its name, and under ``narrow`` those that a phone shows without scrolling sideways."""
    site = assessed.site
    return {
        **_drawn_to(survey, assessed, palette, WIDE),
        "circuit": pictures.circuit_scheme(site.circuit, site.runs, palette) if site.circuit is not None else None,
        "cables": pictures.cable_schedule(assessed.cables, site.supply.cables if site.supply else (), palette)
        if assessed.cables
        else None,
        "narrow": _drawn_to(survey, assessed, palette, NARROW),
    }


def _drawn_to(survey: Survey, assessed: Assessment, palette: Palette, width: float) -> dict[str, Any]:
    bases = {}
    for base in assessed.bases:
        record = survey.find(Base, base.id)
        heavy = unit_on(survey, record).heavy_side if record is not None else None
        bases[base.id] = pictures.base_plan(base, heavy, palette, width)
    return {
        "room_losses": pictures.room_losses(assessed, palette, width) if assessed.rooms else None,
        "flow": pictures.flow_search(assessed, palette, width) if assessed.flow is not None else None,
        "compensation": pictures.compensation(assessed, palette, width) if assessed.compensation is not None else None,
        "improvements": pictures.improvements(assessed, palette, width)
        if assessed.improvements is not None and assessed.improvements.in_turn
        else None,
        "cost": pictures.cost_bars(assessed, palette, width) if assessed.plant.cost is not None else None,
        "bases": bases,
        "zones": {
            plan.id: pictures.zone_plan(plan, palette, width, feet=pictures.feet_at(survey, assessed, plan.id))
            for plan in assessed.site.zones
        },
    }


#: What was read of each record, by its holder, kind and id: the values and what they made.
_Read = dict[tuple[str, str, str], tuple[dict[str, Any], Record | None]]


class Desk:
    """Where the phone's worker works one survey out again and again while it is being answered.

    A record whose values are as before is not read anew. Gaps and drawings come by themselves, after the figures that everybody waits for.
    """

    def __init__(self) -> None:
        self._records: _Read = {}
        self._survey: Survey | None = None
        self._assessed: Assessment | None = None
        self._day: str | None = None
        self._articles = ""
        self._prices: PriceBook | None = None

    def take_articles(self, articles: str) -> None:
        """Take the firm's articles, from which lines are priced from now on; they are read when the first price is asked for.

        Parameters
        ----------
        articles : str
            JSON text of a list of ``{"id", "values"}``, those that are in the book today.
        """
        self._articles, self._prices = articles, None

    def figures(self, request: str) -> str:
        """Work a survey out and return its figures as JSON text.

        Parameters
        ----------
        request : str
            JSON text of ``{"id", "records": [{"kind", "id", "values"}], "book": [{"kind", "id", "values", "left"}]}``, both in the order in
            which they were made. ``book`` is what the firm's book holds of the kinds that surveys lean on, those that have left it with ``left``;
            ``day``, where it is there, the day by which rates and grant are held.

        Returns
        -------
        str
            JSON text of ``{"assessment"}``.
        """
        given = json.loads(request)
        self._day = given.get("day")
        known, self._records = self._records, {}
        own = [self._read(known, "", item) for item in given["records"]]
        firms = [(item.get("left", False), self._read(known, "book", item)) for item in given.get("book", [])]
        book = Book(
            tuple(record for has_left, record in firms if record is not None and not has_left),
            tuple(record for has_left, record in firms if record is not None and has_left),
        )
        self._survey = with_book(make_survey(given["id"], own), book)
        self._assessed = assess(self._survey)
        # Written straight from the results, which takes half the time of making plain values first.
        return as_text({"assessment": self._assessed})

    def _read(self, known: _Read, holder: str, item: dict[str, Any]) -> Record | None:
        """Return the record that an item makes, the same as before where its values are."""
        key = (holder, item["kind"], item["id"])
        read = known.get(key)
        if read is None or read[0] != item["values"]:
            read = (item["values"], make_record(item["kind"], item["id"], item["values"]))
        self._records[key] = read
        return read[1]

    def rest(self) -> str:
        """Return what goes with the figures that were worked out last, as JSON text of ``{"gaps", "suggestions", "ranges", "pictures", "pictures_dark"}``."""
        if self._survey is None or self._assessed is None:
            raise ValueError("No survey has been worked out yet, so there is nothing to go with it.")
        return as_text(rest(self._priced(self._survey), self._assessed, self._day))

    def option_names(self) -> str:
        """Return the options of the survey that was worked out last as JSON text: a list of ids, the first empty for the survey as it stands."""
        return as_text([name or "" for name in option_ids(self._present())])

    def option(self, name: str) -> str:
        """Work one option of the last survey out (the survey as it stands under no name) and return its row as JSON text; it takes as long as the survey itself."""
        if self._day is None:
            raise ValueError("An option has a price, and a price has a day: the request must say one.")
        return as_text({"option": option_row(self._present(), name or None, self._day)})

    def _present(self) -> Survey:
        if self._survey is None:
            raise ValueError("No survey has been worked out yet, so it has no options.")
        return self._priced(self._survey)

    def _priced(self, survey: Survey) -> Survey:
        """Return the survey with the firm's articles, where they have come."""
        if self._prices is None and self._articles:
            self._prices = PriceBook(stored=((item["id"], item["values"]) for item in json.loads(self._articles)))
        return dataclasses.replace(survey, prices=self._prices)

    def plans(self) -> str:
        """Return the plans of the survey that was worked out last, as JSON text of ``{"plans", "pictures", "pictures_dark"}``: asked for last, since nothing waits for them."""
        if self._survey is None or self._assessed is None:
            raise ValueError("No survey has been worked out yet, so there is no plan of it.")
        return as_text(plans(self._survey, self._assessed))


def as_text(answer: dict[str, Any] | list[Any]) -> str:
    """Return an answer as JSON text, the same bytes on every machine."""
    # No answer holds itself, so nobody looks for a circle; one would end in a RecursionError.
    return json.dumps(
        answer, ensure_ascii=False, allow_nan=False, check_circular=False, separators=(",", ":"), default=as_object
    )
