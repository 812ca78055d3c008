"""Sound of the outdoor unit at the neighbour's window, by open physics, against the planning limit of the nation and day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, log10, pi, sqrt

from wattwalk.catalogue import CatalogueError, Row, table
from wattwalk.survey.document import Survey
from wattwalk.survey.household import SurveyRecord
from wattwalk.survey.known import known
from wattwalk.survey.site import OutdoorPosition
from wattwalk.survey.standing import missing_of, unit_at
from wattwalk.survey.unit import Unit

from ..answers import Finding, NoiseAssessment, Severity, Step
from ..answers.citing import cite, cite_row
from ..answers.rounding import figure, rounded

LIMITS, SCREENS = "noise_limits_2026", "noise_screens_2026"
#: Reflecting planes near the unit and the directivity they give: sound fills a half, a quarter, an eighth of space.
DIRECTIVITY = {"one": 2, "two": 4, "three": 8}
#: Below this a difference in decibels decides nothing.
DECIBEL_TOLERANCE = 1e-9

OVER_A_SCREEN = cite("iso_9613_2_1996", "7.4, screening, at 500 Hz", "from memory")
SPREADING = cite("sound_propagation", "Lp = Lw + 10·log10(Q/(4πr²)) − A", "published")


#: The planning method judges the level 1 m before the window (MCS 020, from memory); nearer than this to the unit nothing is worked out, m.
POINT_BEFORE_WINDOW_M, LEAST_POINT_M = 1.0, 0.5


def sound_pressure(sound_power_dba: float, directivity: float, distance_m: float, attenuation_db: float = 0.0) -> float:
    """Return the sound pressure level in dB(A) at a distance from a source.

    Parameters
    ----------
    sound_power_dba : float
        Sound power level, dB(A).
    directivity : float
        2 over the ground, 4 beside a wall as well, 8 in a corner.
    distance_m : float
        More than nothing, m.
    attenuation_db : float
        What a screen takes off, dB; never negative, so that a screen can never add sound.

    Raises
    ------
    ValueError
        When the distance is not more than nothing or the attenuation is negative.

    Notes
    -----
    Point source over hard planes; no help from soft ground, air or distance to planes is counted.

    References
    ----------
    Spherical spreading: ``Lp = Lw + 10·log10(Q/(4πr²)) − A``.

    Examples
    --------
    >>> round(sound_pressure(55, 2, 4), 1)
    35.0
    """
    if distance_m <= 0:
        raise ValueError(f"the distance must be more than nothing, found {distance_m:g} m")
    if attenuation_db < 0:
        raise ValueError(
            f"a screen takes sound away: its attenuation must be nothing or more, found {attenuation_db:g} dB"
        )
    return sound_power_dba + 10 * log10(directivity / (4 * pi * distance_m**2)) - attenuation_db


def added(levels: Sequence[float]) -> float:
    """Return the level in dB of several levels together.

    Parameters
    ----------
    levels : sequence of float
        dB.

    References
    ----------
    ``10 lg Σ 10^(L/10)``.

    Examples
    --------
    >>> round(added([40, 40]), 1)
    43.0
    """
    return 10 * log10(fsum(10 ** (level / 10) for level in levels))


def distance_for(sound_power_dba: float, directivity: float, limit_dba: float, attenuation_db: float = 0.0) -> float:
    """Return the distance in m at which one unit just meets a limit for the unit alone.

    Parameters
    ----------
    sound_power_dba : float
        dB(A).
    directivity : float
        2 over the ground, 4 beside a wall as well, 8 in a corner.
    limit_dba : float
        dB(A).
    attenuation_db : float
        What a screen takes off, dB.

    References
    ----------
    As :func:`sound_pressure`, turned round.

    Examples
    --------
    >>> round(distance_for(55, 2, 42), 2)
    1.78
    """
    if attenuation_db < 0:
        raise ValueError(
            f"a screen takes sound away: its attenuation must be nothing or more, found {attenuation_db:g} dB"
        )
    return sqrt(directivity / (4 * pi) * 10 ** ((sound_power_dba - attenuation_db - limit_dba) / 10))


def screen_attenuation(path_difference_m: float, frequency_hz: float = 500.0) -> float:
    """Return what one screen takes off, dB, by the detour of the sound over its edge.

    Parameters
    ----------
    path_difference_m : float
        Way over the edge less the straight way, m; nothing or more.
    frequency_hz : float
        Frequency, Hz; at 343 m/s.

    References
    ----------
    ISO 9613-2:1996, ``10·log10(3 + 20·z/λ)``, at most 20 dB.

    Examples
    --------
    >>> round(screen_attenuation(0.2), 1)
    9.5
    """
    if path_difference_m < 0:
        raise ValueError(
            "a screen that does not reach the line of sight takes nothing away; the path difference must be nothing or more"
        )
    return min(20.0, 10 * log10(3 + 20 * path_difference_m * frequency_hz / 343))


def has_limit(nation: str) -> bool:
    """Say whether a limit on noise of this nation is held."""
    return bool(table(LIMITS).where("nation", nation))


def limit_for(nation: str, day: str | None) -> Row:
    """Return the limit in force in a nation on a day (``YYYY-MM-DD``), or the newest when the day is not known.

    Raises
    ------
    CatalogueError
        When no limit of the nation is held: of Northern Ireland none is, since its rule has no source here.
    """
    if not has_limit(nation):
        raise CatalogueError(f"{LIMITS} has no limit of {nation}")
    rows = sorted(table(LIMITS).where("nation", nation), key=lambda row: row.word("from_day"))
    in_force = [row for row in rows if day is None or row.word("from_day") <= day]
    return in_force[-1] if in_force else rows[0]


def compared_with(row: Row, level_dba: float) -> float:
    """Return what a row's edition compares with its limit, dB(A): the units alone, or with its background."""
    return added([level_dba, row.number("background_dba")]) if row.word("rule") == "total" else level_dba


