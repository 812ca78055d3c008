"""What the heating costs in a year and how much carbon it gives off, against the present fuel: a range, not a promise."""

from __future__ import annotations

from dataclasses import dataclass

from wattwalk.catalogue import Row, table
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.wording import long_date

from ..answers import CarbonLine, CostLine, Finding, Grant, RunningCost, Severity, Step
from ..answers.citing import COMMON_PRACTICE, SURVEYOR, cite_row
from ..answers.rounding import figure, rounded, rounded_if_any
from ..answers.words import FACTOR_SETS, inside_a_sentence
from ..season.heating_year import pounds
from .by_day import grant_of_day, row_of_day

PRICES, FACTORS, EFFICIENCIES = "fuel_prices_2026", "carbon_factors_2025", "appliance_efficiencies_2026"
#: The designer's choice of what a year's heat goes by, as the design says it.
BY_BILL = "bill"
#: Common practice, no source: a unit's real efficiency lies within this of the one worked out; the heat worked out is at most so much too high.
EFFICIENCY_APART, HEAT_TOO_HIGH = 0.10, 0.25


def break_even(electricity_p_kwh: float, fuel_p_kwh: float, efficiency: float) -> float:
    """Return the seasonal efficiency from which a heat pump costs no more than a fuel: ``p_el / p_fuel · η``.

    Parameters
    ----------
    electricity_p_kwh, fuel_p_kwh : float
        Prices in p/kWh; the fuel's is more than nothing.
    efficiency : float
        Efficiency of the appliance that burns it, on the same (gross) heat.

    Examples
    --------
    >>> round(break_even(24.5, 6.2, 0.88), 2)
    3.48
    """
    return electricity_p_kwh / fuel_p_kwh * efficiency


def cost_of_heat(price_p_kwh: float, efficiency: float) -> float:
    """Return the price of a useful kWh in p: ``price / efficiency``.

    Parameters
    ----------
    price_p_kwh : float
        Price of the fuel, p/kWh.
    efficiency : float
        Useful heat for each kWh of fuel.

    Examples
    --------
    >>> round(cost_of_heat(6.2, 0.88), 2)
    7.05
    """
    return price_p_kwh / efficiency


@dataclass(frozen=True)
class Price:
    """A price in p/kWh, and in words where it is from."""

    p_kwh: float
    words: str


@dataclass(frozen=True)
class HeatYear:
    """Heat of a year and the electricity that the heat pump takes for it, kWh; ``words`` say what is in it."""

    heat_kwh: float
    electricity_kwh: float
    words: str


def _price(record: SurveyRecord, fuel: str) -> Price | None:
    typed = record.electricity_price_p_kwh if fuel == "electricity" else record.present_price_p_kwh
    if fuel == "electricity" and typed is None and record.present_fuel == "electricity":
        typed = record.present_price_p_kwh
    if typed is not None:
        return Price(typed, "the household's own price")
    row = row_of_day(PRICES, record.visit_date, fuel=fuel)
    return (
        None
        if row is None
        else Price(
            row.number("price_p_kwh"),
            f"{cite_row(row)}, which held on the day of the visit and ended on {long_date(row.word('last_day'))}: ask for the present price",
        )
    )


@dataclass(frozen=True)
class Share:
    """Lowest and highest efficiency of the present appliance, in words where they are from, and their source."""

    low: float
    high: float
    words: str
    source: str


def efficiencies_of(record: SurveyRecord) -> Share:
    """Return the efficiency of the present appliance."""
    if record.present_efficiency_pct is not None:
        share = record.present_efficiency_pct / 100
        return Share(share, share, f"{figure(record.present_efficiency_pct, 0)} %, as written down", SURVEYOR)
    rows = table(EFFICIENCIES).where("fuel", known(record.present_fuel))
    wanted = [
        row for row in rows if record.present_boiler is None or row.word("appliance") in (record.present_boiler, "any")
    ]
    low, high = min(row.number("low") for row in wanted), max(row.number("high") for row in wanted)
    return Share(low, high, f"{figure(100 * low, 0)} to {figure(100 * high, 0)} %", cite_row(wanted[0]))


