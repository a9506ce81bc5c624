"""Runoff for sizing: the Rational method, its coefficients, and the curve number as a cross-check."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import require_fraction
from drainwright.job.site import Surface, Texture
from drainwright.water.rain import SECONDS_A_YEAR
from drainwright.water.soil import SOILS
from drainwright.worksheet import Card, catalogued

SANDY: tuple[Texture, ...] = ("sand", "loamy sand", "sandy loam")  # soils that count as sandy; the rest are heavy
ROOF_COEFFICIENT = 1.0  # all of it runs: sizing takes no credit for wetting; handbooks give 0.75 to 0.95

# Upper ends of the ranges in ASCE Manual 37 and HDS-2 for frequent storms (to 10 years), from memory: asphalt and
# concrete 0.70-0.95; gravel drives 0.35-0.70; bare ground 0.20-0.60; open-jointed paving on stone has no agreed
# range, 0.50 is set here. Lawns of sandy soil 0.05-0.10 (to 2 %), 0.10-0.15 (2-7 %), 0.15-0.20 (steeper); of heavy
# soil 0.13-0.17, 0.18-0.22, 0.25-0.35.
_HARD: Mapping[Surface, float] = MappingProxyType({
    "paving": 0.95, "concrete": 0.95, "asphalt": 0.95, "gravel": 0.70, "pervious paving": 0.50,
})  # fmt: skip
_GREEN = {"sandy": (0.10, 0.15, 0.20), "heavy": (0.17, 0.22, 0.35)}  # to 2 %, to 7 %, steeper
_BARE = {"sandy": 0.30, "heavy": 0.60}

# TR-55 (1986), Table 2-2a, groups A to D, from memory: open space in good condition for lawn, in fair condition for
# planting; fallow bare soil; gravel streets; impervious 98. Open-jointed paving is set with gravel.
_CURVE_NUMBERS: Mapping[Surface, tuple[float, float, float, float]] = MappingProxyType({
    "lawn": (39.0, 61.0, 74.0, 80.0), "planting": (49.0, 69.0, 79.0, 84.0), "bare soil": (77.0, 86.0, 91.0, 94.0),
    "gravel": (76.0, 85.0, 89.0, 91.0), "pervious paving": (76.0, 85.0, 89.0, 91.0),
    "paving": (98.0,) * 4, "concrete": (98.0,) * 4, "asphalt": (98.0,) * 4,
})  # fmt: skip
IMPERVIOUS_CURVE_NUMBER = 98.0
WETNESS = 0.7  # share of the soil's room taken at the start: ground in the wet season, common practice, no source [-]

# TR-55 (1986), Appendix F: C0, C1, C2 by Ia/P. Type II at 0.10, 0.30 and 0.50 and the 0.10 rows of the others seen in
# a public copy; the rest from memory.
_PEAK: Mapping[str, tuple[tuple[float, float, float, float], ...]] = MappingProxyType({
    "type I": (
        (0.10, 2.30550, -0.51429, -0.11750), (0.20, 2.23537, -0.50387, -0.08929), (0.25, 2.18219, -0.48488, -0.06589),
        (0.30, 2.10624, -0.45695, -0.02835), (0.35, 2.00303, -0.40769, 0.01983), (0.40, 1.87733, -0.32274, 0.05754),
        (0.45, 1.76312, -0.15644, 0.00453), (0.50, 1.67889, -0.06930, 0.0),
    ),
    "type IA": (
        (0.10, 2.03250, -0.31583, -0.13748), (0.20, 1.91978, -0.28215, -0.07020), (0.25, 1.83842, -0.25543, -0.02597),
        (0.30, 1.72657, -0.19826, 0.02633), (0.50, 1.63417, -0.09100, 0.0),
    ),
    "type II": (
        (0.10, 2.55323, -0.61512, -0.16403), (0.30, 2.46532, -0.62257, -0.11657), (0.35, 2.41896, -0.61594, -0.08820),
        (0.40, 2.36409, -0.59857, -0.05621), (0.45, 2.29238, -0.57005, -0.02281), (0.50, 2.20282, -0.51599, -0.01259),
    ),
    "type III": (
        (0.10, 2.47317, -0.51848, -0.17083), (0.30, 2.39628, -0.51202, -0.13245), (0.35, 2.35477, -0.49735, -0.11985),
        (0.40, 2.30726, -0.46541, -0.11094), (0.45, 2.24876, -0.41314, -0.11508), (0.50, 2.17772, -0.36803, -0.09525),
    ),
})  # fmt: skip


@catalogued(
    Card(
        title="Peak flow, Rational method",
        symbol="Q",
        expression="coefficient * intensity * area",
        units={"coefficient": "-", "intensity": "m/s", "area": "m²", "result": "m³/s"},
        source="rational",
    )
)
def rational_flow(coefficient: float, intensity: float, area: float) -> float:
    """Peak flow of a small area: Q = C i A.

    Parameters
    ----------
    coefficient : float
        Runoff coefficient, 0 to 1. [-]
    intensity : float
        Of the rain that lasts as long as the time of concentration, zero or more. [m/s]
    area : float
        In plan, zero or more. [m²]

    Returns
    -------
    float
        Flow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, intensity=intensity, area=area)
    require_fraction(coefficient=coefficient)
    return coefficient * intensity * area


