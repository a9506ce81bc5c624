"""Water in the ground: flow to a trench, capillary rise; and, from ``influence``, the range of a lowering.

Heads are over the impervious layer. Parallel drains are in ``drainspacing``.
"""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import require_at_most, tidy
from drainwright.hydraulics.influence import (
    SICHARDT_LINE,
    SICHARDT_RADIAL,
    kusakin_influence,
    kusakin_steady_influence,
    lembke_influence,
    sichardt_influence,
    weber_influence,
)
from drainwright.worksheet import Card, catalogued, quiet

__all__ = [
    "SICHARDT_LINE",
    "SICHARDT_RADIAL",
    "capillary_rise_soil",
    "capillary_rise_tube",
    "darcy_flow",
    "dupuit_flow",
    "dupuit_head",
    "kusakin_influence",
    "kusakin_steady_influence",
    "lembke_influence",
    "partial_penetration_factor",
    "sichardt_influence",
    "slot_inflow",
    "weber_influence",
]


@catalogued(
    Card(
        title="Flow through ground, Darcy",
        symbol="Q",
        expression="conductivity * gradient * area",
        units={"conductivity": "m/s", "gradient": "m/m", "area": "m²", "result": "m³/s"},
        source="darcy",
    )
)
def darcy_flow(conductivity: Floats, gradient: Floats, area: Floats) -> Floats:
    """Flow through ground: Q = K i A.

    Parameters
    ----------
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    gradient : Floats
        Hydraulic gradient, zero or more. [m/m]
    area : Floats
        Area square to the flow, zero or more. [m²]

    Returns
    -------
    Floats
        Flow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(darcy_flow(1e-4, 0.05, 20.0), 6)
    0.0001
    """
    require("zero or more", np.greater_equal, gradient=gradient, area=area)
    require("above zero", np.greater, conductivity=conductivity)
    return tidy(np.asarray(conductivity) * gradient * area)


@catalogued(
    Card(
        title="Flow between two heads, unconfined (Dupuit)",
        symbol="q",
        expression="conductivity * (head_high ** 2 - head_low ** 2) / (2 * distance)",
        units={"conductivity": "m/s", "head_high": "m", "head_low": "m", "distance": "m", "result": "m²/s"},
        source="dupuit",
    )
)
def dupuit_flow(conductivity: Floats, head_high: Floats, head_low: Floats, distance: Floats) -> Floats:
    """Steady unconfined flow between two heads, for each metre: q = K (H² − h²) / 2L.

    Parameters
    ----------
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    head_high : Floats
        Head at the far side, at least ``head_low``, zero or more. [m]
    head_low : Floats
        Head at the near side, zero or more. [m]
    distance : Floats
        Distance between the two, above zero. [m]

    Returns
    -------
    Floats
        Flow for each metre of length. [m²/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(dupuit_flow(1e-5, 5.0, 1.0, 100.0) * 86400, 4)
    0.1037
    """
    require("zero or more", np.greater_equal, head_high=head_high, head_low=head_low)
    require("above zero", np.greater, conductivity=conductivity, distance=distance)
    require_at_most("head_low", head_low, "head_high", head_high)
    difference = np.asarray(head_high) ** 2 - np.asarray(head_low) ** 2
    return tidy(conductivity * difference / (2.0 * np.asarray(distance)))


@catalogued(
    Card(
        title="Water table between two heads (Dupuit)",
        symbol="h",
        expression="sqrt(head_high ** 2 - (head_high ** 2 - head_low ** 2) * position / distance)",
        units={"position": "m", "head_high": "m", "head_low": "m", "distance": "m", "result": "m"},
        source="dupuit",
        trial={"position": (0.01, 0.4), "distance": (0.5, 1.0), "head_high": (0.5, 1.0), "head_low": (0.01, 0.5)},
    )
)
def dupuit_head(position: Floats, head_high: Floats, head_low: Floats, distance: Floats) -> Floats:
    """Height of the steady water table between two heads, without recharge.

    Parameters
    ----------
    position : Floats
        Distance from the high head, at most ``distance``, zero or more. [m]
    head_high : Floats
        Head at the far side, zero or more. [m]
    head_low : Floats
        Head at the near side, zero or more. [m]
    distance : Floats
        Distance between the two, above zero. [m]

    Returns
    -------
    Floats
        Height of the water table. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(dupuit_head(5.0, 5.0, 1.0, 100.0), 4)
    4.8785
    """
    require("zero or more", np.greater_equal, position=position, head_high=head_high, head_low=head_low)
    require("above zero", np.greater, distance=distance)
    require_at_most("head_low", head_low, "head_high", head_high)
    require_at_most("position", position, "distance", distance)
    high, low = np.asarray(head_high) ** 2, np.asarray(head_low) ** 2
    return tidy(np.sqrt(high - (high - low) * position / np.asarray(distance)))


