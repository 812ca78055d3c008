"""The rest of the demo house: hot water, supply, outside, runs, design, price, works by trade, photos and hazards."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from wattwalk.unit_list import DEMO_UNITS, unit_records

Record = dict[str, Any]

#: Days of the week as `date.weekday` counts them.
MONDAY, FRIDAY, SUNDAY = 0, 4, 6

#: Readings of the rule up to the laser line, mm: rows from the wall outwards, left to right seen from the front.
_READINGS_MM = ((412.0, 413.5, 414.0), (413.5, 415.0, 416.0), (415.0, 416.0, 418.0))


def _inside() -> dict[str, list[Record]]:
    return {
        "hot_water": [
            {
                "id": "hot-water",
                "baths": 1,
                "showers": 1,
                "shower_flow_l_min": 9.5,
                "present_cylinder_l": 0,
                "present_condition": "None; the boiler heats tap water as it runs",
                "new_place": "Cupboard on the landing",
                "place_width_mm": 780,
                "place_depth_mm": 720,
                "place_height_mm": 2350,
                "door_width_mm": 700,
                "floor_can_carry": True,
                "mains_pressure_bar": 3.1,
                "mains_flow_l_min": 22,
                "discharge_route": "Down the outside of the back wall to the gully; a qualified person designs it.",
                "valve_outlet": "g_half",
                "d1_mm": 15,
                "d1_length_mm": 350,
                "discharge_elbows": 4,
                "discharge_drop_mm": 400,
                "discharge_fall_mm_m": 10,
            }
        ],
        "supply": [
            {
                "id": "supply",
                "main_fuse_a": 80,
                "phases": "one",
                "earthing": "tn_c_s",
                "looped": False,
                "cut_out_condition": "good",
                "spare_ways": 3,
                "loads": [
                    {"kind": "lighting", "current_a": 6},
                    {"kind": "sockets", "current_a": 32},
                    {"kind": "sockets", "current_a": 20},
                    {"kind": "cooker", "current_a": 39},
                ],
                "board_condition": "Metal board of 2019, in order",
                "large_loads": "Electric oven and hob, 9 kW together.",
            }
        ],
        "hazard": [
            {
                "id": "hazard-loft",
                "type": "loft_boards",
                "where": "Loft, all of it",
                "what_to_do": "Boards across the joists before any work; one person holds the ladder.",
            },
            {
                "id": "hazard-asbestos",
                "type": "asbestos",
                "where": "Grey board behind the boiler flue",
                "what_to_do": "Leave it alone. Tested before the boiler comes out.",
            },
        ],
        "note": [
            {"id": "note-dog", "words": "Ring before coming: the dog has to be walked first.", "audience": "office"}
        ],
    }


def _near(key: str, kind: str, along: float, out: float, up: float, **more: Any) -> Record:
    return {
        "id": f"object-{key}",
        "position": "position-back",
        "type": kind,
        "along_m": along,
        "out_m": out,
        "up_m": up,
        **more,
    }


def _nearby() -> list[Record]:
    return [
        _near(
            "air-brick",
            "air_brick",
            -1.2,
            0.0,
            0.15,
            name="Air brick of the dining room floor",
            remedy="close_off",
            remedy_done=False,
            notes="A new air brick 2.6 m further left keeps the void aired.",
        ),
        _near("gully", "gully", 2.4, 0.2, 0.0, name="Kitchen gully", remedy="none_needed"),
        _near("door", "door", 2.1, 0.0, 0.1, name="Kitchen door", remedy="none_needed"),
        _near("isolator", "isolator", -1.9, 0.0, 1.2, name="Place for the isolator", remedy="none_needed"),
        _near("window", "window", -1.0, 0.0, 1.1, name="Dining room window, upper sash", remedy="none_needed"),
    ]


def _outside() -> dict[str, list[Record]]:
    return {
        "outdoor_position": [
            {
                "id": "position-back",
                "name": "Back wall, left of the kitchen door",
                "wall_faced": "house_wall",
                "reflecting_surfaces": "two",
                "clear_back_mm": 250,
                "clear_left_mm": 1900,
                "clear_right_mm": 2200,
                "clear_front_mm": 6000,
                "clear_above_mm": 5000,
                "condensate_route": "gravel",
                "condensate_depth_mm": 700,
                "condensate_crosses_path": False,
                "neighbour_distance_m": 7.5,
                "neighbour_screened": "in_view",
            }
        ],
        "nearby_object": _nearby(),
        "base": [
            {
                "id": "base-back",
                "position": "position-back",
                "name": "Slab by the back wall",
                "made_of": "concrete",
                "length_mm": 1200,
                "width_mm": 800,
                "thickness_mm": 150,
                "stands_on": "gravel",
                "instrument": "laser_up",
                "notes": "Laid years ago for a shed; sound, no cracks.",
            }
        ],
        "level_reading": [
            {
                "id": f"reading-{row + 1}{place + 1}",
                "base": "base-back",
                "x_mm": 100 + 500 * place,
                "y_mm": 100 + 300 * row,
                "reading_mm": reading,
            }
            for row, line in enumerate(_READINGS_MM)
            for place, reading in enumerate(line)
        ],
    }


def _runs(day: date) -> dict[str, list[Record]]:
    return {"pipe_run": _pipes(day), "cable_run": _cables()}


def _pipes(day: date) -> list[Record]:
    return [
        {
            "id": "pipe-primary",
            "name": "Unit to the landing cupboard",
            "purpose": "primary",
            "start": "Outdoor unit",
            "end": "Cupboard on the landing",
            "stretches": [
                {"place": "outdoors", "length_m": 3.5},
                {"place": "void", "length_m": 6.0},
                {"place": "heated", "length_m": 3.0},
            ],
            "material": "copper",
            "size_mm": 28,
            "fittings": [{"kind": "bend", "count": 14}, {"kind": "full_bore_valve", "count": 4}],
            "insulation": "closed_cell",
            "insulation_mm": 25,
            "uv_proof": True,
            "constraint": "finished_floor",
            "other_route_agreed": "Up the outside wall in a boxed run and in above the bathroom ceiling; the oak floor of the dining room stays.",
            "agreed_on": visited_before(day).isoformat(),
        },
        {
            "id": "pipe-ground",
            "name": "Radiators of the ground floor",
            "purpose": "heating",
            "serves": "ground",
            "start": "Cupboard on the landing",
            "end": "Furthest radiator of the ground floor",
            "stretches": [{"place": "heated", "length_m": 4.0}, {"place": "void", "length_m": 11.0}],
            "material": "copper",
            "size_mm": 22,
            "carries_kw": 3.2,
            "fittings": [{"kind": "elbow", "count": 12}, {"kind": "tee_branch", "count": 2}],
            "end_drop_kpa": 6,
            "insulation": "closed_cell",
            "insulation_mm": 13,
            "constraint": "none",
        },
        {
            "id": "pipe-first",
            "name": "Radiators of the first floor",
            "purpose": "heating",
            "serves": "first",
            "start": "Cupboard on the landing",
            "end": "Furthest radiator of the first floor",
            "stretches": [{"place": "heated", "length_m": 9.0}],
            "material": "copper",
            "size_mm": 22,
            "carries_kw": 2.9,
            "fittings": [{"kind": "elbow", "count": 8}, {"kind": "tee_branch", "count": 2}],
            "end_drop_kpa": 5,
            "insulation": "none",
            "constraint": "none",
        },
        {
            "id": "pipe-discharge",
            "name": "Cylinder discharge",
            "purpose": "discharge",
            "start": "Cylinder",
            "end": "Gully at the back wall",
            "stretches": [{"place": "heated", "length_m": 2.0}, {"place": "outdoors", "length_m": 4.5}],
            "material": "copper",
            "size_mm": 28,
            "constraint": "none",
        },
    ]


def _cables() -> list[Record]:
    return [
        {
            "id": "cable-supply",
            "purpose": "supply",
            "cores": 3,
            "size_mm2": 6.0,
            "cable_type": "swa_xlpe",
            "device_a": 20,
            "start": "Consumer unit, hall",
            "end": "Isolator by the unit",
            "stretches": [{"place": "void", "length_m": 8.0}, {"place": "outdoors", "length_m": 3.0}],
            "method": "clipped",
            "protective_device": "The electrician decides",
            "run_by": "electrician",
            "is_there": False,
        },
        {
            "id": "cable-bus",
            "purpose": "bus",
            "cores": 2,
            "size_mm2": 0.75,
            "is_screened": True,
            "start": "Controller, landing cupboard",
            "end": "Outdoor unit",
            "stretches": [{"place": "heated", "length_m": 3.0}, {"place": "outdoors", "length_m": 6.5}],
            "method": "conduit",
            "parallel_to_mains_m": 2.5,
            "gap_to_mains_mm": 80,
            "shares_conduit_with_mains": False,
            "run_by": "electrician",
            "is_there": False,
        },
        {
            "id": "cable-sensor",
            "purpose": "sensor",
            "name": "Sensor of the cylinder",
            "cores": 2,
            "size_mm2": 0.5,
            "is_screened": True,
            "start": "Controller, landing cupboard",
            "end": "Cylinder",
            "stretches": [{"place": "heated", "length_m": 1.5}],
            "parallel_to_mains_m": 0,
            "gap_to_mains_mm": 200,
            "run_by": "us",
            "is_there": False,
        },
    ]


def _plant() -> dict[str, list[Record]]:
    def vessel(key: str, kind: str, **more: Any) -> Record:
        return {"id": f"vessel-{key}", "type": kind, "plan": "new", **more}

    return {
        "circuit": [
            {
                "id": "circuit",
                "fluid": "water",
                "frost_measure": "antifreeze_valves",
                "static_height_m": 2.5,
                "safety_valve_bar": 3,
                "precharge_bar": 1.0,
                "other_content_l": 9,
                "notes": "One weather-compensated temperature and one pump for all; hot water first by a three-port valve.",
            }
        ],
        "vessel": [
            vessel(
                "volumiser",
                "volumiser",
                name="Volumiser on the wall",
                litres=50,
                kv_m3_h=12,
                where="heated",
                clear_width_mm=520,
                width_mm=430,
                clear_height_mm=900,
                height_mm=780,
            ),
            vessel("expansion", "expansion", litres=24, where="heated"),
            vessel("dirt", "dirt_separator", kv_m3_h=14, is_magnetic=True, where="heated"),
            vessel("strainer", "strainer", kv_m3_h=9, where="outdoors"),
            vessel("antifreeze", "antifreeze_valve", count=2, where="outdoors"),
            vessel("isolation", "isolation_valve", count=2, kv_m3_h=40, where="outdoors"),
        ],
    }


def _office(day: date) -> dict[str, list[Record]]:
    return {
        "unit": [{**unit, "table_from": "an invented list, no maker's unit"} for unit in unit_records(DEMO_UNITS)],
        "design": [
            {
                "id": "design",
                "flow_temperature_c": 50,
                "flow_return_difference_k": 5,
                "unit": "unit-middle",
                "cylinder_name": "Cylinder of the 200 l class for heat pumps",
                "cylinder_l": 183,
                "cylinder_nominal_l": 200,
                "store_c": 50,
                "coil_m2": 2.2,
                "cylinder_loss_kwh": 1.45,
                "cylinder_height_mm": 1480,
                "cylinder_diameter_mm": 620,
                "cylinder_empty_kg": 58,
                "cylinder_kind": "unvented",
                "hygiene": "immersion",
                "remarks": "The study gets a bigger radiator. Everything else stays where it is.",
            }
        ],
        "price_line": _price_lines(),
        "scope_item": _works(day),
    }


def _line(
    name: str, what: str, part: str, quantity: float, unit: str, price: str, vat: str = "0", **more: Any
) -> Record:
    return {
        "id": f"price-{name}",
        "what": what,
        "part_of": part,
        "quantity": quantity,
        "unit": unit,
        "unit_price": price,
        "vat_rate": vat,
        **more,
    }


def _price_lines() -> list[Record]:
    return [
        _line(
            "unit",
            "Outdoor unit, 8 kW class, with controller",
            "unit",
            1,
            "each",
            "4380.00",
            drawn_from="unit-middle",
        ),
        _line(
            "cylinder",
            "Hot water cylinder, 200 l class, with valves",
            "hot_water",
            1,
            "each",
            "1640.00",
            drawn_from="hot-water",
        ),
        _line("plant", "Pump, dirt separator, expansion vessel, antifreeze valves", "unit", 1, "sum", "985.00"),
        _line(
            "study",
            "New radiator for the study, type 22, 600 × 1,200 mm",
            "emitters",
            1,
            "each",
            "232.00",
            drawn_from="emitter-study-new",
        ),
        _line(
            "pipe",
            "Insulated flow and return, copper 28 mm",
            "pipes",
            12.5,
            "m",
            "68.40",
            drawn_from="pipe-primary",
        ),
        _line(
            "cables",
            "Supply and bus cable, isolator, protective device",
            "electrical",
            1,
            "sum",
            "870.00",
            drawn_from="cable-supply",
        ),
        _line("base", "Packing plates and anti-vibration feet", "base", 1, "sum", "145.00", drawn_from="base-back"),
        _line("labour", "Fitting", "labour", 5, "day", "560.00"),
        _line("commissioning", "Commissioning, balancing and handing over", "labour", 1, "day", "590.00"),
        _line(
            "air-brick",
            "Close one air brick and set another",
            "base",
            1,
            "sum",
            "190.00",
            "20",
            drawn_from="object-air-brick",
        ),
        _line("making-good", "Boxing and making good", "other", 1, "sum", "320.00", "20"),
        _line(
            "grant",
            "Grant for an air-source heat pump, once it is approved",
            "other",
            1,
            "sum",
            "7500.00",
            is_credit="grant",
        ),
    ]


def _work(
    name: str,
    trade: str,
    what: str,
    specification: str,
    why: str,
    needed_by: str,
    drawn_from: str,
    *,
    asked: tuple[str, str] | None = None,
) -> Record:
    return {
        "id": f"scope-{name}",
        "trade": trade,
        "what": what,
        "specification": specification,
        "why": why,
        "needed_by": needed_by,
        "drawn_from": drawn_from,
        "state": "drafted",
        **({"asked_by": [{"code": asked[0], "record": asked[1]}]} if asked else {}),
    }


def _works(day: date) -> list[Record]:
    return [
        _work(
            "air-brick",
            "builder",
            "Close the air brick beside the unit and set a new one",
            "Brick up flush with sand and cement; new 215 × 140 mm air brick 2.6 m further left, same course, clear through to the void.",
            "Propane must not be able to reach the void under the floor.",
            _friday(day, 5),
            "object-air-brick",
            asked=("in_protective_zone", "nearby_object/object-air-brick"),
        ),
        _work(
            "supply",
            "electrician",
            "Supply to the outdoor unit",
            "Own circuit from the board in the hall, lockable isolator 1.9 m left of the unit's centre and outside the protective zone; size and protection by the electrician.",
            "The unit needs power on the day it is set.",
            _friday(day, 6),
            "cable-supply",
            asked=("cable_to_run", "cable_run/cable-supply"),
        ),
        _work(
            "bus",
            "electrician",
            "Bus cable to the outdoor unit",
            "Screened twisted pair 2 × 0.75 mm², 9.5 m, own conduit, at least 50 mm from mains, screen earthed at the controller only.",
            "Without it the unit and its controller cannot talk.",
            _friday(day, 6),
            "cable-bus",
            asked=("cable_to_run", "cable_run/cable-bus"),
        ),
        _work(
            "asbestos",
            "household",
            "Have the board behind the flue tested",
            "Sample taken by a licensed firm; keep the paper.",
            "Nobody may break it before it is known.",
            _friday(day, 4),
            "hazard-asbestos",
        ),
    ]


def _photos(visit: date) -> list[Record]:
    listed = (
        ("outside", "survey-demo", "outside", "The house from the lane", "09:05"),
        ("meter", "supply", "meter", "Meter and main fuse in the hall cupboard", "09:12"),
        ("board", "supply", "consumer_unit", "Consumer unit with three spare ways", "09:14"),
        ("boiler", "survey-demo", "present_heater", "The boiler in the kitchen", "09:31"),
        ("study", "emitter-study-old", "emitter", "Small radiator in the study, rust at the seam", "10:02"),
        ("damp", "room-bathroom", "damp", "Black spots behind the bathroom door", "10:15"),
        ("cupboard", "hot-water", "cylinder_place", "Landing cupboard, 780 mm wide", "10:21"),
        ("place", "position-back", "outdoor_place", "Back wall with the air brick and the slab", "10:40"),
        ("slab", "base-back", "base", "Slab with the rule on its nine points", "10:52"),
        ("route", "pipe-primary", "pipe_route", "Route up the back wall", "11:05"),
    )
    return [
        {
            "id": f"photo-{name}",
            "of": of,
            "category": category,
            "caption": caption,
            "taken_at": f"{visit}T{clock}:00Z",
        }
        for name, of, category, caption, clock in listed
    ]


def visited_before(day: date) -> date:
    """Return the last working day before a day: that of the visit."""
    return day - timedelta(days={MONDAY: 3, SUNDAY: 2}.get(day.weekday(), 1))


def _friday(day: date, weeks: int) -> str:
    """Return the first Friday that lies at least so many weeks ahead."""
    return (day + timedelta(weeks=weeks, days=(FRIDAY - day.weekday()) % 7)).isoformat()


def works(day: date) -> dict[str, list[Record]]:
    """Return every record of the demo house beyond its rooms, by kind, with dates told from a day."""
    return {
        **_inside(),
        **_outside(),
        **_runs(day),
        **_plant(),
        **_office(day),
        "photo": _photos(visited_before(day)),
    }
