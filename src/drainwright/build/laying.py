"""Works of laying: basins and inlets, then bed, pipe and stone of each part of the job, pumps and the outlet."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from drainwright.build.earth_chain import stone_hours
from drainwright.build.handling import Kit, Rates
from drainwright.build.parts import WALL_DONE, YARD, Part
from drainwright.build.schedule import Work
from drainwright.build.stone import CONCRETE_BAG, Bed, concrete_volume
from drainwright.build.takeoff import Counted
from drainwright.build.takeoff.bodies import rims, small
from drainwright.build.units import CUBIC_YARD, FOOT, INCH, SQUARE_FOOT, whole
from drainwright.build.visits import LIVE, circuits
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.quantities import write
from drainwright.system.fittings import BENDING
from drainwright.system.model import System

WARM = "no frost and no rain until it has set"
FLOATS = (
    "ground water stands round it: water in it up to its lowest hole from the hour it stands until soil is tamped over "
    "it to the ground, holes open; empty it floats, collar or not"
)
ON_FRESH = "laid by hand on the fresh concrete, nothing tamped over it until it has set"
CLEAR = ("trench", f"trench{YARD}", "haul", "basin")  # the yard is clear before pipe and stone come
AT_ONCE = 1  # rank of what holds a basin down: in an open hole that fills with water it floats
#: A pressure line is tried while it lies open, between two plugs: after the outlet is made its far end is another's,
#: and the pump runs only when the basin is held down by its backfill. The hours are in the rate of the pump.
TIGHT = "every joint dry for 15 min, before the outlet is made and before soil comes on it"
#: Water in the hose over the line's highest joint: plumbing codes try drains so, from memory. [m]
HOSE_HEAD = 10.0 * FOOT
LARGE_BASIN = 27.0 * INCH  # from here the longer rate for setting a basin holds
IN_A_HOLE = 2  # a basin is let down by two, and nobody is in its hole alone; common practice, no source


def laying(
    site: Site,
    system: System,
    beds: Sequence[Bed],
    counted: Counted,
    split: Sequence[Part],
    hauled: Sequence[str],
    rates: Rates,
    kit: Kit,
) -> Iterable[Work]:
    """All works between the digging and the backfill, but for the walls' own.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.
    beds : Sequence of Bed
        Stone.
    counted : Counted
        Fittings.
    split : Sequence of Part
        From ``parts``.
    hauled : Sequence of str
        What is dug before the haul begins, from ``hauled_after``.
    rates : Rates
        The book's rates.
    kit : Kit
        Machines that are used.

    Yields
    ------
    Work
        In the order of the papers; works of no hours among them.
    """
    if system.stations:
        yield from _basins(site, system, beds, rates, kit)
    inlets = [node.name for node in system.nodes.values() if node.kind == "inlet"]
    boxes = [end.name for end in system.ends if end.buried]
    inlets += boxes
    under = math.fsum(bed.under for bed in beds if bed.run in inlets)
    yield Work(
        key="inlets",
        title="Set catch basins and grates" + (", and the outlet's box" if boxes else ""),
        hours=len(inlets) * rates("catch-basin") + stone_hours(under, site, rates, kit),
        quantity=rates.at(float(len(inlets)), "catch-basin")
        + (f", {rates.amount(under / CUBIC_YARD, 'yd³')} of stone under them" if under > 0 else ""),
        after=("trench", f"trench{YARD}"),
        most=2,
        hold="; ".join(_set_by(*one, units=site.job.units) for one in rims(site, system)),
    )
    for part in split:
        yield from _laid(site, system, beds, counted, part, hauled, rates, kit)
    yield from _running(site, system, split, rates)


def _set_by(name: str, rim: float, height: float, cut: float, *, units: Units) -> str:
    level = write(rim, "length", units, "ft" if units == "US" else "m", 2 if units == "US" else 3)
    tall = write(height, "length", units)
    off = f", {small(cut, units)} cut off its top riser" if cut > 0 else ""
    return f"{name}: rim by rod {level} before its pit is filled, {tall} over its sump's floor{off}"


def hose_head(system: System) -> float:
    """How high the water stands in the hose that tries a pressure line, over the line's highest joint.

    Parameters
    ----------
    system : System
        With its stations.

    Returns
    -------
    float
        No less than the head at which any of the pumps works. [m]
    """
    return max([HOSE_HEAD, *(station.operating_head for station in system.stations)])


def _basins(site: Site, system: System, beds: Sequence[Bed], rates: Rates, kit: Kit) -> Iterable[Work]:
    keys = ["basin-large" if station.inside_diameter >= LARGE_BASIN else "basin" for station in system.stations]
    names = [station.name for station in system.stations]
    several = len(keys) > 1
    bed = math.fsum(bed.under for bed in beds if bed.run in names)
    yield Work(
        key="basin",
        title=f"Drill the basins {' and '.join(names)} beside their holes, lay the bed stone, set them"
        if several
        else "Drill the basin beside its hole, lay the bed stone, set it",
        hours=math.fsum(rates(key) for key in keys) + stone_hours(bed, site, rates, kit),
        quantity=", ".join(rates.at(float(keys.count(key)), key) for key in dict.fromkeys(keys))
        + f", {rates.amount(bed / CUBIC_YARD, 'yd³')} of stone under {'them' if several else 'it'}",
        after=("open", "trench"),
        most=2,
        least=IN_A_HOLE,
        hold=FLOATS if any(math.isfinite(station.uplift_safety) for station in system.stations) else "",
    )
    held = [station for station in system.stations if station.collar > 0.0]
    bags = math.fsum(whole(concrete_volume(station) / CONCRETE_BAG) for station in held)
    foot = "basins' feet" if len(held) > 1 else "basin's foot"
    yield Work(
        key="collar",
        title=f"Cast the concrete collar round the {foot}, and let it set before backfill",
        hours=bags * rates("concrete-collar"),
        quantity=rates.at(bags, "concrete-collar"),
        after=("basin",),
        most=2,
        least=IN_A_HOLE,
        wait=rates("collar-wait"),
        held=("backfill", f"backfill{YARD}"),
        hold=WARM,
        rank=AT_ONCE,
    )
    round_it = math.fsum(bed.stone - bed.under for bed in beds if bed.run in names)
    inlets = "basins, up to their lowest inlets" if several else "basin, up to its lowest inlet"
    yield Work(
        key="round",
        title=f"Lay stone round the {inlets}",
        hours=stone_hours(round_it, site, rates, kit),
        quantity=rates.at(round_it / CUBIC_YARD, "stone"),
        after=("basin", "collar"),
        most=2,
        least=IN_A_HOLE,
        rank=AT_ONCE,
        hold=ON_FRESH if held else "",
    )


def _laid(
    site: Site,
    system: System,
    beds: Sequence[Bed],
    counted: Counted,
    part: Part,
    hauled: Sequence[str],
    rates: Rates,
    kit: Kit,
) -> Iterable[Work]:
    runs = [run for run in system.runs if part.has(run.name)]
    mine = [bed for bed in beds if part.has(bed.run)]
    fittings = sum(1 for fitting in counted.fittings if part.has(fitting.where))
    stiff = math.fsum(run.length for run in runs if run.pipe.family not in BENDING) / FOOT
    soft = math.fsum(run.length for run in runs if run.pipe.family in BENDING) / FOOT
    spouts = sum(1 for run in runs if system.nodes[run.upper].kind == "downspout")
    fabric = math.fsum(bed.fabric for bed in mine) / SQUARE_FOOT
    soaks = [soak.name for soak in system.soaks if part.has(soak.name)]
    names = {*(run.name for run in runs), *soaks}
    under = math.fsum(bed.under for bed in mine if bed.run in names)
    basins = {station.name for station in system.stations}
    cover = math.fsum(bed.stone - bed.under for bed in mine if bed.run not in basins)
    bedded = under > 0 or fabric > 0
    away = f"trench{YARD}"
    clear = [key for key in CLEAR if part.in_yard or (key != away and (key != "haul" or away not in hauled))]
    before = (*clear, *WALL_DONE) if part.at_walls else tuple(clear)
    amounts = (
        (under, rates.at(under / CUBIC_YARD, "stone")),
        (fabric, f"{rates.amount(fabric, 'ft²')} of fabric"),
    )
    deep = [bed.run for bed in mine if bed.run in soaks and bed.under > 0]
    to_pipe = f", in {' and '.join(deep)} up to the pipe's invert" if deep else ""
    bed, pipe = f"bed{part.last}", f"pipe{part.last}"
    pumped = " and ".join(run.name for run in runs if run.pressure)
    high = write(hose_head(system), "length", site.job.units)
    left = "".join(
        f"; {run.name} ends in {run.lower}: the open end there plugged and left bare until both are laid"
        for run in system.runs
        if system.nodes[run.lower].kind == "junction" and part.has(run.name) != _goes_on_in(system, part, run.lower)
    )
    tried = f"; {pumped} shut by a plug at each end, water in the hose {high} over its highest joint: {TIGHT}"
    yield Work(
        key=bed,
        title=f"Grade the trench, lay fabric and bed stone{to_pipe}{part.words}",
        hours=stone_hours(under, site, rates, kit) + fabric / rates("fabric"),
        quantity=", ".join(text for amount, text in amounts if amount > 0),
        after=before,
    )
    yield Work(
        key=pipe,
        hold=f"every stick's fall read and written before cover stone{tried if pumped else ''}{left}",
        title=f"{'Lay' if bedded else 'Grade the trench, lay'} pipe, make up fittings, check every stick's fall"
        + part.words,
        hours=stiff / rates("pipe.rigid")
        + soft / rates("pipe.flexible")
        + fittings * rates("fitting")
        + spouts * rates("downspout"),
        quantity=f"{rates.amount(stiff + soft, 'ft')}, {fittings} fittings"
        + (f", {spouts} at downspouts" if spouts else ""),
        after=(*before, bed),
        most=3,
    )
    yield Work(
        key=f"stone{part.last}",
        title=f"Lay cover stone{', fold the fabric over it' if fabric > 0 else ''}{part.words}",
        hours=stone_hours(cover, site, rates, kit),
        quantity=rates.at(cover / CUBIC_YARD, "stone"),
        after=(*before, pipe),
    )


def _goes_on_in(system: System, part: Part, junction: str) -> bool:
    """Whether the run that takes the water on from a junction is this part's."""
    return any(part.has(run.name) for run in system.runs if run.upper == junction)


