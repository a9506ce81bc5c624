"""Grain sizes of the soil beside a drain and of the stone round it: measured, or assumed by texture and by standard."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import NamedTuple

from drainwright.field.words import least_sure
from drainwright.hydraulics.filters import NO_4, NO_200, regraded_size, share_at, size_at
from drainwright.job.site import Grading, Ground, Texture
from drainwright.job.values import Basis
from drainwright.job.works import Stone

MILLIMETRE = 0.001  # [m]
SILT, SAND = 0.002 * MILLIMETRE, 0.05 * MILLIMETRE  # where silt and sand begin, USDA [m]
FINE_SAND, LARGEST = 0.1 * MILLIMETRE, 1.0 * MILLIMETRE  # [m]
SMALLEST_CLAY = 0.00005 * MILLIMETRE  # [m]
VERY_FINE_SAND = 0.10  # share of the sand from 0.05 to 0.1 mm; the rest up to 1 mm: common practice, no source [-]

#: Mean sand, silt and clay of each texture [%]: Cosby and others 1984, Table 2 (from memory); silt is not in it.
CONTENTS: Mapping[Texture, tuple[float, float, float]] = MappingProxyType(
    {
        "sand": (92, 5, 3), "loamy sand": (82, 12, 6), "sandy loam": (58, 32, 10), "loam": (43, 39, 18),
        "silt loam": (17, 70, 13), "silt": (7, 87, 6), "sandy clay loam": (58, 15, 27), "clay loam": (32, 34, 34),
        "silty clay loam": (10, 56, 34), "sandy clay": (52, 6, 42), "silty clay": (6, 47, 47), "clay": (22, 20, 58),
    }
)  # fmt: skip
PLASTIC_CLAY = 20.0  # of so much clay on the fines roll to a thread: common practice, no source [%]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilGrains:
    """The soil beside a drain, by its grains."""

    d15: float  # [m]
    d50: float  # [m]
    d85: float  # of what passes the No. 4 sieve [m]
    fines: float  # finer than the No. 200 sieve, of what passes the No. 4 [-]
    uniformity: float  # d60 over d10 [-]
    plastic: bool
    dispersive: bool
    basis: Basis  # of d85 and the fines
    source: str = ""  # key in drainwright.sources; empty for a laboratory's sieves


@dataclass(frozen=True, slots=True, kw_only=True)
class StoneGrains:
    """Stone by its grains; a standard's limits leave each size a range."""

    name: str
    d15: tuple[float, float]  # finest and coarsest that the standard lets pass [m]
    d50: tuple[float, float]  # [m]
    d85: tuple[float, float]  # [m]
    basis: Basis
    source: str = ""  # key in drainwright.sources; empty where the job says all


class Curve(NamedTuple):
    """A grading curve."""

    sizes: tuple[float, ...]  # finest first [m]
    shares: tuple[float, ...]  # by mass, finer [-]


class Edges(NamedTuple):
    """The two edges of a standard's limits."""

    fine: Curve
    coarse: Curve


#: No. 57 stone, ASTM C33 and D448 (AASHTO M 43).
STONE_57 = Edges(
    fine=Curve((2.36e-3, 4.75e-3, 12.5e-3, 25.0e-3), (0.05, 0.10, 0.60, 1.00)),
    coarse=Curve((4.75e-3, 12.5e-3, 25.0e-3, 37.5e-3), (0.00, 0.25, 0.95, 1.00)),
)


def texture_curve(texture: Texture) -> Curve:
    """A grading curve that a texture may have: straight between the bounds of clay, silt and sand. Assumed."""
    sand, silt, clay = (part / 100.0 for part in CONTENTS[texture])
    shares = (0.0, clay, clay + silt, clay + silt + VERY_FINE_SAND * sand, 1.0)
    return Curve((SMALLEST_CLAY, SILT, SAND, FINE_SAND, LARGEST), shares)


