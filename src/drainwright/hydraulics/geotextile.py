"""Soil against fabric: the opening that keeps it back, the permittivity that lets its water through."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import require_fraction, tidy
from drainwright.worksheet import Card, catalogued

NO_100 = 0.15e-3  # of the No. 100 sieve: no fabric finer than this, UFC 3-270-04 [m]
NO_FABRIC_FINES = 0.85  # of so many fines on fabric is not to be used by itself, UFC 3-270-04 [-]
COHESIVE_OPENING = 0.3e-3  # largest opening for silts and clays, FHWA NHI-07-092 [m]


@catalogued(
    Card(
        title="Largest opening of a fabric against a soil",
        symbol="O95",
        expression="B d85: B by evenness up to half of fines; with more 1 woven, 1.8 non-woven, and 0.3 mm at most",
        units={"d85": "m", "fines": "-", "uniformity": "-", "woven": "-", "result": "m"},
        source="fhwa_geotextile",
        expression_kind="procedure",
    )
)
def fabric_opening_most(d85: float, fines: float, uniformity: float, woven: bool = False) -> float:
    """Largest apparent opening O95 of a fabric that keeps a soil back, FHWA: O95 <= B d85.

    Parameters
    ----------
    d85 : float
        Of the soil, regraded on the No. 4 sieve. [m]
    fines : float
        Share finer than the No. 200 sieve. [-]
    uniformity : float
        Of the soil, d60 over d10. [-]
    woven : bool
        Woven fabric.

    Returns
    -------
    float
        Opening. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Up to half of fines: B = 1 for a uniformity to 2 or from 8, half the uniformity to 4, 8 over it beyond. With more
    fines: B = 1 for woven and 1.8 for non-woven, and 0.3 mm at most. For steady flow.

    Examples
    --------
    >>> round(fabric_opening_most(0.5e-3, 0.1, 4.0) * 1000, 2)
    1.0
    """
    require("above zero", np.greater, d85=d85, uniformity=uniformity)
    require_fraction(fines=fines)
    if fines > 0.5:
        return min((1.0 if woven else 1.8) * d85, COHESIVE_OPENING)
    if uniformity <= 2.0 or uniformity >= 8.0:
        return d85
    return (0.5 * uniformity if uniformity <= 4.0 else 8.0 / uniformity) * d85


def fabric_class(fines: float) -> tuple[float, float]:
    """What AASHTO M 288 asks of a fabric for drains by the soil's fines.

    Parameters
    ----------
    fines : float
        Share finer than the No. 200 sieve. [-]

    Returns
    -------
    tuple
        Largest apparent opening [m] and least permittivity [1/s].

    Examples
    --------
    >>> fabric_class(0.3)
    (0.00025, 0.2)
    """
    require_fraction(fines=fines)
    if fines < 0.15:
        return 0.43e-3, 0.5
    return (0.25e-3, 0.2) if fines <= 0.5 else (0.22e-3, 0.1)


@catalogued(
    Card(
        title="Water let through a fabric",
        symbol="q",
        expression="permittivity * head * unclogged",
        units={"permittivity": "1/s", "head": "m", "unclogged": "-", "result": "m/s"},
        source="fhwa_geotextile",
    )
)
def fabric_flow(permittivity: Floats, head: Floats, unclogged: Floats = 0.1) -> Floats:
    """Flow through each square metre of fabric: permittivity times the head lost in it, times what is not clogged.

    Parameters
    ----------
    permittivity : Floats
        Of the new fabric, zero or more. [1/s]
    head : Floats
        Lost in the fabric, zero or more. [m]
    unclogged : Floats
        What is left of it after years in the soil, from 0 to 1. [-]

    Returns
    -------
    Floats
        Flow for each square metre. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(fabric_flow(0.5, 0.05, 0.1) * 1000, 3)
    2.5
    """
    require("zero or more", np.greater_equal, permittivity=permittivity, head=head)
    require_fraction(unclogged=unclogged)
    return tidy(np.asarray(permittivity) * head * unclogged)


__all__ = [
    "COHESIVE_OPENING", "NO_100", "NO_FABRIC_FINES", "fabric_class", "fabric_flow", "fabric_opening_most",
]  # fmt: skip
