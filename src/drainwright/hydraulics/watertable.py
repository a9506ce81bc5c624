"""The water table between two heads: where it stands, and how soon it comes there."""

from __future__ import annotations

import math

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import require_at_most, tidy
from drainwright.worksheet import Card, catalogued

_TERMS = np.arange(1.0, 200.0)


@catalogued(
    Card(
        title="Water table between two heads under rain that seeps down (Dupuit)",
        symbol="h",
        expression="sqrt(head_start ** 2 - (head_start ** 2 - head_end ** 2) * position / distance"
        " + recharge / conductivity * position * (distance - position))",
        units={
            "position": "m",
            "head_start": "m",
            "head_end": "m",
            "distance": "m",
            "conductivity": "m/s",
            "recharge": "m/s",
            "result": "m",
        },
        source="dupuit",
        trial={"position": (0.01, 0.4), "distance": (0.5, 1.0)},
    )
)
def head_between(
    position: Floats,
    head_start: Floats,
    head_end: Floats,
    distance: Floats,
    conductivity: Floats,
    recharge: Floats = 0.0,
) -> Floats:
    """Height of the steady water table between two heads, either the higher, with or without recharge.

    Parameters
    ----------
    position : Floats
        Distance from the first head, at most ``distance``, zero or more. [m]
    head_start, head_end : Floats
        Heads over the impervious layer at both ends, zero or more. [m]
    distance : Floats
        Between the two, above zero. [m]
    conductivity : Floats
        Hydraulic conductivity, above zero. [m/s]
    recharge : Floats
        Water that reaches the water table, zero or more. [m/s]

    Returns
    -------
    Floats
        Height of the water table: an ellipse where both heads are zero. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(head_between(5.0, 1.0, 1.0, 10.0, 1e-5, 1e-7), 4)
    1.118
    """
    require(
        "zero or more",
        np.greater_equal,
        position=position,
        head_start=head_start,
        head_end=head_end,
        recharge=recharge,
    )
    require("above zero", np.greater, distance=distance, conductivity=conductivity)
    require_at_most("position", position, "distance", distance)
    start, end = np.asarray(head_start) ** 2, np.asarray(head_end) ** 2
    place, length = np.asarray(position), np.asarray(distance)
    rise = np.asarray(recharge) / np.asarray(conductivity) * place * (length - place)
    return tidy(np.sqrt(np.maximum(start - (start - end) * place / length + rise, 0.0)))


@catalogued(
    Card(
        title="Radial resistance of a drain above the layer's bottom (Ernst)",
        symbol="W",
        expression="max(log(thickness / wet_perimeter), 0) / pi",
        units={"thickness": "m", "wet_perimeter": "m", "result": "-"},
        source="ernst_drain",
    )
)
def radial_resistance(thickness: Floats, wet_perimeter: Floats) -> Floats:
    """Head that is lost where water gathers to a drain, for each unit of flow over conductivity: ln(D/u) / π.

    Parameters
    ----------
    thickness : Floats
        From the drain's water down to the impervious layer, above zero. [m]
    wet_perimeter : Floats
        Of the drain, or of its stone, above zero. [m]

    Returns
    -------
    Floats
        Zero for a drain as large as the layer is thick. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(radial_resistance(3.0, 0.56), 3)
    0.534
    """
    require("above zero", np.greater, thickness=thickness, wet_perimeter=wet_perimeter)
    return tidy(np.maximum(np.log(np.asarray(thickness) / wet_perimeter), 0.0) / np.pi)


@catalogued(
    Card(
        title="Head beside a drain, past the gathering flow",
        symbol="h_e",
        expression="2 * (drain_head + resistance * (ways * head ** 2 + rain))"
        " / (1 + sqrt(1 + 4 * resistance * ways * (drain_head + resistance * (ways * head ** 2 + rain))))",
        units={"head": "m", "drain_head": "m", "resistance": "-", "ways": "1/m", "rain": "m", "result": "m"},
        source="ernst_drain",
        trial={"head": (0.5, 1.0), "drain_head": (0.01, 0.5)},
    )
)
def head_beside_drain(head: Floats, drain_head: Floats, resistance: Floats, ways: Floats, rain: Floats = 0.0) -> Floats:
    """Head from which Dupuit's level flow sets out: the drain's own, and what the gathering flow takes on top.

    Parameters
    ----------
    head : Floats
        Undisturbed, at least ``drain_head``, zero or more. [m]
    drain_head : Floats
        In the drain, zero or more. [m]
    resistance : Floats
        Radial, zero or more. [-]
    ways : Floats
        Sum over the sides that feed the drain of 1 / (2 distance to the undisturbed head), zero or more. [1/m]
    rain : Floats
        Flow that recharge adds over the conductivity, zero or more. [m]

    Returns
    -------
    Floats
        h_e, where h_e = h0 + W [(H² - h_e²) ways + rain]. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(head_beside_drain(3.36, 3.0, 0.5, 1 / 6), 3)
    3.126
    """
    require("zero or more", np.greater_equal, head=head, drain_head=drain_head)
    require("zero or more", np.greater_equal, resistance=resistance, ways=ways, rain=rain)
    require_at_most("drain_head", drain_head, "head", head)
    loss, sides = np.asarray(resistance), np.asarray(ways)
    whole = np.asarray(drain_head) + loss * (sides * np.asarray(head) ** 2 + rain)
    return tidy(2.0 * whole / (1.0 + np.sqrt(1.0 + 4.0 * loss * sides * whole)))