def units_alone(row: Row) -> float:
    """Return the limit for the units alone that comes to the same, dB(A)."""
    limit = row.number("limit_dba")
    return (
        10 * log10(10 ** (limit / 10) - 10 ** (row.number("background_dba") / 10))
        if row.word("rule") == "total"
        else limit
    )


@dataclass(frozen=True)
class _Unit:
    power_dba: float
    window_m: float

    @property
    def distance_m(self) -> float:
        """Distance to where the level is judged: 1 m before the middle of the window."""
        return max(LEAST_POINT_M, self.window_m - POINT_BEFORE_WINDOW_M)


def _units(survey: Survey, position: OutdoorPosition, missing: list[str]) -> list[_Unit]:
    unit, second = unit_at(survey, position), survey.find(Unit, position.second_unit)
    wanted = ["neighbour_distance_m", "reflecting_surfaces"]
    missing += missing_of(unit, "sound_power_dba")
    if second is not None:
        missing += [f"{words} (the second one)" for words in missing_of(second, "sound_power_dba")]
        wanted.insert(1, "second_neighbour_distance_m")
    missing += [position.kind.field(name).label.lower() for name in wanted if getattr(position, name) is None]
    if missing:
        return []
    units = [_Unit(known(unit.sound_power_dba), known(position.neighbour_distance_m))]
    if second is not None:
        units.append(_Unit(known(second.sound_power_dba), known(position.second_neighbour_distance_m)))
    return units


def assess_noise(survey: Survey, position: OutdoorPosition, day: str | None) -> tuple[NoiseAssessment, list[Finding]]:
    """Return the sound of one place at the neighbour's window and the findings on it.

    Parameters
    ----------
    survey : Survey
        The survey, which says what unit stands there.
    position : OutdoorPosition
        The place, with the neighbour's distance.
    day : str or None
        Day of the visit, which chooses the edition.
    """
    name = position.title
    house = (survey.single(SurveyRecord) or SurveyRecord(id=survey.id)).effective("nation")
    if not has_limit(position.noise_nation or house):
        return _not_judged(survey, position, house)
    row = limit_for(position.noise_nation or house, day)
    edition, limit, source = row.word("edition"), row.number("limit_dba"), cite_row(row)
    missing: list[str] = []
    units = _units(survey, position, missing)
    if not units:
        return NoiseAssessment(
            id=position.id,
            name=name,
            level_dba=None,
            compared_dba=None,
            limit_dba=limit,
            margin_db=None,
            just_does_m=None,
            edition=edition,
            words="Not known yet.",
            missing=tuple(missing),
            steps=(),
            source=source,
        ), _other_nation(position, name, house, source)
    attenuation, screen_words, screen_source = _screen(position)
    directivity = DIRECTIVITY[known(position.reflecting_surfaces)]
    levels = [sound_pressure(unit.power_dba, directivity, unit.distance_m, attenuation) for unit in units]
    level = added(levels)
    compared = compared_with(row, level)
    excess = level - units_alone(row)
    # All units are moved away in proportion: ten times as far is 20 dB less.
    just = units[0].distance_m * 10 ** (excess / 20) + POINT_BEFORE_WINDOW_M
    sounds = _Sounds(units, levels, directivity, attenuation, screen_words, screen_source)
    steps = [*_unit_steps(sounds), *_limit_steps(row, sounds, level, compared, excess, just)]
    margin = limit - compared
    over = margin < -DECIBEL_TOLERANCE
    what = "the unit" if len(units) == 1 else "both units together"
    words = (
        f"{figure(compared, 1)} dB(A) 1 m before the neighbour's window from {what}{' with the assumed background' if row.word('rule') == 'total' else ''}, "
        f"against {figure(limit, 1)} dB(A) of {edition}; {figure(abs(margin), 1)} dB {'over it' if over else 'below it'}."
    )
    result = NoiseAssessment(
        id=position.id,
        name=name,
        level_dba=rounded(level, 2),
        compared_dba=rounded(compared, 2),
        limit_dba=limit,
        margin_db=rounded(margin, 2),
        just_does_m=rounded(just, 2),
        edition=edition,
        words=words,
        missing=(),
        steps=tuple(steps),
        source=source,
    )
    findings = _findings(position, name, result, row, over, attenuation, screen_source)
    return result, [*findings, *_other_nation(position, name, house, source)]


