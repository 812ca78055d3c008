"""The water circuit as a scheme: unit, runs with sizes and flows, what stands in line, the branches behind it."""

from __future__ import annotations

from wattwalk.engine.answers import CircuitAssessment, MixedWater, RunFlow

from .marks import enough_mark, short_mark, unknown_mark
from .svg import PAPER, Palette, amount, drawing_so_far, figure, fitted, path, rect, text

_MARK = {"within": enough_mark, "over": short_mark, "slow": short_mark, "not_known": unknown_mark}
_WORDS = {
    "within": "within the usual limits",
    "over": "over the usual limits",
    "slow": "slow: vent it",
    "not_known": "not known yet",
}
_SHORT = {
    "buffer": "buffer, 4 ports",
    "buffer_two_port": "buffer, 2 ports",
    "volumiser": "volumiser",
    "expansion": "expansion vessel",
    "dirt_separator": "dirt separator",
    "strainer": "strainer",
    "antifreeze_valve": "antifreeze valve",
    "isolation_valve": "isolation valve",
    "air_separator": "air separator",
}


def _run_lines(run: RunFlow) -> tuple[str, str]:
    """Return a run's pipe and flow, and its velocity and gradient, in words."""
    first = ", ".join(
        part
        for part in (
            run.pipe,
            "" if run.flow_l_min is None else f"{amount(run.flow_l_min, 1)} l/min",
            "" if run.length_m is None else f"2 × {amount(run.length_m, 1)} m",
        )
        if part
    )
    if run.velocity_m_s is None or run.gradient_pa_m is None:
        return first or "pipe not known", f"missing: {', '.join(run.missing)}" if run.missing else ""
    second = f"{amount(run.velocity_m_s, 2)} m/s, {amount(run.gradient_pa_m)} Pa/m" + (
        "" if run.drop_kpa is None else f", {amount(run.drop_kpa, 1)} kPa"
    )
    return first, second


def _pair(x1: float, x2: float, y: float, run: RunFlow, palette: Palette) -> list[str]:
    """Draw flow and return between two boxes, with what runs in them."""
    middle, width = (x1 + x2) / 2, x2 - x1 - 8
    first, second = _run_lines(run)
    arrow = f"M{figure(x2 - 9)} {figure(y - 5)} l9 5 l-9 5 Z"
    back = f"M{figure(x1 + 9)} {figure(y + 43)} l-9 5 l9 5 Z"
    weight = 700 if run.verdict == "over" else 400
    size = 11.5 if width > 250 else 9.5
    return [
        path(f"M{figure(x1)} {figure(y)} H{figure(x2 - 8)}", stroke=palette.accent_text, line=2.6),
        path(arrow, fill=palette.accent_text),
        path(f"M{figure(x2)} {figure(y + 48)} H{figure(x1 + 8)}", stroke=palette.quiet, line=2.6, dash="9 5"),
        path(back, fill=palette.quiet),
        text(middle, y - 9, fitted(run.name, 12, width / 1.2), fill=palette.ink, size=12, anchor="middle", weight=600),
        text(middle, y + 17, fitted(first, size, width / 1.15), fill=palette.ink, size=size, anchor="middle"),
        text(
            middle,
            y + 33,
            fitted(second, size, width / 1.15),
            fill=palette.ink,
            size=size,
            anchor="middle",
            weight=weight,
        ),
    ]


def _box(x: float, y: float, wide: float, tall: float, words: list[str], palette: Palette) -> list[str]:
    parts = [rect(x, y, wide, tall, fill=palette.paper, stroke=palette.ink, line=1.8, radius=3)]
    start = y + tall / 2 - 7 * (len(words) - 1) + 4
    return parts + [
        text(
            x + wide / 2,
            start + 14 * place,
            fitted(line, 12 if wide > 110 else 10.5, (wide - 6) / 1.1),
            fill=palette.ink,
            size=12 if wide > 110 else 10.5,
            anchor="middle",
            weight=600 if place == 0 else 400,
        )
        for place, line in enumerate(words)
    ]


def _mixed_lines(item: MixedWater) -> tuple[str, str]:
    """Return the temperatures of a mixed circuit, and its water with the unit's part of it, in words."""
    if item.flow_c is None or item.return_c is None or item.flow_l_min is None or item.primary_l_min is None:
        return "mixing valve", f"missing: {', '.join(item.missing)}"
    return (
        f"{amount(item.flow_c, 1)} / {amount(item.return_c, 1)} °C",
        f"{amount(item.flow_l_min, 1)} l/min, {amount(item.primary_l_min, 1)} from the unit",
    )


