"""Uplift of an empty basin in high ground water, what holds it down, and the safety between the two.

Three conventions of the safety factor are in use and differ by a factor of two on one example; each has its
own function here, and a figure without its convention says little.
"""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import require_at_most, tidy
from drainwright.worksheet import Card, catalogued

WATER_UNIT_WEIGHT = 9806.65  # fresh water, 1000 kg/m³ [N/m³]


@catalogued(
    Card(
        title="Uplift of displaced water",
        symbol="F_u",
        expression="water_unit_weight * volume",
        units={"volume": "m³", "water_unit_weight": "N/m³", "result": "N"},
        source="archimedes",
    )
)
def uplift_force(volume: Floats, water_unit_weight: Floats = WATER_UNIT_WEIGHT) -> Floats:
    """Uplift: the weight of the water that a body displaces.

    Parameters
    ----------
    volume : Floats
        Outside volume below the ground-water level, zero or more. [m³]
    water_unit_weight : Floats
        Unit weight of water, above zero. [N/m³]

    Returns
    -------
    Floats
        Uplift. [N]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(uplift_force(0.2))
    1961
    """
    require("zero or more", np.greater_equal, volume=volume)
    require("above zero", np.greater, water_unit_weight=water_unit_weight)
    return tidy(np.asarray(water_unit_weight) * volume)


@catalogued(
    Card(
        title="Volume of a ring or collar",
        symbol="V",
        expression="pi / 4 * (outer_diameter ** 2 - inner_diameter ** 2) * height",
        units={"inner_diameter": "m", "outer_diameter": "m", "height": "m", "result": "m³"},
        source="geometry",
        trial={"inner_diameter": (0.01, 0.5), "outer_diameter": (0.5, 1.0)},
    )
)
def ring_volume(inner_diameter: Floats, outer_diameter: Floats, height: Floats) -> Floats:
    """Volume of a concrete collar, or of the soil column over a flange.

    Parameters
    ----------
    inner_diameter : Floats
        Inner diameter, zero or more. [m]
    outer_diameter : Floats
        Outer diameter, at least the inner, zero or more. [m]
    height : Floats
        Height, zero or more. [m]

    Returns
    -------
    Floats
        Volume of the ring. [m³]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(ring_volume(0.6, 1.0, 0.3), 4)
    0.1508
    """
    require(
        "zero or more", np.greater_equal, inner_diameter=inner_diameter, outer_diameter=outer_diameter, height=height
    )
    require_at_most("inner_diameter", inner_diameter, "outer_diameter", outer_diameter)
    return tidy(np.pi / 4.0 * (np.asarray(outer_diameter) ** 2 - np.asarray(inner_diameter) ** 2) * height)


@catalogued(
    Card(
        title="Soil that a flange lifts, widening upward",
        symbol="V",
        expression="pi * depth / 3 * ((flange_diameter / 2) ** 2 + flange_diameter / 2 * "
        "(flange_diameter / 2 + depth * tan(angle)) + (flange_diameter / 2 + depth * "
        "tan(angle)) ** 2) - pi / 4 * basin_diameter ** 2 * depth",
        units={"basin_diameter": "m", "flange_diameter": "m", "depth": "m", "angle": "rad", "result": "m³"},
        source="geometry",
        trial={"basin_diameter": (0.01, 0.5), "flange_diameter": (0.5, 1.0), "angle": (0.0, 0.7)},
    )
)
def soil_wedge_volume(basin_diameter: Floats, flange_diameter: Floats, depth: Floats, angle: Floats = 0.0) -> Floats:
    """Soil that must move with a flange: a cone frustum less the basin.

    Parameters
    ----------
    basin_diameter : Floats
        Outside diameter of the basin, at most the flange's, zero or more. [m]
    flange_diameter : Floats
        Diameter of the flange or slab, zero or more. [m]
    depth : Floats
        Depth of soil over the flange, zero or more. [m]
    angle : Floats
        Widening from upright; 0 takes the column alone (safe), zero or more. [rad]

    Returns
    -------
    Floats
        Volume of soil. [m³]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(soil_wedge_volume(0.6, 1.0, 1.0), 4)
    0.5027
    """
    require(
        "zero or more",
        np.greater_equal,
        basin_diameter=basin_diameter,
        flange_diameter=flange_diameter,
        depth=depth,
        angle=angle,
    )
    require_at_most("basin_diameter", basin_diameter, "flange_diameter", flange_diameter)
    require_at_most("angle", angle, "45°", np.pi / 4.0)
    low = np.asarray(flange_diameter) / 2.0
    high = low + np.asarray(depth) * np.tan(angle)
    cone = np.pi * np.asarray(depth) / 3.0 * (low**2 + low * high + high**2)
    return tidy(cone - np.pi / 4.0 * np.asarray(basin_diameter) ** 2 * depth)