@catalogued(
    Card(
        title="Mean weighted by area",
        symbol="x",
        expression="sum of value times area, over the sum of areas",
        expression_kind="procedure",
        units={"values": "-", "areas": "m²", "result": "-"},
        source="hds2",
    )
)
def composite(values: Sequence[float], areas: Sequence[float]) -> float:
    """Runoff coefficient or curve number of several areas together.

    Parameters
    ----------
    values : sequence
        One for each area, zero or more. [-]
    areas : sequence
        Zero or more, some of them above zero. [m²]

    Returns
    -------
    float
        Weighted mean. [-]

    Raises
    ------
    InputError
        If the two do not match, or there is no area.
    """
    require("zero or more", np.greater_equal, values=np.asarray(values), areas=np.asarray(areas))
    if len(values) != len(areas) or sum(areas) <= 0.0:
        raise InputError(f"areas = {areas!r}: expected an area for each of {len(values)} values, and some area in all")
    return float(np.dot(values, areas) / sum(areas))


@catalogued(
    Card(
        title="Runoff coefficient of a surface",
        symbol="C",
        expression="upper end of the handbook range for the surface, the soil (sandy or heavy) and the slope",
        expression_kind="procedure",
        units={"surface": "-", "texture": "-", "slope": "m/m", "result": "-"},
        source="runoff_coefficients",
    )
)
def runoff_coefficient(surface: Surface, texture: Texture, slope: float) -> float:
    """Runoff coefficient of a surface for storms to ten years: the upper end of the handbook range.

    Parameters
    ----------
    surface : str
        What covers the ground.
    texture : str
        Of the soil; sand, loamy sand and sandy loam count as sandy, the rest as heavy.
    slope : float
        Of the ground, zero or more. [m/m]

    Returns
    -------
    float
        Coefficient. [-]

    Raises
    ------
    InputError
        If the slope cannot be used.

    References
    ----------
    ASCE Manual 37; FHWA HDS-2, 2nd ed., 2002, ch. 5 (ranges from memory).
    """
    require("zero or more", np.greater_equal, slope=slope)
    if surface in _HARD:
        return _HARD[surface]
    soil = "sandy" if texture in SANDY else "heavy"
    if surface == "bare soil":
        return _BARE[soil]
    return _GREEN[soil][0 if slope <= 0.02 else 1 if slope <= 0.07 else 2]


@catalogued(
    Card(
        title="Factor on the runoff coefficient in rare storms",
        symbol="C_f",
        expression="1 to 10 years, 1.1 at 25, 1.2 at 50, 1.25 from 100, straight in the logarithm between",
        expression_kind="procedure",
        units={"return_period": "s", "result": "-"},
        source="runoff_coefficients",
    )
)
def rare_storm_factor(return_period: float) -> float:
    """Factor on a runoff coefficient in storms rarer than ten years: 1.1 at 25, 1.2 at 50, 1.25 from 100 years.

    Parameters
    ----------
    return_period : float
        Above zero. [s]

    Returns
    -------
    float
        Factor, by straight lines in the logarithm of the return period. [-]

    Raises
    ------
    InputError
        If the return period cannot be used.

    References
    ----------
    Frequency factor of the Rational method, HDS-2 and HEC-22 (from memory).
    """
    require("above zero", np.greater, return_period=return_period)
    years = return_period / SECONDS_A_YEAR
    return float(np.interp(np.log(years), np.log([10.0, 25.0, 50.0, 100.0]), [1.0, 1.1, 1.2, 1.25]))


def curve_number(surface: Surface, texture: Texture) -> float:
    """NRCS curve number of a surface, by the hydrologic group of the soil's texture. [-]

    References
    ----------
    TR-55, 2nd ed., 1986, Table 2-2a and App. A (from memory).
    """
    return _CURVE_NUMBERS[surface]["ABCD".index(SOILS[texture].hydrologic_group)]


@catalogued(
    Card(
        title="Potential retention, NRCS",
        symbol="S",
        expression="0.0254 * (1000 / curve_number - 10)",
        units={"curve_number": "-", "result": "m"},
        source="tr55",
        trial={"curve_number": (30.0, 100.0)},
    )
)
def retention(curve_number: float) -> float:
    """Potential maximum retention: S = 1000/CN - 10 inches, in metres.

    Raises
    ------
    InputError
        If the curve number is not above 0 and at most 100.
    """
    if not 0.0 < curve_number <= 100.0:
        raise InputError(f"curve_number = {curve_number!r}: expected above 0, to 100")
    return 0.0254 * (1000.0 / curve_number - 10.0)


