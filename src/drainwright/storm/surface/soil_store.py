"""The top of the soil between storms: it drains by its own weight and dries, so that the next storm finds room."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import require
from drainwright.job.site import Texture
from drainwright.storm.engine.plant import Floats
from drainwright.water.soil import SOILS

DEPTH = 0.3  # of the soil that wets and dries: grass roots, common practice, no source [m]
EVAPORATION = 0.003 / 86400.0  # from wet grass on a mean day, assumed [m/s]
PIECE = 86400.0  # in which draining and drying are taken by turns [s]

# Pore-size index, arithmetic mean: Rawls, Brakensiek and Saxton, Trans. ASAE 25(5), 1982, Table 2 (from memory); no
# silt: silt loam's stands in.
PORE_SIZE: Mapping[Texture, float] = MappingProxyType({
    "sand": 0.694, "loamy sand": 0.553, "sandy loam": 0.378, "loam": 0.252, "silt loam": 0.234, "silt": 0.234,
    "sandy clay loam": 0.319, "clay loam": 0.242, "silty clay loam": 0.177, "sandy clay": 0.223, "silty clay": 0.150,
    "clay": 0.165,
})  # fmt: skip

# Share of the room that is full at the wilting point: water held at 1500 kPa less the residual, over the effective
# porosity, from the means of the same table (from memory).
WILTING: Mapping[Texture, float] = MappingProxyType({
    "sand": 0.03, "loamy sand": 0.05, "sandy loam": 0.13, "loam": 0.21, "silt loam": 0.24, "silt": 0.24,
    "sandy clay loam": 0.24, "clay loam": 0.31, "silty clay loam": 0.39, "sandy clay": 0.40, "silty clay": 0.46,
    "clay": 0.47,
})  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SoilStore:
    """The soil of the yards: one texture, under some of them sealed."""

    room: float  # effective porosity [-]
    suction: Floats  # (yards,) at the wetting front; 0: sealed [m]
    power: float  # n of K(S) = K S^n, 3 + 2 / pore-size index [-]
    driest: float  # wetness at the wilting point, under which air and roots draw no more [-]

    def deficit(self, wetness: Floats) -> Floats:
        """Room for water. [-]"""
        return self.room * (1.0 - wetness)


def soil_store(texture: Texture, takes: NDArray[np.bool_]) -> SoilStore:
    """The soil under yards, by texture; ``takes`` tells which take rain."""
    soil = SOILS[texture]
    return SoilStore(
        room=soil.effective_porosity,
        suction=np.where(takes, soil.suction, 0.0),
        power=3.0 + 2.0 / PORE_SIZE[texture],
        driest=WILTING[texture],
    )


def drained(wetness: Floats, rate: Floats, power: float, seconds: float) -> Floats:
    """Wetness after draining so long by its own weight: dS/dt = -a S^n, in closed form.

    Parameters
    ----------
    wetness : Floats
        0 drained to 1 full. [-]
    rate : Floats
        a: conductivity over room and depth. [1/s]
    power : float
        n, above one: 3 + 2 / λ. R. H. Brooks and A. T. Corey, Hydrology Paper 3, Colorado State University, 1964
        (from memory).
    seconds : float
        Zero or more. [s]

    Returns
    -------
    Floats
        S = (S0^(1-n) + (n-1) a t)^(-1/(n-1)). [-]

    Examples
    --------
    >>> float(drained(np.array([1.0]), np.array([1.0]), 2.0, 1.0)[0])
    0.5
    """
    require("above one", lambda value, _: value > 1.0, power=power)
    start = np.where(wetness > 0.0, np.maximum(wetness, 1e-300) ** (1.0 - power), np.inf)
    return np.asarray((start + (power - 1.0) * rate * seconds) ** (-1.0 / (power - 1.0)))


def dried(soil: SoilStore, wetness: Floats, sunk: Floats, conductivity: Floats, seconds: float) -> Floats:
    """Wetness after a storm that let so much sink in, and a dry spell: it drains and the air dries it.

    Parameters
    ----------
    soil : SoilStore
    wetness : (yards,)
        As the storm began. [-]
    sunk : (yards,)
        Depth of water that went in; what passes the depth of the store goes on down. [m]
    conductivity : (yards,)
        [m/s]
    seconds : float
        Of the dry spell. [s]

    Returns
    -------
    (yards,)
        Dried no further than the wilting point.

    Notes
    -----
    Each day half of its drying, then its draining, then the other half: within 0.002 of both at once.
    """
    size = soil.room * DEPTH
    left = np.minimum(wetness + sunk / size, 1.0)
    rest = seconds
    while rest > 0.0:
        span = min(PIECE, rest)
        rest -= span
        dry = 0.5 * EVAPORATION * span / size
        before = left
        left = np.maximum(left - dry, np.minimum(soil.driest, left))
        left = drained(left, conductivity / size, soil.power, span)
        left = np.maximum(left - dry, np.minimum(soil.driest, left))
        if rest > PIECE and float(np.max(np.abs(before - left), initial=0.0)) < 1e-6:
            break
    return np.asarray(left)


__all__ = ["DEPTH", "EVAPORATION", "PORE_SIZE", "SoilStore", "drained", "dried", "soil_store"]
