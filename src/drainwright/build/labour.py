"""Labour: works from quantities and production rates, the whole chain of the soil counted."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import replace

from drainwright.build.book import Book
from drainwright.build.coating import CoatedWall
from drainwright.build.earth import SOILS
from drainwright.build.earth_chain import load_hours, move_hours, stone_hours
from drainwright.build.handling import HandShares, Kit, Rates, dig_hours
from drainwright.build.model import DigPlan, Takeoff
from drainwright.build.panels import bared_lengths
from drainwright.build.passes import in_passes
from drainwright.build.schedule import Work
from drainwright.build.stone import CONCRETE_BAG, Bed, concrete_volume
from drainwright.build.takeoff import Counted
from drainwright.build.units import CUBIC_YARD, FOOT, INCH, SQUARE_FOOT, whole
from drainwright.field.model import Site
from drainwright.quantities import write
from drainwright.system.fittings import BENDING
from drainwright.system.model import System

DRY = "wall dry and as warm as the product's sheet asks, no rain until it is dry"
WARM = "no frost and no rain until it has set"
COVERS = ("bed", "pipe", "stone", "backfill")  # what covers a wall: its last coat has cured and its board hangs before
_WALL_DONE = ("clean", "parge", *(f"coat-{number}" for number in range(1, 7)), "board")
LARGE_BASIN = 27.0 * INCH  # from here the longer rate for setting a basin holds


def works(
    site: Site,
    system: System,
    dig: DigPlan,
    beds: Sequence[Bed],
    coats: Sequence[CoatedWall],
    counted: Counted,
    takeoff: Takeoff,
    book: Book,
    shares: Mapping[str, HandShares],
    kit: Kit,
) -> tuple[Work, ...]:
    """All work, in the order of the papers, with what comes before what.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.
    dig : DigPlan
        Digging and hauling.
    beds : Sequence of Bed
        Stone.
    coats : Sequence of CoatedWall
        Opened walls.
    counted : Counted
        Fittings.
    takeoff : Takeoff
        Restored area.
    book : Book
        Rates.
    shares : mapping of str to HandShares
        What is dug by hand whatever machine there is, from ``hand_shares``.
    kit : Kit
        Machines that are used.

    Returns
    -------
    tuple of Work
        Work of no hours is left out.
    """
    rates = Rates(book, site.job.units)
    passes = bool(bared_lengths(site, system, dig.wall_panel))
    listed = [
        *_earth(site, dig, rates, shares, kit),
        *_walls(coats, rates),
        *_pipes(site, system, beds, counted, rates, kit),
        *_closing(site, dig, takeoff, rates, passes),
    ]
    listed = [work for work in listed if work.hours > 0]
    if passes:
        length = write(dig.wall_panel, "length", site.job.units)
        listed = list(in_passes(listed, _at_walls(site, system, dig, beds, rates, shares, kit), length))
    return tuple(replace(work, hours=round(work.hours, 2)) for work in listed)


def _at_walls(
    site: Site,
    system: System,
    dig: DigPlan,
    beds: Sequence[Bed],
    rates: Rates,
    shares: Mapping[str, HandShares],
    kit: Kit,
) -> dict[str, float]:
    """The part of each work that is done at the walls, by hours, volume or length."""
    beside = {run.name for run in system.runs if run.walls}
    each = {
        trench.name: dig_hours(trench, shares[trench.name], site, rates, kit).all
        for trench in dig.trenches
        if trench.kind != "wall"
    }
    hours, along = math.fsum(each.values()), math.fsum(each[name] for name in each if name in beside)
    bank = math.fsum(item.bank_volume for item in dig.trenches if item.kind == "wall" or item.name in beside)
    pipe = math.fsum(run.length for run in system.runs)
    stone = math.fsum(bed.stone - bed.under for bed in beds)
    parts = {
        "trench": (along, hours),
        "haul": (bank, dig.bank_volume),
        "backfill": (bank, dig.bank_volume),
        "pipe": (math.fsum(run.length for run in system.runs if run.name in beside), pipe),
        "bed": (_under(beds, beside), _under(beds, {run.name for run in system.runs})),
        "stone": (math.fsum(bed.stone - bed.under for bed in beds if bed.run in beside), stone),
    }
    found = {key: min(1.0, part / whole) if whole > 0 else 0.0 for key, (part, whole) in parts.items()}
    return found | dict.fromkeys(
        ("open", "clean", "parge", "board", "inspect", *(f"coat-{number}" for number in range(1, 7))), 1.0
    )


def _earth(site: Site, dig: DigPlan, rates: Rates, shares: Mapping[str, HandShares], kit: Kit) -> Iterable[Work]:
    yield Work(key="set-up", title="Set up: marks, sheets, tools, briefing", hours=rates("set-up"), quantity="1 job")
    hole = " and the basin's hole" if any(trench.kind == "basin" for trench in dig.trenches) else ""
    for key, title, kinds, after in (
        ("open", "Open the walls", ("wall",), ("set-up",)),
        ("trench", f"Dig trenches{hole}", ("run", "basin", "soakaway"), ("open",)),
    ):
        trenches = [trench for trench in dig.trenches if trench.kind in kinds]
        hours = math.fsum(dig_hours(item, shares[item.name], site, rates, kit).all for item in trenches)
        bank = math.fsum(trench.bank_volume for trench in trenches) / CUBIC_YARD
        each = rates.speed(bank / hours, "yd³") if hours > 0 else ""
        yield Work(
            key=key,
            title=title,
            hours=hours,
            quantity=f"{rates.amount(bank, 'yd³')} in the ground at {each}/h",
            hold="the competent person looks before anyone enters: each morning, after rain, after any change",
            after=(*after, "set-up"),
        )
    loose = dig.haul_volume / CUBIC_YARD
    yield Work(
        key="haul",
        title="Move, load, haul and tip the spoil",
        hours=move_hours(site, dig, rates, kit)
        + load_hours(dig, rates)
        + dig.trailer_loads * (rates("haul") + rates("tip")),
        quantity=f"{rates.amount(loose, 'yd³')} loose, {dig.trailer_loads} loads",
        after=("open", "trench") if not any(trench.kind == "wall" for trench in dig.trenches) else ("open",),
        most=3,
    )


def _walls(coats: Sequence[CoatedWall], rates: Rates) -> Iterable[Work]:
    area = math.fsum(coat.area for coat in coats) / SQUARE_FOOT
    if area <= 0:
        return
    yield Work(
        key="clean",
        title="Clean the wall and look at it",
        hours=area / rates("clean"),
        quantity=rates.at(area, "clean"),
        after=("open",),
        most=4,
    )
    parge = math.fsum(coat.area for coat in coats if coat.wall.wall.coating.parge) / SQUARE_FOOT
    yield Work(
        key="parge",
        title="Parge block, two coats with a cove at the footing",
        hours=2 * parge / rates("parge"),
        quantity=rates.at(2 * parge, "parge"),
        after=("clean",),
        most=3,
        wait=rates("parge-wait"),
        hold=WARM,
        held=("coat-1",),
    )
    number = max(coat.wall.wall.coating.coats if coat.volume > 0 else 0 for coat in coats)
    for coat in range(1, number + 1):
        faces = [item for item in coats if item.volume > 0 and item.wall.wall.coating.coats >= coat]
        coated = math.fsum(item.area for item in faces) / SQUARE_FOOT
        yield Work(
            key=f"coat-{coat}",
            title=f"Coat the wall, coat {coat}",
            hours=coated / rates("coat"),
            quantity=rates.at(coated, "coat"),
            after=("clean", "parge") if coat == 1 else (f"coat-{coat - 1}",),
            most=3,
            wait=rates("cure-wait") if coat == number else rates("recoat-wait"),
            hold=DRY,
            held=("board", *COVERS) if coat == number else (f"coat-{coat + 1}",),
        )
    board = math.fsum(coat.area for coat in coats if coat.wall.wall.coating.board) / SQUARE_FOOT
    yield Work(
        key="board",
        title="Hang the protection board",
        hours=board / rates("board"),
        quantity=rates.at(board, "board"),
        after=(f"coat-{number}" if number else "clean",),
        most=2,
    )


def _under(beds: Sequence[Bed], names: Collection[str]) -> float:
    """Stone that lies before these runs or basins come. [m³]"""
    return math.fsum(bed.under for bed in beds if bed.run in names)


def _pipes(site: Site, system: System, beds: Sequence[Bed], counted: Counted, rates: Rates, kit: Kit) -> Iterable[Work]:
    if system.stations:
        keys = ["basin-large" if station.inside_diameter >= LARGE_BASIN else "basin" for station in system.stations]
        named = f"basins {' and '.join(station.name for station in system.stations)}"
        several = len(keys) > 1
        bed = _under(beds, {station.name for station in system.stations})
        yield Work(
            key="basin",
            title="Lay the bed stone, "
            + (f"set the {named}, cut their holes" if several else "set the basin, cut its holes"),
            hours=math.fsum(rates(key) for key in keys) + stone_hours(bed, site, rates, kit),
            quantity=", ".join(rates.at(float(keys.count(key)), key) for key in dict.fromkeys(keys))
            + f", {rates.amount(bed / CUBIC_YARD, 'yd³')} of stone under {'them' if several else 'it'}",
            after=("open", "trench"),
            most=2,
        )
        held = [station for station in system.stations if station.collar > 0.0]
        if held:
            bags = math.fsum(whole(concrete_volume(station) / CONCRETE_BAG) for station in held)
            foot = "basins' feet" if len(held) > 1 else "basin's foot"
            yield Work(
                key="collar",
                title=f"Cast the concrete collar round the {foot}, and let it set before backfill",
                hours=bags * rates("concrete-collar"),
                quantity=rates.at(bags, "concrete-collar"),
                after=("basin",),
                most=2,
                wait=rates("collar-wait"),
                held=("backfill",),
                hold=WARM,
            )
    inlets = [node for node in system.nodes.values() if node.kind == "inlet"]
    yield Work(
        key="inlets",
        title="Set catch basins and grates",
        hours=len(inlets) * rates("catch-basin"),
        quantity=rates.at(float(len(inlets)), "catch-basin"),
        after=("trench",),
        most=2,
    )
    stiff = math.fsum(run.length for run in system.runs if run.pipe.family not in BENDING) / FOOT
    soft = math.fsum(run.length for run in system.runs if run.pipe.family in BENDING) / FOOT
    spouts = sum(1 for run in system.runs if system.nodes[run.upper].kind == "downspout")
    total = (
        stiff / rates("pipe.rigid")
        + soft / rates("pipe.flexible")
        + len(counted.fittings) * rates("fitting")
        + spouts * rates("downspout")
    )
    fabric = math.fsum(bed.fabric for bed in beds) / SQUARE_FOOT
    under = _under(beds, {run.name for run in system.runs})
    cover = math.fsum(bed.stone - bed.under for bed in beds)
    laid = under > 0 or fabric > 0
    clear = ("trench", "haul", "basin")  # the yard is clear before pipe and stone come
    yield Work(
        key="bed",
        title="Grade the trench, lay fabric and bed stone",
        hours=stone_hours(under, site, rates, kit) + fabric / rates("fabric"),
        quantity=f"{rates.at(under / CUBIC_YARD, 'stone')}, {rates.amount(fabric, 'ft²')} of fabric",
        after=(*clear, *_WALL_DONE),
    )
    yield Work(
        key="pipe",
        hold="every stick's fall read and written before cover stone",
        title=f"{'Lay' if laid else 'Grade the trench, lay'} pipe, make up fittings, check every stick's fall",
        hours=total,
        quantity=f"{rates.amount(stiff + soft, 'ft')}, {len(counted.fittings)} fittings, {spouts} at downspouts",
        after=(*clear, "bed", *_WALL_DONE),
        most=3,
    )
    yield Work(
        key="stone",
        title="Lay cover stone" + (", fold the fabric over it" if fabric > 0 else ""),
        hours=stone_hours(cover, site, rates, kit),
        quantity=rates.at(cover / CUBIC_YARD, "stone"),
        after=("pipe", "collar"),
    )
    if system.stations:
        pumps = math.fsum(1.0 if station.second_on is None else 2.0 for station in system.stations)
        yield Work(
            key="pump",
            title="Fit pump, check valve and relief hole; start up and test",
            hours=pumps * rates("pump"),
            quantity=rates.at(pumps, "pump"),
            after=("basin", "pipe"),
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
    yield Work(
        key="outlet",
        title="Make the outlet",
        hours=rates("outlet"),
        quantity="1",
        after=("pipe",),
        most=2,
    )


def _closing(site: Site, dig: DigPlan, takeoff: Takeoff, rates: Rates, passes: bool) -> Iterable[Work]:
    soil = SOILS[site.job.ground.texture.value].digs
    back = dig.backfill_volume / CUBIC_YARD
    if site.job.rules.open_trench_inspection.value:
        times = 2.0 if passes else 1.0
        yield Work(
            key="inspect",
            title="Inspection of the open trench",
            hours=times * rates("inspect"),
            quantity=rates.at(times, "inspect"),
            after=("stone", "pipe", "collar"),
            most=1,
            wait=rates("inspection-wait"),
            hold="the place's inspector sees drains and stone before anything is covered",
        )
    yield Work(
        key="backfill",
        title="Backfill native soil in layers, slope it off the house",
        hours=back / rates(f"backfill.{soil}"),
        quantity=rates.at(back, f"backfill.{soil}", " loose"),
        after=(
            "inspect",
            "stone",
            "inlets",
            "pump",
            "battery",
            "outlet",
            "collar",
            *_WALL_DONE,
        ),
    )
    area = next((line.net for line in takeoff.lines if line.key == "restore.ft2"), 0.0)
    yield Work(
        key="restore",
        title="Rake and seed",
        hours=area / rates("restore"),
        quantity=rates.at(area, "restore"),
        after=("backfill",),
    )
    yield Work(
        key="finish",
        title="Water test, final levels, photographs, clean up, hand over",
        hours=rates("finish"),
        quantity="1 job",
        after=("restore", "haul", "backfill"),
    )


__all__ = ["works"]
