"""What the states of an answer are called, on every screen, drawing and paper.

The phone's copy is derived from these tables (``backend/tools/answer_types.py``), so a state is called the same everywhere.
"""

from __future__ import annotations

#: How serious a finding is.
SEVERITY_WORDS = {"stop": "Stops the job", "check": "Check", "note": "Note"}
#: A room's emitters.
VERDICT_WORDS = {"enough": "Enough", "short": "Too small", "no_emitter": "No emitter", "not_known": "Not known yet"}
#: An emitter in the water balance.
WATER_WORDS = {
    "as_designed": "Open",
    "throttled": "Throttled",
    "short": "Too small",
    "idle": "Shut",
    "not_known": "Not known yet",
}
#: An outdoor unit against the house.
UNIT_WORDS = {
    "covers": "Covers the house",
    "large": "Covers it, but is large",
    "short": "Too small",
    "too_cool": "Water not hot enough",
    "not_known": "Not known yet",
}
#: A cylinder in its place.
FIT_WORDS = {"fits": "Fits", "tight": "Tight", "too_small": "Does not fit", "not_known": "Not known yet"}
#: A cable run.
CABLE_WORDS = {
    "fine": "Nothing against it",
    "check": "Look again",
    "stop": "Stops the job",
    "not_known": "Not known",
}
#: A thing near the unit, against the protective zone.
STANDING_WORDS = {
    "inside": "Inside the zone",
    "dealt_with": "Inside, dealt with",
    "outside": "Outside the zone",
    "above": "Outside the zone, above it",
    "harmless": "No danger by itself",
    "not_known": "May be inside",
    "undecided": "Not inside; the maker's drawing decides",
}
#: How every drawing of the unit's place and base lies, and what left and right mean in all that is said of them.
PLACE_VIEW = "Seen from above, with your back to the wall"
#: The plan of a storey.
PLAN_STATE_WORDS = {
    "one": "One layout fits",
    "several": "Several layouts fit",
    "none": "No layout fits",
    "not_enough": "Not enough said yet",
    "not_solved": "Not solved",
}
#: Whether a room is warm over the whole range of its margin.
SURELY_WORDS = {"warm": "Surely enough", "short": "Surely too small", "either": "Could be either"}
#: A year of the present fuel against the year worked out.
AGREEMENT_WORDS = {
    "agree": "The bill bears it out",
    "bill_lower": "The bill says less",
    "bill_higher": "The bill says more",
}
#: Sets of carbon factors.
FACTOR_SETS = {"sap_10_2": "SAP 10.2", "sap_10_3": "SAP 10.3"}


def inside_a_sentence(words: str) -> str:
    """Return words for the middle of a sentence."""
    return words[:1].lower() + words[1:]