@catalogued(
    Card(
        title="Runoff depth, NRCS curve number",
        symbol="Q",
        expression="max(rain - 0.2 * retention, 0) ** 2 / (rain + 0.8 * retention)",
        units={"rain": "m", "retention": "m", "result": "m"},
        source="tr55",
    )
)
def curve_number_runoff(rain: float, retention: float) -> float:
    """Runoff depth: Q = (P - 0.2 S)² / (P + 0.8 S), none below an initial abstraction of 0.2 S.

    Parameters
    ----------
    rain : float
        Depth of the storm, above zero. [m]
    retention : float
        S, zero or more. [m]

    Returns
    -------
    float
        Depth. [m]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("above zero", np.greater, rain=rain)
    require("zero or more", np.greater_equal, retention=retention)
    return float(max(rain - 0.2 * retention, 0.0) ** 2 / (rain + 0.8 * retention))


@catalogued(
    Card(
        title="Curve number with roofs and paving that drain over pervious ground",
        symbol="CN",
        expression="pervious + impervious_share * (98 - pervious) * (1 - 0.5 * unconnected_share)",
        units={"pervious": "-", "impervious_share": "-", "unconnected_share": "-", "result": "-"},
        source="tr55",
        trial={"pervious": (30.0, 90.0), "impervious_share": (0.0, 0.3)},
    )
)
def unconnected_curve_number(pervious: float, impervious_share: float, unconnected_share: float) -> float:
    """Curve number where part of the impervious area drains over pervious ground (TR-55 fig. 2-4).

    Parameters
    ----------
    pervious : float
        Curve number of the pervious ground, at most 98. [-]
    impervious_share : float
        Of the whole area, 0 to 0.3, for which the figure holds. [-]
    unconnected_share : float
        Of the impervious area, 0 to 1. [-]

    Returns
    -------
    float
        Curve number. [-]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("above zero", np.greater, pervious=pervious)
    require_fraction(impervious_share=impervious_share, unconnected_share=unconnected_share)
    if pervious > IMPERVIOUS_CURVE_NUMBER or impervious_share > 0.3:
        raise InputError(f"pervious = {pervious!r}, impervious_share = {impervious_share!r}: expected to 98, to 0.3")
    return pervious + impervious_share * (IMPERVIOUS_CURVE_NUMBER - pervious) * (1.0 - 0.5 * unconnected_share)


@catalogued(
    Card(
        title="Peak flow, NRCS graphical method",
        symbol="q_p",
        expression="unit peak 10^(C0 + C1 log T + C2 (log T)^2) by Ia/P and distribution, times runoff depth and area",
        expression_kind="procedure",
        units={
            "distribution": "-", "rain": "m", "curve_number": "-", "time": "s", "area": "m²", "result": "m³/s",
        },
        source="tr55",
    )
)  # fmt: skip
def graphical_peak(distribution: str, rain: float, curve_number: float, time: float, area: float) -> float:
    """Peak flow in a 24-hour storm, without ponds (Fp = 1).

    Parameters
    ----------
    distribution : str
        ``"type I"``, ``"type IA"``, ``"type II"`` or ``"type III"``.
    rain : float
        24-hour depth, above zero. [m]
    curve_number : float
        Of the whole area. [-]
    time : float
        Of concentration, 0.1 to 10 hours. [s]
    area : float
        Zero or more. [m²]

    Returns
    -------
    float
        Peak flow. [m³/s]

    Raises
    ------
    InputError
        If a value cannot be used or is outside the method's limits.

    Notes
    -----
    Beyond the tabulated Ia/P the end value is used, as TR-55 tells.
    """
    if distribution not in _PEAK:
        raise InputError(f"distribution = {distribution!r}: expected one of {', '.join(_PEAK)}")
    if not 360.0 * (1 - 1e-9) <= time <= 36000.0:
        raise InputError(f"time = {time!r}: expected 360 to 36000 s, the limits of the method")
    require("zero or more", np.greater_equal, area=area)
    store = retention(curve_number)
    runoff = curve_number_runoff(rain, store)
    return unit_peak(distribution, 0.2 * store / rain, time) * (area / _SQUARE_MILE) * (runoff / 0.0254)


def unit_peak(distribution: str, abstraction: float, time: float) -> float:
    """Unit peak of the graphical method by Ia/P and time of concentration, for a square mile and an inch. [m³/s]"""
    rows = np.array(_PEAK[distribution])
    coefficients = [float(np.interp(abstraction, rows[:, 0], rows[:, column])) for column in (1, 2, 3)]
    logarithm = np.log10(time / 3600.0)
    cubic_feet = 10.0 ** (coefficients[0] + coefficients[1] * logarithm + coefficients[2] * logarithm**2)
    return float(cubic_feet * 0.3048**3)


_SQUARE_MILE = (5280 * 0.3048) ** 2  # [m²]

__all__ = [
    "IMPERVIOUS_CURVE_NUMBER", "ROOF_COEFFICIENT", "SANDY", "WETNESS", "composite", "curve_number",
    "curve_number_runoff", "graphical_peak", "rare_storm_factor", "rational_flow", "retention", "runoff_coefficient",
    "unconnected_curve_number", "unit_peak",
]  # fmt: skip
