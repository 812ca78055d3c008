"""The highest demand of house and unit with diversity, phase by phase, against the main fuse; and what to ask of the network operator."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import fsum

from wattwalk.catalogue import Row, table
from wattwalk.survey.known import known
from wattwalk.survey.services import ALL_PHASES, PHASES, THREE, Supply
from wattwalk.survey.standing import missing_of
from wattwalk.survey.unit import Unit

from ..answers import CableSizing, Finding, PhaseDemand, Severity, Step, SupplyAssessment
from ..answers.citing import COMMON_PRACTICE, DECLARED, SURVEYOR, cite_row, finding
from ..answers.rounding import figure, listed, rounded, rounded_if_any

DIVERSITY, LIMITS = "load_diversity_2018", "supply_limits_2026"
VOLTS = 230.0
ELECTRICIAN = "A planning figure: a qualified electrician designs, installs, tests and certifies."
#: Common practice, no source: a phase that carries so many times what another one does is worth sharing out.
UNEVEN = 2.0

#: A current on each phase, A; a house of a single phase has the first one alone.
ByPhase = Mapping[str, float]


def diversified_a(loads: Sequence[tuple[str, float]]) -> float:
    """Return the highest demand of several loads ``(kind, current in A)`` with diversity, A.

    Parameters
    ----------
    loads : sequence of (str, float)
        Kind of each load and its current, A.

    Examples
    --------
    >>> round(diversified_a([('lighting', 6), ('cooker', 32)]), 2)
    20.56
    """
    return fsum(item.part_a for item in _diversified(loads))


@dataclass(frozen=True)
class _Diversified:
    """A load with the part of its current that counts, A: ``first + (current − first) · share + added``."""

    kind: str
    current_a: float
    first_a: float
    share: float
    added_a: float

    @property
    def part_a(self) -> float:
        """What counts of it, A."""
        return self.first_a + (self.current_a - self.first_a) * self.share + self.added_a

    @property
    def words(self) -> str:
        """How that is reckoned."""
        rest = (
            f"({figure(self.current_a, 1)} − {figure(self.first_a, 1)})" if self.first_a else figure(self.current_a, 1)
        )
        first = f"{figure(self.first_a, 1)} + " if self.first_a else ""
        return f"{first}{rest} × {figure(self.share)}{f' + {figure(self.added_a, 1)}' if self.added_a else ''}"


def _diversified(loads: Sequence[tuple[str, float]]) -> list[_Diversified]:
    """Return each load with its share: the largest of a pool first, as the rules take them."""
    pools: dict[str, list[tuple[str, float]]] = {}
    for kind, current in loads:
        pools.setdefault(table(DIVERSITY).get(kind=kind).word("pool"), []).append((kind, current))
    found = []
    shares = ("largest_share", "second_share")
    for pooled in pools.values():
        # A pool goes by the rule of the load that was named last in it, as all of a pool have the same.
        row = table(DIVERSITY).get(kind=pooled[-1][0])
        for place, (kind, current) in enumerate(sorted(pooled, key=lambda item: -item[1])):
            share = row.number(shares[place] if place < 2 else "further_share")
            found.append(_Diversified(kind, current, min(current, row.number("first_a")), share, row.number("added_a")))
    return found


@dataclass
class Said:
    """What is gathered on the way: what is missing, the steps, the findings."""

    missing: list[str]
    steps: list[Step]
    findings: list[Finding]


def phases_of(supply: Supply | None) -> tuple[str, ...]:
    """Return the phases of a supply: the three, or the first one alone, also while nobody has said."""
    return PHASES if supply is not None and supply.phases == THREE else PHASES[:1]


def _loads_of(supply: Supply, phase: str, is_single: bool) -> list[tuple[str, float]] | None:
    """Return the loads of one phase by kind and current in A, or None while one of the house's is not known."""
    loads = []
    for row in supply.loads or []:
        kind, current, on = row.get("kind"), row.get("current_a"), row.get("phase")
        if kind is None or current is None or (on is None and not is_single):
            return None
        if is_single or on in (phase, ALL_PHASES):
            loads.append((str(kind), float(current)))
    return loads if supply.loads else None


