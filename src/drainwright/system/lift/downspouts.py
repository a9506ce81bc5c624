"""How many downspouts a pump can take, in which rain: the honest count."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence

from drainwright.errors import InputError
from drainwright.system.lift.pump_model import RoofFlow, StormCarried, StormInflow
from drainwright.water.model import Cause, Contribution, Inflows

YEAR = 31557600.0  # as the job document reads "10 yr" [s]
PERIODS = tuple(years * YEAR for years in (1.0, 2.0, 5.0, 10.0, 25.0, 100.0))  # [s]
EQUAL = 1e-9  # relative: flows that differ by less are the same


def downspouts_carried(first: float, roofs: Sequence[float], pump: float, margin: float = 1.0) -> int:
    """How many downspouts, taken in their order, a pump carries besides what comes anyway.

    Parameters
    ----------
    first : float
        Water that comes anyway, ground and yards. [m³/s]
    roofs : sequence of float
        Flow of each downspout. [m³/s]
    pump : float
        Flow of the pump at its duty. [m³/s]
    margin : float
        Pump over inflow that is wanted, 1 or more. [-]

    Returns
    -------
    int
        From none to all. The basin's room is left out: it fills within seconds to minutes of any flow beyond the
        pump's, and a design rain lasts longer.

    Raises
    ------
    InputError
        If a flow is below zero or the margin below 1.

    Examples
    --------
    >>> downspouts_carried(0.0005, (0.001, 0.001, 0.002), 0.003)
    2
    """
    if min((first, pump, *roofs)) < 0.0 or margin < 1.0:
        raise InputError(
            f"flows = {(first, pump, *roofs)!r}, margin = {margin!r}: expected zero or more, and 1 or more"
        )
    total, limit = first, pump / margin * (1.0 + EQUAL)
    for count, flow in enumerate(roofs):
        total += flow
        if total > limit:
            return count
    return len(roofs)


def storm_inflows(
    water: Inflows, downspouts: Sequence[str], led: Collection[str], entering: Collection[str]
) -> tuple[StormInflow, ...]:
    """What comes to a basin in the rain of each return period that the rain table has.

    Parameters
    ----------
    water : Inflows
        Rain table and contributions.
    downspouts : sequence of str
        All downspouts, in the job's order.
    led : collection of str
        Those led to the basin.
    entering : collection of str
        Entries whose water comes to the basin: inlets and downspouts.

    Returns
    -------
    tuple of StormInflow
        The commonest rain first; of 1 and 2 years only one, the longer. Each flow goes with the rain's intensity at
        its own time of concentration; runoff coefficients stay those of the design rain.
    """
    order = sorted(downspouts, key=lambda name: name not in led)
    rainy = [part for part in water.contributions if part.intensity > 0.0]
    found = []
    for period in PERIODS:
        if not all(water.rain.covers(part.time, period) for part in rainy):
            continue
        flows: dict[str, float] = {}
        yards = 0.0
        for part in rainy:
            flow = _scaled(part, water, period)
            if part.cause is Cause.ROOF and part.entry in downspouts:
                flows[part.entry] = flows.get(part.entry, 0.0) + flow
            elif part.entry in entering:
                yards += flow
        roofs = tuple(RoofFlow(name=name, flow=flows[name], led=name in led) for name in order if name in flows)
        if roofs:
            found.append(StormInflow(return_period=period, yards=yards, roofs=roofs))
    if len(found) > 1 and found[1].return_period <= 2.0 * YEAR * (1.0 + EQUAL):
        del found[0]
    return tuple(found)


def _scaled(part: Contribution, water: Inflows, period: float) -> float:
    return part.flow * water.rain.intensity(part.time, period) / part.intensity


def storms_carried(
    storms: Sequence[StormInflow], ground: float, pump: float, worn: float, margin: float, room: float
) -> tuple[StormCarried, ...]:
    """The count for each rain, with the pump new and worn.

    Parameters
    ----------
    storms : sequence of StormInflow
        What comes.
    ground : float
        Ground water, and what other pumps lift here in their bursts: it comes first. [m³/s]
    pump, worn : float
        Flow of the pump at its duty, new and worn. [m³/s]
    margin : float
        Wanted of the new pump, over the inflow. [-]
    room : float
        Volume of the basin over the on level, up to the lowest pipe. [m³]

    Returns
    -------
    tuple of StormCarried
        One for each rain.
    """
    found = []
    for storm in storms:
        first = ground + storm.yards
        flows = [roof.flow for roof in storm.roofs]
        carried = downspouts_carried(first, flows, pump, margin)
        surplus = first + math.fsum(roof.flow for roof in storm.roofs if roof.led) - pump
        found.append(
            StormCarried(
                return_period=storm.return_period,
                first=first,
                roofs=storm.roofs,
                carried=carried,
                carried_worn=downspouts_carried(first, flows, worn),
                spare=pump / margin - first - math.fsum(flows[:carried]),
                lasts=room / surplus if surplus > 0.0 else math.inf,
            )
        )
    return tuple(found)


__all__ = ["PERIODS", "downspouts_carried", "storm_inflows", "storms_carried"]