def _not_judged(survey: Survey, position: OutdoorPosition, house: str) -> tuple[NoiseAssessment, list[Finding]]:
    """Return the sound of a place in a nation whose limit is not held: worked out where it can be, and judged by nothing."""
    missing: list[str] = []
    units = _units(survey, position, missing)
    label = position.kind.field("noise_nation").choice_label(position.noise_nation or house)
    refused = f"No limit on noise is held for {label}, since its rule has no source here: it is not judged"
    level, steps, words = None, [], f"{refused}."
    if units:
        attenuation, screen_words, screen_source = _screen(position)
        directivity = DIRECTIVITY[known(position.reflecting_surfaces)]
        levels = [sound_pressure(unit.power_dba, directivity, unit.distance_m, attenuation) for unit in units]
        level = added(levels)
        steps = _unit_steps(_Sounds(units, levels, directivity, attenuation, screen_words, screen_source))
        words = f"{figure(level, 1)} dB(A) 1 m before the neighbour's window. {words}"
    result = NoiseAssessment(
        id=position.id,
        name=position.title,
        level_dba=None if level is None else rounded(level, 2),
        compared_dba=None,
        limit_dba=None,
        margin_db=None,
        just_does_m=None,
        edition="",
        words=words,
        missing=tuple(missing),
        steps=tuple(steps),
        source=SPREADING,
    )
    found = Finding(
        Severity.CHECK,
        "noise_not_judged",
        position.key(),
        "noise_nation",
        f"{position.title}: {refused[:1].lower()}{refused[1:]}.",
        "Ask the planning office of the district which rule holds, and have the sound judged by it.",
        SPREADING,
    )
    return result, [found, *_other_nation(position, position.title, house, SPREADING)]


@dataclass(frozen=True)
class _Sounds:
    """The units with the sound of each at the window, dB(A), and what stands between: what it takes away, in words, its source."""

    units: list[_Unit]
    levels: list[float]
    directivity: int
    attenuation: float
    screen_words: tuple[str, str]
    screen_source: str


def _unit_steps(sounds: _Sounds) -> list[Step]:
    units, levels, attenuation = sounds.units, sounds.levels, sounds.attenuation
    steps = [
        Step(
            f"Sound pressure of {'the unit' if len(units) == 1 else f'unit {place}'} 1 m before the window",
            "Lw + 10·log10(Q/(4π·r²)) − A",
            f"{figure(unit.power_dba, 1)} + 10·log10({sounds.directivity}/(4π·{figure(unit.distance_m, 1)}²)) − {figure(attenuation, 1)}",
            rounded(one, 2),
            "dB(A)",
            SPREADING,
        )
        for place, (unit, one) in enumerate(zip(units, levels, strict=True), start=1)
    ]
    if attenuation:
        steps.append(
            Step(
                "Taken off by the screen",
                *sounds.screen_words,
                rounded(attenuation, 2),
                "dB",
                sounds.screen_source,
            )
        )
    return steps


