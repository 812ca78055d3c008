"""The discharge pipe of an unvented cylinder: the pipe to the tundish, and the one below it, by the table of the rules."""

from __future__ import annotations

from collections.abc import Sequence

from wattwalk.catalogue import Row, table
from wattwalk.survey.document import Survey
from wattwalk.survey.runs import run_length
from wattwalk.survey.services import HotWater, PipeRun

from ..answers import Discharge, Finding, Severity
from ..answers.citing import cite, cite_row
from ..answers.rounding import figure, rounded

PIPES = "discharge_pipes_approved_document_g_2015"
#: Limits of the pipe above the tundish and of the straight drop below it, mm.
D1_LONGEST_MM, D1_CHECK_MM, LEAST_DROP_MM = 600.0, 500.0, 300.0
#: Least fall of the pipe below the tundish, mm in a metre: 1 in 200 (Approved Document G, from memory).
LEAST_FALL_MM_M = 5.0

RULES = cite("approved_document_g_2015", "discharge pipes of unvented stores")
_DESIGNED = (
    "A person qualified for unvented hot water designs, fits and signs off the whole discharge; local rules win."
)


def equivalent_length(length_m: float, elbows: int, elbow_m: float) -> float:
    """Return the length of a discharge pipe in m with each elbow counted as so many metres.

    Parameters
    ----------
    length_m : float
        Pipe, m.
    elbows : int
        How many.
    elbow_m : float
        What one counts as, m.

    References
    ----------
    Approved Document G (2015), Table 3.1.

    Examples
    --------
    >>> equivalent_length(6.0, 3, 0.8)
    8.4
    """
    return length_m + elbows * elbow_m


def smallest_pipe(outlet: str, length_m: float, elbows: int) -> float | None:
    """Return the smallest pipe in mm below the tundish that may be so long, or None when the table has none.

    Parameters
    ----------
    outlet : str
        ``g_half``, ``g_three_quarter`` or ``g_one``.
    length_m, elbows : float, int
        Length of the pipe in m and the elbows in it.

    References
    ----------
    Approved Document G, Table 3.1 (quoted alike in five makers' manuals).

    Examples
    --------
    >>> smallest_pipe('g_half', 6.0, 2)
    22.0
    """
    for row in table(PIPES).where("outlet", outlet):
        if equivalent_length(length_m, elbows, row.number("elbow_m")) <= row.number("longest_m") + 1e-9:
            return row.number("d2_mm")
    return None


def assess_discharge(survey: Survey, record: HotWater) -> tuple[Discharge | None, list[Finding], list[str]]:
    """Return the discharge pipe against the table, the findings on it, and what is missing to say more."""
    findings = _laid_wrongly(record)
    if record.valve_outlet is None:
        return None, findings, ["the outlet of the relief valve"]
    rows = table(PIPES).where("outlet", record.valve_outlet)
    least_d1 = rows[0].number("d1_mm")
    if record.d1_mm is not None and record.d1_mm < least_d1:
        findings.append(
            say(
                Severity.STOP,
                "discharge_d1_small",
                record,
                "d1_mm",
                f"The pipe from the relief valve to the tundish is {figure(record.d1_mm, 0)} mm; this valve needs {figure(least_d1, 0)} mm.",
                "Use the larger pipe.",
            )
        )
    run = next((run for run in survey.of_kind(PipeRun) if run.purpose == "discharge"), None)
    if run is None:
        return None, findings, ["the discharge pipe as a pipe run"]
    length = run_length(run.stretches)
    if length is None or run.size_mm is None:
        return None, findings, ["length and size of the discharge pipe"]
    missing = [] if record.discharge_elbows is not None else ["the elbows below the tundish (counted as none)"]
    if run.material not in (None, "copper"):
        findings.append(
            say(
                Severity.CHECK,
                "discharge_not_copper",
                run,
                "material",
                "The discharge pipe is not of copper, which its table is for.",
                "Size it by its own flow resistance, and see that it bears the heat.",
            )
        )
    found, more = _against_table(run, rows, run.size_mm, length, record.discharge_elbows or 0)
    return found, findings + more, missing


