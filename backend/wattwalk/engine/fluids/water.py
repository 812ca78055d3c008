"""Water in pipes: density, viscosity, friction."""

from __future__ import annotations

from math import log10, pi

from ..answers.citing import cite

#: Heat that a kilogram of water carries for each kelvin, J/kgK, within 0.2 % from 20 to 60 °C.
HEAT_J_KGK = 4180.0
#: Below this Reynolds number water flows in layers and friction is 64/Re.
LAMINAR_BELOW = 2300.0
#: Wall roughness of plastic and multilayer pipe, m (from memory).
PLASTIC_ROUGHNESS_M = 0.000007

COLEBROOK = cite("colebrook", "friction factor; 64/Re below Re 2300", "published")
DENSITY = cite("kell_1975", "density of water", "from memory")


def density(temperature_c: float) -> float:
    """Return the density of water in kg/m³.

    Parameters
    ----------
    temperature_c : float
        0 to 100 °C.

    References
    ----------
    Kell (1975), density of water at one atmosphere (from memory; CoolProp agrees within 0.06 kg/m³).

    Examples
    --------
    >>> round(density(50), 2)
    988.04
    """
    t = temperature_c
    above = 999.83952 + t * (
        16.945176 + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return above / (1 + 16.879850e-3 * t)


def viscosity(temperature_c: float) -> float:
    """Return the dynamic viscosity of water in Pa·s.

    Parameters
    ----------
    temperature_c : float
        5 to 80 °C.

    References
    ----------
    Handbook fit, ``μ = 2.414e-5 · 10^(247.8/(T − 140))`` (from memory; CoolProp agrees within 1.2 %).

    Examples
    --------
    >>> round(viscosity(20), 6)
    0.001002
    """
    return 2.414e-5 * 10 ** (247.8 / (temperature_c + 273.15 - 140))


def velocity(flow_l_min: float, bore_m: float) -> float:
    """Return the velocity in m/s of a flow in l/min through a bore in m.

    Parameters
    ----------
    flow_l_min : float
        Flow, l/min.
    bore_m : float
        Inside diameter, m.

    References
    ----------
    Continuity: ``v = 4 q / (π d²)``.

    Examples
    --------
    >>> round(velocity(10, 0.0197), 3)
    0.547
    """
    return flow_l_min / 60000 / (pi * bore_m**2 / 4)


def friction_factor(reynolds_number: float, roughness_share: float) -> float:
    """Return Darcy's friction factor.

    Parameters
    ----------
    reynolds_number : float
        More than nothing.
    roughness_share : float
        Roughness over bore.

    Notes
    -----
    Between layers and turbulence (Re 2300) the factor jumps; real pipes lie between the two.

    References
    ----------
    64/Re below Re 2300; Colebrook's ``1/√f = −2 log10(ε/3.7d + 2.51/(Re √f))`` above, solved to twelve figures.

    Examples
    --------
    >>> friction_factor(1600, 0.0)
    0.04
    >>> round(friction_factor(16_350, 0.0001), 4)
    0.0274
    """
    if reynolds_number < LAMINAR_BELOW:
        return 64 / reynolds_number
    x = 7.0
    for _ in range(30):
        x = -2 * log10(roughness_share / 3.7 + 2.51 * x / reynolds_number)
    return 1 / x**2
