"""Conductivity from a hole: water that rises in it below the water table, or sinks in it above."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued

# Limits of Ernst's formulas (ILRI 16, ch. 12; van Beers 1958; from memory): lowest and highest.
AUGER_RADIUS = (0.03, 0.07)  # of the hole [m]
AUGER_WATER = (0.20, 2.00)  # from the water at rest down to the hole's bottom [m]
AUGER_LOWERING = 0.2  # least lowering, as a share of that depth [-]
AUGER_RECOVERY = 0.25  # of the first lowering: readings beyond it count no more [-]

_UNITS = {"radius": "m", "water": "m", "lowering": "m", "rise_rate": "m/s", "result": "m/s"}
_TRIAL = {"radius": (0.03, 0.07), "water": (0.6, 2.0), "lowering": (0.2, 0.6)}


@catalogued(
    Card(
        title="Conductivity from an auger hole, the tight layer deep (Ernst)",
        symbol="K",
        expression="4000 / 864 * radius / ((20 + water / radius) * (2 - lowering / water)) / lowering * rise_rate",
        units=_UNITS,
        source="ernst_auger_hole",
        trial=_TRIAL,
    )
)
def auger_hole_deep(radius: Floats, water: Floats, lowering: Floats, rise_rate: Floats) -> Floats:
    """Conductivity from the rise of water in a hole that ends well above the tight layer.

    Parameters
    ----------
    radius : Floats
        Of the hole, above zero. [m]
    water : Floats
        From the water at rest down to the hole's bottom, above zero. [m]
    lowering : Floats
        Mean depth of the water below its rest over the readings, above zero, at most ``water``. [m]
    rise_rate : Floats
        Rate of rise at that lowering, zero or more. [m/s]

    Returns
    -------
    Floats
        Conductivity, of the ground between the water table and a little below the hole. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    For a tight layer deeper below the hole than half of ``water``. In print with lengths in cm, time in s and K in
    m/day: K = 4000 r / ((20 + H/r)(2 - y/H) y) dy/dt, within some 20 %.

    Examples
    --------
    >>> round(auger_hole_deep(0.04, 1.26, 0.284, 0.056 / 50) * 86400, 2)
    0.69
    """
    return _ernst(radius, water, lowering, rise_rate, 4000.0, 20.0)


@catalogued(
    Card(
        title="Conductivity from an auger hole that ends on the tight layer (Ernst)",
        symbol="K",
        expression="3600 / 864 * radius / ((10 + water / radius) * (2 - lowering / water)) / lowering * rise_rate",
        units=_UNITS,
        source="ernst_auger_hole",
        trial=_TRIAL,
    )
)
def auger_hole_on_barrier(radius: Floats, water: Floats, lowering: Floats, rise_rate: Floats) -> Floats:
    """Conductivity from the rise of water in a hole that reaches the tight layer; arguments as for a deep one.

    Parameters
    ----------
    radius : Floats
        Of the hole, above zero. [m]
    water : Floats
        From the water at rest down to the hole's bottom, above zero. [m]
    lowering : Floats
        Mean depth of the water below its rest over the readings, above zero, at most ``water``. [m]
    rise_rate : Floats
        Rate of rise at that lowering, zero or more. [m/s]

    Returns
    -------
    Floats
        Conductivity. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    return _ernst(radius, water, lowering, rise_rate, 3600.0, 10.0)


def _ernst(radius: Floats, water: Floats, lowering: Floats, rise_rate: Floats, factor: float, added: float) -> Floats:
    require("above zero", np.greater, radius=radius, water=water, lowering=lowering)
    require("zero or more", np.greater_equal, rise_rate=rise_rate)
    if not np.all(np.asarray(lowering) <= np.asarray(water)):
        raise InputError(f"lowering = {lowering!r}: expected at most water = {water!r}")
    depth, low = np.asarray(water), np.asarray(lowering)
    shape = (added + depth / radius) * (2.0 - low / depth)
    return tidy(factor / 864.0 * np.asarray(radius) / shape / low * rise_rate)  # 864: cm/s in m/day


@catalogued(
    Card(
        title="Conductivity from water that sinks in a hole (inverse auger hole, Porchet)",
        symbol="K",
        expression="radius / 2 * log((head_start + radius / 2) / (head_end + radius / 2)) / time",
        units={"radius": "m", "head_start": "m", "head_end": "m", "time": "s", "result": "m/s"},
        source="porchet",
        trial={"head_start": (0.5, 1.0), "head_end": (0.01, 0.5)},
    )
)
def sinking_hole(radius: Floats, head_start: Floats, head_end: Floats, time: Floats) -> Floats:
    """Conductivity from the fall of water in a hole above the water table: K = r/2 ln[(h0 + r/2)/(h1 + r/2)] / t.

    Parameters
    ----------
    radius : Floats
        Of the hole, above zero. [m]
    head_start, head_end : Floats
        Water over the hole's bottom at the start and at the end, zero or more, the end no higher. [m]
    time : Floats
        Between the two, above zero. [s]

    Returns
    -------
    Floats
        Conductivity, where the soil about the hole is soaked; before that the figure is too great. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Wall and bottom take water alike, under a gradient of one: no suction and no back pressure.

    Examples
    --------
    >>> round(sinking_hole(0.15, 0.12, 0.10, 360.0) * 3.6e6, 1)
    81.2
    """
    require("above zero", np.greater, radius=radius, time=time)
    require("zero or more", np.greater_equal, head_start=head_start, head_end=head_end)
    if not np.all(np.asarray(head_end) <= np.asarray(head_start)):
        raise InputError(f"head_end = {head_end!r}: expected at most head_start = {head_start!r}")
    half = np.asarray(radius) / 2.0
    return tidy(half * np.log((head_start + half) / (head_end + half)) / np.asarray(time))


__all__ = [
    "AUGER_LOWERING", "AUGER_RADIUS", "AUGER_RECOVERY", "AUGER_WATER", "auger_hole_deep", "auger_hole_on_barrier",
    "sinking_hole",
]  # fmt: skip
