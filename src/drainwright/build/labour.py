"""Labour: works from quantities and production rates, the whole chain of the soil counted."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from drainwright.build.book import Book
from drainwright.build.coating import CoatedWall
from drainwright.build.earth import SOILS
from drainwright.build.earth_chain import aside_hours, brought_hours, load_hours, move_hours
from drainwright.build.handling import HandShares, Kit, Rates, dig_hours
from drainwright.build.held import barred_digs, held_apart, held_shares
from drainwright.build.laying import WARM, laying
from drainwright.build.model import DigPlan, Takeoff
from drainwright.build.panels import BaredLength, bared_lengths
from drainwright.build.parts import WALL_DONE, YARD, Part, hauled_after, parts
from drainwright.build.passes import EVEN, HELD, even_share, in_passes
from drainwright.build.paving_work import BACK, OUT, paving_works
from drainwright.build.schedule import Work
from drainwright.build.shaping import shaping_work
from drainwright.build.spoil import wheeled_aside
from drainwright.build.stone import Bed
from drainwright.build.takeoff import Counted
from drainwright.build.units import CUBIC_YARD, SQUARE_FOOT
from drainwright.build.visits import LOOK, LOOKS
from drainwright.build.watching import watched_hours, with_watch
from drainwright.field.model import Site
from drainwright.quantities import write
from drainwright.system.model import System
from drainwright.worksheet import quiet

DRY = "wall dry and as warm as the product's sheet asks, no rain until it is dry, cover sheets at hand"
STRIPPED = "topsoil stripped first and laid on a sheet of its own; "
LOOKED = "the competent person looks before anyone enters: each morning, after rain, after any change"
COVERS = ("bed", "pipe", "stone", "backfill")  # at a wall, what waits for its last coat


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
    lengths = bared_lengths(site, system, dig.wall_panel)
    passes = bool(lengths)
    split = parts(system, dig, beds, coats, passes)
    paving = {work.key: work for work in paving_works(site, dig, rates, kit)}
    listed = [
        *_earth(site, dig, rates, shares, kit, passes, paving.get(OUT)),
        *_walls(coats, rates),
        *laying(site, system, beds, counted, split, hauled_after(dig, in_passes=passes), rates, kit),
        *_closing(site, system, dig, takeoff, split, rates, kit, passes=passes, again=paving.get(BACK)),
    ]
    listed = _looked_at([work for work in listed if work.hours > 0], LOOKS if passes else LOOK)
    listed = _over_filled(listed, dig, split)
    if barred_digs(dig):
        with quiet():
            at_walls = _at_walls(site, system, dig, split, rates, shares, kit, lengths)
            hours = {item.name: dig_hours(item, shares[item.name], site, rates, kit).all for item in dig.trenches}
        laid = [key for key, part in at_walls.items() if part == 1.0 and key not in ("open", "inspect")]
        listed = list(held_apart(listed, held_shares(dig, hours, laid), dig))
    if passes:
        length = write(dig.wall_panel, "length", site.job.units)
        part = _at_walls(site, system, dig, split, rates, shares, kit, lengths)
        both = part | {f"{key}{HELD}": share for key, share in part.items()}
        soil = [(item.bank_volume, item.name) for item in dig.trenches if item.work == "trench"]
        bank = math.fsum(volume for volume, _ in soil)
        beside = along_lengths(system, dig, lengths)
        along = math.fsum(volume * beside.get(name, 0.0) for volume, name in soil)
        along_walls = {"trench": along / bank} if bank > 0 else {}
        twice = in_passes(listed, both, length, along_walls, even_part=even_share(lengths))
        even = f"trench{EVEN}"  # the basin's hole is dug in the first pass
        listed = [replace(one, title=one.title.replace(_hole(dig), "")) if one.key == even else one for one in twice]
    with quiet():
        watched = watched_hours(dig, site, system, rates)
    rounded = [replace(work, hours=round(work.hours, 2), quantity=_with_loads(work)) for work in listed]
    done = [work for work in rounded if work.hours > 0]  # nobody is sent for less than half a minute
    return with_watch(done, dig, watched, rates)


def _looked_at(listed: Sequence[Work], look: str) -> list[Work]:
    """The works with the look at a wall's coats before the first of them that covers one."""
    keys = {work.key for work in listed}
    if not any(key == "parge" or key.startswith("coat-") for key in keys):
        return list(listed)
    covers = next((key for key in ("board", *COVERS) if key in keys), "")
    return [
        replace(work, hold="; ".join(part for part in (look, work.hold) if part)) if work.key == covers else work
        for work in listed
    ]