def assess_cost(
    record: SurveyRecord, year: HeatYear | None, heat_by: str = BY_BILL
) -> tuple[RunningCost | None, list[Finding]]:
    """Return a year's cost and carbon of the heat pump beside the present fuel, or None while neither is known.

    Parameters
    ----------
    record : SurveyRecord
        Fuel, use, prices.
    year : HeatYear or None
        The heat of a year as worked out, and the heat pump's electricity for it.
    heat_by : str
        Whether the heat goes by the bill where there is one, or as worked out: the designer's choice.
    """
    if year is None and record.present_use_kwh is None:
        return None, []
    findings: list[Finding] = []
    steps: list[Step] = []
    missing = [] if year is not None else ["the year's heat and the heat pump's efficiency"]
    fuel = record.present_fuel if record.present_fuel != "none" else None
    share = None if fuel is None else efficiencies_of(record)
    heat, words = _heat(record, year, share, steps, heat_by)
    electricity = _price(record, "electricity")
    present = None if fuel is None else _price(record, fuel)
    asked = [("electricity", electricity, "electricity_price_p_kwh")]
    if fuel is not None and fuel != "electricity":
        asked.append((fuel, present, "present_price_p_kwh"))
    for wanted, found, field in asked:
        if found is None:
            findings.append(_price_asked(record, wanted, field))
            missing.append(f"the price of {_fuel_words(record, wanted)}")
    lines = []
    if fuel is not None and share is not None and heat is not None:
        # Both sides heat the same house: by the choice of the bill, or not.
        use = record.present_use_kwh if heat_by == BY_BILL else None
        takes = (use, use) if use is not None else (heat[0] / share.high, heat[1] / share.low)
        lines.append(_line("present", f"At present: {_fuel_words(record, fuel)}", takes, present, fuel, steps))
    efficiency = None
    if year is not None and heat is not None and year.electricity_kwh > 0:
        efficiency = year.heat_kwh / year.electricity_kwh
        takes = (heat[0] / (efficiency * (1 + EFFICIENCY_APART)), heat[1] / (efficiency * (1 - EFFICIENCY_APART)))
        steps += [_efficiency_step(year, efficiency), _electricity_step(heat, efficiency, takes)]
        lines.append(_line("heat_pump", "Heat pump", takes, electricity, "electricity", steps))
    even = None
    if share is not None and fuel != "electricity" and electricity is not None and present is not None:
        even = _even(electricity, present, share, steps)
    if even is not None and efficiency is not None:
        findings += _against_even(record, efficiency, even)
    grant = _grant(record, findings)
    saved = _saved(lines)
    result = RunningCost(
        lines=tuple(lines),
        heat_low_kwh=None if heat is None else rounded(heat[0], 0),
        heat_high_kwh=None if heat is None else rounded(heat[1], 0),
        efficiency=rounded_if_any(efficiency, 2),
        break_even_low=None if even is None else rounded(even[0], 2),
        break_even_high=None if even is None else rounded(even[1], 2),
        saved_low_pounds=None if saved is None else f"{rounded(saved[0], 0):.2f}",
        saved_high_pounds=None if saved is None else f"{rounded(saved[1], 0):.2f}",
        grant=grant,
        words=(
            *words,
            *_standing(record),
            "A range, not a promise: weather, tariff and how the house is lived in move it more than the heat pump does.",
        ),
        missing=tuple(missing),
        steps=tuple(steps),
        source=COMMON_PRACTICE,
    )
    return result, findings


def _efficiency_step(year: HeatYear, efficiency: float) -> Step:
    return Step(
        "Efficiency of the year, heating and hot water",
        "heat / electricity",
        f"{figure(year.heat_kwh, 0)} / {figure(year.electricity_kwh, 0)} kWh ({year.words})",
        rounded(efficiency, 2),
        "",
        COMMON_PRACTICE,
    )