@catalogued(
    Card(
        title="Share of its steady lowering that a place has reached",
        symbol="u",
        expression="1 less 2/pi times the sum of sin(n pi x/L) exp(-n^2 pi^2 a t/L^2)/n, over the steady 1 - x/L; "
        "x from the drain, L to the head that is held",
        expression_kind="procedure",
        units={"diffusivity": "m²/s", "time": "s", "distance": "m", "length": "m", "result": "-"},
        source="glover",
    )
)
def lowering_share(diffusivity: Floats, time: Floats, distance: float, length: float) -> Floats:
    """Share of the steady lowering reached after the water in a drain was lowered, thickness taken as even.

    Parameters
    ----------
    diffusivity : Floats
        Conductivity times saturated thickness over drainable porosity, above zero. [m²/s]
    time : Floats
        Zero or more. [s]
    distance : float
        From the drain, above zero, below ``length``. [m]
    length : float
        From the drain to the head that is held, above zero. [m]

    Returns
    -------
    Floats
        0 to 1. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Midway between two drains at one level it is the same share as midway between a drain and a held head: the two
    lowerings add up. There it meets one less Glover's height left.

    Examples
    --------
    >>> round(lowering_share(1.0, 0.1, 0.5, 1.0), 3)
    0.526
    """
    require("above zero", np.greater, diffusivity=diffusivity, distance=distance, length=length)
    require("zero or more", np.greater_equal, time=time)
    if distance >= length:
        raise InputError(f"distance = {distance!r}: expected below length = {length!r}")
    place = distance / length
    fall = np.asarray(np.pi**2 * np.asarray(diffusivity) * time / length**2)
    terms = np.sin(np.pi * place * _TERMS) * np.exp(-np.multiply.outer(fall, _TERMS**2)) / _TERMS
    left = 2.0 / np.pi * np.sum(terms, axis=-1) / (1.0 - place)
    return tidy(np.clip(1.0 - left, 0.0, 1.0))


@catalogued(
    Card(
        title="Time until the water is half-way down to where it will stand",
        symbol="t_half",
        expression="the time at which half of the steady lowering is reached, by bisection",
        expression_kind="procedure",
        units={"diffusivity": "m²/s", "distance": "m", "length": "m", "result": "s"},
        source="glover",
    )
)
def half_fall_time(diffusivity: float, distance: float, length: float) -> float:
    """Time until a place has half of its steady lowering.

    Parameters
    ----------
    diffusivity : float
        Conductivity times saturated thickness over drainable porosity, above zero. [m²/s]
    distance : float
        From the drain, above zero, below ``length``. [m]
    length : float
        From the drain to the head that is held, above zero. [m]

    Returns
    -------
    float
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(half_fall_time(1.0, 0.5, 1.0), 4)
    0.0947
    """
    require("above zero", np.greater, diffusivity=diffusivity, distance=distance, length=length)
    if distance >= length:
        raise InputError(f"distance = {distance!r}: expected below length = {length!r}")
    place = distance / length
    waves = [(n * n * math.pi**2, math.sin(n * math.pi * place) / n) for n in range(1, 60)]
    wanted = 0.5 * (1.0 - place) * math.pi / 2.0
    low, high = 0.0, 1.0  # of length²/diffusivity: by 1 all but 5 parts in 100 000 is done
    for _ in range(50):
        middle = 0.5 * (low + high)
        left = 0.0
        for rate, size in waves:
            if rate * middle > 40.0:
                break
            left += size * math.exp(-rate * middle)
        low, high = (middle, high) if left > wanted else (low, middle)
    return 0.5 * (low + high) * length**2 / diffusivity


__all__ = ["half_fall_time", "head_beside_drain", "head_between", "lowering_share", "radial_resistance"]
