"""All water that comes to the system, cause by cause and entry by entry."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.errors import InputError
from drainwright.field.model import Site
from drainwright.field.words import fail, least_sure, nearest
from drainwright.job.model import Job
from drainwright.job.site import RoofArea, YardArea
from drainwright.job.values import Basis
from drainwright.water.check import cross_checks
from drainwright.water.footing_drains import drains_water
from drainwright.water.ground import ground_of
from drainwright.water.ground_lines import ground_lines
from drainwright.water.model import Cause, Contribution, Inflows
from drainwright.water.paths import way_time
from drainwright.water.rain import RainTable, rain_table
from drainwright.water.roofs import roof_catch
from drainwright.water.runoff import ROOF_COEFFICIENT, rare_storm_factor, rational_flow, runoff_coefficient
from drainwright.water.uncertainty import with_bands
from drainwright.water.yards import AWAY, YardGround, beside_the_ground, yard_ground, yard_size
from drainwright.worksheet import place


@dataclass(frozen=True, slots=True, kw_only=True)
class Yard:
    """A yard area with its figures."""

    area: YardArea
    ground: YardGround
    time: float  # of concentration [s]
    coefficient: float  # [-]
    basis: Basis


def inflows(site: Site) -> Inflows:
    """How much water comes to the system, from which cause, to which entry.

    Parameters
    ----------
    site : Site
        The surveyed site, with its job.

    Returns
    -------
    Inflows
        A contribution for each roof area and yard area that reaches an inlet, and for each footing drain; the
        rain table; the ground; notes on what was assumed; the band of each flow.

    Raises
    ------
    JobError
        If a roof, downspout or yard names something that does not exist.
    InputError
        If the rain table is impossible or does not cover what the criteria ask.
    """
    job = site.job
    notes: list[str] = []
    rain = rain_table(job.rain)
    yards = {area.name: _yard(site, rain, area, notes) for area in job.yards}
    contributions = [
        *_roofs(job, rain, yards, notes),
        *_yards(job, rain, yards, notes),
    ]
    ground = ground_of(site)
    drains = [run for run in job.works.runs if run.duty == "footing drain"]
    seepage, seeped, said = drains_water(site, ground, drains)
    contributions += seeped
    notes += said
    notes += beside_the_ground(site)
    notes += cross_checks(site, rain, {name: yard.ground for name, yard in yards.items()}, tuple(contributions))
    water = Inflows(
        rain=rain,
        contributions=tuple(contributions),
        seepage=tuple(seepage),
        conductivity=ground.conductivity,
        conductivity_basis=ground.conductivity_basis,
        notes=tuple(dict.fromkeys(notes)),
        ground_lines=ground_lines(site, ground, seepage),
    )
    return with_bands(site, water)


def _yard(site: Site, rain: RainTable, area: YardArea, notes: list[str]) -> Yard:
    job = site.job
    ground = yard_ground(site, area)
    notes += ground.notes
    bases = [ground.basis, rain.basis]
    period = job.criteria.yard_return_period
    if area.runoff_coefficient is not None:
        coefficient = area.runoff_coefficient.value
        bases.append(area.runoff_coefficient.basis)
    else:
        with place(f"yards.{area.name}", "runoff coefficient"):
            coefficient = runoff_coefficient(area.surface, job.ground.texture.value, ground.slope)
            coefficient = min(1.0, coefficient * rare_storm_factor(period))
        bases += [Basis.ASSUMED, job.ground.texture.basis]
    with place(f"yards.{area.name}", "time of concentration"):
        try:
            time, _ = way_time(rain, period, ground.reaches, job.criteria.minimum_time)
        except InputError:  # the sheet flow alone; the criteria are known to lie within the table
            time = math.inf
    if time > rain.durations[-1]:
        raise fail(
            f"yards.{area.name}", "ground that water takes longer to cross than the longest rain of the table",
            f"a time within {rain.durations[-1] / 3600.0:.3g} h",
            "Check the slope and length of its way; or give the rain table longer rows.",
        )  # fmt: skip
    return Yard(area=area, ground=ground, time=time, coefficient=coefficient, basis=least_sure(*bases))


def _yards(job: Job, rain: RainTable, yards: dict[str, Yard], notes: list[str]) -> list[Contribution]:
    found = []
    for yard in yards.values():
        if yard.area.to == AWAY:
            notes.append(f"Yard {yard.area.name} sheds away from the works: its water is not counted.")
            continue
        period = job.criteria.yard_return_period
        with place(f"yards.{yard.area.name}", "peak flow"):
            intensity = rain.intensity(yard.time, period)
            flow = rational_flow(yard.coefficient, intensity, yard.ground.size)
        if yard.area.beyond:
            notes.append(
                f"Yard {yard.area.name} lies beyond the boundary: its water comes from the neighbor's ground or the"
                " street. Settle with the owner who keeps it from growing."
            )
        found.append(
            Contribution(
                entry=yard.area.to, cause=Cause.YARD, source=yard.area.name, flow=flow, area=yard.ground.size,
                coefficient=yard.coefficient, time=yard.time, intensity=intensity, return_period=period,
                basis=yard.basis,
            )
        )  # fmt: skip
    return found


def _roofs(job: Job, rain: RainTable, yards: dict[str, Yard], notes: list[str]) -> list[Contribution]:
    found = []
    for roof in job.roofs:
        end = _end(job, roof, yards, notes)
        if end is None:
            continue
        entry, extra, basis = end
        with place(f"roofs.{roof.name}", "area that catches rain"):
            catch = roof_catch(job, roof)
        notes += catch.notes
        time = min(job.criteria.roof_time + extra, rain.durations[-1])  # beyond it the table says nothing
        period = job.criteria.roof_return_period
        with place(f"roofs.{roof.name}", "peak flow"):
            intensity = rain.intensity(time, period)
            flow = rational_flow(ROOF_COEFFICIENT, intensity, catch.area)
        found.append(
            Contribution(
                entry=entry, cause=Cause.ROOF, source=roof.name, flow=flow, area=catch.area,
                coefficient=ROOF_COEFFICIENT, time=time, intensity=intensity, return_period=period,
                basis=least_sure(catch.basis, rain.basis, *basis),
            )
        )  # fmt: skip
    return found


def _end(
    job: Job, roof: RoofArea, yards: dict[str, Yard], notes: list[str]
) -> tuple[str, float, tuple[Basis, ...]] | None:
    """Entry of a roof's water, its further travel time [s] and what that rests on; None where it does not come."""
    downspouts = {downspout.name: downspout for downspout in job.downspouts}
    if roof.to not in downspouts:
        raise fail(
            f"roofs.{roof.name}.to", repr(roof.to), "the name of a downspout", nearest(roof.to, downspouts)
        )  # fmt: skip
    downspout = downspouts[roof.to]
    if downspout.ends != "splash":
        return downspout.name, 0.0, ()
    if downspout.to is None or downspout.to == AWAY:
        notes.append(
            f"Downspout {downspout.name} ends on the ground and no yard area takes it: roof {roof.name} is not counted."
            " Make sure that its water runs away from the house."
        )
        return None
    if downspout.to not in yards:
        raise fail(
            f"downspouts.{downspout.name}.to", repr(downspout.to), "the name of a yard area",
            nearest(downspout.to, yards),
        )  # fmt: skip
    yard = yards[downspout.to]
    if yard.area.to == AWAY:
        notes.append(
            f"Downspout {downspout.name} wets yard {yard.area.name}, which sheds away: roof {roof.name} is not counted."
        )
        return None
    notes.append(
        f"Downspout {downspout.name} wets yard {yard.area.name}: roof {roof.name} comes to {yard.area.to} with the"
        " yard's time added and nothing taken off for what soaks in on the way."
    )
    return yard.area.to, yard.time, (yard.basis,)


__all__ = ["AWAY", "inflows", "yard_size"]