def _house_a(supply: Supply, phase: str, said: Said) -> float | None:
    """Return what the house draws from one phase as it is, A, or None while a load of it is not known."""
    phases = phases_of(supply)
    is_single = len(phases) == 1
    what = "The house as it is" if is_single else f"The house as it is, phase {phase}"
    metered = supply.existing_demand_a if is_single else getattr(supply, f"demand_l{phase}_a")
    how = "highest metered demand"
    if metered is None and not is_single and supply.existing_demand_a is not None:
        metered, how = supply.existing_demand_a, "highest metered demand of any phase, counted on each"
    if metered is not None:
        said.steps.append(Step(what, how, "", rounded(metered, 1), "A", SURVEYOR))
        return float(metered)
    loads = _loads_of(supply, phase, is_single)
    if loads is None:
        return None
    house = diversified_a(loads)
    label = supply.kind.field("loads").rows[0].choice_label
    said.steps.append(
        Step(
            what,
            "each load by its diversity",
            "; ".join(f"{label(item.kind).lower()} {item.words} A" for item in _diversified(loads)) or "no load",
            rounded(house, 2),
            "A",
            cite_row(table(DIVERSITY).rows[0]),
        )
    )
    return house


def _house(supply: Supply | None, said: Said) -> ByPhase | None:
    """Return what the house draws from each phase as it is, A, or None while that of a phase is not known."""
    found = {phase: None if supply is None else _house_a(supply, phase, said) for phase in phases_of(supply)}
    if all(value is not None for value in found.values()):
        return {phase: known(value) for phase, value in found.items()}
    words = "the house's loads by circuit, or its highest metered demand"
    said.missing.append(words if len(found) == 1 else f"{words}: of each phase")
    return None


def _unit_a(unit: Unit, said: Said) -> float | None:
    """Return what the unit draws at most with its backup heater from each phase that it is on, A."""
    if unit.maximum_current_a is None:
        said.missing.extend(missing_of(unit, "maximum_current_a"))
        return None
    has_three = unit.effective("phases") == THREE
    heater = (unit.backup_heater_kw or 0.0) * 1000 / VOLTS / (3 if has_three else 1)
    drawn = unit.maximum_current_a + heater
    said.steps.append(
        Step(
            "The unit, on each of its three phases" if has_three else "The unit",
            f"highest current, in full; its backup heater at {figure(VOLTS, 0)} V beside it{', a third on each phase' if has_three else ''}",
            f"{figure(unit.maximum_current_a, 1)} A + {figure(heater, 1)} A",
            rounded(drawn, 2),
            "A",
            DECLARED,
        )
    )
    return drawn


def _cannot_be(supply: Supply | None, unit: Unit, said: Said) -> bool:
    """Say whether supply, loads and unit cannot belong together, each with its finding."""
    if supply is None or supply.phases == THREE:
        return False
    before = len(said.findings)
    if unit.effective("phases") == THREE and supply.phases is not None:
        said.findings.append(
            finding(
                Severity.STOP,
                "unit_needs_three_phases",
                supply.key(),
                "phases",
                "The unit needs three phases; the house has a single one.",
                "Choose a unit for a single phase, or ask the network operator for a supply of three phases before anything is ordered.",
                DECLARED,
            )
        )
        said.missing.append("a supply of three phases, which the unit needs")
    if supply.phases is not None and any(row.get("phase") not in (None, PHASES[0]) for row in supply.loads or []):
        said.findings.append(
            finding(
                Severity.CHECK,
                "load_on_no_phase",
                supply.key(),
                "loads",
                "A load is said to be on phase 2, on phase 3 or on all three; the house has a single phase.",
                "Correct the phase of the load, or the phases of the supply.",
                SURVEYOR,
            )
        )
        said.missing.append("loads that lie on the phase that there is")
    return len(said.findings) > before


