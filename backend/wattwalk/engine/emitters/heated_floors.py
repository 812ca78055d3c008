"""What a heated floor is worth: by the maker's figure, in screed, or in plates; and the output its surface allows."""

from __future__ import annotations

from wattwalk.catalogue import table
from wattwalk.survey.known import known

from ..answers import Step
from ..answers.citing import DECLARED, EN_1264, cite_row
from ..answers.rounding import TEMPERATURE, figure, rounded
from .limits import LIMIT_CURVES, SURFACE_LIMITS, TIMBER, TIMBER_LIMIT, curve_limit, highest_surface, output_at_surface
from .plates import EN_1264_PLATES, PlatesError, plates_conduction, plates_factors
from .underfloor import (
    ALPHA,
    MOST_COVERING_M2K_W,
    PIPE_W_MK,
    REFERENCE_WALL_M,
    coefficient_of_pipe,
    factor_words,
    screed_coefficient,
)
from .work import EmitterWork

COVERINGS = "floor_coverings_2026"


def compile_floor(work: EmitterWork) -> None:
    """Read a heated floor's build-up into its work: coefficient, area, limit, resistance upward; or what is missing."""
    emitter = work.emitter
    if emitter.heated_area_m2 is None:
        work.missing.append("its heated floor area")
        return
    work.area_m2, work.source = emitter.heated_area_m2, EN_1264
    covering = _covering(work)
    if emitter.declared_w_m2k is not None:
        work.coefficient_w_m2k = emitter.declared_w_m2k
        work.steps.append(
            Step(
                "Output per kelvin K",
                "maker's tested figure",
                "declared",
                rounded(emitter.declared_w_m2k, 4),
                "W/m²K",
                DECLARED,
            )
        )
        # The maker's figure holds the covering; what lies above the pipes is what it says of them.
        work.upward_m2k_w = 1 / emitter.declared_w_m2k
        _limit(work)
        return
    if covering is None:
        return
    if covering > MOST_COVERING_M2K_W + 1e-9:
        work.missing.append(
            f"a covering that suits a heated floor (R {figure(covering, 3)} m²K/W found, at most 0.15 can be worked out)"
        )
        return
    if emitter.effective("floor_system") == "plates":
        _plates(work, covering)
    else:
        _screed(work, covering)
    if not work.missing:
        _limit(work)


def _covering(work: EmitterWork) -> float | None:
    emitter = work.emitter
    if emitter.covering_resistance_m2k_w is not None:
        covering, source = emitter.covering_resistance_m2k_w, DECLARED
    elif emitter.covering is not None:
        row = table(COVERINGS).get(covering=emitter.covering)
        covering, source = row.number("resistance_m2k_w"), cite_row(row)
    else:
        if emitter.declared_w_m2k is None:
            work.missing.append("its floor covering")
        return None
    if emitter.declared_w_m2k is None:
        work.steps.append(
            Step(
                "Covering",
                "declared" if source == DECLARED else "table by covering",
                "R",
                rounded(covering, 4),
                "m²K/W",
                source,
            )
        )
    return covering


def _screed(work: EmitterWork, covering: float) -> None:
    emitter = work.emitter
    spacing, screed, pipe, wall = (
        emitter.effective(name) / 1000
        for name in ("pipe_spacing_mm", "screed_over_pipe_mm", "pipe_outer_mm", "pipe_wall_mm")
    )
    conductivity = emitter.effective("screed_w_mk")
    if 2 * wall >= pipe - 0.002:
        work.missing.append(
            f"a pipe wall that fits the pipe ({figure(wall * 1000, 1)} mm found in a pipe of {figure(pipe * 1000, 0)} mm)"
        )
        return
    work.coefficient_w_m2k = screed_coefficient(spacing, screed, pipe, covering, conductivity)
    formula = "K = 6.7 · aB · aT^mT · au^mu · aD^mD"
    if abs(wall - REFERENCE_WALL_M) > 1e-9:
        work.coefficient_w_m2k = coefficient_of_pipe(work.coefficient_w_m2k, spacing, pipe, wall, PIPE_W_MK)
        formula += ", for this pipe wall"
    basis = "" if emitter.screed_w_mk is not None else " (taken)"
    numbers = (
        f"spacing {figure(spacing * 1000, 0)} mm, screed above {figure(screed * 1000, 0)} mm of λ {figure(conductivity)}{basis}, "
        f"pipe {figure(pipe * 1000, 0)} mm, wall {figure(wall * 1000, 1)} mm, covering R {figure(covering, 3)} m²K/W: "
        f"{factor_words(spacing, screed, pipe, covering, conductivity)}"
    )
    work.upward_m2k_w = 1 / ALPHA + covering + screed / conductivity
    work.steps.append(
        Step("Output per kelvin K", formula, numbers, rounded(work.coefficient_w_m2k, 4), "W/m²K", EN_1264)
    )