def say(
    severity: Severity,
    code: str,
    of: HotWater | PipeRun,
    field: str,
    message: str,
    remedy: str,
    source: str = RULES,
) -> Finding:
    """Return a finding whose remedy ends with who designs a discharge pipe."""
    return Finding(severity, code, of.key(), field, message, f"{remedy} {_DESIGNED}", source)


def _laid_wrongly(record: HotWater) -> list[Finding]:
    """Return what is to be said of how the discharge pipe lies, whatever its size."""
    findings = []
    if record.d1_length_mm is not None and record.d1_length_mm > D1_CHECK_MM:
        worst = record.d1_length_mm > D1_LONGEST_MM
        findings.append(
            say(
                Severity.STOP if worst else Severity.CHECK,
                "discharge_d1_long",
                record,
                "d1_length_mm",
                f"The pipe from the relief valve to the tundish is {figure(record.d1_length_mm, 0)} mm long; at most {figure(D1_LONGEST_MM, 0)} mm are allowed, 500 mm in many makers' papers.",
                "Bring the tundish nearer to the valve.",
            )
        )
    if record.discharge_drop_mm is not None and record.discharge_drop_mm < LEAST_DROP_MM:
        findings.append(
            say(
                Severity.STOP,
                "discharge_drop_short",
                record,
                "discharge_drop_mm",
                f"The pipe drops {figure(record.discharge_drop_mm, 0)} mm straight below the tundish; {figure(LEAST_DROP_MM, 0)} mm are needed.",
                "Set the tundish higher, or take the first bend lower.",
            )
        )
    if record.discharge_fall_mm_m is not None and record.discharge_fall_mm_m < LEAST_FALL_MM_M - 1e-9:
        findings.append(
            say(
                Severity.STOP,
                "discharge_fall_small",
                record,
                "discharge_fall_mm_m",
                f"The discharge pipe falls {figure(record.discharge_fall_mm_m, 1)} mm in a metre; at least {figure(LEAST_FALL_MM_M, 0)} mm are needed all the way, so that no hot water stands in it.",
                "Lay it to fall all the way to where it ends.",
            )
        )
    return findings


def _against_table(
    run: PipeRun, rows: Sequence[Row], size_mm: float, length: float, elbows: int
) -> tuple[Discharge | None, list[Finding]]:
    """Return the pipe below the tundish against the rows for its valve, or None where they have no such size."""
    row = next((item for item in rows if item.number("d2_mm") == size_mm), None)
    smallest = smallest_pipe(rows[0].word("outlet"), length, elbows)
    would_do = (
        f"{figure(smallest, 0)} mm would do."
        if smallest is not None
        else "No size of the table may be so long: it needs a calculation of its own, or a shorter way."
    )
    if row is None:
        sizes = ", ".join(figure(item.number("d2_mm"), 0) for item in rows)
        return None, [
            say(
                Severity.STOP if size_mm < rows[0].number("d2_mm") else Severity.CHECK,
                "discharge_size_not_in_table",
                run,
                "size_mm",
                f"The discharge pipe is {figure(size_mm, 0)} mm; the table for this valve has {sizes} mm.",
                would_do,
            )
        ]
    equivalent = equivalent_length(length, elbows, row.number("elbow_m"))
    allowed = equivalent <= row.number("longest_m") + 1e-9
    words = f"{figure(length, 1)} m and {elbows} elbows count as {figure(equivalent, 1)} m; at most {figure(row.number('longest_m'), 0)} m in {figure(size_mm, 0)} mm"
    found = Discharge(
        rounded(size_mm, 0),
        rounded(length, 1),
        elbows,
        rounded(equivalent, 2),
        rounded(row.number("longest_m"), 1),
        allowed,
        words,
        cite_row(row),
    )
    if allowed:
        return found, []
    return found, [
        say(
            Severity.STOP,
            "discharge_too_long",
            run,
            "size_mm",
            f"The discharge pipe is too long for its size: {words}.",
            would_do,
            cite_row(row),
        )
    ]