def _mixed(item: MixedWater, y: float, wide: tuple[float, float], width: float, palette: Palette) -> list[str]:
    """Draw a mixed circuit: the plant, its mixing valve in the flow with the return led to it, its pump, its emitters."""
    unit_wide, house_wide = wide
    x1, x2 = unit_wide + 2, width - house_wide - 2
    valve_x, pump_x = x1 + 24, x1 + 56
    middle, room = (pump_x + x2) / 2 + 6, x2 - pump_x - 22
    first, second = _mixed_lines(item)
    size = 11.5 if room > 220 else 9.5
    return [
        path(f"M{figure(x1)} {figure(y)} H{figure(x2 - 8)}", stroke=palette.accent_text, line=2.6),
        path(f"M{figure(x2 - 9)} {figure(y - 5)} l9 5 l-9 5 Z", fill=palette.accent_text),
        path(f"M{figure(x2)} {figure(y + 48)} H{figure(x1 + 8)}", stroke=palette.quiet, line=2.6, dash="9 5"),
        path(f"M{figure(x1 + 9)} {figure(y + 43)} l-9 5 l9 5 Z", fill=palette.quiet),
        # The return that is mixed in.
        path(f"M{figure(valve_x)} {figure(y + 47)} V{figure(y + 9)}", stroke=palette.quiet, line=2.6, dash="9 5"),
        # The mixing valve: three triangles that meet.
        path(
            f"M{figure(valve_x)} {figure(y)} l-9 -6 v12 Z l9 -6 v12 Z l-6 9 h12 Z",
            fill=palette.paper,
            stroke=palette.ink,
            line=1.6,
        ),
        # Its pump: a circle with an arrow head in it.
        path(
            f"M{figure(pump_x - 9)} {figure(y)} a9 9 0 1 0 18 0 a9 9 0 1 0 -18 0 M{figure(pump_x - 4)} {figure(y - 7)} l13 7 l-13 7",
            fill=palette.paper,
            stroke=palette.ink,
            line=1.6,
        ),
        text(
            (x1 + x2) / 2,
            y - 14,
            fitted(f"{item.name}: mixed", 12, (x2 - x1) / 1.2),
            fill=palette.ink,
            size=12,
            anchor="middle",
            weight=600,
        ),
        text(middle, y + 17, fitted(first, size, room / 1.15), fill=palette.ink, size=size, anchor="middle"),
        text(middle, y + 33, fitted(second, size, room / 1.15), fill=palette.ink, size=size, anchor="middle"),
    ]


def _at_the_plant(circuit: CircuitAssessment) -> list[str]:
    """Return what stands in the circuit, each kind once with its number."""
    held: dict[str, int] = {}
    for item in circuit.vessels:
        held[item.type] = held.get(item.type, 0) + 1
    found = [f"{_SHORT[kind]}{f' × {count}' if count > 1 else ''}" for kind, count in held.items()]
    return found or ["nothing written down"]


def _not_known(circuit: CircuitAssessment) -> RunFlow:
    """Return what is drawn where no run from the unit is written down."""
    return RunFlow(
        id="",
        name="Unit to the house",
        purpose="primary",
        pipe="",
        carries_kw=None,
        flow_l_min=circuit.flow_l_min,
        velocity_m_s=None,
        velocity_limit_m_s=None,
        gradient_pa_m=None,
        gradient_limit_pa_m=None,
        length_m=None,
        drop_kpa=None,
        surplus_kpa=None,
        balancing_kv_m3_h=None,
        verdict="not_known",
        missing=("the run",),
        steps=(),
    )


def _in_words(circuit: CircuitAssessment) -> list[str]:
    return [
        f"Index circuit: {circuit.index_words}",
        ""
        if circuit.residual_kpa is None
        else f"The unit's pump has {amount(circuit.residual_kpa, 1)} kPa left for the house.",
        ""
        if circuit.content_l is None
        else f"Water in all {amount(circuit.content_l)} l"
        + ("" if circuit.open_l is None else f", always open to the unit {amount(circuit.open_l)} l")
        + ("" if circuit.needed_l is None else f", needed {amount(circuit.needed_l)} l")
        + ".",
    ]


