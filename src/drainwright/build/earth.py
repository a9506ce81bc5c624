"""Earth: volumes from sections, swell, mass, barrow rounds and loads."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from drainwright.build.units import CUBIC_YARD, PCF, POUND, whole
from drainwright.errors import InputError, require
from drainwright.job.site import Ground, Texture
from drainwright.worksheet import Card, catalogued, quiet

Series = NDArray[np.float64]

#: What one person can push over a yard in one round: common practice, no source.
BARROW_MASS = 350.0 * POUND
#: Part of the native soil that cannot go back: roots, rubble, mud. Common practice, no source.
UNFIT = 0.10


@dataclass(frozen=True, slots=True, kw_only=True)
class Soil:
    """How a soil digs, swells and weighs."""

    swell: float  # loose over bank, less one [-]
    moist: float  # bank density at the moisture it is dug with [kg/m³]
    digs: str  # class of hand_dig_rates: "loose", "firm", "clay"


# Swell: "swell_table" (clay 40, earth and loam 25, sand 12 percent; a spread of 10 points is usual).
# Moist bank density: clay 3,000 lb/yd³ was seen; the others are from memory, to be replaced by a test.
_CLAY_DENSITY = 3000.0 * POUND / CUBIC_YARD
_SAND = Soil(swell=0.12, moist=115.0 * PCF, digs="loose")
_LOAM = Soil(swell=0.25, moist=110.0 * PCF, digs="firm")
_CLAY = Soil(swell=0.40, moist=_CLAY_DENSITY, digs="clay")

SOILS: Mapping[Texture, Soil] = MappingProxyType(
    {
        "sand": _SAND,
        "loamy sand": _SAND,
        "sandy loam": _LOAM,
        "loam": _LOAM,
        "silt loam": _LOAM,
        "silt": _LOAM,
        "sandy clay loam": _LOAM,
        "clay loam": _CLAY,
        "silty clay loam": _CLAY,
        "sandy clay": _CLAY,
        "silty clay": _CLAY,
        "clay": _CLAY,
    }
)
#: Rock in place, and what it grows by once broken: common practice, no source. It goes back as stony soil does.
ROCK_DENSITY, ROCK_SWELL = 165.0 * PCF, 0.5


def in_rock(ground: Ground) -> bool:
    """Whether what is dug is stable rock, by the type that its protection is judged by."""
    return ground.osha_type.value == "stable rock"


def dig_key(ground: Ground) -> str:
    """The rate of the book at which the ground is dug in the open."""
    return "extra.rock" if in_rock(ground) else f"dig.{SOILS[ground.texture.value].digs}"


def dug(ground: Ground) -> Soil:
    """How the ground swells and weighs once dug: as its texture, or as broken rock."""
    soil = SOILS[ground.texture.value]
    return replace(soil, swell=ROCK_SWELL, moist=ROCK_DENSITY) if in_rock(ground) else soil


@catalogued(
    Card(
        title="Volume between two sections by average end area",
        symbol="V",
        expression="(first_area + second_area) / 2 * length",
        units={"first_area": "m²", "second_area": "m²", "length": "m", "result": "m³"},
        source="earthwork",
    )
)
def average_end_area(first_area: float, second_area: float, length: float) -> float:
    """Volume between two parallel sections: V = (A1 + A2) / 2 · L.

    Parameters
    ----------
    first_area, second_area : float
        Areas of the two sections, zero or more. [m²]
    length : float
        Distance between them, zero or more. [m]

    Returns
    -------
    float
        Volume: exact where the area changes in a straight line, too large for a tapering solid. [m³]

    Raises
    ------
    InputError
        If a value is not finite or is negative.

    Examples
    --------
    >>> average_end_area(1.0, 2.0, 10.0)
    15.0
    """
    require("zero or more", np.greater_equal, first_area=first_area, second_area=second_area, length=length)
    return (first_area + second_area) / 2 * length


@catalogued(
    Card(
        title="Volume between two sections by the prismoidal formula",
        symbol="V",
        expression="(first_area + 4 * middle_area + second_area) / 6 * length",
        units={"first_area": "m²", "middle_area": "m²", "second_area": "m²", "length": "m", "result": "m³"},
        source="earthwork",
    )
)
def prismoidal(first_area: float, middle_area: float, second_area: float, length: float) -> float:
    """Volume of a prismoid: V = (A1 + 4 Am + A2) / 6 · L, exact for prism, wedge, pyramid and cone.

    Parameters
    ----------
    first_area, middle_area, second_area : float
        Areas at the ends and half-way, zero or more. [m²]
    length : float
        Distance between the ends, zero or more. [m]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    InputError
        If a value is not finite or is negative.
    """
    require(
        "zero or more",
        np.greater_equal,
        first_area=first_area,
        middle_area=middle_area,
        second_area=second_area,
        length=length,
    )
    return (first_area + 4 * middle_area + second_area) / 6 * length


@catalogued(
    Card(
        title="Volume of a trench by average end area, station by station",
        symbol="V",
        expression="sum over the stations of (A1 + A2)/2 times their distance",
        units={"distances": "m", "first_areas": "m²", "second_areas": "m²", "result": "m³"},
        source="earthwork",
        expression_kind="procedure",
    )
)
def volume_by_stations(distances: Series, first_areas: Series, second_areas: Series) -> float:
    """Sum of average end areas; a section may step where one digging meets another.

    Parameters
    ----------
    distances : Series
        Stations, growing, n of them. [m]
    first_areas, second_areas : Series
        Areas at both ends of each of the n - 1 stretches. [m²]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    InputError
        If sizes disagree, stations do not grow, or an area is negative.
    """
    if len(first_areas) != len(distances) - 1 or len(second_areas) != len(first_areas):
        raise InputError(f"first_areas = {len(first_areas)} values: expected one less than stations, at both ends")
    with quiet():
        return math.fsum(
            average_end_area(float(first), float(second), float(length))
            for first, second, length in zip(first_areas, second_areas, np.diff(distances), strict=True)
        )


@catalogued(
    Card(
        title="Soil of a pit that no other dig takes",
        symbol="V",
        expression="sum over the pieces of area times depth",
        units={"pieces": "m², m", "result": "m³"},
        source="geometry",
        expression_kind="procedure",
    )
)
def pieces_volume(pieces: Sequence[tuple[float, float]]) -> float:
    """Volume of a pit cut up by the edges of the trenches that meet it.

    Parameters
    ----------
    pieces : Sequence of (float, float)
        Area and depth of soil left of each, zero or more. [m², m]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    InputError
        If a value is not finite or is negative.

    Examples
    --------
    >>> pieces_volume([(0.5, 1.0), (0.25, 0.2)])
    0.55
    """
    for area, depth in pieces:
        require("zero or more", np.greater_equal, area=area, depth=depth)
    return math.fsum(area * depth for area, depth in pieces)


@catalogued(
    Card(
        title="Volume of a round hole",
        symbol="V",
        expression="pi / 4 * diameter ** 2 * depth",
        units={"diameter": "m", "depth": "m", "result": "m³"},
        source="geometry",
    )
)
def hole_volume(diameter: float, depth: float) -> float:
    """Volume of an upright cylinder.

    Parameters
    ----------
    diameter, depth : float
        Zero or more. [m]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    InputError
        If a value is not finite or is negative.
    """
    require("zero or more", np.greater_equal, diameter=diameter, depth=depth)
    return math.pi / 4 * diameter**2 * depth


@catalogued(
    Card(
        title="Volume of a square hole",
        symbol="V",
        expression="side ** 2 * depth",
        units={"side": "m", "depth": "m", "result": "m³"},
        source="geometry",
    )
)
def pit_volume(side: float, depth: float) -> float:
    """Volume of an upright square hole, as one with panels in it is dug.

    Parameters
    ----------
    side, depth : float
        Zero or more. [m]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    InputError
        If a value is not finite or is negative.
    """
    require("zero or more", np.greater_equal, side=side, depth=depth)
    return side**2 * depth


@catalogued(
    Card(
        title="Loose volume of dug soil",
        symbol="V_loose",
        expression="bank_volume * (1 + swell)",
        units={"bank_volume": "m³", "swell": "-", "result": "m³"},
        source="swell_table",
    )
)
def loose_volume(bank_volume: float, swell: float) -> float:
    """Volume after digging.

    Parameters
    ----------
    bank_volume : float
        Volume in the ground, zero or more. [m³]
    swell : float
        Growth, zero or more: 0.25 for loam. [-]

    Returns
    -------
    float
        Loose volume. [m³]

    Raises
    ------
    InputError
        If a value is not finite or is negative.
    """
    require("zero or more", np.greater_equal, bank_volume=bank_volume, swell=swell)
    return bank_volume * (1 + swell)


@catalogued(
    Card(
        title="Density of loose soil",
        symbol="rho_loose",
        expression="bank_density / (1 + swell)",
        units={"bank_density": "kg/m³", "swell": "-", "result": "kg/m³"},
        source="swell_table",
        trial={"bank_density": (1200.0, 2200.0)},
    )
)
def loose_density(bank_density: float, swell: float) -> float:
    """Density after digging: the same soil in a larger volume.

    Parameters
    ----------
    bank_density : float
        In the ground, above zero. [kg/m³]
    swell : float
        Zero or more. [-]

    Returns
    -------
    float
        Loose density. [kg/m³]

    Raises
    ------
    InputError
        If a value is not finite, or out of range.
    """
    require("above zero", np.greater, bank_density=bank_density)
    require("zero or more", np.greater_equal, swell=swell)
    return bank_density / (1 + swell)


@catalogued(
    Card(
        title="Loads to carry an amount",
        symbol="N",
        expression="amount over one load, rounded up to whole loads",
        units={"amount": "m³ or kg", "one_load": "m³ or kg", "result": "-"},
        source="geometry",
        expression_kind="procedure",
    )
)
def loads(amount: float, one_load: float) -> int:
    """Whole loads that carry ``amount``.

    Parameters
    ----------
    amount : float
        Volume or mass, zero or more. [m³ or kg]
    one_load : float
        What one load takes, above zero, in the same unit. [m³ or kg]

    Returns
    -------
    int
        Loads.

    Raises
    ------
    InputError
        If a value is not finite, or out of range.

    Examples
    --------
    >>> loads(10.1, 5.0)
    3
    """
    require("zero or more", np.greater_equal, amount=amount)
    require("above zero", np.greater, one_load=one_load)
    return round(whole(amount / one_load))


def barrow_load(volume: float, density: float) -> float:
    """What one barrow round carries: its volume, or less where the weight governs [m³]."""
    return min(volume, BARROW_MASS / density)


__all__ = [
    "BARROW_MASS", "SOILS", "UNFIT", "Series", "Soil", "average_end_area", "barrow_load", "hole_volume", "loads",
    "loose_density", "loose_volume", "pieces_volume", "pit_volume", "prismoidal", "volume_by_stations",
]  # fmt: skip
