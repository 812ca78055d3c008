"""The demo house in words: a semi-detached house of the nineteen-thirties, all of it invented.

Its plan, seen from the street (the neighbour is on the left)::

    back    dining 4.2 × 3.6 | kitchen 3.0 × 4.4      bedroom 2 4.2 × 3.6 | bathroom 3.0 × 2.8
                             |                                            | landing  3.0 × 2.3
    front   living 4.2 × 3.9 | hall    3.0 × 3.1      bedroom 1 4.2 × 3.9 | study    3.0 × 2.4
"""

from __future__ import annotations

from datetime import date
from typing import Any

from wattwalk.survey.box import said_again
from wattwalk.survey.document import DOCUMENT_VERSION

from .works import visited_before, works

#: The day from which the example document tells its dates, and everything that does not look at a clock.
EXAMPLE_DAY = date(2026, 3, 13)

GROUND_M, FIRST_M = 2.55, 2.45

Record = dict[str, Any]


def _survey(visit: date) -> Record:
    return {
        "id": "survey-demo",
        "reference": "TD-0042",
        "household_name": "Odalys and Percival Thimbleworth",
        "address": "7 Quillfeather Lane, Upper Muddlewick (an invented place)",
        # It cannot exist: Royal Mail's format never ends in V or K.  Its first letters only choose the climate.
        "postcode": "LS40 0VK",
        "contact_email": "thimbleworth@household.example",
        # Of the range that Ofcom keeps free for drama.
        "contact_phone": "01632 960123",
        "visit_date": visit.isoformat(),
        "surveyor": "Fennimore Okoro-Bell",
        "access_notes": "Side gate sticks. Friendly dog called Biscuit, kept in the dining room.",
        "dwelling": "semi_detached",
        "age_band": "C",
        "ventilation_age": "2000_to_2006",
        "bedrooms": 3,
        "occupants": 4,
        "ground_floor_area_m2": 54.0,
        "exposed_perimeter_m": 21.9,
        "nation": "england",
        "design_location": "manchester",
        "altitude_m": 96,
        "exposure": "normal",
        "present_fuel": "gas",
        "present_appliance": "Condensing boiler in the kitchen, about 14 years old",
        "present_boiler": "condensing",
        "present_use_kwh": 14800,
        "present_standing_p_day": 31.0,
        "fuel_leaves": False,
        "present_price_p_kwh": 6.9,
        "electricity_price_p_kwh": 25.4,
        "existing_deposit": "500.00",
        "aims": "An even warmth, the study above all, where somebody works all day. Quiet outside. Done before the autumn.",
        "vulnerable": False,
        "separate_neighbour": "annual_mean",
        # The rooms stay warm beside an empty house; the unit is not chosen for it, since the neighbours heat.
        "load_neighbours": "left_out",
    }


def _constructions() -> list[Record]:
    def look(name: str, label: str, element: str, seen: str, **more: Any) -> Record:
        return {
            "id": f"construction-{name}",
            "name": label,
            "element": element,
            "is_usual": True,
            "known_by": "look",
            "look": seen,
            **more,
        }

    return [
        look("wall", "Outside wall, cavity filled in 2009", "wall", "wall_cavity_filled", thickness_mm=270),
        look("party", "Wall to the neighbour", "wall", "party_brick", is_usual=False),
        look("brick", "Inside wall, brick", "partition", "partition_brick"),
        look("stud", "Inside wall, studs", "partition", "partition_stud", is_usual=False),
        look("window", "Double glazing, 2008", "window", "window_double_new"),
        look("door", "Outside door", "door", "door_solid"),
        look("inside-door", "Inside door", "door", "door_inside", is_usual=False),
        look("timber-floor", "Timber floor over a void", "ground_floor", "floor_suspended", insulation_mm=0),
        look(
            "kitchen-floor",
            "Kitchen floor, relaid 2021",
            "ground_floor",
            "floor_solid",
            insulation_mm=75,
            is_usual=False,
        ),
        look("between", "Floor between storeys", "floor", "floor_between"),
        look("loft", "Ceiling under the loft, 150 mm quilt", "ceiling", "roof_loft", insulation_mm=150),
        {
            "id": "construction-bathroom-wall",
            "name": "Bathroom wall, lined inside",
            "element": "wall",
            "known_by": "layers",
            "layers": [
                {"material": "Plasterboard", "thickness_mm": 12.5},
                {
                    "material": "Rigid polyurethane or PIR board",
                    "thickness_mm": 50,
                    "bridge_fraction": 0.12,
                    "bridge_conductivity_w_mk": 0.13,
                },
                {"material": "Brick, inner leaf", "thickness_mm": 105},
                {"material": "Blown mineral wool", "thickness_mm": 50},
                {"material": "Brick, outer leaf", "thickness_mm": 105},
            ],
        },
    ]