def _legend(
    circuit: CircuitAssessment, runs: tuple[RunFlow, ...], y: float, palette: Palette, width: float
) -> tuple[list[str], float]:
    """Return a line for each run with its verdict and the circuit in words, and where they end."""
    parts: list[str] = []
    for run in runs:
        mark = _MARK[run.verdict]
        parts += [
            mark(8, y - 4, palette),
            text(
                22,
                y,
                fitted(f"{run.name}: {_WORDS[run.verdict]}", 12, (width - 24) / 1.25),
                fill=palette.ink,
                size=12,
                weight=700 if run.verdict == "over" else 400,
            ),
        ]
        y += 18
    for line in _in_words(circuit):
        if line:
            for row in _wrapped(line, width):
                parts.append(text(0, y + 4, row, fill=palette.quiet, size=12))
                y += 16
    return parts, y


def circuit_scheme(
    circuit: CircuitAssessment, runs: tuple[RunFlow, ...], palette: Palette = PAPER, width: float = 640
) -> str:
    """Draw the water circuit with sizes, flows and drops.

    Parameters
    ----------
    circuit : CircuitAssessment
        The circuit as a whole.
    runs : tuple of RunFlow
        Its runs.
    palette : Palette
        Colours for light paper or for the dark theme.
    width : float
        Width of the drawing in its own units.

    Returns
    -------
    str
        SVG text: a scheme, not to scale; flow drawn through, return dashed.
    """
    trunk = [run for run in runs if run.purpose == "primary"]
    branches = [run for run in runs if run.purpose != "primary"]
    unit_wide, house_wide = 74.0, min(150.0, width * 0.24)
    parts: list[str] = []
    y = 30.0
    tall = 78.0
    middle_words = _at_the_plant(circuit)
    house_tall = max(tall, 20 + 14.0 * (len(middle_words) + 1))
    narrow = width < 480
    if narrow:
        unit_wide, house_wide = 58.0, 92.0
    rows = trunk or [_not_known(circuit)]
    first_row = y
    for run in rows:
        parts += _pair(unit_wide + 2, width - house_wide - 2, y + 14, run, palette)
        y += 96
    bottom = max(y - 18, first_row + house_tall)
    load = "" if circuit.load_kw is None else f"{amount(circuit.load_kw, 1)} kW"
    parts += _box(
        0,
        first_row,
        unit_wide,
        bottom - first_row,
        [
            item
            for item in ("unit", load, "" if circuit.flow_l_min is None else f"{amount(circuit.flow_l_min, 1)} l/min")
            if item
        ],
        palette,
    )
    parts += _box(
        width - house_wide, first_row, house_wide, bottom - first_row, ["at the plant", *middle_words], palette
    )
    y = bottom + 34
    for run in branches:
        target = "cylinder" if run.purpose == "cylinder" else "emitters"
        parts += _box(0, y - 6, unit_wide, 66, ["from", "the plant"], palette)
        parts += _pair(unit_wide + 2, width - house_wide - 2, y + 8, run, palette)
        surplus = (
            []
            if not run.surplus_kpa or run.balancing_kv_m3_h is None
            else [f"balance {amount(run.surplus_kpa, 1)} kPa", f"Kv {amount(run.balancing_kv_m3_h, 2)}"]
        )
        parts += _box(width - house_wide, y - 6, house_wide, 66, [target, *surplus], palette)
        y += 92
    mixed = () if circuit.balance is None else circuit.balance.mixed
    for item in mixed:
        parts += _box(0, y - 6, unit_wide, 66, ["from", "the plant"], palette)
        parts += _mixed(item, y + 8, (unit_wide, house_wide), width, palette)
        valve = [] if item.kvs_m3_h is None else [f"valve Kvs {amount(item.kvs_m3_h, 2)}"]
        pump = [] if item.pump_kpa is None else [f"pump {amount(item.pump_kpa, 1)} kPa"]
        parts += _box(width - house_wide, y - 6, house_wide, 66, ["emitters", *valve, *pump], palette)
        y += 92
    more, y = _legend(circuit, runs, y, palette, width)
    parts += more
    said = " ".join(
        [f"{run.name}: {'; '.join(part for part in _run_lines(run) if part)}; {_WORDS[run.verdict]}." for run in runs]
        + [f"{item.name}, a mixed circuit: {'; '.join(_mixed_lines(item))}." for item in mixed]
        + _in_words(circuit)
    )
    return drawing_so_far((width, y + 6), "Scheme of the heating water", said, parts, circuit.so_far, palette)


def _wrapped(words: str, width: float) -> list[str]:
    rows, current = [], ""
    for word in words.split():
        longer = f"{current} {word}".strip()
        if len(longer) * 7 > width and current:
            rows.append(current)
            current = word
        else:
            current = longer
    return [fitted(row, 12, width) for row in (*rows, current)]
