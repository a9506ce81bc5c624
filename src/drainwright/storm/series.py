"""Inflow in time: the design storm over roofs and yards, by the steps of the storm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError, require
from drainwright.field.model import Site
from drainwright.hydraulics.overland import sheet_conveyance
from drainwright.storm.model import Series, Storm
from drainwright.water.model import Cause, Contribution, Inflows
from drainwright.water.paths import gathered_time
from drainwright.water.runoff import WETNESS
from drainwright.water.soil import SOILS
from drainwright.water.storms import design_storm
from drainwright.water.travel import sheet_roughness
from drainwright.water.yards import yard_ground
from drainwright.worksheet import quiet

STORM_STEP = 60.0  # of the storm, or a little more or less so that it divides the duration [s]
LAG = 0.6  # lag over time of concentration; NEH 630 ch. 15 (2010), eq. 15-3, from memory [-]
SHORTEST_PLANE = 1.0  # where all of the way is gathered flow [m]
CELLS, PARTS = 20, 16  # of a plane, of a step at the storm's height: peaks then come out 1 to 4 % low
SEALED = ("paving", "concrete", "asphalt")  # surfaces that take no rain


def storm_of(site: Site, inflows: Inflows) -> Storm:
    """The design storm of the job: its return period, duration and distribution, in steps of about a minute.

    Raises
    ------
    InputError
        If the rain table does not cover the return period and the duration.
    """
    criteria = site.job.criteria
    count = max(1, round(criteria.storm_duration / STORM_STEP))
    if criteria.storm_duration > 10 * 86400.0:
        raise InputError(f"storm_duration = {criteria.storm_duration!r}: expected at most ten days")
    made = design_storm(
        inflows.rain,
        criteria.storm_return_period,
        criteria.storm_duration,
        site.job.rain.distribution,
        criteria.storm_duration / count if site.job.rain.distribution in ("nested", "block") else STORM_STEP,
    )
    return Storm(
        name=made.name,
        times=made.times,
        intensity=made.intensity,
        step=made.step,
        depth=made.depth,
        return_period=made.return_period,
        source=made.source,
    )


def linear_reservoir(inflow: Series, step: float, constant: float) -> Series:
    """Mean outflow in each step of a store whose outflow is its content over ``constant``, empty at the start.

    Parameters
    ----------
    inflow : Series
        Even within each step. [any unit a second]
    step : float
        Above zero. [s]
    constant : float
        Mean time that water stays, zero or more. [s]

    Returns
    -------
    Series
        Exact means: what flowed in is what flowed out and what is still there.

    Raises
    ------
    InputError
        If ``step`` is not above zero or ``constant`` is negative.

    Notes
    -----
    dq/dt = (i - q) / k gives q1 = q0 exp(-dt/k) + i (1 - exp(-dt/k)); the mean follows from the water balance of
    the step, i - k (q1 - q0) / dt.
    """
    require("above zero", np.greater, step=step)
    require("zero or more", np.greater_equal, constant=constant)
    if constant == 0.0:
        return inflow.copy()
    keep = math.exp(-step / constant)
    share = -math.expm1(-step / constant)
    mean = np.empty_like(inflow)
    flow = 0.0
    for index, arriving in enumerate(inflow.tolist()):
        later = flow * keep + arriving * share
        mean[index] = arriving - constant / step * (later - flow)
        flow = later
    return np.maximum(mean, 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plane:
    """A yard as the storm wets it: strips of even slope that feed the way on which the water is gathered."""

    entry: str
    width: float  # of all strips together [m]
    length: float  # of each strip, along the flow [m]
    conveyance: float  # α of q = α y^(5/3) [m^(1/3)/s]
    conductivity: float  # Green-Ampt K; 0: the yard takes no rain [m/s]
    store: float  # suction times deficit [m]
    gathered: float  # time of the rest of the way, in rills, swales and gutters [s]


def plane_of(site: Site, contribution: Contribution) -> Plane:
    """The plane of a yard's contribution: as long as its sheet flow, as wide as then makes the yard's area.

    A way without sheet flow gets the shortest plane, ``SHORTEST_PLANE``. The slope is the mean along the sheet, the
    roughness likewise.

    Raises
    ------
    JobError, InputError
        As ``yard_ground``.
    """
    yard = next(yard for yard in site.job.yards if yard.name == contribution.source)
    ground = yard_ground(site, yard)
    sheets = [reach for reach in ground.reaches if reach.kind == "sheet"]
    length = max(SHORTEST_PLANE, ground.sheet)
    if sheets:
        slope = sum(reach.length * reach.fall for reach in sheets) / ground.sheet
        roughness = sum(reach.length * reach.sheet_roughness for reach in sheets) / ground.sheet
    else:
        slope, roughness = ground.reaches[0].fall, sheet_roughness(yard.surface)
    soil = SOILS[site.job.ground.texture.value]
    sealed = yard.surface in SEALED
    return Plane(
        entry=contribution.entry,
        width=contribution.area / length,
        length=length,
        conveyance=float(sheet_conveyance(slope, roughness)),
        conductivity=0.0 if sealed else soil.infiltration_conductivity,
        store=0.0 if sealed else soil.suction * soil.deficit(WETNESS),
        gathered=sum(gathered_time(reach) for reach in ground.reaches if reach.kind != "sheet"),
    )


def inflow_series(site: Site, inflows: Inflows, storm: Storm, horizon: float) -> dict[str, Series]:
    """Mean surface inflow at each entry in steps of ``storm.step``, from the start to the horizon or a step beyond.

    Yards are planes over which the rain runs as a kinematic wave while the soil takes its share (Green and Ampt, by
    texture, wet at the start); the rest of their way is a linear reservoir with 0.6 times its time. Roofs shed all
    their rain through a linear reservoir with 0.6 times their time of concentration, the lag of NRCS. Groundwater is
    not among it: it depends on the level in the drain, and enters in the stepper.

    Returns
    -------
    dict
        By entry. [m³/s]
    """
    steps = max(len(storm.intensity), math.ceil(horizon / storm.step - 1e-9))
    rain = np.zeros(steps)
    rain[: len(storm.intensity)] = storm.intensity
    found: dict[str, Series] = {}
    with quiet():
        wet = [part for part in inflows.contributions if part.cause is not Cause.GROUND and part.area > 0.0]
        planes = [plane_of(site, part) for part in wet if part.cause is Cause.YARD]
        for part in wet:
            if part.cause is Cause.ROOF:
                flow = linear_reservoir(rain * part.area, storm.step, LAG * part.time)
                found[part.entry] = found.get(part.entry, np.zeros(steps)) + flow
        for plane, flow in zip(planes, plane_flows(planes, rain, storm.step), strict=True):
            gathered = linear_reservoir(flow, storm.step, LAG * plane.gathered)
            found[plane.entry] = found.get(plane.entry, np.zeros(steps)) + gathered
    return found


def plane_flows(planes: Sequence[Plane], rain: Series, step: float) -> Series:
    """Mean flow off each plane in each step, shape (planes, steps). [m³/s]"""
    if not planes:
        return np.zeros((0, len(rain)))
    from drainwright.storm.surface.sheets import surface_runoff

    figures = np.array([
        [plane.length, plane.conveyance, plane.conductivity, plane.store, plane.width] for plane in planes
    ]).T.copy()  # fmt: skip
    length, conveyance, conductivity, store, width = figures
    flows, _, _ = surface_runoff(rain, step, length, conveyance, conductivity, store, CELLS, PARTS)
    return np.asarray(flows * width[:, None])


__all__ = [
    "LAG", "Plane", "inflow_series", "linear_reservoir", "plane_flows", "plane_of", "storm_of",
]  # fmt: skip