def _rooms() -> list[Record]:
    listed: tuple[tuple[str, str, str, str, float, float, dict[str, Any]], ...] = (
        ("living", "Living room", "ground", "living", 4.2, 3.9, {}),
        ("dining", "Dining room", "ground", "dining", 4.2, 3.6, {}),
        ("hall", "Hall", "ground", "hall", 3.0, 3.1, {}),
        ("kitchen", "Kitchen", "ground", "kitchen", 3.0, 4.4, {"extract_fan": True}),
        ("bedroom-1", "Front bedroom", "first", "bedroom", 4.2, 3.9, {"trickle_vents": True}),
        ("bedroom-2", "Back bedroom", "first", "bedroom", 4.2, 3.6, {"trickle_vents": True}),
        ("study", "Study", "first", "study", 3.0, 2.4, {}),
        ("landing", "Landing", "first", "hall", 3.0, 2.3, {}),
        (
            "bathroom",
            "Bathroom",
            "first",
            "bathroom",
            3.0,
            2.8,
            {"extract_fan": True, "damp_seen": True, "notes": "Black spots in the corner behind the door."},
        ),
    )
    return [
        {
            "id": f"room-{name}",
            "name": label,
            "storey": storey,
            "use": use,
            "length_m": length,
            "width_m": width,
            "height_m": GROUND_M if storey == "ground" else FIRST_M,
            **more,
        }
        for name, label, storey, use, length, width, more in listed
    ]


class _Surfaces:
    """Writes surfaces down in the order of the walk, with readable ids."""

    def __init__(self) -> None:
        self.records: list[Record] = []

    def add(
        self,
        room: str,
        element: str,
        side: str,
        construction: str,
        width_m: float,
        height_m: float,
        beyond: str,
        **more: Any,
    ) -> str:
        name = f"surface-{room}-{side}" + (
            f"-{more['other_room'].removeprefix('room-')}" if "other_room" in more else ""
        )
        self.records.append(
            {
                "id": name,
                "room": f"room-{room}",
                "element": element,
                "side": side,
                "construction": f"construction-{construction}",
                "width_m": width_m,
                "height_m": height_m,
                "other_side": beyond,
                **more,
            }
        )
        return name

    def to_room(
        self, room: str, element: str, side: str, construction: str, width_m: float, height_m: float, other: str
    ) -> str:
        return self.add(room, element, side, construction, width_m, height_m, "room", other_room=f"room-{other}")

    def opening(self, room: str, element: str, construction: str, width_m: float, height_m: float, host: str) -> None:
        self.records.append(
            {
                "id": f"{host}-{element}".replace("surface", "opening"),
                "room": f"room-{room}",
                "element": element,
                "construction": f"construction-{construction}",
                "opening_in": host,
                "width_m": width_m,
                "height_m": height_m,
            }
        )


