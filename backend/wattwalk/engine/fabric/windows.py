"""Windows and doors: from their parts by the simplified form of EN ISO 10077-1, or whole from the table of SAP."""

from __future__ import annotations

from wattwalk.catalogue import table
from wattwalk.survey.box import OPENINGS
from wattwalk.survey.constructions import TABLE, Construction
from wattwalk.survey.known import known

from ..answers import Step
from ..answers.citing import EN_ISO_10077, cite_row
from ..answers.rounding import figure
from ..answers.values import Refusal, Value, u_step
from .u_value import air_layer_resistance

WINDOWS = "window_u_values_sap_10_2"
SLOPES = "roof_window_slopes_sap_10_2"
BREAKS = "metal_frame_breaks_sap_10_2"
GLASS = "glass_units_en_673_2011"
FRAMES = "frames_en_iso_10077_1_2017"
EDGES = "glass_edges_en_iso_10077_1_2017"

#: The size that EN 14351-1 compares windows at, m: taken where no window is measured.
USUAL_SIZE_M = (1.23, 1.48)

#: Surface resistances of EN ISO 10077-1, m²K/W.
RSI, RSE = 0.13, 0.04

_WITHOUT_GAP = ("single", "secondary")


class WindowError(ValueError):
    """A window that cannot be made from what is known; ``field`` is where to write it."""

    def __init__(self, words: str, field: str):
        super().__init__(words)
        self.field = field


def parts_u_value(
    glass_m2: float, glass_u: float, frame_m2: float, frame_u: float, edge_m: float, psi_w_mk: float
) -> float:
    """Return the U-value of a window or a door from its parts.

    Parameters
    ----------
    glass_m2, frame_m2 : float
        Areas of glass and of frame (or leaf), m².
    glass_u, frame_u : float
        Their U-values, W/m²K.
    edge_m, psi_w_mk : float
        Length of the visible edge of the glass, m, and its Ψ, W/mK.

    Returns
    -------
    float
        W/m²K.

    References
    ----------
    EN ISO 10077-1:2017: ``U = (Σ A U glass + Σ A U frame + Σ l Ψ) / (Σ A glass + Σ A frame)``.

    Examples
    --------
    >>> round(parts_u_value(1.2, 1.1, 0.4, 1.6, 4.6, 0.06), 3)
    1.397
    """
    return (glass_m2 * glass_u + frame_m2 * frame_u + edge_m * psi_w_mk) / (glass_m2 + frame_m2)


def pane_sizes(width_m: float, height_m: float, frame_mm: float, panes: int) -> tuple[float, float]:
    """Return width and height of one pane in m, for so many side by side with a frame of the same width round each.

    Parameters
    ----------
    width_m, height_m : float
        The whole window, m.
    frame_mm : float
        Width of the frame, mm.
    panes : int
        How many stand side by side.

    Raises
    ------
    WindowError
        When the frames leave no glass.

    Examples
    --------
    >>> tuple(round(side, 2) for side in pane_sizes(1.2, 1.1, 70, 2))
    (0.49, 0.96)
    """
    frame = frame_mm / 1000
    width, height = (width_m - (panes + 1) * frame) / panes, height_m - 2 * frame
    if width <= 0 or height <= 0:
        raise WindowError(
            f"frames of {figure(frame_mm, 0)} mm round {panes} {'pane leaves' if panes == 1 else 'panes leave'} no glass in {figure(width_m)} × {figure(height_m)} m",
            "frame_width_mm",
        )
    return width, height


def with_second_window(u_value: float, second_u: float, gap_mm: float) -> float:
    """Return the U-value in W/m²K of a window with a second one inside it.

    Parameters
    ----------
    u_value, second_u : float
        Of each window alone, W/m²K.
    gap_mm : float
        Between the two, mm.

    References
    ----------
    EN ISO 10077-1:2017, coupled windows: ``1/U = 1/U1 − Rsi + Rs − Rse + 1/U2``.

    Examples
    --------
    >>> round(with_second_window(4.8, 4.8, 100), 2)
    2.34
    """
    space = air_layer_resistance(gap_mm, "horizontal")
    return 1 / (1 / u_value - RSI + space - RSE + 1 / second_u)


def slope_addition(slope_deg: float, is_triple: bool) -> tuple[float, str]:
    """Return what a roof window adds to its upright U-value in W/m²K, and the source.

    Parameters
    ----------
    slope_deg : float
        0 lies flat, 90 stands upright.
    is_triple : bool
        Three panes.

    Examples
    --------
    >>> slope_addition(45, is_triple=False)[0]
    0.3
    """
    for row in table(SLOPES).rows:
        if row.number("from_deg") <= slope_deg and (
            slope_deg < row.number("up_to_deg") or row.number("up_to_deg") == 90
        ):
            return row.number("triple_w_m2k" if is_triple else "double_w_m2k"), cite_row(row)
    raise WindowError(f"a roof window cannot slope by {figure(slope_deg, 0)}°", "slope_deg")


