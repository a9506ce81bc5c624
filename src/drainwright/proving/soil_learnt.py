"""What a season of one job tells the next quote on that street."""

from __future__ import annotations

import datetime
import json
from dataclasses import dataclass

from drainwright.design import Design, begin
from drainwright.errors import InputError, Problem
from drainwright.job.firm_book import unknown_key
from drainwright.job.model import Job
from drainwright.job.reading import job_of
from drainwright.job.season import SeasonDocument
from drainwright.job.writing import to_json
from drainwright.proving.lines import way_down
from drainwright.proving.season import Learnt, Lot, learn_conductivity
from drainwright.proving.street import Entry, next_entry
from drainwright.quantities import exact
from drainwright.water.ground import ASSUMED_LAYER, ground_of
from drainwright.water.input_ranges import conductivity_spread

LEAST_BAND = 1.5  # a conductivity that was taken as better known than by this factor is given so much; no source [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoilLearnt:
    """A conductivity learnt, with what it rests on."""

    learnt: Learnt
    lot: Lot
    before: tuple[float, float, float]  # low, middle and high that the design took [m/s]
    entry: Entry  # for the next job document, wider than what was learnt: another lot's soil is not this one's
    left_out: tuple[datetime.date, ...]  # days that fit no soil: noted wrongly, a power cut, rain beside the gauge
    assumed: tuple[str, ...]
    inflow_before: float  # ground water to the basin, as designed [m³/s]
    inflow: tuple[float, float, float] | None  # the same with low, middle and high of what was learnt; None: not told


def soil_learnt(design: Design, document: SeasonDocument) -> SoilLearnt:
    """Re-estimate the soil's conductivity from a season's counts.

    Parameters
    ----------
    design : Design
        Of the job, as built if it was worked out anew.
    document : SeasonDocument
        Rain and starts by day.

    Returns
    -------
    SoilLearnt
        With the entry for the next job, and what it makes of this job's own ground water.

    Raises
    ------
    JobError
        If the record is another job's, its basin gets no ground water, or the counts cannot be.
    """
    season = document.season
    job = design.job
    if job.number and season.job != job.number:
        raise document.refused(
            (Problem(where="job", found=repr(season.job), expected=repr(job.number), hint="this is another job's"),)
        )
    names = [station.name for station in design.system.stations]
    station = design.system.station_named(season.basin)
    if station is None:
        listed = ", ".join(names) or "none"
        raise document.refused((unknown_key("basin", season.basin, names, f"one of the job's ({listed})"),))
    seeps = [
        one
        for one in design.inflows.seepage
        if one.length > 0.0
        and any(run.lower == station.name for run in way_down(design, design.system.run(one.run).upper))
    ]
    if not seeps:
        raise document.refused(
            (Problem(where="basin", found=f"{season.basin!r}, to which no footing drain leads",
                     expected="a basin that takes ground water"),)
        )  # fmt: skip
    whole = sum(one.length for one in seeps)
    ground = ground_of(design.site)
    level = sum(one.drain_level * one.length for one in seeps) / whole
    below = ASSUMED_LAYER if ground.barrier is None else max(level - ground.barrier, 0.1)
    reach = season.reach or sum(one.influence * one.length for one in seeps) / whole
    lot = Lot(length=whole, reach=reach, below=below, direct=season.direct_area or 0.0)
    spread = conductivity_spread(design.site, design.inflows)
    middle = design.inflows.conductivity
    low, high = min(spread.low, middle / LEAST_BAND), max(spread.high, middle * LEAST_BAND)
    try:
        learnt = learn_conductivity(
            lot, [day.rain for day in season.days], [day.starts for day in season.days], band=station.band_volume,
            pump=station.operating_flow, before=(low, middle, high), porosity=ground.drainable_porosity,
        )  # fmt: skip
    except InputError as error:
        raise document.refused(
            (Problem(where="days", found=str(error), expected="counts and rain of one wet season"),)
        ) from None
    assumed = []
    if season.reach is None:
        assumed.append("the reach beside the drain is the design's, by Sichardt")
    if ground.barrier is None:
        assumed.append("nobody found the bottom of the water-bearing soil")
    if season.direct_area is None:
        assumed.append("no roof or paving leads to the basin")
    years = sorted({season.days[0].on.year, season.days[-1].on.year})
    when = "-".join(map(str, years))
    entry = next_entry(learnt, season.job, when)
    flows = [_inflow(job, station.name, value) for value in (learnt.low, learnt.middle, learnt.high) if learnt.told]
    return SoilLearnt(
        learnt=learnt, lot=lot, before=(low, middle, high), entry=entry, assumed=tuple(assumed),
        left_out=tuple(season.days[day].on for day in learnt.left_out),
        inflow_before=station.inflow_ground, inflow=(flows[0], flows[1], flows[2]) if flows else None,
    )  # fmt: skip


def _inflow(job: Job, basin: str, conductivity: float) -> float:
    """Ground water that the design reckons with at a basin, the soil being of another conductivity. [m³/s]"""
    record = json.loads(to_json(job))
    record["ground"]["conductivity"] = exact(conductivity, "speed")
    station = begin(job_of(record)).system.station_named(basin)
    return 0.0 if station is None else station.inflow_ground


__all__ = ["SoilLearnt", "soil_learnt"]
