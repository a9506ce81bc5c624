"""Inflow in time: the design storm over roofs and yards, by the steps of the storm."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from drainwright.errors import InputError, require
from drainwright.field.model import Site
from drainwright.job.site import YardArea
from drainwright.storm.model import Series, Storm
from drainwright.water.model import Cause, Contribution, Inflows
from drainwright.water.soil import SOILS, green_ampt_excess
from drainwright.water.storms import design_storm
from drainwright.worksheet import quiet

STORM_STEP = 60.0  # of the storm, or a little more or less so that it divides the duration [s]
LAG = 0.6  # lag over time of concentration; NEH 630 ch. 15 (2010), eq. 15-3, from memory [-]
WETNESS = 0.7  # share of the soil's room taken at the start: ground in the wet season, common practice, no source [-]
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


def runoff_intensity(storm: Storm, contribution: Contribution, site: Site, yards: Mapping[str, YardArea]) -> Series:
    """Rain that runs off an area in each step of the storm: all of it from roofs and sealed ground, else the rest
    that the soil does not take (Green and Ampt, by texture, wet at the start). [m/s]
    """  # fmt: skip
    yard = yards.get(contribution.source)
    if contribution.cause is Cause.ROOF or (yard is not None and yard.surface in SEALED):
        return storm.intensity
    soil = SOILS[site.job.ground.texture.value]
    rain = storm.intensity * storm.step
    conductivity, suction = soil.infiltration_conductivity, soil.suction
    return green_ampt_excess(rain, storm.step, conductivity, suction, soil.deficit(WETNESS)) / storm.step


def inflow_series(site: Site, inflows: Inflows, storm: Storm, horizon: float) -> dict[str, Series]:
    """Mean surface inflow at each entry in steps of ``storm.step``, from the start to the horizon or a step beyond.

    Roofs and yards pass a linear reservoir with 0.6 times their time of concentration, the lag of NRCS. Groundwater
    is not among it: it depends on the level in the drain, and enters in the stepper.

    Returns
    -------
    dict
        By entry. [m³/s]
    """
    steps = max(len(storm.intensity), math.ceil(horizon / storm.step - 1e-9))
    yards = {yard.name: yard for yard in site.job.yards}
    found: dict[str, Series] = {}
    with quiet():
        for contribution in inflows.contributions:
            if contribution.cause is Cause.GROUND or contribution.area <= 0.0:
                continue
            arriving = np.zeros(steps)
            arriving[: len(storm.intensity)] = runoff_intensity(storm, contribution, site, yards) * contribution.area
            flow = linear_reservoir(arriving, storm.step, LAG * contribution.time)
            found[contribution.entry] = found.get(contribution.entry, np.zeros(steps)) + flow
    return found


__all__ = ["LAG", "WETNESS", "inflow_series", "linear_reservoir", "runoff_intensity", "storm_of"]
