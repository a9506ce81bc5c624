"""Rain that runs over a sloping plane while the ground takes its share: kinematic wave with Green and Ampt.

``plane_steps`` is plain arithmetic on arrays, ready to be compiled; it is checked and called by the storm wing.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued

Floats1: TypeAlias = NDArray[np.float64]

EXPONENT = 5.0 / 3.0  # of depth, Manning's formula for a wide sheet
NO_WATER = 1e-30  # a thinner film runs off at once: its powers are beyond a float [m]


@catalogued(
    Card(
        title="Conveyance of sheet flow, Manning",
        symbol="α",
        expression="sqrt(slope) / roughness",
        units={"slope": "m/m", "roughness": "s/m^(1/3)", "result": "m^(1/3)/s"},
        source="manning_1891",
    )
)
def sheet_conveyance(slope: Floats, roughness: Floats) -> Floats:
    """The factor of q = α y^(5/3), flow per metre of width by the depth of a wide sheet.

    Parameters
    ----------
    slope : Floats
        Above zero. [m/m]
    roughness : Floats
        Manning n of sheet flow, above zero. [s/m^(1/3)]

    Returns
    -------
    Floats
        Factor. [m^(1/3)/s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(sheet_conveyance(0.01, 0.1), 12)
    1.0
    """
    require("above zero", np.greater, slope=slope, roughness=roughness)
    return tidy(np.sqrt(slope) / np.asarray(roughness))


@catalogued(
    Card(
        title="Time in which even rain fills a plane's flow",
        symbol="t_e",
        expression="(length / (conveyance * excess ** (2 / 3))) ** (3 / 5)",
        units={"length": "m", "conveyance": "m^(1/3)/s", "excess": "m/s", "result": "s"},
        source="henderson_wooding",
    )
)
def equilibrium_time(length: Floats, conveyance: Floats, excess: Floats) -> Floats:
    """Time after which the whole plane feeds its lower edge: t = (L / (α i^(2/3)))^(3/5).

    Parameters
    ----------
    length : Floats
        Of the plane along the flow, above zero. [m]
    conveyance : Floats
        α of ``sheet_conveyance``, above zero. [m^(1/3)/s]
    excess : Floats
        Rain less infiltration, even, above zero. [m/s]

    Returns
    -------
    Floats
        Time. [s]

    Raises
    ------
    InputError
        If a value cannot be used.

    References
    ----------
    F. M. Henderson and R. A. Wooding, J. Geophys. Res. 69(8), 1964 (from memory); also in Chow, Maidment and Mays
    1988, sec. 9.4 (from memory).
    """
    require("above zero", np.greater, length=length, conveyance=conveyance, excess=excess)
    return tidy((np.asarray(length) / (conveyance * np.asarray(excess) ** (2.0 / 3.0))) ** 0.6)


def plane_steps(
    rain: Floats1, step: float, length: Floats1, conveyance: Floats1, conductivity: Floats1, store: Floats1,
    parts: int, fullest: float, root: Floats1, taken: Floats1, lately: Floats1,
) -> Floats1:  # fmt: skip
    """Flow off the lower edge of planes under one rain, each a metre wide, from a state and on to the next.

    Plain arithmetic; nothing is checked.

    Parameters
    ----------
    rain : (steps,)
        Intensity, even within each step. [m/s]
    step : float
        [s]
    length, conveyance : (planes,)
        Along the flow [m]; α of q = α y^(5/3) [m^(1/3)/s].
    conductivity, store : (planes,)
        Green-Ampt K [m/s] and suction times deficit [m]; K zero: the plane takes no water.
    parts : int
        Into how many parts a step is divided, at most.
    fullest : float
        Intensity from which on a step is divided so, and less at lighter rain. [m/s]
    root, taken : (planes, cells)
        Cube root of the depth on each cell [m^(1/3)] and the depth gone into its ground since it was in the state that
        ``store`` tells [m]; changed in place.
    lately : (planes,)
        Rain that lately fell, fading; zero at first. Changed in place. [m/s]

    Returns
    -------
    outflow : (planes, steps)
        Mean over each step. [m²/s]

    Notes
    -----
    dy/dt + d(α y^(5/3))/dx = rain - infiltration, by finite volumes: each cell from the top downwards, the flow into
    it known at the new time, the flow out of it implicit in its new depth. The ground takes what it can of all water
    that stands, falls and runs on in a part of a step, also after the rain has ended; the rest is left to run. With
    z the cube root of the depth, z³ + c z⁵ = rest has one root, found by Newton's method; what leaves is the rest
    less the depth, so that no water is lost or made whatever the step. First order in time and length; exact, as long
    as the rain is even, while the upper edge is not yet felt, and at equilibrium. A step in which the plane is dry
    and the ground takes all the rain is not divided.
    """
    steps, planes, cells = rain.size, length.size, root.shape[1]
    outflow = np.zeros((planes, steps))
    for plane in range(planes):
        suction = store[plane]
        wet = root[plane].max() > 0.0
        for index in range(steps):
            lately[plane] = max(rain[index], 0.8 * lately[plane])
            if not wet and rain[index] <= conductivity[plane]:
                for cell in range(cells):
                    taken[plane, cell] += rain[index] * step
                continue
            count = max(1, math.ceil(parts * min(1.0, lately[plane] / fullest))) if fullest > 0.0 else 1
            span = step / count
            share = span * cells / length[plane]  # turns a flow over a cell's edge into a depth in the cell
            reach = conveyance[plane] * share
            gravity = conductivity[plane] * span
            fallen = rain[index] * span
            left = 0.0
            for _ in range(count):
                running = 0.0  # out of the cell above, as a depth
                wet = False
                for cell in range(cells):
                    z = root[plane, cell]
                    water = z * z * z + fallen + running
                    if gravity > 0.0:
                        before = taken[plane, cell]
                        after = before + water
                        if water > gravity:
                            ponding = gravity * suction / (water - gravity)  # total at which water begins to stand
                            if after > ponding:
                                start = max(ponding, before)
                                down = gravity * (1.0 - (start - before) / water)
                                total = start + down
                                if suction > 0.0 and down > 0.0:
                                    more = math.sqrt(2.0 * suction * down)  # with it at least the root; so also:
                                    total += more if start <= more else suction * down / start
                                    for _ in range(60):
                                        slide = total - start - down
                                        slide -= suction * math.log((total + suction) / (start + suction))
                                        slide *= (total + suction) / total
                                        total -= slide
                                        if abs(slide) <= 1e-9 * total:
                                            break
                                after = min(after, max(total, before))
                        taken[plane, cell] = after
                        water = max(0.0, water - (after - before))
                    rest = 0.0
                    if water > NO_WATER:
                        square = z * z
                        if 8.0 * z * square * (1.0 + reach * square) < water:
                            z = min(water ** (1.0 / 3.0), (water / reach) ** 0.2)  # the root is less than either
                        for _ in range(60):
                            square = z * z
                            flow = reach * square
                            slide = (z * square * (1.0 + flow) - water) / (square * (3.0 + 5.0 * flow))
                            z -= slide
                            if abs(slide) <= 1e-9 * z:
                                break
                        rest = z * z * z
                        if rest > water:
                            rest, z = water, water ** (1.0 / 3.0)
                        wet = True
                    else:
                        z = 0.0
                    root[plane, cell] = z
                    running = water - rest
                left += running
            outflow[plane, index] = left / share / count
    return outflow


def plane_runoff(
    rain: Floats1, step: float, length: Floats1, conveyance: Floats1, conductivity: Floats1, store: Floats1,
    cells: int, parts: int, stepped: Callable[..., Floats1] = plane_steps,
) -> tuple[Floats1, Floats1, Floats1]:  # fmt: skip
    """Flow off the lower edge of dry planes under one rain, each a metre wide: ``plane_steps`` from nothing.

    Parameters
    ----------
    rain, step, length, conveyance, conductivity, store, parts
        As there; a step is divided into ``parts`` at the heaviest of the rain.
    cells : int
        Into how many a plane is divided.
    stepped : callable
        ``plane_steps``, or the same compiled.

    Returns
    -------
    outflow : (planes, steps)
        Mean over each step. [m²/s]
    infiltrated, standing : (planes,)
        Gone into the ground and left on it at the end, mean over the plane. [m]
    """
    root, taken = np.zeros((length.size, cells)), np.zeros((length.size, cells))
    fullest = float(rain.max()) if rain.size else 0.0
    flow = stepped(
        rain, step, length, conveyance, conductivity, store, parts, fullest, root, taken, np.zeros(length.size)
    )
    return flow, np.asarray(taken.mean(axis=1)), np.asarray((root**3).mean(axis=1))


__all__ = ["EXPONENT", "equilibrium_time", "plane_runoff", "plane_steps", "sheet_conveyance"]