def _placed(supply: Supply, unit: Unit, house: ByPhase, drawn: float, fuse: float | None, said: Said) -> ByPhase:
    """Return what the unit draws from each phase, A: from the one that was chosen, or the one that carries the least."""
    if len(house) == 1 or unit.effective("phases") == THREE:
        return dict.fromkeys(house, drawn)
    phase = supply.unit_phase
    if phase is None:
        phase = min(house, key=lambda name: (house[name], name))
        fullest = max(house, key=lambda name: (house[name], name))
        over = (
            ""
            if fuse is None or house[fullest] + drawn <= fuse + 1e-9
            else f", more than the main fuse of {figure(fuse, 0)} A"
        )
        said.findings.append(
            finding(
                Severity.CHECK,
                "unit_phase_open",
                supply.key(),
                "unit_phase",
                f"Nobody has said on which phase the unit is. It is counted on phase {phase}, which carries the least; on phase {fullest} it would come to {figure(house[fullest] + drawn, 1)} A{over}.",
                f"Choose the phase with the electrician. {ELECTRICIAN}",
            )
        )
    return {name: drawn if name == phase else 0.0 for name in house}


def work_out_demand(
    supply: Supply | None, unit: Unit, cables: tuple[CableSizing, ...]
) -> tuple[SupplyAssessment, list[Finding]]:
    """Return the highest demand of each phase against the main fuse, and the findings.

    Parameters
    ----------
    supply : Supply or None
        The supply as it was seen.
    unit : Unit
        The unit that stands at the first place.
    cables : tuple of CableSizing
        Its power cables, worked out before.

    Notes
    -----
    Diversity counts on each phase by itself, and so does the network operator's limit (common practice, no source; from memory).
    """
    said = Said([], [], [])
    is_refused = _cannot_be(supply, unit, said)
    house, drawn = _house(supply, said), _unit_a(unit, said)
    fuse = None if supply is None else supply.main_fuse_a
    if fuse is None:
        said.missing.append("the main fuse")
    units: ByPhase | None = None
    together: ByPhase | None = None
    if supply is not None and house is not None and drawn is not None and not is_refused:
        units = _placed(supply, unit, house, drawn, fuse, said)
        together = {phase: house[phase] + units[phase] for phase in house}
        for phase, drawn_here in together.items():
            said.steps.append(
                Step(
                    f"Highest demand with the unit{'' if len(house) == 1 else f', phase {phase}'}",
                    "house + unit",
                    f"{figure(house[phase], 2)} + {figure(units[phase], 2)}",
                    rounded(drawn_here, 2),
                    "A",
                    COMMON_PRACTICE,
                )
            )
    # The fullest phase decides; until the unit is placed, the one that the house draws most from.
    loaded = together or house
    fullest = None if not loaded else max(loaded, key=lambda phase: (known(loaded)[phase], phase))
    demand = None if together is None or fullest is None else together[fullest]
    row = table(LIMITS).get(limit="notify_up_to")
    ask, reasons = _ask(supply, demand, fuse, row.number("value_a"), fullest)
    result = SupplyAssessment(
        house_a=None if house is None or fullest is None else rounded(house[fullest], 2),
        unit_a=rounded_if_any(drawn, 2),
        demand_a=rounded_if_any(demand, 2),
        fuse_a=None if fuse is None else float(fuse),
        ask=ask,
        words=_words(ask, reasons, demand, supply),
        cables=cables,
        missing=tuple(said.missing),
        steps=tuple(said.steps),
        phases=()
        if house is None or len(house) == 1
        else tuple(
            PhaseDemand(
                phase,
                rounded(house[phase], 2),
                None if units is None else rounded(units[phase], 2),
                None if together is None else rounded(together[phase], 2),
            )
            for phase in house
        ),
    )
    return result, said.findings + _demand_findings(supply, result, together, fuse, row)