def _over_filled(listed: Sequence[Work], dig: DigPlan, split: Sequence[Part]) -> list[Work]:
    """The laying of a part with its hold where a run of it lies over the dig of another, which is filled first."""
    over = [*dig.laid_in, *((item.name, wall) for item in dig.trenches for wall in item.over)]
    holds = {
        f"pipe{part.last}": [
            f"{name} only when the dig of {other} is filled up to it"
            for name, other in over
            if not part.alone and part.has(name) and (part.in_yard or not part.has(other))
        ]
        for part in split
    }
    return [replace(work, hold="; ".join((work.hold, *holds.get(work.key, ())))) for work in listed]


def _with_loads(work: Work) -> str:
    return f"{work.quantity}, {work.loads} load{'' if work.loads == 1 else 's'}" if work.loads else work.quantity


def _hole(dig: DigPlan) -> str:
    """Basins' holes stand open for the shortest time when they are dug last."""
    holes = sum(trench.kind == "basin" for trench in dig.trenches)
    return "" if holes == 0 else ", the basin's hole last" if holes == 1 else ", the basins' holes last"


def _holes_alone(dig: DigPlan) -> str:
    """The digging of basins' holes, where no drain has a trench of its own."""
    return (
        "Dig the basin's hole"
        if sum(trench.kind == "basin" for trench in dig.trenches) == 1
        else "Dig the basins' holes"
    )


def along_lengths(system: System, dig: DigPlan, lengths: Sequence[BaredLength]) -> dict[str, float]:
    """Of the trench of each run along walls, the part that is dug in their lengths, as it splits into passes. [-]

    What lies beyond opened walls is dug, laid and filled with the first lengths; a wall's own dig has the drain there.
    """
    opened = {item.name for item in dig.trenches if item.kind == "wall"}
    even = even_share(lengths) if lengths else 0.5
    long = {item.name: item.length for item in dig.trenches}
    found = {}
    for run in system.runs:
        walls = set(run.walls) - opened
        if not run.walls or run.name not in long:
            continue
        mine = [one for one in lengths if one.wall in walls]
        second = math.fsum(one.end - one.start for one in mine if not one.odd) / long[run.name]
        found[run.name] = min(1.0, second / even) if lengths and even > 0 else float(bool(walls))
    return found


def _at_walls(
    site: Site,
    system: System,
    dig: DigPlan,
    split: Sequence[Part],
    rates: Rates,
    shares: Mapping[str, HandShares],
    kit: Kit,
    lengths: Sequence[BaredLength],
) -> dict[str, float]:
    """The part of each work that is done at the walls, by hours or volume. [-]"""
    beside = along_lengths(system, dig, lengths)
    each = {
        trench.name: dig_hours(trench, shares[trench.name], site, rates, kit).all
        for trench in dig.trenches
        if trench.work == "trench"
    }
    hours, along = math.fsum(each.values()), math.fsum(each[name] * beside.get(name, 0.0) for name in each)
    bank = math.fsum(item.bank_volume * beside.get(item.name, item.kind == "wall") for item in dig.trenches)
    done = {"trench": (along, hours), "haul": (bank, dig.bank_volume)}
    found = {key: min(1.0, part / whole) if whole > 0 else 0.0 for key, (part, whole) in done.items()}
    laid = ("bed", "pipe", "stone", "backfill") if split[0].at_walls else ()
    return found | dict.fromkeys(("open", *WALL_DONE, *laid, "inspect"), 1.0)