def window_value(item: Construction, size_m: tuple[float, float] | None) -> Value | Refusal:
    """Return the U-value of a window or door known by its table or its parts.

    Parameters
    ----------
    item : Construction
        Known by ``window_table`` or ``window_parts``.
    size_m : tuple of float or None
        Width and height of the opening; None takes the usual size of a test.
    """
    if item.element not in OPENINGS:
        return Refusal("it is no window or door, and cannot be known by its glazing", item.key(), "known_by")
    try:
        u_value, step, is_triple = _by_table(item) if item.known_by == TABLE else _by_parts(item, size_m)
        formula, numbers = step.formula, step.numbers
        if item.secondary_u_w_m2k is not None:
            gap = item.effective("secondary_gap_mm")
            u_value = with_second_window(u_value, item.secondary_u_w_m2k, gap)
            formula += "; 1/U = 1/U1 − Rsi + Rs − Rse + 1/U2"
            numbers += f"; second window {figure(item.secondary_u_w_m2k)}, gap {figure(gap, 0)} mm"
        if item.element == "rooflight":
            adds, _source = slope_addition(item.effective("slope_deg"), is_triple)
            u_value += adds
            formula += "; + addition for the slope"
            numbers += f"; slope {figure(item.effective('slope_deg'), 0)}°, adds {figure(adds)}"
    except WindowError as error:
        return Refusal(str(error), item.key(), error.field)
    return Value(u_value, u_step(formula, numbers, u_value, step.source))


def _by_table(item: Construction) -> tuple[float, Step, bool]:
    if item.glazing is None:
        raise WindowError("what panes it has has not been said", "glazing")
    if item.element == "door":
        raise WindowError("the table is for windows; a door goes by its look or by its parts", "known_by")
    frame = item.effective("frame")
    gap = "any" if item.glazing in _WITHOUT_GAP else item.effective("pane_gap")
    row = table(WINDOWS).find(glazing=item.glazing, frame=frame, pane_gap=gap)
    if row is None:
        raise WindowError(
            "the table has no such panes in a metal frame: declare the U-value, or work it out from its parts",
            "glazing",
        )
    u_value = row.number("u_value_w_m2k")
    kind = item.kind
    numbers = f"{kind.field('glazing').choice_label(item.glazing)}, {kind.field('frame').choice_label(frame).lower()}"
    if gap != "any":
        numbers += f", {kind.field('pane_gap').choice_label(gap)}"
    if frame == "metal" and gap != "any":
        found = table(BREAKS).get(frame_break=item.effective("frame_break"))
        u_value += found.number("adds_w_m2k")
        numbers += f", break {kind.field('frame_break').choice_label(item.effective('frame_break'))}"
    return u_value, u_step("table of whole windows", numbers, u_value, cite_row(row)), item.glazing.startswith("triple")


def _by_parts(item: Construction, size_m: tuple[float, float] | None) -> tuple[float, Step, bool]:
    width, height = size_m or USUAL_SIZE_M
    frame_u, frame_words, edge = _frame(item)
    panes = item.effective("panes")
    if item.element == "door":
        if item.pane_width_mm is None and item.pane_height_mm is None:
            step = u_step("U of the leaf", frame_words, frame_u, EN_ISO_10077)
            return frame_u, step, False
        if item.pane_width_mm is None or item.pane_height_mm is None:
            raise WindowError(
                "one pane has only one of width and height",
                "pane_height_mm" if item.pane_height_mm is None else "pane_width_mm",
            )
        pane_width, pane_height = item.pane_width_mm / 1000, item.pane_height_mm / 1000
    else:
        pane_width, pane_height = pane_sizes(width, height, item.effective("frame_width_mm"), panes)
    glass_u, glass_words, coated = _glass(item)
    glass = pane_width * pane_height * panes
    frame = width * height - glass
    if frame < 0:
        raise WindowError(
            f"its panes measure {figure(glass)} m², and the whole door only {figure(width * height)} m²",
            "pane_width_mm",
        )
    edge_m = 2 * (pane_width + pane_height) * panes
    psi = item.edge_psi_w_mk
    if psi is None:
        # A part known by its U-value alone takes the highest Ψ of its kind.
        psi = (
            table(EDGES)
            .get(edge=edge or "metal_break", coated=coated or "coated", spacer=item.effective("spacer"))
            .number("psi_w_mk")
        )
    u_value = parts_u_value(glass, glass_u, frame, frame_u, edge_m, psi)
    basis = "" if size_m else ", usual size of a test"
    numbers = (
        f"{figure(width)} × {figure(height)} m{basis}; glass {figure(glass, 4)} m² at {figure(glass_u)} ({glass_words}); frame {figure(frame, 4)} m² at {figure(frame_u)} "
        f"({frame_words}); edge {figure(edge_m, 3)} m at Ψ {figure(psi, 3)}"
    )
    return (
        u_value,
        u_step("U = (Ag Ug + Af Uf + l Ψ) / (Ag + Af)", numbers, u_value, EN_ISO_10077),
        (item.glass or "").startswith("triple"),
    )


def _frame(item: Construction) -> tuple[float, str, str | None]:
    if item.frame_kind is None and item.frame_u_w_m2k is None:
        raise WindowError("the U-value of its frame, or what the frame is, is missing", "frame_kind")
    row = None if item.frame_kind is None else table(FRAMES).get(frame_kind=item.frame_kind)
    edge = None if row is None else row.word("edge")
    if item.frame_u_w_m2k is not None:
        return item.frame_u_w_m2k, "as declared", edge
    return known(row).number("u_value_w_m2k"), item.kind.field("frame_kind").choice_label(item.frame_kind).lower(), edge


def _glass(item: Construction) -> tuple[float, str, str | None]:
    if item.glass is None and item.glass_u_w_m2k is None:
        raise WindowError("the U-value of its glass, or what the glass is, is missing", "glass")
    row = None if item.glass is None else table(GLASS).get(glass=item.glass)
    coated = None if row is None else row.word("coated")
    if item.glass_u_w_m2k is not None:
        return item.glass_u_w_m2k, "as declared", coated
    return known(row).number("u_value_w_m2k"), item.kind.field("glass").choice_label(item.glass).lower(), coated
