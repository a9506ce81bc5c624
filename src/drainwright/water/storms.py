"""Design storms: the NRCS 24-hour distributions, the nested storm of the rain table, the even block."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require
from drainwright.water.rain import SECONDS_A_YEAR, RainTable
from drainwright.worksheet import Card, catalogued

Distribution: TypeAlias = Literal["nested", "type I", "type IA", "type II", "type III", "block"]

DAY = 86400.0  # [s]

# Hours at which the NRCS curves are tabulated, and the fraction of the 24-hour depth that has fallen by then. Whole and
# half hours: HDS-2 (2002), Table 6.5, p. 6-35 (seen), without the half hours of the flat parts, where the curves are
# straight. Added where they bend: 7.5, 8.5, 9.75 and 11.75 h, from the older printings of the same curves (NRCS; Chow,
# Maidment and Mays 1988, Table 14.3.1): seen in public copies but for 7.5 h of I, IA and III, and 9.75 and 11.75 h of
# III, which are from memory. Printings differ by up to 0.002.
_HOURS = (
    0.0, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 7.5, 8.0, 8.5, 9.0, 9.5, 9.75, 10.0, 10.5, 11.0, 11.5, 11.75,
    12.0, 12.5, 13.0, 13.5, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0, 20.0, 21.0, 22.0, 23.0, 24.0,
)  # fmt: skip
NRCS_CURVES: Mapping[str, tuple[float, ...]] = MappingProxyType({
    "type I": (
        0.0, 0.008, 0.017, 0.035, 0.055, 0.076, 0.099, 0.126, 0.156, 0.174, 0.194, 0.219, 0.254, 0.303, 0.362, 0.515,
        0.583, 0.624, 0.655, 0.669, 0.682, 0.706, 0.728, 0.748, 0.766, 0.799, 0.830, 0.857, 0.882, 0.905, 0.926, 0.946,
        0.965, 0.983, 1.0,
    ),
    "type IA": (
        0.0, 0.010, 0.020, 0.050, 0.082, 0.116, 0.156, 0.206, 0.268, 0.310, 0.425, 0.480, 0.520, 0.550, 0.564, 0.577,
        0.601, 0.624, 0.645, 0.655, 0.664, 0.683, 0.701, 0.719, 0.736, 0.769, 0.800, 0.830, 0.858, 0.884, 0.908, 0.932,
        0.956, 0.978, 1.0,
    ),
    "type II": (
        0.0, 0.005, 0.011, 0.022, 0.035, 0.048, 0.063, 0.080, 0.098, 0.109, 0.120, 0.133, 0.147, 0.162, 0.172, 0.181,
        0.204, 0.235, 0.283, 0.357, 0.663, 0.735, 0.772, 0.799, 0.820, 0.854, 0.880, 0.902, 0.921, 0.937, 0.952, 0.965,
        0.978, 0.989, 1.0,
    ),
    "type III": (
        0.0, 0.005, 0.010, 0.020, 0.031, 0.043, 0.057, 0.072, 0.091, 0.102, 0.114, 0.128, 0.146, 0.166, 0.178, 0.189,
        0.212, 0.250, 0.298, 0.339, 0.500, 0.702, 0.750, 0.784, 0.811, 0.854, 0.886, 0.910, 0.928, 0.943, 0.957, 0.969,
        0.981, 0.991, 1.0,
    ),
})  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Hyetograph:
    """Rain intensity of a design storm, in even steps."""

    name: str
    times: NDArray[np.float64]  # start of each step [s]
    intensity: NDArray[np.float64]  # [m/s]
    step: float  # [s]
    depth: float  # [m]
    return_period: float  # [s]
    source: str


def nrcs_fraction(time: float | NDArray[np.float64], distribution: str) -> NDArray[np.float64]:
    """Fraction of the 24-hour depth that has fallen by a time of the day.

    Parameters
    ----------
    time : float or array
        From the start of the storm, 0 to 24 h; straight lines between the tabulated hours. [s]
    distribution : str
        ``"type I"``, ``"type IA"``, ``"type II"`` or ``"type III"``.

    Returns
    -------
    array
        Fraction, in the shape of ``time``. [-]

    Raises
    ------
    InputError
        If there is no such distribution, or a time is outside the day.

    References
    ----------
    FHWA HDS-2, Highway Hydrology, 2nd ed., 2002, Table 6.5, p. 6-35.
    """
    if distribution not in NRCS_CURVES:
        raise InputError(f"distribution = {distribution!r}: expected one of {', '.join(NRCS_CURVES)}")
    hours = np.asarray(time, dtype=np.float64) / 3600.0
    if not np.all((hours >= 0.0) & (hours <= 24.0)):
        raise InputError(f"time = {time!r}: expected 0 to 86400 s")
    return np.asarray(np.interp(hours, _HOURS, NRCS_CURVES[distribution]), dtype=np.float64)


def scaled_increments(fractions: NDArray[np.float64], depth: float) -> NDArray[np.float64]:
    """Depth in each step of a storm, from cumulative fractions at the ends of the steps.

    Parameters
    ----------
    fractions : array
        Cumulative, zero or more, not falling; the zero at the start is left out. [-]
    depth : float
        Depth of the whole storm, above zero. [m]

    Returns
    -------
    array
        Depths in the steps, in the shape of ``fractions``. [m]

    Raises
    ------
    InputError
        If the fractions fall, or ``depth`` is not above zero.
    """
    require("above zero", np.greater, depth=depth)
    steps = np.diff(np.asarray(fractions, dtype=np.float64), prepend=0.0)
    if not np.all(steps >= 0.0):
        raise InputError(f"fractions = {fractions!r}: expected cumulative fractions that do not fall")
    return np.asarray(steps * depth)


def nested_depths(table: RainTable, return_period: float, duration: float, step: float) -> NDArray[np.float64]:
    """Depth in each step of a nested storm: every rain of the table at once, all centred on the middle.

    For every time t up to the duration, the middle t of the storm holds the table's depth of duration t: half
    of it before the middle, half after. Within the half of the shortest row the rain is even.

    Parameters
    ----------
    table : RainTable
        Depths of the place.
    return_period : float
        Of every part of the storm. [s]
    duration, step : float
        Of the storm, which the table covers; the step divides it. [s]

    Returns
    -------
    array
        Depths, of shape (duration / step,). [m]

    Raises
    ------
    InputError
        If the step does not divide the duration or the table does not cover it.
    """
    edges = _edges(duration, step)
    windows = np.abs(2.0 * edges - duration)  # around the middle
    within = np.minimum(windows / table.shortest, 1.0)
    half = 0.5 * within * table.depths_of(np.maximum(windows, table.shortest), return_period)
    fallen = np.where(edges < 0.5 * duration, half[0] - half, half[0] + half)
    return np.asarray(np.diff(fallen))


@catalogued(
    Card(
        title="Design storm",
        symbol="storm",
        expression="nested: every duration centred on the middle holds the depth of the rain table; type I to III:"
        " NRCS 24-hour curves times the 24-hour depth; block: even",
        expression_kind="procedure",
        units={
            "table": "-", "return_period": "s", "duration": "s", "distribution": "-", "step": "s", "result": "-",
        },
        source="hds2",
    )
)  # fmt: skip
def design_storm(
    table: RainTable, return_period: float, duration: float, distribution: Distribution, step: float
) -> Hyetograph:
    """Design storm of a place.

    Parameters
    ----------
    table : RainTable
        Depths of the place.
    return_period : float
        Within the table. [s]
    duration : float
        Of a nested storm or a block. The NRCS distributions are of 24 hours by definition, and take 24 hours
        whatever stands here; their name says so. [s]
    distribution : str
        ``"nested"``, ``"block"`` or an NRCS type.
    step : float
        Divides the duration. [s]

    Returns
    -------
    Hyetograph
        Its depths add up to the table's depth.

    Raises
    ------
    InputError
        If there is no such distribution, the step does not divide the duration, or the table does not cover it.

    Notes
    -----
    The NRCS curves are tabulated to the quarter hour at best, and are one curve for a wide region: set beside the
    place's own table their burst comes out milder in one place and far sharper in another. A nested storm is as
    sharp as the table, at every duration that spans an even number of steps of an even count.
    """
    if distribution in NRCS_CURVES:
        duration = DAY
        name = f"NRCS {distribution}, 24 h"
        fractions = nrcs_fraction(_edges(DAY, step)[1:], distribution)
        depth = table.depth(DAY, return_period)
        depths = scaled_increments(fractions, depth)
        source = f"HDS-2 (2002) Table 6.5; depth: {table.source}"
    elif distribution == "nested":
        name = f"nested, {duration / 3600:g} h"
        depth = table.depth(duration, return_period)
        depths = nested_depths(table, return_period, duration, step)
        source = f"nested from the rain table: {table.source}"
    elif distribution == "block":
        name = f"even, {duration / 3600:g} h"
        depth = table.depth(duration, return_period)
        count = len(_edges(duration, step)) - 1
        depths = np.full(count, depth / count)
        source = f"even rain: {table.source}"
    else:
        raise InputError(f"distribution = {distribution!r}: expected 'nested', 'block', {', '.join(NRCS_CURVES)}")
    return Hyetograph(
        name=f"{return_period / SECONDS_A_YEAR:g}-year storm, {name}",
        times=_edges(duration, step)[:-1],
        intensity=depths / step,
        step=step,
        depth=depth,
        return_period=return_period,
        source=source,
    )


def _edges(duration: float, step: float) -> NDArray[np.float64]:
    require("above zero", np.greater, duration=duration, step=step)
    count = round(duration / step)
    if count < 1 or abs(count * step - duration) > 1e-6 * duration:
        raise InputError(f"step = {step!r}: expected a step that divides duration = {duration!r}")
    return np.linspace(0.0, duration, count + 1)


__all__ = [
    "DAY", "NRCS_CURVES", "Distribution", "Hyetograph", "design_storm", "nested_depths", "nrcs_fraction",
    "scaled_increments",
]  # fmt: skip
