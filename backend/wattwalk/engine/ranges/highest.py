"""How the highest of several figures that hang together is spread: the common flow is that of the room that asks for most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from math import erf, exp, floor, fsum, pi, sqrt
from operator import mul

#: Points tried, and the generator of the lattice that spreads them evenly: of those tried, the one whose highest of up to 16 figures lies nearest to what is known of it, within 0.05 of a standard deviation.
POINTS, GENERATOR = 509, 57
#: Figures looked at together; the rest can hardly be the highest.
MOST = 16


def normal_quantile(share: float) -> float:
    """Return the value below which this share of a standard normal distribution lies.

    Parameters
    ----------
    share : float
        More than 0 and less than 1.

    Examples
    --------
    >>> round(normal_quantile(0.95), 4)
    1.6449
    """
    value = 0.0
    for _ in range(60):
        step = (0.5 * (1 + erf(value / sqrt(2))) - share) * sqrt(2 * pi) * exp(value * value / 2)
        value -= max(-1.0, min(1.0, step))
        if abs(step) < 1e-12:
            break
    return value


@cache
def _normals() -> tuple[float, ...]:
    return tuple(normal_quantile((place + 0.5) / POINTS) for place in range(POINTS))


@cache
def _points(directions: int) -> tuple[tuple[float, ...], ...]:
    """Return evenly spread points of a standard normal distribution in so many directions, each direction with the same values in another order."""
    normals, steps, step = _normals(), [], 1
    for _ in range(directions):
        steps.append(step)
        step = step * GENERATOR % POINTS
    return tuple(tuple(normals[(place * step) % POINTS] for step in steps) for place in range(POINTS))


def lower_half(covariance: Sequence[Sequence[float]]) -> list[list[float]]:
    """Return the lower triangle L with ``L Lᵀ`` the covariance (Cholesky); a direction that adds nothing of its own is left out.

    Examples
    --------
    >>> lower_half([[4.0, 2.0], [2.0, 5.0]])
    [[2.0], [1.0, 2.0]]
    """
    rows: list[list[float]] = []
    for place, wanted in enumerate(covariance):
        row: list[float] = []
        for column in range(place):
            before = rows[column]
            rest = wanted[column] - fsum(row[k] * before[k] for k in range(column))
            row.append(rest / before[column] if before[column] > 1e-12 else 0.0)
        own = wanted[place] - fsum(item * item for item in row)
        rows.append([*row, sqrt(own) if own > 1e-12 else 0.0])
    return rows


@dataclass(frozen=True)
class Bent:
    """A figure over how far its cause lies off: its middle, and its rise for each unit of the cause below and above it."""

    middle: float
    below: float
    above: float

    def at(self, off: float) -> float:
        """Return the figure where its cause lies so far off.

        Examples
        --------
        >>> Bent(40.0, 1.0, 2.0).at(-3.0), Bent(40.0, 1.0, 2.0).at(3.0)
        (37.0, 46.0)
        """
        return self.middle + off * (self.above if off > 0 else self.below)


def quantiles_of_highest(
    figures: Sequence[Bent], covariance: Sequence[Sequence[float]], shares: Sequence[float]
) -> list[float]:
    """Return below which values the highest of several figures lies in these shares of all cases.

    Parameters
    ----------
    figures : sequence of Bent
        What is looked at together.
    covariance : square sequence
        Of their causes.
    shares : sequence of float
        More than 0 and less than 1.

    Notes
    -----
    A rank-1 lattice carried through the normal distribution: for one figure it is exact between its points, and two that are level come out
    higher together than either by itself, as they must.

    Examples
    --------
    >>> straight = Bent(40.0, 1.0, 1.0)
    >>> [round(value, 1) for value in quantiles_of_highest([straight], [[1.0]], [0.05, 0.95])]
    [38.4, 41.6]
    >>> [round(value, 1) for value in quantiles_of_highest([straight, straight], [[1.0, 0.0], [0.0, 1.0]], [0.05, 0.95])]
    [39.2, 41.9]
    """
    lower = lower_half(covariance)
    points = _points(len(figures))
    highest: list[float] = []
    for row, item in zip(lower, figures, strict=True):
        values = [item.at(fsum(map(mul, row, point))) for point in points]
        highest = list(map(max, highest, values)) if highest else values
    highest.sort()
    return [_at_share(highest, share) for share in shares]


def _at_share(ordered: Sequence[float], share: float) -> float:
    position = share * len(ordered) - 0.5
    below = min(max(floor(position), 0), len(ordered) - 2)
    rest = position - below
    return ordered[below] + rest * (ordered[below + 1] - ordered[below])