def _electricity_step(heat: tuple[float, float], efficiency: float, takes: tuple[float, float]) -> Step:
    apart = figure(100 * EFFICIENCY_APART, 0)
    return Step(
        f"Electricity of the heat pump, at most (efficiency ± {apart} %)",
        "heat / (efficiency · (1 ± apart))",
        f"{figure(heat[0], 0)} kWh / ({figure(efficiency)} × {figure(1 + EFFICIENCY_APART)}) = {figure(takes[0], 0)} kWh at least; {figure(heat[1], 0)} kWh / ({figure(efficiency)} × {figure(1 - EFFICIENCY_APART)})",
        rounded(takes[1], 0),
        "kWh",
        COMMON_PRACTICE,
    )


def _even(electricity: Price, present: Price, share: Share, steps: list[Step]) -> tuple[float, float] | None:
    """Return the efficiencies from which the heat pump costs no more, by the present appliance at its worst and at its best."""
    if present.p_kwh <= 0:
        return None
    low, high = (break_even(electricity.p_kwh, present.p_kwh, each) for each in (share.low, share.high))
    steps.append(
        Step(
            "Efficiency from which the heat pump costs no more",
            "p_el / p_fuel · η",
            f"{figure(electricity.p_kwh)} / {figure(present.p_kwh)} p/kWh · {share.words}",
            rounded(high, 2),
            "",
            COMMON_PRACTICE,
        )
    )
    return low, high


def _fuel_words(record: SurveyRecord, fuel: str | None) -> str:
    return (
        "the present fuel"
        if fuel is None
        else record.kind.field("present_fuel").choice_label(fuel).lower().replace("lpg", "LPG")
    )


def _heat(
    record: SurveyRecord,
    year: HeatYear | None,
    share: Share | None,
    steps: list[Step],
    heat_by: str,
) -> tuple[tuple[float, float] | None, tuple[str, ...]]:
    """Return the lowest and highest heat of a year in kWh, and in words where they are from."""
    use = record.present_use_kwh
    if share is not None and use is not None and heat_by == BY_BILL:
        found = use * share.low, use * share.high
        steps.append(
            Step(
                "Heat of a year from the present use",
                "use · η",
                f"{figure(use, 0)} kWh · {share.words}",
                rounded(found[1], 0),
                "kWh",
                share.source,
            )
        )
        words = f"The heat is what the present use of {figure(use, 0)} kWh gives at {share.words}: {figure(found[0], 0)} to {figure(found[1], 0)} kWh a year. Cooking and fires are in it if they burn the same fuel."
        worked = (
            f" Worked out here it would be {figure(year.heat_kwh, 0)} kWh ({year.words})." if year is not None else ""
        )
        return found, (words + worked,)
    if year is None:
        return None, ()
    found = year.heat_kwh * (1 - HEAT_TOO_HIGH), year.heat_kwh
    by_bill = "a year's use of the present fuel would say it better"
    if share is not None and use is not None:
        by_bill = f"the designer chose this over the bill, which gives {figure(use * share.low, 0)} to {figure(use * share.high, 0)} kWh"
    steps.append(
        Step(
            "Heat of a year as worked out",
            "0.75 to 1 · heat",
            f"{figure(year.heat_kwh, 0)} kWh ({year.words})",
            rounded(found[0], 0),
            "kWh",
            COMMON_PRACTICE,
        )
    )
    return found, (
        f"The heat is {figure(found[0], 0)} to {figure(found[1], 0)} kWh a year, worked out from the house ({year.words}); {by_bill}.",
    )