@catalogued(
    Card(
        title="Safety against flotation, total weights over gross uplift",
        symbol="FS_g",
        expression="(structure_weight + soil_weight) / (water_unit_weight * (structure_volume + "
        "void_volume + soil_volume))",
        units={
            "structure_weight": "N",
            "soil_weight": "N",
            "structure_volume": "m³",
            "void_volume": "m³",
            "soil_volume": "m³",
            "water_unit_weight": "N/m³",
            "result": "-",
        },
        source="flotation",
    )
)
def flotation_safety_gross(
    structure_weight: Floats,
    soil_weight: Floats,
    structure_volume: Floats,
    void_volume: Floats,
    soil_volume: Floats,
    water_unit_weight: Floats = WATER_UNIT_WEIGHT,
) -> Floats:
    """Convention 1: total weights over the uplift of structure, void and soil together (the lowest figure).

    Parameters
    ----------
    structure_weight : Floats
        Weight in air of basin, collar, pump and water kept inside, zero or more. [N]
    soil_weight : Floats
        Saturated weight of the soil that holds it, zero or more. [N]
    structure_volume : Floats
        Volume of the solid parts below water, zero or more. [m³]
    void_volume : Floats
        Empty inside below water, above zero. [m³]
    soil_volume : Floats
        Volume of that soil below water, zero or more. [m³]
    water_unit_weight : Floats
        Unit weight of water, above zero. [N/m³]

    Returns
    -------
    Floats
        Factor of safety. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(flotation_safety_gross(2.0, 1.0, 1.0, 1.0, 0.5, 1.0), 2)
    1.2
    """
    require(
        "zero or more",
        np.greater_equal,
        structure_weight=structure_weight,
        soil_weight=soil_weight,
        structure_volume=structure_volume,
        soil_volume=soil_volume,
    )
    require("above zero", np.greater, void_volume=void_volume, water_unit_weight=water_unit_weight)
    weight = np.asarray(structure_weight) + soil_weight
    volume = np.asarray(structure_volume) + void_volume + soil_volume
    return tidy(weight / (np.asarray(water_unit_weight) * volume))


@catalogued(
    Card(
        title="Safety against flotation, buoyant weights over the uplift of the void",
        symbol="FS_n",
        expression="(structure_weight + soil_weight - water_unit_weight * (structure_volume + "
        "soil_volume)) / (water_unit_weight * void_volume)",
        units={
            "structure_weight": "N",
            "soil_weight": "N",
            "structure_volume": "m³",
            "void_volume": "m³",
            "soil_volume": "m³",
            "water_unit_weight": "N/m³",
            "result": "-",
        },
        source="flotation",
    )
)
def flotation_safety_net(
    structure_weight: Floats,
    soil_weight: Floats,
    structure_volume: Floats,
    void_volume: Floats,
    soil_volume: Floats,
    water_unit_weight: Floats = WATER_UNIT_WEIGHT,
) -> Floats:
    """Convention 2: buoyant weights over the uplift of the void alone (the highest figure when safe).

    Parameters
    ----------
    structure_weight : Floats
        Weight in air of basin, collar, pump and water kept inside, zero or more. [N]
    soil_weight : Floats
        Saturated weight of the soil that holds it, zero or more. [N]
    structure_volume : Floats
        Volume of the solid parts below water, zero or more. [m³]
    void_volume : Floats
        Empty inside below water, above zero. [m³]
    soil_volume : Floats
        Volume of that soil below water, zero or more. [m³]
    water_unit_weight : Floats
        Unit weight of water, above zero. [N/m³]

    Returns
    -------
    Floats
        Factor of safety; negative where the parts would float by themselves. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(flotation_safety_net(2.0, 1.0, 1.0, 1.0, 0.5, 1.0), 2)
    1.5
    """
    require(
        "zero or more",
        np.greater_equal,
        structure_weight=structure_weight,
        soil_weight=soil_weight,
        structure_volume=structure_volume,
        soil_volume=soil_volume,
    )
    require("above zero", np.greater, void_volume=void_volume, water_unit_weight=water_unit_weight)
    weight = np.asarray(structure_weight) + soil_weight
    lift = np.asarray(water_unit_weight) * (np.asarray(structure_volume) + soil_volume)
    return tidy((weight - lift) / (np.asarray(water_unit_weight) * void_volume))


@catalogued(
    Card(
        title="Safety against flotation, weights with buoyant soil over the uplift of the structure",
        symbol="FS_s",
        expression="(structure_weight + soil_weight - water_unit_weight * soil_volume) / "
        "(water_unit_weight * (structure_volume + void_volume))",
        units={
            "structure_weight": "N",
            "soil_weight": "N",
            "structure_volume": "m³",
            "void_volume": "m³",
            "soil_volume": "m³",
            "water_unit_weight": "N/m³",
            "result": "-",
        },
        source="flotation",
    )
)
def flotation_safety_structure(
    structure_weight: Floats,
    soil_weight: Floats,
    structure_volume: Floats,
    void_volume: Floats,
    soil_volume: Floats,
    water_unit_weight: Floats = WATER_UNIT_WEIGHT,
) -> Floats:
    """Convention 3: structure and buoyant soil over the uplift of the whole structure (the pipe trade's form).

    Parameters
    ----------
    structure_weight : Floats
        Weight in air of basin, collar, pump and water kept inside, zero or more. [N]
    soil_weight : Floats
        Saturated weight of the soil that holds it, zero or more. [N]
    structure_volume : Floats
        Volume of the solid parts below water, zero or more. [m³]
    void_volume : Floats
        Empty inside below water, above zero. [m³]
    soil_volume : Floats
        Volume of that soil below water, zero or more. [m³]
    water_unit_weight : Floats
        Unit weight of water, above zero. [N/m³]

    Returns
    -------
    Floats
        Factor of safety. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(flotation_safety_structure(2.0, 1.0, 1.0, 1.0, 0.5, 1.0), 2)
    1.25
    """
    require(
        "zero or more",
        np.greater_equal,
        structure_weight=structure_weight,
        soil_weight=soil_weight,
        structure_volume=structure_volume,
        soil_volume=soil_volume,
    )
    require("above zero", np.greater, void_volume=void_volume, water_unit_weight=water_unit_weight)
    weight = np.asarray(structure_weight) + soil_weight - np.asarray(water_unit_weight) * soil_volume
    return tidy(weight / (np.asarray(water_unit_weight) * (np.asarray(structure_volume) + void_volume)))