def _on(supply: Supply | None, phase: str | None) -> str:
    """Return on which phase, in words, where there are several."""
    return "" if len(phases_of(supply)) == 1 or phase is None else f" on phase {phase}"


def _words(ask: str | None, reasons: Sequence[str], demand: float | None, supply: Supply | None) -> str:
    if ask == "apply":
        return f"Apply to the network operator before connecting: {'; '.join(reasons)}."
    if ask == "notify":
        at_most = "" if len(phases_of(supply)) == 1 else " at most on any phase"
        return f"Connect and notify: with {figure(known(demand), 1)} A{at_most} the network operator is told within 28 days; the adequacy of the supply is looked at first."
    return "Whether to notify or to apply cannot be said yet."


def _ask(
    supply: Supply | None, demand: float | None, fuse: float | None, notify_up_to: float, fullest: str | None
) -> tuple[str | None, list[str]]:
    if supply is None:
        return None, []
    reasons = []
    if demand is not None and demand > notify_up_to + 1e-9:
        reasons.append(
            f"the highest demand would be {figure(demand, 1)} A{_on(supply, fullest)}, more than {figure(notify_up_to, 0)} A"
        )
    if demand is not None and fuse is not None and demand > fuse + 1e-9:
        reasons.append(f"it is more than the main fuse of {figure(fuse, 0)} A")
    if supply.looped:
        reasons.append("the supply is looped")
    if supply.cut_out_condition in ("old", "unsafe"):
        reasons.append("the cut-out does not look sound")
    if reasons:
        return "apply", reasons
    is_known = demand is not None and fuse is not None and supply.cut_out_condition == "good" and supply.looped is False
    return ("notify", []) if is_known else (None, [])


def _demand_findings(
    supply: Supply | None, result: SupplyAssessment, together: ByPhase | None, fuse: float | None, row: Row
) -> list[Finding]:
    if supply is None:
        return []
    findings = []
    over = [] if together is None or fuse is None else [name for name in together if together[name] > fuse + 1e-9]
    if together is not None and fuse is not None and over:
        even = fsum(together.values()) / len(together)
        shared = (
            f"Shared out evenly it would be {figure(even, 1)} A on each phase: move loads to another phase. "
            if len(together) > 1 and even <= fuse
            else ""
        )
        draws = listed([f"{figure(together[name], 1)} A{_on(supply, name)}" for name in over])
        findings.append(
            finding(
                Severity.STOP,
                "fuse_too_small",
                supply.key(),
                "main_fuse_a",
                f"With the unit the house would draw up to {draws}; the main fuse is {figure(fuse, 0)} A.",
                f"{shared}Shed or shift loads, have the demand metered (tables are pessimistic), or have the supply made larger by the network operator before the unit is connected. {ELECTRICIAN}",
                cite_row(row),
            )
        )
    if together is not None and max(together.values()) > UNEVEN * min(together.values()) + 1e-9:
        low, *_, high = sorted(together, key=lambda name: (together[name], name))
        findings.append(
            finding(
                Severity.NOTE,
                "phases_uneven",
                supply.key(),
                "loads",
                f"Phase {high} would carry {figure(together[high], 1)} A and phase {low} {figure(together[low], 1)} A: more than twice as much.",
                f"Share the loads out more evenly where circuits can be moved. {ELECTRICIAN}",
            )
        )
    if result.ask == "apply" and together is not None:
        findings.append(
            finding(
                Severity.CHECK,
                "apply_to_network",
                supply.key(),
                "main_fuse_a",
                result.words,
                "Send the application with the unit's data sheet now; the answer can take weeks.",
                cite_row(row),
            )
        )
    elif result.ask == "notify":
        findings.append(
            finding(
                Severity.NOTE,
                "notify_network",
                supply.key(),
                None,
                result.words,
                f"The installer sends the form. {ELECTRICIAN}",
                cite_row(row),
            )
        )
    return findings