def _line(
    key: str, name: str, energy: tuple[float, float], price: Price | None, fuel: str, steps: list[Step]
) -> CostLine:
    carbon = []
    for row in table(FACTORS).where("fuel", fuel):
        factor = row.number("carbon_kg_kwh")
        carbon.append(
            CarbonLine(
                row.word("factor_set"), rounded(energy[0] * factor, 0), rounded(energy[1] * factor, 0), cite_row(row)
            )
        )
        steps.append(_carbon_step(name, row, energy))
    p_kwh = None if price is None else price.p_kwh
    low, high = energy
    return CostLine(
        key=key,
        name=name,
        energy_low_kwh=rounded(low, 0),
        energy_high_kwh=rounded(high, 0),
        price_p_kwh=rounded_if_any(p_kwh, 2),
        pounds_low=pounds(low, p_kwh),
        pounds_high=pounds(high, p_kwh),
        carbon=tuple(carbon),
        words="its price is not known" if price is None else f"{figure(price.p_kwh)} p/kWh, {price.words}",
    )


def _carbon_step(name: str, row: Row, energy: tuple[float, float]) -> Step:
    factor = row.number("carbon_kg_kwh")
    spread = "" if energy[0] == energy[1] else f"{figure(energy[0], 0)} to "
    return Step(
        f"Carbon dioxide of a year, {inside_a_sentence(name)}, at most, by {FACTOR_SETS[row.word('factor_set')]}",
        "energy · factor",
        f"{spread}{figure(energy[1], 0)} kWh × {figure(factor, 3)} kg/kWh",
        rounded(energy[1] * factor, 0),
        "kg",
        cite_row(row),
    )


def _saved(lines: list[CostLine]) -> tuple[float, float] | None:
    """Return the least and the most that a year saves in pounds (negative: it costs more)."""
    told = {
        line.key: (float(line.pounds_low), float(line.pounds_high))
        for line in lines
        if line.pounds_low is not None and line.pounds_high is not None
    }
    if set(told) != {"present", "heat_pump"}:
        return None
    present, pump = told["present"], told["heat_pump"]
    return present[0] - pump[1], present[1] - pump[0]


def _price_asked(record: SurveyRecord, fuel: str, field: str) -> Finding:
    name = _fuel_words(record, fuel)
    return Finding(
        Severity.CHECK,
        "price_not_known",
        record.key(),
        field,
        f"No price of {name} is known for the day of the visit, so its cost cannot be said.",
        f"Ask the household for the unit price of {name} on its last bill.",
        COMMON_PRACTICE,
        about=fuel,
    )


def _against_even(record: SurveyRecord, efficiency: float, even: tuple[float, float]) -> list[Finding]:
    if efficiency >= even[1]:
        return []
    surely = efficiency * (1 + EFFICIENCY_APART) < even[0]
    needed = figure(even[0]) if figure(even[0]) == figure(even[1]) else f"{figure(even[0])} to {figure(even[1])}"
    return [
        Finding(
            Severity.CHECK if surely else Severity.NOTE,
            "dearer_to_run",
            record.key(),
            "electricity_price_p_kwh",
            f"At these prices a heat pump costs no more than {_fuel_words(record, record.present_fuel)} from an efficiency of {needed}; {figure(efficiency)} is worked out, so it {'costs' if surely else 'may cost'} more to run.",
            "Tell the household. A lower flow temperature or a heat pump tariff changes it.",
            COMMON_PRACTICE,
        )
    ]


def _standing(record: SurveyRecord) -> tuple[str, ...]:
    charge = record.present_standing_p_day
    if charge is None or record.present_fuel in (None, "none", "electricity"):
        return ()
    year = pounds(365 * charge, 1.0)
    if record.fuel_leaves:
        return (
            f"The standing charge of {figure(charge)} p a day, about £{known(year).removesuffix('.00')} a year, goes as well; it is not in the figures.",
        )
    return (f"The standing charge of {figure(charge)} p a day stays while the fuel is still used for anything else.",)


def _grant(record: SurveyRecord, findings: list[Finding]) -> Grant | None:
    """Return the grant that the dated table holds on the day of the visit."""
    grant = grant_of_day(record, record.visit_date)
    if grant is not None and grant.pounds is not None:
        findings.append(
            Finding(
                Severity.NOTE,
                "grant_by_table",
                record.key(),
                "present_fuel",
                f"A grant of {grant.words}",
                "Read the notice for this house, and put the grant into the price only as what it is: not yet approved.",
                grant.source,
            )
        )
    return grant