def _ground_storey(surfaces: _Surfaces) -> None:
    front = surfaces.add("living", "wall", "front", "wall", 4.2, GROUND_M, "outside")
    surfaces.opening("living", "window", "window", 2.4, 1.5, front)
    surfaces.add("living", "wall", "left", "party", 3.9, GROUND_M, "neighbour")
    surfaces.to_room("living", "partition", "back", "brick", 4.2, GROUND_M, "dining")
    inside = surfaces.to_room("living", "partition", "right", "brick", 3.1, GROUND_M, "hall")
    surfaces.opening("living", "door", "inside-door", 0.8, 2.0, inside)
    surfaces.to_room("living", "partition", "right", "brick", 0.8, GROUND_M, "kitchen")
    surfaces.add("living", "ground_floor", "floor", "timber-floor", 4.2, 3.9, "ground")
    surfaces.to_room("living", "ceiling", "ceiling", "between", 4.2, 3.9, "bedroom-1")

    back = surfaces.add("dining", "wall", "back", "wall", 4.2, GROUND_M, "outside")
    surfaces.opening("dining", "window", "window", 1.8, 2.1, back)
    surfaces.add("dining", "wall", "left", "party", 3.6, GROUND_M, "neighbour")
    surfaces.to_room("dining", "partition", "right", "brick", 3.6, GROUND_M, "kitchen")
    surfaces.add("dining", "ground_floor", "floor", "timber-floor", 4.2, 3.6, "ground")
    surfaces.to_room("dining", "ceiling", "ceiling", "between", 4.2, 3.6, "bedroom-2")

    front = surfaces.add("hall", "wall", "front", "wall", 3.0, GROUND_M, "outside")
    surfaces.opening("hall", "door", "door", 0.9, 2.0, front)
    surfaces.opening("hall", "window", "window", 0.6, 1.2, front)
    surfaces.add("hall", "wall", "right", "wall", 3.1, GROUND_M, "outside")
    surfaces.to_room("hall", "partition", "back", "stud", 3.0, GROUND_M, "kitchen")
    surfaces.add("hall", "ground_floor", "floor", "timber-floor", 3.0, 3.1, "ground")
    surfaces.to_room("hall", "ceiling", "ceiling", "between", 3.0, 2.4, "study")
    surfaces.to_room("hall", "ceiling", "ceiling", "between", 3.0, 0.7, "landing")

    right = surfaces.add("kitchen", "wall", "right", "wall", 4.4, GROUND_M, "outside")
    surfaces.opening("kitchen", "window", "window", 1.2, 1.1, right)
    back = surfaces.add("kitchen", "wall", "back", "wall", 3.0, GROUND_M, "outside")
    surfaces.opening("kitchen", "door", "door", 0.85, 2.0, back)
    surfaces.add("kitchen", "ground_floor", "floor", "kitchen-floor", 3.0, 4.4, "ground")
    surfaces.to_room("kitchen", "ceiling", "ceiling", "between", 3.0, 1.6, "landing")
    surfaces.to_room("kitchen", "ceiling", "ceiling", "between", 3.0, 2.8, "bathroom")


def _first_storey(surfaces: _Surfaces) -> None:
    front = surfaces.add("bedroom-1", "wall", "front", "wall", 4.2, FIRST_M, "outside")
    surfaces.opening("bedroom-1", "window", "window", 2.0, 1.3, front)
    surfaces.add("bedroom-1", "wall", "left", "party", 3.9, FIRST_M, "neighbour")
    surfaces.to_room("bedroom-1", "partition", "back", "stud", 4.2, FIRST_M, "bedroom-2")
    surfaces.to_room("bedroom-1", "partition", "right", "stud", 2.4, FIRST_M, "study")
    inside = surfaces.to_room("bedroom-1", "partition", "right", "stud", 1.5, FIRST_M, "landing")
    surfaces.opening("bedroom-1", "door", "inside-door", 0.75, 2.0, inside)
    surfaces.add("bedroom-1", "ceiling", "ceiling", "loft", 4.2, 3.9, "unheated", unheated_space="loft_felted")

    back = surfaces.add("bedroom-2", "wall", "back", "wall", 4.2, FIRST_M, "outside")
    surfaces.opening("bedroom-2", "window", "window", 1.8, 1.3, back)
    surfaces.add("bedroom-2", "wall", "left", "party", 3.6, FIRST_M, "neighbour")
    surfaces.to_room("bedroom-2", "partition", "right", "stud", 0.8, FIRST_M, "landing")
    surfaces.to_room("bedroom-2", "partition", "right", "stud", 2.8, FIRST_M, "bathroom")
    surfaces.add("bedroom-2", "ceiling", "ceiling", "loft", 4.2, 3.6, "unheated", unheated_space="loft_felted")

    front = surfaces.add("study", "wall", "front", "wall", 3.0, FIRST_M, "outside")
    surfaces.opening("study", "window", "window", 1.2, 1.2, front)
    surfaces.add("study", "wall", "right", "wall", 2.4, FIRST_M, "outside")
    inside = surfaces.to_room("study", "partition", "back", "stud", 3.0, FIRST_M, "landing")
    surfaces.opening("study", "door", "inside-door", 0.75, 2.0, inside)
    surfaces.add("study", "ceiling", "ceiling", "loft", 3.0, 2.4, "unheated", unheated_space="loft_felted")

    right = surfaces.add("landing", "wall", "right", "wall", 2.3, FIRST_M, "outside")
    surfaces.opening("landing", "window", "window", 0.6, 1.0, right)
    inside = surfaces.to_room("landing", "partition", "back", "stud", 3.0, FIRST_M, "bathroom")
    surfaces.opening("landing", "door", "inside-door", 0.75, 2.0, inside)
    surfaces.add("landing", "ceiling", "ceiling", "loft", 3.0, 2.3, "unheated", unheated_space="loft_felted")

    surfaces.add("bathroom", "wall", "right", "bathroom-wall", 2.8, FIRST_M, "outside")
    back = surfaces.add("bathroom", "wall", "back", "bathroom-wall", 3.0, FIRST_M, "outside")
    surfaces.opening("bathroom", "window", "window", 1.0, 1.0, back)
    surfaces.add("bathroom", "ceiling", "ceiling", "loft", 3.0, 2.8, "unheated", unheated_space="loft_felted")


