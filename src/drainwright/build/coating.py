"""Coating of opened walls: areas, coats and what to buy, by the wall's face."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from drainwright.build.units import GALLON, SQUARE_FOOT
from drainwright.errors import require
from drainwright.field.model import Site, SiteWall
from drainwright.job.site import WallMaterial
from drainwright.worksheet import Card, catalogued, place

_PER_GALLON = SQUARE_FOOT / GALLON  # ft²/gal [m²/m³]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coverage:
    """What a coat covers, as a range: sources and products differ, the product's sheet governs."""

    low: float  # [m²/m³]
    high: float  # [m²/m³]

    @property
    def middle(self) -> float:
        """The value taken [m²/m³]."""
        return (self.low + self.high) / 2


def _range(low: float, high: float) -> Coverage:
    return Coverage(low=low * _PER_GALLON, high=high * _PER_GALLON)


#: Rubberised asphalt emulsion damp-proofing, first coat and later coats, ft²/gal (from memory; a brushed emulsion
#: at 1.33 L/m², 31 ft²/gal, was seen in a method statement and lies in the range for block).
DAMP_PROOFING: Mapping[WallMaterial, tuple[Coverage, Coverage]] = MappingProxyType(
    {
        "block": (_range(25.0, 40.0), _range(40.0, 60.0)),
        "brick": (_range(25.0, 40.0), _range(40.0, 60.0)),  # as block: common practice, no source
        "stone": (_range(25.0, 40.0), _range(40.0, 60.0)),
        "poured concrete": (_range(50.0, 75.0), _range(60.0, 80.0)),
        "wood": (_range(50.0, 75.0), _range(60.0, 80.0)),
    }
)
#: Elastomeric waterproofing emulsion: 20 ft²/gal for the whole film, on a data sheet that was seen.
WATERPROOFING = _range(20.0, 20.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class CoatedWall:
    """One opened wall's coating."""

    wall: SiteWall
    area: float  # [m²]
    volume: float  # of coating, all coats, without waste [m³]
    least: float  # at the best coverage [m³]
    most: float  # at the poorest coverage [m³]


@catalogued(
    Card(
        title="Volume of one coat",
        symbol="V",
        expression="area / coverage",
        units={"area": "m²", "coverage": "m²/m³", "result": "m³"},
        source="coating_sheets",
        trial={"coverage": (400.0, 2000.0)},
    )
)
def coat_volume(area: float, coverage: float) -> float:
    """Volume of coating for one coat.

    Parameters
    ----------
    area : float
        Of the face, zero or more. [m²]
    coverage : float
        Area that a volume covers, above zero. [m²/m³]

    Returns
    -------
    float
        Volume. [m³]

    Raises
    ------
    InputError
        If a value is not finite or out of range.
    """
    require("zero or more", np.greater_equal, area=area)
    require("above zero", np.greater, coverage=coverage)
    return area / coverage


@catalogued(
    Card(
        title="Area of wall to coat, from the footing's top to above the ground",
        symbol="A",
        expression="length * ((ground_start + ground_end) / 2 + above_grade - footing_top)",
        units={
            "length": "m",
            "ground_start": "m",
            "ground_end": "m",
            "above_grade": "m",
            "footing_top": "m",
            "result": "m²",
        },
        source="irc_r406",
        trial={"footing_top": (-0.5, 0.0)},
    )
)
def face_area(length: float, ground_start: float, ground_end: float, above_grade: float, footing_top: float) -> float:
    """Area of a wall's face below ground, with a strip above it.

    Parameters
    ----------
    length : float
        Of the wall. [m]
    ground_start, ground_end : float
        Ground levels at its ends. [m]
    above_grade : float
        Height of the coating's top over the ground. [m]
    footing_top : float
        Level of the footing's top. [m]

    Returns
    -------
    float
        Area. [m²]
    """
    return length * ((ground_start + ground_end) / 2 + above_grade - footing_top)


def coverages(material: WallMaterial, kind: str, coats: int) -> tuple[Coverage, ...]:
    """Coverage of each coat; waterproofing shares its whole film among the coats."""
    if coats == 0 or kind == "none":
        return ()
    if kind == "waterproofing":
        each = Coverage(low=WATERPROOFING.low * coats, high=WATERPROOFING.high * coats)
        return (each,) * coats
    first, later = DAMP_PROOFING[material]
    return (first, *[later] * (coats - 1))


def coated_walls(site: Site) -> tuple[CoatedWall, ...]:
    """Area and coating of every wall that is opened.

    Parameters
    ----------
    site : Site
        The site.

    Returns
    -------
    tuple of CoatedWall
        In the order of the walls; a wall that is only cleaned has no coating volume.
    """
    found = []
    for wall in site.walls:
        if not wall.wall.open_and_coat:
            continue
        coating = wall.wall.coating
        with place(f"walls.{wall.name}", "coating"):
            face = math.fsum(
                face_area(far - near, low, high, coating.top_above_grade, wall.footing_top)
                for (near, low), (far, high) in pairwise(wall.foot)
            )
            shaped = sum(strip.rise for strip in site.shaped if strip.wall.name == wall.name)
            area = max(face + shaped, 0.0)  # up to the finished ground
            coats = coverages(wall.wall.material, coating.kind, coating.coats)
            volume = sum(coat_volume(area, coat.middle) for coat in coats)
        found.append(
            CoatedWall(
                wall=wall,
                area=area,
                volume=float(volume),
                least=float(sum(area / coat.high for coat in coats)),
                most=float(sum(area / coat.low for coat in coats)),
            )
        )
    return tuple(found)


__all__ = [
    "DAMP_PROOFING", "WATERPROOFING", "CoatedWall", "Coverage", "coat_volume", "coated_walls", "coverages",
    "face_area",
]  # fmt: skip