def _running(site: Site, system: System, split: Sequence[Part], rates: Rates) -> Iterable[Work]:
    """Pumps, batteries and the outlet, when the pipe lies that takes their water away."""

    def laid(names: Sequence[str]) -> tuple[str, ...]:
        return tuple(f"pipe{part.last}" for part in split if any(part.has(name) for name in names))

    pumps = circuits(system)
    yield Work(
        key="pump",
        title="Fit pump, check valve and relief hole; start up and test",
        hours=pumps * rates("pump"),
        quantity=rates.at(pumps, "pump"),
        hold=LIVE,
        after=(
            "basin",
            *laid([station.discharge_run for station in system.stations]),
            *(
                f"backfill{part.last}" for part in split if part.in_yard
            ),  # soil holds the basin down before it is emptied
        ),
        most=2,
    )
    basins = (site.job.works.basin_named(station.name) for station in system.stations)
    batteries = math.fsum(1.0 for basin in basins if basin is not None and basin.battery is not None)
    yield Work(
        key="battery",
        title="Set, wire and try the backup battery",
        hours=batteries * rates("battery"),
        quantity=rates.at(batteries, "battery"),
        after=("pump",),
        most=2,
    )
    soaked = {soak.name for soak in system.soaks}
    made = {run.lower for run in system.runs if system.nodes[run.lower].kind == "discharge"} - soaked
    ends = max(1, len(made))  # a soakaway alone has its end made as one outlet
    yield Work(
        key="outlet",
        title="Make the outlet" if ends == 1 else "Make the outlets",
        hours=ends * rates("outlet"),
        quantity="1" if ends == 1 else rates.at(ends, "outlet"),
        after=laid([run.name for run in system.runs if system.nodes[run.lower].kind == "discharge"]),
        most=2,
    )


__all__ = ["TIGHT", "WARM", "hose_head", "laying"]