def _earth(
    site: Site, dig: DigPlan, rates: Rates, shares: Mapping[str, HandShares], kit: Kit, passes: bool, out: Work | None
) -> Iterable[Work]:
    led = f"{' and '.join(dig.spouts)} led past the digs by a temporary leader before any of them is opened"
    yield Work(
        key="set-up",
        title="Set up: marks, sheets, tools, briefing",
        hours=rates("set-up"),
        quantity="1 job",
        hold=led if dig.spouts else "",
    )
    if out is not None:
        yield out
    under = {item.dig for item in dig.paved}
    apart = any(trench.work == f"trench{YARD}" for trench in dig.trenches)
    beside = any(trench.work == "trench" and trench.kind != "basin" for trench in dig.trenches)
    opened = any(trench.kind == "wall" for trench in dig.trenches)  # the drains' beds there are dug with them
    ends = "the drains beyond the opened walls" if opened else "the walls' drains"
    drains = "" if not beside else ends if apart else "trenches"
    for key, title, after in (
        ("open", "Open the walls", ("set-up",)),
        ("trench", f"Dig {drains}{_hole(dig)}" if drains else _holes_alone(dig), ("open",)),
        (f"trench{YARD}", "Dig the yard's trenches", ("open",)),
    ):
        trenches = [trench for trench in dig.trenches if trench.work == key]
        hours = math.fsum(dig_hours(item, shares[item.name], site, rates, kit).all for item in trenches)
        bank = math.fsum(trench.bank_volume for trench in trenches) / CUBIC_YARD
        each = rates.speed(bank / hours, "yd³") if hours > 0 else ""
        aside, wheeled = wheeled_aside(dig, trenches) / CUBIC_YARD, aside_hours(dig, rates, kit, trenches)
        heap = f"; {rates.amount(aside, 'yd³')} wheeled to its heap as it is dug" if aside > 0 else ""
        yield Work(
            key=key,
            title=title,
            hours=hours + wheeled,
            quantity=f"{rates.amount(bank, 'yd³')} in the ground at {each}/h{heap}",
            hold=f"{STRIPPED if dig.filling is not None and dig.filling.topsoil > 0 else ''}{LOOKED}",
            after=(*after, "set-up", *((OUT,) if any(item.name in under for item in trenches) else ())),
        )
    loose = dig.haul_volume / CUBIC_YARD
    yield Work(
        key="haul",
        title="Move, load, haul and tip the spoil",
        hours=move_hours(site, dig, rates, kit)
        + load_hours(dig, rates)
        + dig.trailer_loads * (rates("haul") + rates("tip")),
        quantity=f"{rates.amount(loose, 'yd³')} loose",
        loads=dig.trailer_loads,
        after=hauled_after(dig, in_passes=passes),
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
        title="Parge the wall, two coats with a cove at the footing",
        hours=2 * parge / rates("parge"),
        quantity=rates.at(2 * parge, "parge"),
        after=("clean",),
        most=3,
        wait=rates("parge-wait"),
        hold=f"{WARM}, cover sheets at hand",
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


def soil_brought(dig: DigPlan, part: Part) -> float:
    """Bought soil that a part's digs take, loose: the cap at the walls, the rest by the soil put back. [m³]"""
    if dig.filling is None:
        return 0.0
    cap = dig.filling.cap_loose if part.at_walls or part.alone else 0.0
    return cap + part.earth * dig.filling.made_up_loose


def _closing(
    site: Site,
    system: System,
    dig: DigPlan,
    takeoff: Takeoff,
    split: Sequence[Part],
    rates: Rates,
    kit: Kit,
    *,
    passes: bool,
    again: Work | None,
) -> Iterable[Work]:
    soil = SOILS[site.job.ground.texture.value].digs
    back = dig.backfill_volume / CUBIC_YARD
    if site.job.rules.open_trench_inspection.value:
        times = 2.0 if passes else 1.0
        yield Work(
            key="inspect",
            title="Inspection of the open trench",
            hours=times * rates("inspect"),
            quantity=rates.at(times, "inspect"),
            after=(*(f"{key}{part.last}" for part in split for key in ("stone", "pipe")), "collar", "round"),
            most=1,
            wait=rates("inspection-wait"),
            hold="the place's inspector sees drains and stone before anything is covered",
        )
    yard = ("basin", "inlets", "outlet", "collar", "round")
    for part in split:
        own = [item for item in dig.trenches if part.alone or (item.work == f"trench{YARD}") == part.in_yard]
        aside, wheeled = wheeled_aside(dig, own) / CUBIC_YARD, aside_hours(dig, rates, kit, own)
        heap = f"; {rates.amount(aside, 'yd³')} wheeled back from its heap" if aside > 0 else ""
        bought = soil_brought(dig, part)
        cap = f"; {rates.amount(bought / CUBIC_YARD, 'yd³')} of bought soil wheeled in" if bought > 0 else ""
        yield Work(
            key=f"backfill{part.last}",
            title=f"Backfill native soil in layers, slope it off the house{part.words}",
            hours=part.earth * back / rates(f"backfill.{soil}") + wheeled + brought_hours(bought, site, rates, kit),
            quantity=rates.at(part.earth * back, f"backfill.{soil}", " loose") + heap + cap,
            after=(
                *(f"{key}{part.last}" for key in ("bed", "pipe", "stone")),
                "inspect",
                *(yard if part.in_yard else ()),
                *(WALL_DONE if part.at_walls else ()),
            ),
        )
    yield from shaping_work(site, dig, rates, kit)
    if again is not None:
        yield again
    area = next((line.net for line in takeoff.lines if line.key == "restore.ft2"), 0.0)
    yield Work(
        key="restore",
        title="Rake and seed",
        hours=area / rates("restore"),
        quantity=rates.at(area, "restore"),
        after=("backfill", f"backfill{YARD}", "shape"),
    )
    yield Work(
        key="finish",
        title="Water test, final levels, photographs, clean up, hand over",
        hours=rates("finish"),
        quantity="1 job",
        after=("restore", BACK, "lay-finish", "haul", "pump", "battery", "backfill", f"backfill{YARD}"),
    )


__all__ = ["works"]
