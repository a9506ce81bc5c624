"""How far a lowering of the water table reaches, by five published formulas.

They differ by a factor of thirty on one example; inflow depends on the distance far less than that.
"""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued

SICHARDT_RADIAL = 3000.0  # for wells (m, m/s)
SICHARDT_LINE = 1750.0  # for lines of drains, middle of 1 500 to 2 000 (m, m/s)


@catalogued(
    Card(
        title="Range of a lowering, Sichardt",
        symbol="R",
        expression="coefficient * drawdown * sqrt(conductivity)",
        units={"drawdown": "m", "conductivity": "m/s", "coefficient": "s^0.5/m^0.5", "result": "m"},
        source="sichardt",
    )
)
def sichardt_influence(drawdown: Floats, conductivity: Floats, coefficient: Floats = SICHARDT_LINE) -> Floats:
    """Distance to which a lowering of the water table reaches: R = C s √K.

    Parameters
    ----------
    drawdown : Floats
        Lowering at the drain, zero or more. [m]
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    coefficient : Floats
        3000 for wells, 1500 to 2000 for lines, above zero. [s^0.5/m^0.5]

    Returns
    -------
    Floats
        Distance from the drain to undisturbed ground water. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Formulas for this distance differ by far more than the inflow does: inflow is not very sensitive to it.

    Examples
    --------
    >>> round(sichardt_influence(5.0, 0.001, SICHARDT_RADIAL), 2)
    474.34
    """
    require("zero or more", np.greater_equal, drawdown=drawdown)
    require("above zero", np.greater, conductivity=conductivity, coefficient=coefficient)
    return tidy(np.asarray(coefficient) * drawdown * np.sqrt(conductivity))


@catalogued(
    Card(
        title="Range of a lowering in time, Weber",
        symbol="R",
        expression="2.45 * sqrt(head * conductivity * time / porosity)",
        units={"head": "m", "conductivity": "m/s", "time": "s", "porosity": "-", "result": "m"},
        source="byu_influence",
    )
)
def weber_influence(head: Floats, conductivity: Floats, time: Floats, porosity: Floats) -> Floats:
    """Range of a lowering in time, Weber: R = 2.45 √(H K t / n).

    Parameters
    ----------
    head : Floats
        Thickness of the saturated layer, above zero. [m]
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    time : Floats
        Time since the lowering began, zero or more. [s]
    porosity : Floats
        Effective porosity, above zero. [-]

    Returns
    -------
    Floats
        Distance. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(weber_influence(50.0, 0.001, 4.32e6, 0.3), 1)
    2078.9
    """
    require("zero or more", np.greater_equal, time=time)
    require("above zero", np.greater, head=head, conductivity=conductivity, porosity=porosity)
    return tidy(2.45 * np.sqrt(np.asarray(head) * conductivity * time / porosity))


@catalogued(
    Card(
        title="Range of a lowering in time, Kusakin",
        symbol="R",
        expression="1.9 * sqrt(head * conductivity * time / porosity)",
        units={"head": "m", "conductivity": "m/s", "time": "s", "porosity": "-", "result": "m"},
        source="byu_influence",
    )
)
def kusakin_influence(head: Floats, conductivity: Floats, time: Floats, porosity: Floats) -> Floats:
    """Range of a lowering in time, Kusakin: R = 1.9 √(H K t / n).

    Parameters
    ----------
    head : Floats
        Thickness of the saturated layer, above zero. [m]
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    time : Floats
        Time since the lowering began, zero or more. [s]
    porosity : Floats
        Effective porosity, above zero. [-]

    Returns
    -------
    Floats
        Distance. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(kusakin_influence(50.0, 0.001, 4.32e6, 0.3), 1)
    1612.2
    """
    require("zero or more", np.greater_equal, time=time)
    require("above zero", np.greater, head=head, conductivity=conductivity, porosity=porosity)
    return tidy(1.9 * np.sqrt(np.asarray(head) * conductivity * time / porosity))


@catalogued(
    Card(
        title="Range of a steady lowering, Kusakin",
        symbol="R",
        expression="575 * drawdown * sqrt(head * conductivity)",
        units={"drawdown": "m", "head": "m", "conductivity": "m/s", "result": "m"},
        source="byu_influence",
    )
)
def kusakin_steady_influence(drawdown: Floats, head: Floats, conductivity: Floats) -> Floats:
    """Range of a steady lowering, Kusakin: R = 575 s √(H K).

    Parameters
    ----------
    drawdown : Floats
        Lowering at the drain, zero or more. [m]
    head : Floats
        Thickness of the saturated layer, above zero. [m]
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]

    Returns
    -------
    Floats
        Distance. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(kusakin_steady_influence(5.0, 50.0, 0.001), 2)
    642.87
    """
    require("zero or more", np.greater_equal, drawdown=drawdown)
    require("above zero", np.greater, head=head, conductivity=conductivity)
    return tidy(575.0 * np.asarray(drawdown) * np.sqrt(np.asarray(head) * conductivity))


@catalogued(
    Card(
        title="Range of a lowering under recharge, Lembke",
        symbol="R",
        expression="head * sqrt(conductivity / (2 * recharge))",
        units={"head": "m", "conductivity": "m/s", "recharge": "m/s", "result": "m"},
        source="byu_influence",
    )
)
def lembke_influence(head: Floats, conductivity: Floats, recharge: Floats) -> Floats:
    """Range of a lowering under recharge, Lembke: R = H √(K / 2N).

    Parameters
    ----------
    head : Floats
        Thickness of the saturated layer, above zero. [m]
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    recharge : Floats
        Water that reaches the water table, above zero. [m/s]

    Returns
    -------
    Floats
        Distance. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(lembke_influence(50.0, 0.001, 0.2 / 31557600), 0)
    14044.0
    """
    require("above zero", np.greater, head=head, conductivity=conductivity, recharge=recharge)
    return tidy(np.asarray(head) * np.sqrt(np.asarray(conductivity) / (2.0 * np.asarray(recharge))))
