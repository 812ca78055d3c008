"""Figures of the technical file worked out again from its printed page alone: no engine, only the numbers that stand there."""

from __future__ import annotations

import math
import re
import subprocess
from math import fsum

import pytest

from tests.office.test_three_papers import made
from wattwalk.office.report import FILE

#: A number as it is printed.
N = r"(−?[\d,]+(?:\.\d+)?)"


@pytest.fixture(scope="module")
def text() -> str:
    """Return the file's text as one line, cell by cell, without the heads and feet of its pages."""
    read = subprocess.run(
        ["pdftotext", "-raw", "-", "-"], input=made("demo", FILE), check=True, capture_output=True
    ).stdout.decode()
    kept = [
        line
        for line in read.replace("\N{NO-BREAK SPACE}", " ").replace("\f", "\n").splitlines()
        if line not in ("Invented Heating Ltd", "Working and sources")
        and not re.fullmatch(r"(.* )?Page \d+ of \d+", line)
    ]
    return " ".join(" ".join(kept).split())


def numbers(text: str, pattern: str) -> tuple[float, ...]:
    """Return the numbers of the first place that a pattern fits."""
    found = re.search(pattern, text)
    assert found is not None, pattern
    return tuple(number(words) for words in found.groups())


def number(words: str) -> float:
    """Return a printed number."""
    return float(words.replace(",", "").replace("−", "-"))


def room_lines(text: str, room: str) -> list[tuple[float, float]]:
    """Return each line of a room: what its printed product comes to, and its printed watts."""
    start = text.index(f"{room}: ", text.index("For each surface: heat lost"))
    block = text[start : text.index("The room ", start)]
    lines = re.findall(r"(?:: |; )([(\d][^:;]*?) (?:C\d+ )?\[\d+\] " + N, block)
    found = []
    for product, watts in lines:
        plain = re.sub(r"(Wh/m³K|per hour|m³|K)(?= ×|$)", "", product)
        factors = [fsum(number(part) for part in factor.strip("() ").split(" + ")) for factor in plain.split("×")]
        found.append((math.prod(factors), number(watts)))
    return found


@pytest.mark.parametrize("room", ["Living room", "Dining room", "Kitchen", "Bathroom"])
def test_a_rooms_loss_from_its_lines(text, room):
    lines = room_lines(text, room)
    assert len(lines) >= 6
    for product, watts in lines:
        # Areas and U-values are printed to two decimals, differences to one.
        assert product == pytest.approx(watts, rel=0.015, abs=1.5)
    start = text.index(f"{room}: ", text.index("For each surface: heat lost"))
    (total,) = numbers(text[start:], rf"The room {N}")
    assert fsum(watts for _product, watts in lines) == pytest.approx(total, abs=0.5 * len(lines))