def _emitters() -> list[Record]:
    def panel(name: str, room: str, kind: str, height: float, length: float, plan: str = "keep", **more: Any) -> Record:
        return {
            "id": f"emitter-{name}",
            "room": f"room-{room}",
            "type": kind,
            "plan": plan,
            "height_mm": height,
            "length_mm": length,
            "branch_pipe": "copper_15",
            "valve": "thermostatic",
            "condition": "good",
            **more,
        }

    return [
        panel("living", "living", "panel_22", 600, 2000),
        panel("dining", "dining", "panel_22", 600, 1800),
        panel("hall", "hall", "panel_22", 600, 1400),
        {
            "id": "emitter-kitchen",
            "room": "room-kitchen",
            "type": "underfloor",
            "plan": "keep",
            "heated_area_m2": 10.4,
            "pipe_spacing_mm": 150,
            "covering": "tile",
            "floor_system": "screed",
            "screed_over_pipe_mm": 45,
            "pipe_outer_mm": 16,
            "manifold_place": "Under the sink",
        },
        panel("bedroom-1", "bedroom-1", "panel_21", 600, 1400),
        panel("bedroom-2", "bedroom-2", "panel_21", 600, 1400),
        panel(
            "study-old",
            "study",
            "panel_11",
            450,
            800,
            "replace",
            branch_pipe="copper_10",
            condition="rust",
            notes="Too small, and rust at the lower seam.",
        ),
        panel("study-new", "study", "panel_22", 600, 1200, "new"),
        panel("landing", "landing", "panel_11", 600, 800),
        panel("bathroom", "bathroom", "panel_22", 600, 1200),
        {
            "id": "emitter-bathroom-rail",
            "room": "room-bathroom",
            "type": "towel_rail",
            "plan": "keep",
            "height_mm": 1200,
            "length_mm": 500,
            "branch_pipe": "copper_15",
            "valve": "hand",
            "condition": "good",
        },
    ]


def _as_rooms(surfaces: list[Record], rooms: list[Record]) -> list[Record]:
    """Return the surfaces without the sizes that their rooms' boxes say."""
    by_id = {room["id"]: room for room in rooms}
    left_out = {surface["id"]: said_again(surface, by_id[surface["room"]]) for surface in surfaces}
    return [
        {name: value for name, value in surface.items() if name not in left_out[surface["id"]]} for surface in surfaces
    ]


def house(day: date = EXAMPLE_DAY) -> dict[str, Any]:
    """Return the demo survey as a document; its photo records still lack the hashes of their pictures.

    Parameters
    ----------
    day : date
        The day on which it is filled in: the house was visited on the working day before, and all works lie ahead.
    """
    surfaces = _Surfaces()
    _ground_storey(surfaces)
    _first_storey(surfaces)
    rooms = _rooms()
    records = {
        "survey": [_survey(visited_before(day))],
        "construction": _constructions(),
        "room": rooms,
        "surface": _as_rooms(surfaces.records, rooms),
        "emitter": _emitters(),
        **works(day),
    }
    return {"format": "wattwalk-survey", "version": DOCUMENT_VERSION, "id": "demo-house", "records": records}
