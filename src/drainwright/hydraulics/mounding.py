"""The mound of ground water that grows where water soaks in (Hantush 1967)."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import Array, require_fraction, tidy, together
from drainwright.worksheet import Card, catalogued

MOUND_ROUNDS = 60  # of the mean thickness, until the mound agrees with it [-]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_EDGES = np.concatenate([[0.0], np.exp2(np.arange(-14.0, 0.5, 1.0))])  # finer towards zero, where erf turns


def mound_function(first: Floats, second: Floats) -> Floats:
    """Hantush's S*: the integral of erf(first / sqrt(t)) erf(second / sqrt(t)) over t from 0 to 1. Odd in each.

    Parameters
    ----------
    first, second : Floats
        Half sizes over twice the root of diffusivity and time, of one shape. [-]

    Returns
    -------
    Floats
        From -1 to 1. [-]

    Examples
    --------
    >>> round(mound_function(0.02, 0.04), 4)
    0.0073
    """
    from scipy.special import erf

    one, other = together(first, second)
    low, high = _EDGES[:-1], _EDGES[1:]
    places = (0.5 * (low + high) + 0.5 * (high - low) * _NODES[:, None]).ravel()
    shares = (0.5 * (high - low) * _WEIGHTS[:, None]).ravel() * 2.0 * places
    whole = erf(one[..., None] / places) * erf(other[..., None] / places)
    return tidy(np.sum(shares * whole, axis=-1))


@catalogued(
    Card(
        title="Rise of the water table under a rectangle that water soaks in at (Hantush 1967)",
        symbol="z",
        expression="h - head, with h² - head² = w b t / (2 ε) of the sum of S* over the four corners, "
        "b the mean of head and h",
        units={
            "percolation": "m/s",
            "time": "s",
            "half_length": "m",
            "half_width": "m",
            "conductivity": "m/s",
            "porosity": "-",
            "head": "m",
            "along": "m",
            "across": "m",
            "result": "m",
        },
        source="hantush_1967",
        expression_kind="procedure",
    )
)
def mound_rise(
    percolation: Floats,
    time: Floats,
    half_length: Floats,
    half_width: Floats,
    conductivity: Floats,
    porosity: Floats,
    head: Floats,
    along: Floats = 0.0,
    across: Floats = 0.0,
) -> Floats:
    """Rise of the water table while water soaks evenly into a rectangle.

    Parameters
    ----------
    percolation : Floats
        Water that reaches the water table under the rectangle, zero or more. [m/s]
    time : Floats
        Since it began, above zero. [s]
    half_length, half_width : Floats
        Half the sides of the rectangle, above zero. [m]
    conductivity : Floats
        Of the soil, above zero. [m/s]
    porosity : Floats
        Drainable, above zero, at most 1. [-]
    head : Floats
        Thickness of the water-bearing soil before, above zero. [m]
    along, across : Floats
        Place from the middle of the rectangle, zero or more. [m]

    Returns
    -------
    Floats
        Rise. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    References
    ----------
    M. S. Hantush, Growth and decay of groundwater-mounds in response to uniform percolation, Water Resources Research 3
    (1), 1967, pp. 227-234.

    Notes
    -----
    The soil is even and without end, the flow to the sides level; the mean thickness by successive approximation.

    Examples
    --------
    >>> round(mound_rise(1e-6, 86400.0, 5.0, 1.0, 1e-5, 0.2, 3.0), 3)
    0.105
    """
    require("zero or more", np.greater_equal, percolation=percolation, along=along, across=across)
    require(
        "above zero", np.greater, time=time, half_length=half_length, half_width=half_width, conductivity=conductivity,
        porosity=porosity, head=head,
    )  # fmt: skip
    require_fraction(porosity=porosity)
    w, t, half_l, half_w, k, e, h0, x, y = together(
        percolation, time, half_length, half_width, conductivity, porosity, head, along, across
    )

    def squares(h: Array) -> Array:
        b = 0.5 * (h0 + h)
        scale = 1.0 / np.sqrt(4.0 * k * b / e * t)
        corners = sum(
            np.asarray(mound_function((half_l + sx * x) * scale, (half_w + sy * y) * scale))
            for sx in (1.0, -1.0)
            for sy in (1.0, -1.0)
        )
        return np.asarray(np.sqrt(h0**2 + 0.5 * w * b * t / e * corners))

    h = h0
    for _ in range(MOUND_ROUNDS):
        h = 0.5 * (h + squares(h))
    return tidy(h - h0)


__all__ = ["mound_function", "mound_rise"]
