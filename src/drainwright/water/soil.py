"""What the texture of a soil tells of it, and infiltration by Green and Ampt."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require
from drainwright.job.site import Texture
from drainwright.worksheet import Card, catalogued, quiet


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilClass:
    """Usual values of a texture. Each is an assumption about a site until somebody measures there."""

    texture: Texture
    porosity: float  # [-]
    effective_porosity: float  # [-]
    suction: float  # at the wetting front [m]
    infiltration_conductivity: float  # with trapped air, about half of the saturated one [m/s]
    saturated_conductivity: float  # the greater of two published figures [m/s]
    drainable_porosity: float  # water that a falling water table gives up [-]
    hydrologic_group: Literal["A", "B", "C", "D"]
    capillary_rise: float  # above the water table, the usual height at which the soil is as good as full [m]
    capillary_range: tuple[float, float]  # of that height: two soils of three lie within [m]

    def deficit(self, wetness: float) -> float:
        """Room for water: effective porosity times (1 - wetness), wetness from 0 (drained) to 1 (full). [-]

        Raises
        ------
        InputError
            If ``wetness`` is not from 0 to 1.
        """
        if not 0.0 <= wetness <= 1.0:
            raise InputError(f"wetness = {wetness!r}: expected 0 to 1")
        return self.effective_porosity * (1.0 - wetness)


# Green-Ampt columns (porosity, effective porosity, suction [cm], K [cm/h]): Rawls, Brakensiek and Miller, J. Hydr.
#   Eng. 109(1), 1983, 62-70, as tabulated in Chow, Maidment and Mays 1988, Table 4.3.1 (seen in transcription). That
#   table has no silt: silt loam's row stands in for it.
# Saturated K [cm/day]: Carsel and Parrish, Water Resour. Res. 24(5), 1988, 755-769, class means (seen in a
#   transcription); one texture spans a factor of ten and more either way. In silt loam, silt, silty clay loam and silty
#   clay that mean is below twice the K of Rawls, which is the saturated one by his own rule: the greater counts,
#   because it lets more groundwater in.
# Drainable porosity: Johnson, USGS WSP 1662-D, 1967 (from memory): clay 0.02, sandy clay 0.07, silt 0.08,
#   fine sand 0.21; the textures between are set between.
# Hydrologic group: TR-55 (1986) App. A, by texture (from memory); silt set with silt loam.
# fmt: off
_ROWS: Mapping[
    Texture,
    tuple[float, float, float, float, float, float, Literal["A", "B", "C", "D"]],
] = {
    "sand":            (0.437, 0.417,  4.95, 11.78, 712.80, 0.21, "A"),
    "loamy sand":      (0.437, 0.401,  6.13,  2.99, 350.20, 0.18, "A"),
    "sandy loam":      (0.453, 0.412, 11.01,  1.09, 106.10, 0.14, "A"),
    "loam":            (0.463, 0.434,  8.89,  0.34,  24.96, 0.10, "B"),
    "silt loam":       (0.501, 0.486, 16.68,  0.65,  10.80, 0.08, "B"),
    "silt":            (0.501, 0.486, 16.68,  0.65,   6.00, 0.08, "B"),
    "sandy clay loam": (0.398, 0.330, 21.85,  0.15,  31.44, 0.08, "C"),
    "clay loam":       (0.464, 0.309, 20.88,  0.10,   6.24, 0.06, "D"),
    "silty clay loam": (0.471, 0.432, 27.30,  0.10,   1.68, 0.05, "D"),
    "sandy clay":      (0.430, 0.321, 23.90,  0.06,   2.88, 0.07, "D"),
    "silty clay":      (0.479, 0.423, 29.22,  0.05,   0.48, 0.03, "D"),
    "clay":            (0.475, 0.385, 31.63,  0.03,   4.80, 0.02, "D"),
}
# fmt: on

# Bubbling pressure, which is the height of the full fringe above a water table [cm]: mean; geometric mean less and plus
#   one standard deviation. Rawls, Brakensiek and Saxton, Trans. ASAE 25(5), 1982, 1316-1320, Table 2 (from memory); no
#   silt: silt loam's row stands in. Heath's capillary rises (USGS WSP 2220, 1983, seen in a quotation: coarse sand
#   12.5, fine sand 40, silt 100) lie within the ranges. The soil is damp higher up than this.
_CAPILLARY: Mapping[Texture, tuple[float, float, float]] = {
    "sand": (15.98, 1.36, 38.74),
    "loamy sand": (20.58, 1.80, 41.85),
    "sandy loam": (30.20, 3.45, 62.24),
    "loam": (40.12, 1.63, 76.40),
    "silt loam": (50.87, 3.58, 120.4),
    "silt": (50.87, 3.58, 120.4),
    "sandy clay loam": (59.41, 5.57, 141.5),
    "clay loam": (56.43, 5.80, 115.7),
    "silty clay loam": (70.33, 6.68, 158.7),
    "sandy clay": (79.48, 4.96, 171.6),
    "silty clay": (76.54, 7.04, 166.2),
    "clay": (85.60, 7.43, 187.2),
}

SOILS: Mapping[Texture, SoilClass] = MappingProxyType(
    {
        texture: SoilClass(
            texture=texture,
            porosity=row[0],
            effective_porosity=row[1],
            suction=row[2] / 100.0,
            infiltration_conductivity=row[3] / 100.0 / 3600.0,
            saturated_conductivity=max(row[4] / 86400.0, 2.0 * row[3] / 3600.0) / 100.0,
            drainable_porosity=row[5],
            hydrologic_group=row[6],
            capillary_rise=_CAPILLARY[texture][0] / 100.0,
            capillary_range=(_CAPILLARY[texture][1] / 100.0, _CAPILLARY[texture][2] / 100.0),
        )
        for texture, row in _ROWS.items()
    }
)


@catalogued(
    Card(
        title="Saturated conductivity by the soil's texture",
        symbol="K",
        expression="the greater of Carsel and Parrish's mean for the texture and twice the K of Rawls",
        expression_kind="procedure",
        units={"texture": "-", "result": "m/s"},
        source="carsel_parrish",
    )
)
def conductivity_by_texture(texture: Texture) -> float:
    """Saturated conductivity where nobody measured it; one texture spans a factor of ten and more. [m/s]"""
    return SOILS[texture].saturated_conductivity


@catalogued(
    Card(
        title="Capillary rise by the soil's texture",
        symbol="h_c",
        expression="the mean bubbling pressure of the texture as a height of water, Rawls and others",
        expression_kind="procedure",
        units={"texture": "-", "result": "m"},
        source="rawls_1982",
    )
)
def capillary_rise_by_texture(texture: Texture) -> float:
    """Usual height above the water table to which the soil is as good as full; one texture spans a lot. [m]"""
    return SOILS[texture].capillary_rise


@catalogued(
    Card(
        title="Infiltration capacity, Green and Ampt",
        symbol="f",
        expression="conductivity * (1 + suction * deficit / infiltrated)",
        units={"infiltrated": "m", "conductivity": "m/s", "suction": "m", "deficit": "-", "result": "m/s"},
        source="green_ampt",
    )
)
def infiltration_capacity(infiltrated: float, conductivity: float, suction: float, deficit: float) -> float:
    """Rate at which ponded ground takes water: f = K (1 + ψ Δθ / F).

    Parameters
    ----------
    infiltrated : float
        Depth that has gone in so far, above zero. [m]
    conductivity : float
        Green-Ampt K, above zero. [m/s]
    suction : float
        At the wetting front, zero or more. [m]
    deficit : float
        Room for water, zero or more. [-]

    Returns
    -------
    float
        Rate. [m/s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("above zero", np.greater, infiltrated=infiltrated, conductivity=conductivity)
    require("zero or more", np.greater_equal, suction=suction, deficit=deficit)
    return conductivity * (1.0 + suction * deficit / infiltrated)


def green_ampt_ponded(infiltrated: float, time: float, conductivity: float, suction: float, deficit: float) -> float:
    """Depth that has gone in after a further time under ponded water; plain arithmetic, ready to be compiled.

    Solves F - S ln((F + S)/(F0 + S)) = F0 + K t with S = ψ Δθ by Newton's method from above, where it runs down
    to the root without overshooting.

    Parameters
    ----------
    infiltrated : float
        Depth that has gone in before, zero or more. [m]
    time : float
        Zero or more. [s]
    conductivity, suction, deficit : float
        Green-Ampt K [m/s], ψ [m] and Δθ [-]; not checked here.

    Returns
    -------
    float
        Depth in all. [m]
    """
    store = suction * deficit
    gravity = infiltrated + conductivity * time
    if store <= 0.0 or time <= 0.0:
        return gravity
    total = gravity + math.sqrt(2.0 * store * conductivity * time)  # at least the root
    for _ in range(100):
        excess = total - gravity - store * math.log((total + store) / (infiltrated + store))
        slide = excess * (total + store) / total
        total -= slide
        if abs(slide) <= 1e-15 * total:
            break
    return total


def green_ampt_step(
    infiltrated: float, rain: float, time: float, conductivity: float, suction: float, deficit: float
) -> float:
    """Depth that has gone in after one step of even rain; plain arithmetic, ready to be compiled.

    Parameters
    ----------
    infiltrated : float
        Depth that has gone in before the step, zero or more. [m]
    rain : float
        Depth on the ground in the step, zero or more. [m]
    time : float
        Length of the step, above zero. [s]
    conductivity, suction, deficit : float
        Green-Ampt K [m/s], ψ [m] and Δθ [-]; not checked here.

    Returns
    -------
    float
        Depth in all at the end of the step, at most ``infiltrated + rain``. [m]

    Notes
    -----
    Water that does not go in runs off at once. Ponding may begin within the step, where the capacity has fallen
    to the intensity (Chow, Maidment and Mays 1988, sec. 5.4, from memory).
    """
    intensity = rain / time
    if intensity <= conductivity:
        return infiltrated + rain
    ponding = conductivity * suction * deficit / (intensity - conductivity)  # depth at which ponding begins
    if infiltrated + rain <= ponding:
        return infiltrated + rain
    start = max(ponding, infiltrated)
    left = time - (start - infiltrated) / intensity
    return min(green_ampt_ponded(start, left, conductivity, suction, deficit), infiltrated + rain)


@catalogued(
    Card(
        title="Infiltration under ponded water, Green and Ampt",
        symbol="F",
        expression="the depth F at which F - S ln(1 + F/S) = K t, S = suction times deficit",
        expression_kind="procedure",
        units={"time": "s", "conductivity": "m/s", "suction": "m", "deficit": "-", "result": "m"},
        source="green_ampt",
    )
)
def green_ampt_cumulative(time: float, conductivity: float, suction: float, deficit: float) -> float:
    """Depth that goes into ground under ponded water from the start.

    Parameters
    ----------
    time : float
        Zero or more. [s]
    conductivity : float
        Green-Ampt K, above zero. [m/s]
    suction : float
        At the wetting front, zero or more. [m]
    deficit : float
        Room for water, zero or more. [-]

    Returns
    -------
    float
        Depth. [m]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, time=time, suction=suction, deficit=deficit)
    require("above zero", np.greater, conductivity=conductivity)
    return green_ampt_ponded(0.0, time, conductivity, suction, deficit)


@catalogued(
    Card(
        title="Rain that the ground does not take, Green and Ampt",
        symbol="P_e",
        expression="step by step: rain less infiltration, ponding where the intensity passes the capacity",
        expression_kind="procedure",
        units={"rain": "m", "step": "s", "conductivity": "m/s", "suction": "m", "deficit": "-", "result": "m"},
        source="green_ampt",
    )
)
def green_ampt_excess(
    rain: Sequence[float] | NDArray[np.float64], step: float, conductivity: float, suction: float, deficit: float
) -> NDArray[np.float64]:
    """Rain that runs off in each step of a storm.

    Parameters
    ----------
    rain : array
        Depth in each step, zero or more. [m]
    step : float
        Above zero. [s]
    conductivity : float
        Green-Ampt K, above zero. [m/s]
    suction : float
        At the wetting front, zero or more. [m]
    deficit : float
        Room for water at the start, zero or more; it does not recover in dry steps. [-]

    Returns
    -------
    array
        Depths, in the shape of ``rain``. [m]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    depths = np.asarray(rain, dtype=np.float64)
    require("zero or more", np.greater_equal, rain=depths, suction=suction, deficit=deficit)
    require("above zero", np.greater, step=step, conductivity=conductivity)
    excess = np.zeros_like(depths)
    infiltrated = 0.0
    with quiet():
        for index, depth in enumerate(depths):
            total = green_ampt_step(infiltrated, float(depth), step, conductivity, suction, deficit)
            excess[index] = infiltrated + float(depth) - total
            infiltrated = total
    return np.maximum(excess, 0.0)


__all__ = [
    "SOILS", "SoilClass", "capillary_rise_by_texture", "conductivity_by_texture", "green_ampt_cumulative",
    "green_ampt_excess", "green_ampt_ponded", "green_ampt_step", "infiltration_capacity",
]  # fmt: skip