#: What is worked out again: the place on the page with its numbers, the last of them the result; how; how near.
FIGURES = {
    "output of a radiator at the flow": (
        rf"Output: Φ = Φ50 · \(ΔT/50\)\^n: {N} × \({N} / 50\)\^{N} = {N} W",
        lambda output, difference, exponent: output * (difference / 50) ** exponent,
        0.005,
    ),
    "driving difference": (
        rf"Driving difference: \(θf \+ θr\)/2 − θi: {N}/{N}/{N} °C = {N} K",
        lambda flow, back, inside: (flow + back) / 2 - inside,
        0.005,
    ),
    "flow through a run": (
        rf"Φ/\(c·ΔT·ρ\): {N} kW, {N} J/kgK, {N} K, {N} kg/m³ at [\d.]+ °C = {N} l/min",
        lambda power, heat, difference, density: power * 1000 / (heat * difference * density) * 60_000,
        0.005,
    ),
    "velocity": (
        rf"velocity: V/\(π·d²/4\): {N} l/min through {N} mm = {N} m/s",
        lambda litres, bore: litres / 60_000 / (math.pi * (bore / 1000) ** 2 / 4),
        0.005,
    ),
    "pressure drop of both legs": (
        rf"both legs: R·2·L \+ Z \+ end: {N} Pa/m × 2 × {N} m \+ {N} kPa of fittings \+ {N} kPa at its end = {N} kPa",
        lambda drop, length, fittings, end: drop * 2 * length / 1000 + fittings + end,
        0.005,
    ),
    "water in the circuit": (
        rf"vessels, unit: {N} \(pipes\) \+ {N} \(emitters\) \+ {N} \(vessels\) \+ {N} \(the unit\) \+ {N} \(other, as written down\) = {N} l",
        lambda *litres: fsum(litres),
        0.005,
    ),
    "least expansion vessel": (
        rf"less\): \({N} \+ {N}\) × \({N} \+ 1\)/\({N} − {N}\) = {N} l",
        lambda grows, reserve, most, end, charge: (grows + reserve) * (most + 1) / (end - charge),
        0.01,
    ),
    "hours of hot water": (
        rf"mean output of the charge: \({N} \+ {N}\) kWh / {N} kW.*? = {N} h",
        lambda need, loss, output: (need + loss) / output,
        0.01,
    ),
    "reheat of the store, minutes": (
        rf"/ {N} kW; the mean is {N} kWh for {N} l from \d+ to \d+ °C, in (\d+) minutes",
        lambda output, heat, _litres: heat / output * 60,
        0.01,
    ),
    "heat in the store": (
        rf"the mean is {N} kWh for {N} l from {N} to {N} °C",
        None,
        0.015,
    ),
    "output that serves both": (
        rf"load · 24 / \(24 − hours\): {N} kW · 24 / \(24 − {N}\) = {N} kW",
        lambda load, hours: load * 24 / (24 - hours),
        0.005,
    ),
    "heat of a year's hot water": (
        rf"52 · weekly cycle: 365 · {N} \+ 52 · {N} kWh = {N} kWh",
        lambda day, cycle: 365 * day + 52 * cycle,
        0.005,
    ),
    "seasonal efficiency": (
        rf"Seasonal efficiency, heating alone: heat / electricity: {N} / {N} = {N} ",
        lambda heat, power: heat / power,
        0.005,
    ),
    "electricity of a year, at most": (
        rf"kWh at least; {N} kWh / \({N} × {N}\) = {N} kWh",
        lambda heat, efficiency, apart: heat / (efficiency * apart),
        0.005,
    ),
    "sound at the window": (
        rf"Lw \+ 10·log10\(Q/\(4π·r²\)\) − A: {N} \+ 10·log10\({N}/\(4π·{N}²\)\) − {N} = {N} dB",
        lambda level, q, away, shade: level + 10 * math.log10(q / (4 * math.pi * away**2)) - shade,
        0.002,
    ),
    "voltage lost": (
        rf"mV/A/m · Ib · L/1000: {N} × {N} A × {N} m/1000 = {N} V",
        lambda lost, amps, length: lost * amps * length / 1000,
        0.005,
    ),
}


@pytest.mark.parametrize("name", FIGURES)
def test_a_figure_follows_from_the_page(text, name):
    pattern, worked, near = FIGURES[name]
    found = numbers(text, pattern)
    if worked is None:
        heat, litres, cold, hot = found
        # 4.18 kJ/kgK and 0.988 kg/l, water of 50 °C: Handbooks of heating, from memory.
        assert heat == pytest.approx(litres * 0.988 * 4.18 * (hot - cold) / 3600, rel=near)
        return
    *given, result = found
    assert worked(*given) == pytest.approx(result, rel=near)


def test_the_units_load_is_the_sum_of_its_terms(text):
    """Rooms and what counts beside them, printed under the sums; what is left out says so and counts nothing."""
    (rooms,) = numbers(text, rf"Rooms, without what flows to neighbours Always counted.*? {N} W")
    start = text.index("What the unit must carry")
    block = text[start : text.index("Heat the unit is chosen for", start)]
    terms = [number(words) for words, left in re.findall(rf"{N} W(, left out)?(?= [A-Z])", block) if not left]
    (load,) = numbers(text[start:], rf"Heat the unit is chosen for {N} kW")
    assert terms[0] == rooms
    assert fsum(terms) / 1000 == pytest.approx(load, abs=0.05)


def test_running_cost_is_energy_times_price(text):
    """The household's own fuel: use, price and standing charge are printed with what was recorded."""
    (use,) = numbers(text, rf"Use in a year {N} kWh")
    (price,) = numbers(text, rf"Price of that fuel {N} p/kWh")
    (day,) = numbers(text, rf"Standing charge of that fuel {N} p/day")
    (now,) = numbers(text, rf"At present: mains gas .*?£{N}")
    assert now in (
        pytest.approx(use * price / 100, abs=1.0),
        pytest.approx((use * price + 365 * day) / 100, abs=1.0),
    )