@catalogued(
    Card(
        title="Inflow of a drainage slot to the bottom of the layer",
        symbol="q",
        expression="sides * conductivity * (head ** 2 - drain_head ** 2) / (2 * influence)",
        units={"conductivity": "m/s", "head": "m", "drain_head": "m", "influence": "m", "sides": "-", "result": "m²/s"},
        source="ufc_3_220_05",
        trial={"head": (0.5, 1.0), "drain_head": (0.01, 0.5)},
    )
)
def slot_inflow(
    conductivity: Floats, head: Floats, drain_head: Floats, influence: Floats, sides: Floats = 2.0
) -> Floats:
    """Inflow of a slot that reaches the impervious layer, for each metre.

    Parameters
    ----------
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    head : Floats
        Undisturbed head, at least ``drain_head``, zero or more. [m]
    drain_head : Floats
        Head in the slot, zero or more. [m]
    influence : Floats
        Distance to the undisturbed head, above zero. [m]
    sides : Floats
        1 for water from one side, 2 from both, above zero. [-]

    Returns
    -------
    Floats
        Inflow for each metre of slot. [m²/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    The slot equations of the manual are figures; the form is from memory. At the ends of a finite slot the
    inflow is greater; at first pumping is some 30 % above the steady value.

    Examples
    --------
    >>> round(slot_inflow(1e-5, 3.0, 1.0, 20.0) * 86400, 3)
    0.346
    """
    require("zero or more", np.greater_equal, head=head, drain_head=drain_head)
    require("above zero", np.greater, conductivity=conductivity, influence=influence, sides=sides)
    with quiet():
        one = dupuit_flow(conductivity, head, drain_head, influence)
    return tidy(np.asarray(sides) * one)


@catalogued(
    Card(
        title="Factor for a slot that does not reach the layer's bottom",
        symbol="F",
        expression="0.73 + 0.27 * (head - drain_head) / head",
        units={"head": "m", "drain_head": "m", "result": "-"},
        source="slot_partial",
        trial={"head": (0.5, 1.0), "drain_head": (0.01, 0.5)},
    )
)
def partial_penetration_factor(head: Floats, drain_head: Floats) -> Floats:
    """Share of the full slot's flow that a partly penetrating slot draws: 0.73 + 0.27 (H − h0)/H.

    Parameters
    ----------
    head : Floats
        Undisturbed head over the layer's bottom, at least ``drain_head``, above zero. [m]
    drain_head : Floats
        Head in the slot over the layer's bottom, zero or more. [m]

    Returns
    -------
    Floats
        Share of the flow of a slot that reaches the bottom, 0.73 to 1. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(partial_penetration_factor(3.0, 1.5), 3)
    0.865
    """
    require("zero or more", np.greater_equal, drain_head=drain_head)
    require("above zero", np.greater, head=head)
    require_at_most("drain_head", drain_head, "head", head)
    return tidy(0.73 + 0.27 * (np.asarray(head) - drain_head) / head)


@catalogued(
    Card(
        title="Capillary rise in a tube",
        symbol="h_c",
        expression="4 * surface_tension / (unit_weight * pore_diameter)",
        units={"pore_diameter": "m", "surface_tension": "N/m", "unit_weight": "N/m³", "result": "m"},
        source="jurin",
    )
)
def capillary_rise_tube(
    pore_diameter: Floats, surface_tension: Floats = 0.0728, unit_weight: Floats = 9790.0
) -> Floats:
    """Capillary rise in a tube: h = 4 σ / (γ d).

    Parameters
    ----------
    pore_diameter : Floats
        Diameter of the pore, above zero. [m]
    surface_tension : Floats
        Surface tension of water, above zero. [N/m]
    unit_weight : Floats
        Unit weight of water, above zero. [N/m³]

    Returns
    -------
    Floats
        Height of rise, with a contact angle of zero. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(capillary_rise_tube(0.074e-3), 3)
    0.402
    """
    require(
        "above zero", np.greater, pore_diameter=pore_diameter, surface_tension=surface_tension, unit_weight=unit_weight
    )
    return tidy(4.0 * np.asarray(surface_tension) / (np.asarray(unit_weight) * pore_diameter))


@catalogued(
    Card(
        title="Capillary rise in soil, Terzaghi",
        symbol="h_c",
        expression="coefficient / (void_ratio * grain_size)",
        units={"void_ratio": "-", "grain_size": "m", "coefficient": "m²", "result": "m"},
        source="terzaghi",
    )
)
def capillary_rise_soil(void_ratio: Floats, grain_size: Floats, coefficient: Floats = 3e-5) -> Floats:
    """Capillary rise in soil: h = C / (e D10).

    Parameters
    ----------
    void_ratio : Floats
        Void ratio of the soil, above zero. [-]
    grain_size : Floats
        Effective grain size D10, above zero. [m]
    coefficient : Floats
        0.1 to 0.5 cm² by grain shape and dirt, in m², above zero. [m²]

    Returns
    -------
    Floats
        Height of rise. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(capillary_rise_soil(0.6, 2e-5), 2)
    2.5
    """
    require("above zero", np.greater, void_ratio=void_ratio, grain_size=grain_size, coefficient=coefficient)
    return tidy(np.asarray(coefficient) / (np.asarray(void_ratio) * grain_size))
