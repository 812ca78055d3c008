"""What flows in the circuit: water, or water with glycol: density, heat, viscosity, freezing, growth on warming."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from math import exp, log

from wattwalk.catalogue import CatalogueError, interpolate, table
from wattwalk.survey.circuit import Circuit

from ..answers.citing import cite_row
from . import water
from .water import DENSITY

PROPERTIES, FREEZING = "glycol_properties_melinder_2010", "glycol_freezing_melinder_2010"
#: The range in which the properties hold, °C.
COLDEST_C, HOTTEST_C = 5.0, 80.0


@dataclass(frozen=True)
class Fluid:
    """A heating fluid: water, or water with a share of glycol by mass in per cent (20 to 40)."""

    name: str
    mass_percent: float | None = None

    @property
    def is_water(self) -> bool:
        """Say whether there is no glycol in it."""
        return self.mass_percent is None

    @property
    def source(self) -> str:
        """Where the properties come from."""
        return DENSITY if self.is_water else cite_row(table(PROPERTIES).where("fluid", self.name)[0])

    def density(self, temperature_c: float) -> float:
        """Return the density in kg/m³ at 0 to 80 °C."""
        return (
            water.density(temperature_c)
            if self.mass_percent is None
            else _by_table(self.name, self.mass_percent, temperature_c, "density_kg_m3")
        )

    def specific_heat(self, temperature_c: float) -> float:
        """Return the specific heat in J/kgK at 0 to 80 °C."""
        return (
            water.HEAT_J_KGK
            if self.mass_percent is None
            else _by_table(self.name, self.mass_percent, temperature_c, "specific_heat_j_kgk")
        )

    def viscosity(self, temperature_c: float) -> float:
        """Return the dynamic viscosity in Pa·s at 5 to 80 °C."""
        return (
            water.viscosity(temperature_c)
            if self.mass_percent is None
            else exp(_by_table(self.name, self.mass_percent, temperature_c, "viscosity_mpa_s", log)) / 1000
        )

    def reynolds(self, velocity_m_s: float, bore_m: float, temperature_c: float) -> float:
        """Return the Reynolds number, ``Re = ρ v d / μ``, at a velocity in m/s through a bore in m."""
        return self.density(temperature_c) * velocity_m_s * bore_m / self.viscosity(temperature_c)

    def freezing_c(self) -> float:
        """Return the temperature at which ice begins, °C."""
        if self.mass_percent is None:
            return 0.0
        return interpolate(
            [
                (row.number("mass_percent"), row.number("freezing_c"))
                for row in table(FREEZING).where("fluid", self.name)
            ],
            self.mass_percent,
        )


WATER = Fluid("water")


def in_range(temperature_c: float) -> float:
    """Return a temperature in °C held within the range in which the properties hold.

    Parameters
    ----------
    temperature_c : float
        °C.

    Examples
    --------
    >>> in_range(92)
    80.0
    """
    return min(max(temperature_c, COLDEST_C), HOTTEST_C)


def fluid_of(circuit: Circuit | None) -> Fluid | None:
    """Return what flows in the circuit, water while nobody has said; None while the share of glycol is not known."""
    kind = "water" if circuit is None else circuit.effective("fluid")
    if circuit is None or kind == "water":
        return WATER
    return None if circuit.glycol_percent is None else Fluid(kind, circuit.glycol_percent)


@cache
def _column(fluid: str, mass_percent: float, column: str) -> tuple[tuple[float, float], ...]:
    rows = [row for row in table(PROPERTIES).where("fluid", fluid) if row.cells["mass_percent"] == mass_percent]
    return tuple((row.number("temperature_c"), row.number(column)) for row in rows)


@cache
def _shares(fluid: str) -> tuple[float, ...]:
    return tuple(sorted({row.number("mass_percent") for row in table(PROPERTIES).where("fluid", fluid)}))


def _by_table(
    fluid: str, mass_percent: float, temperature_c: float, column: str, scale: Callable[[float], float] = float
) -> float:
    """Interpolate over temperature, then over the share; raises ``CatalogueError`` outside the table."""
    points = [
        (share, interpolate([(t, scale(value)) for t, value in _column(fluid, share, column)], temperature_c))
        for share in _shares(fluid)
    ]
    return interpolate(points, mass_percent)


def growth(fluid: Fluid, from_c: float, to_c: float) -> float:
    """Return by what share a fluid grows when it warms, ``ρ_cold/ρ_hot − 1``.

    Parameters
    ----------
    fluid : Fluid
        What is in the circuit.
    from_c, to_c : float
        Temperature when it is filled and at its hottest, °C.

    Raises
    ------
    CatalogueError
        When a temperature lies outside the fluid's table.

    Examples
    --------
    >>> round(growth(Fluid('water'), 10, 60), 4)
    0.0168
    """
    if to_c < from_c:
        raise CatalogueError(f"{to_c:g} °C is colder than the {from_c:g} °C it was filled at")
    return fluid.density(from_c) / fluid.density(to_c) - 1