def soil_grains(ground: Ground) -> SoilGrains:
    """The soil's grains: from the laboratory's sieves where there are any, else assumed by the texture.

    Parameters
    ----------
    ground : Ground
        Of the job. Of a measured grading d85 is regraded on the No. 4 sieve where it is coarser; sizes that the
        laboratory left out are the texture's in the same proportion to d85.

    Returns
    -------
    SoilGrains
        Sizes in order, with the mark of what d85 and the fines rest on.
    """
    curve = texture_curve(ground.texture.value)
    d10, d15, d50, d60, d85 = (size_at(share, *curve) for share in (0.10, 0.15, 0.50, 0.60, 0.85))
    plastic = CONTENTS[ground.texture.value][2] >= PLASTIC_CLAY
    if ground.grading is None:
        return SoilGrains(
            d15=d15, d50=d50, d85=d85, fines=share_at(NO_200, *curve), uniformity=d60 / d10, plastic=plastic,
            dispersive=False, basis=Basis.ASSUMED, source="cosby_1984",
        )  # fmt: skip
    return _measured(ground.grading, (d15, d50, d85), plastic)


def _measured(grading: Grading, usual: tuple[float, float, float], plastic: bool) -> SoilGrains:
    whole = grading.d85.value
    d50 = grading.d50.value if grading.d50 is not None else whole * usual[1] / usual[2]
    d50 = min(d50, whole)
    d15 = grading.d15.value if grading.d15 is not None else d50 * usual[0] / usual[1]
    d15 = min(d15, d50)
    points = _rising((d15, d50, whole), (0.15, 0.50, 0.85))
    uniformity, d85 = 1.0, whole
    if len(points.sizes) > 1:
        uniformity = max(size_at(0.60, *points) / size_at(0.10, *points), 1.0)
        if whole > NO_4:
            d85 = regraded_size(0.85, *points)
            d15, d50 = min(d15, d85), min(d50, d85)  # gravel with little between: the sizes stay in order
    return SoilGrains(
        d15=d15,
        d50=d50,
        d85=d85,
        fines=grading.fines.value,
        uniformity=uniformity,
        plastic=plastic if grading.plastic is None else grading.plastic,
        dispersive=grading.dispersive,
        basis=least_sure(grading.d85.basis, grading.fines.basis),
    )


def _rising(sizes: tuple[float, ...], shares: tuple[float, ...]) -> Curve:
    """The points without those of one size."""
    kept: list[tuple[float, float]] = []
    for size, share in zip(sizes, shares, strict=True):
        if not kept or size > kept[-1][0] * (1.0 + 1e-9):
            kept.append((size, share))
    return Curve(tuple(size for size, _ in kept), tuple(share for _, share in kept))


def stone_grains(stone: Stone) -> StoneGrains:
    """The stone's grains: by the job's figures, else by the limits of No. 57 stone, which are assumed.

    Sizes that the job leaves out keep the standard's proportion to those that it gives.
    """
    usual = {share: (size_at(share, *STONE_57.fine), size_at(share, *STONE_57.coarse)) for share in (0.15, 0.50, 0.85)}
    given = {0.15: stone.d15, 0.50: stone.d50, 0.85: stone.d85}
    known = {share: fact.value for share, fact in given.items() if fact is not None}
    if not known:
        return StoneGrains(
            name=stone.name,
            d15=usual[0.15],
            d50=usual[0.50],
            d85=usual[0.85],
            basis=Basis.ASSUMED,
            source="stone_57",
        )
    scale = math.prod(size / math.sqrt(math.prod(usual[share])) for share, size in known.items()) ** (1 / len(known))
    found = {
        share: (known[share], known[share]) if share in known else (low * scale, high * scale)
        for share, (low, high) in usual.items()
    }
    marks = [Basis.ASSUMED if fact is None else fact.basis for fact in given.values()]
    return StoneGrains(
        name=stone.name,
        d15=found[0.15],
        d50=found[0.50],
        d85=found[0.85],
        basis=least_sure(*marks),
        source="stone_57" if len(known) < len(given) else "",
    )


__all__ = [
    "CONTENTS", "STONE_57", "Curve", "Edges", "SoilGrains", "StoneGrains", "soil_grains", "stone_grains",
    "texture_curve",
]  # fmt: skip