def _plates(work: EmitterWork, covering: float) -> None:
    emitter = work.emitter
    lacking = [
        emitter.kind.field(name).label.lower()
        for name in ("plate_thickness_mm", "board_thickness_mm")
        if getattr(emitter, name) is None
    ]
    if lacking:
        work.missing.append(f"its {' and '.join(lacking)}, or the maker's tested output per kelvin")
        return
    spacing, board, plate = (
        emitter.effective(name) / 1000 for name in ("pipe_spacing_mm", "board_thickness_mm", "plate_thickness_mm")
    )
    board_w_mk, plate_w_mk, pipe = (emitter.effective(name) for name in ("board_w_mk", "plate_w_mk", "pipe_outer_mm"))
    width = None if emitter.plate_width_mm is None else emitter.plate_width_mm / 1000
    try:
        found = plates_factors(spacing, pipe, board, board_w_mk, plate, plate_w_mk, covering, plate_width_m=width)
    except PlatesError as error:
        work.missing.append(str(error))
        return
    work.coefficient_w_m2k = found.coefficient_w_m2k
    conduction = plates_conduction(spacing, board, board_w_mk, plate, plate_w_mk)
    held = ", counted as 0.4" if conduction > 0.4 else ""
    numbers = (
        f"spacing {figure(spacing * 1000, 0)} mm, board {figure(board * 1000, 1)} mm of λ {figure(board_w_mk)}, plates {figure(plate * 1000)} mm of λ {figure(plate_w_mk, 0)}, "
        f"conduction {figure(conduction)}{held}, covering R {figure(covering, 3)} m²K/W: {found.words}"
    )
    work.upward_m2k_w = 1 / ALPHA + covering + board / board_w_mk
    work.steps.append(
        Step(
            "Output per kelvin K",
            "K = 6.5 · aB · aT^mT · au · aWL · aK",
            numbers,
            rounded(work.coefficient_w_m2k, 4),
            "W/m²K",
            EN_1264_PLATES,
        )
    )


def _limit(work: EmitterWork) -> None:
    if work.inside_c is None:
        return
    emitter, inside = work.emitter, work.inside_c
    work.limit_c = highest_surface(inside, work.is_bath, emitter.effective("floor_zone"), emitter.covering)
    work.limit_w_m2 = output_at_surface(work.limit_c, inside)
    is_timber = emitter.covering in TIMBER and work.limit_c < 29
    source = TIMBER_LIMIT if is_timber else SURFACE_LIMITS
    formula, numbers = "q = 8.92 (θF − θi)^1.1", f"surface {figure(work.limit_c, 1)} °C, room {figure(inside, 1)} °C"
    if emitter.declared_w_m2k is None and emitter.effective("floor_system") == "screed":
        spacing, screed = emitter.effective("pipe_spacing_mm") / 1000, emitter.effective("screed_over_pipe_mm") / 1000
        on_curve, driving = curve_limit(
            known(work.coefficient_w_m2k), spacing, screed, emitter.effective("screed_w_mk"), work.limit_c, inside
        )
        if on_curve < work.limit_w_m2:
            work.limit_w_m2, source = on_curve, LIMIT_CURVES
            formula = "q = K · φ · (BG/K)^(1/(1 − nG))"
            numbers += f", reached at a driving difference of {figure(driving, 1)} K"
    work.steps.append(Step("Highest output", formula, numbers, rounded(work.limit_w_m2, TEMPERATURE), "W/m²", source))
