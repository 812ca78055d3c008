"""What to do on site to know a fact better, in plain words: one sentence for each kind of fact and how it is known."""

from __future__ import annotations

from ..answers.ranges import FactCode, How

#: How an input is known, after 'known'.
HOW_WORDS: dict[How, str] = {
    "measured": "by measuring",
    "maker": "from papers",
    "layers": "from its parts",
    "look": "by its look",
    "age": "by the age of the house",
    "assumed": "by assumption",
}

_BUILT = {
    "roof_loft": "Lift the hatch and measure the quilt in three places.",
    "wall_cavity": "Look for plugs of mortar from filling, and ask for papers; look into the cavity where a cable goes through.",
    "wall_cavity_filled": "Ask for the papers of the filling, and look into the cavity where a cable goes through.",
    "wall_solid_brick": "Knock for a lining, and measure the thickness at a door.",
    "wall": "Measure the thickness at a door, knock for a lining, and ask for papers of any insulation.",
    "partition": "Knock: is it boards on studs or brick? Measure its thickness.",
    "roof": "Look at an edge or a fitting where the insulation shows, and measure it.",
    "ceiling": "Lift the hatch and measure what lies on it.",
    "ground_floor": "Look through an air brick or under a board: what lies below, and how deep is the insulation?",
    "between": "Measure its thickness, and look through a light or under a board: is anything laid in it?",
    "floor": "Look from below or under a board: how deep is the insulation?",
    "window": "Read the mark between the panes, and look at the reflections of a flame.",
    "rooflight": "Read the mark between the panes.",
    "door": "Knock for a filling, and measure its glass.",
}

_REST: dict[FactCode, str] = {
    "bridges": "Count the edges by length with a value for each, or agree with the office to leave it.",
    "air": "Have the house tested for air-tightness; until then look at vents, chimneys, loft hatch and draught strips.",
    "space": "Write down its own walls, roof and air, so that it is worked out by its own balance.",
    "neighbour_k": "Ask whether the neighbours heat, and how warm.",
    "sizes": "Measure the room once more.",
    "pipes": "Measure the runs outside heated rooms, and how thick their insulation is.",
    "hot_water": "Ask how many people wash here, and how.",
    "heat_floors": "Find out how deep the insulation below the heated floor is.",
}


def advice_for(code: FactCode, about: str, element: str, how: How) -> str:
    """Return what to do on site to know this fact better, or an empty text where nothing on site would help."""
    if code == "u_value":
        return "" if how in ("maker", "layers") else _BUILT.get(about) or _BUILT.get(element, "")
    if code == "output":
        if about == "table":
            return "Look for the maker's mark, and write down the output of its papers."
        return (
            "Find out spacing and covering: photos of the laying, or a warm floor seen through a thermal camera."
            if how == "look"
            else ""
        )
    if how in ("measured", "maker") and code == "air":
        return ""
    return _REST[code]