def _limit_steps(row: Row, sounds: _Sounds, level: float, compared: float, excess: float, just: float) -> list[Step]:
    steps: list[Step] = []
    if len(sounds.units) > 1:
        steps.append(
            Step(
                "Both units together",
                "10·log10(Σ 10^(L/10))",
                " and ".join(figure(item, 2) for item in sounds.levels),
                rounded(level, 2),
                "dB(A)",
                SPREADING,
            )
        )
    if row.word("rule") == "total":
        steps.append(
            Step(
                "With the assumed background",
                "10·log10(10^(L/10) + 10^(B/10))",
                f"{figure(level, 2)} and {figure(row.number('background_dba'), 1)}",
                rounded(compared, 2),
                "dB(A)",
                cite_row(row),
            )
        )
    steps.append(
        Step(
            "Distance to the window at which the limit is just met",
            "r · 10^(excess/20) + 1 m",
            f"{figure(sounds.units[0].distance_m, 1)} · 10^({figure(excess, 2)}/20) + {figure(POINT_BEFORE_WINDOW_M, 0)}",
            rounded(just, 2),
            "m",
            SPREADING,
        )
    )
    return steps


def _other_nation(position: OutdoorPosition, name: str, house: str, source: str) -> list[Finding]:
    """Return that a place is held to the limits of another nation than the one where the house stands."""
    if position.noise_nation in (None, house):
        return []
    label = position.kind.field("noise_nation").choice_label
    return [
        Finding(
            Severity.CHECK,
            "noise_other_nation",
            position.key(),
            "noise_nation",
            f"{name} is held to the limits on noise of {label(position.noise_nation)} although the house is in {label(house)}: so it was chosen for this place.",
            "Take the choice away, or correct the nation of the house; keep it only with a reason in the notes.",
            source,
        )
    ]


def _screen(position: OutdoorPosition) -> tuple[float, tuple[str, str], str]:
    """Return how many dB a screen takes off, with the formula, the numbers and the source."""
    if position.neighbour_screened in (None, "in_view"):
        return 0.0, ("", ""), ""
    if position.screen_detour_m is not None:
        detour = position.screen_detour_m
        # A screen that the line of sight only touches is not counted, so that nothing is gained from an edge in the way.
        return (
            (screen_attenuation(detour) if detour > 0 else 0.0),
            ("10·log10(3 + 20·z/λ)", f"detour {figure(detour, 2)} m at 500 Hz"),
            OVER_A_SCREEN,
        )
    row = table(SCREENS).get(screened=position.neighbour_screened)
    return (
        max(0.0, row.number("attenuation_db")),
        (
            "by how much of the unit is seen from the window",
            position.kind.field("neighbour_screened").choice_label(position.neighbour_screened),
        ),
        cite_row(row),
    )


def _findings(
    position: OutdoorPosition,
    name: str,
    result: NoiseAssessment,
    row: Row,
    over: bool,
    attenuation: float,
    screen_source: str,
) -> list[Finding]:
    findings = []
    caution = "Worked out by plain physics: it is no certificate, and the edition's own procedure and rounding rule."
    if over:
        findings.append(
            Finding(
                Severity.STOP,
                "noise_over_limit",
                position.key(),
                "neighbour_distance_m",
                f"{name}: {result.words} {caution}",
                f"Choose a quieter unit, another place ({figure(known(result.just_does_m) + 0.05, 1)} m would just do), fewer walls beside it or a solid screen; or apply for planning permission.",
                result.source,
            )
        )
    elif known(result.margin_db) < 1:
        findings.append(
            Finding(
                Severity.CHECK,
                "noise_near_limit",
                position.key(),
                "neighbour_distance_m",
                f"{name}: {result.words} {caution}",
                "Work it through by the edition's own procedure, which may round to whole decibels, before relying on it.",
                result.source,
            )
        )
    if attenuation:
        seen = position.kind.field("neighbour_screened").choice_label(position.neighbour_screened).lower()
        findings.append(
            Finding(
                Severity.NOTE,
                "screen_counted",
                position.key(),
                "neighbour_screened",
                f"{name}: {figure(attenuation, 1)} dB are counted because the unit is {seen} from the neighbour's window.",
                "Look again from that window, and check the figure against the edition that applies, which rules; a hedge or a fence with gaps does not screen sound.",
                screen_source,
            )
        )
    if "check" in row.note:
        findings.append(
            Finding(
                Severity.NOTE,
                "noise_edition",
                position.key(),
                "noise_nation",
                f"{name}: the limit used is that of {result.edition}; {row.note}.",
                "Check which edition applies on the day.",
                result.source,
            )
        )
    return findings
