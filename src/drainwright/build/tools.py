"""Tools for the job, counted from the design, and what of them is hired or bought because the firm has none."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from types import MappingProxyType

from drainwright.build.backfill import backfills
from drainwright.build.coating import CoatedWall
from drainwright.build.model import DigPlan, Hole, Source, TakeoffLine, Tool
from drainwright.build.paving_work import HIRED
from drainwright.build.protection import LADDER_REACH, shields_name
from drainwright.build.reach import set_by_hand
from drainwright.build.units import INCH
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.system.fittings import Fitting
from drainwright.system.model import System
from drainwright.system.trade import nominal_words, size_words

#: Tools that nobody hires, with their keys in the price book.
BOUGHT: Mapping[str, str] = MappingProxyType(
    {"hole saw": "hole-saw.each", "thread tape": "thread-tape.each", "wet-film gauge": "wet-film-gauge.each"}
)
CLEANING, PARGING = 4, 3  # people at once, as the works have it
THREADED = ("male-adapter",)  # into the pump's outlet; a cleanout's plug is turned in dry, to come out again


def tools(
    site: Site,
    system: System,
    dig: DigPlan,
    coats: Sequence[CoatedWall],
    holes: Sequence[Hole],
    fittings: Sequence[Fitting],
) -> tuple[Tool, ...]:
    """The tools to bring.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design; its equipment says what the firm lacks.
    dig : DigPlan
        Trenches that ask for ladders and shields.
    coats : Sequence of CoatedWall
        Opened walls.
    holes : Sequence of Hole
        Each size wants its saw.
    fittings : Sequence of Fitting
        Threads are made tight with tape.

    Returns
    -------
    tuple of Tool
        Common hand tools are taken to be the firm's own, unless the job says that it lacks them.
    """
    return tuple(_tools(site, system, dig, coats, holes, fittings))


def _tools(
    site: Site,
    system: System,
    dig: DigPlan,
    coats: Sequence[CoatedWall],
    holes: Sequence[Hole],
    fittings: Sequence[Fitting],
) -> Iterator[Tool]:
    equipment, crew, units = site.job.equipment, site.job.crew, site.job.units

    def tool(key: str, name: str, count: int, why: str, size: float | None = None) -> Tool:
        source: Source = "own"
        if key in equipment.lacks:
            source = "buy" if key in BOUGHT else "hire"
        basis = Basis.MEASURED if size is not None else Basis.ASSUMED
        return Tool(key=key, name=name, count=count, source=source, why=why, size=size, basis=basis)

    yield from _asked_for(site, system, dig, coats, tool)
    yield tool("laser", "laser or level with rod", 1, "grades of the runs")
    if system.runs:
        yield tool("pipe saw", "pipe saw, with files for the burr", 1, "sticks cut by the cutting list")
    if any(not item.lifted for item in dig.paved):
        for key, name in HIRED.items():
            owned = key in equipment.owned
            yield Tool(key=key, name=name, count=1, source="own" if owned else "hire", why="paving over the digs")
    sizes = Counter(hole.diameter for hole in holes)
    for size in sorted(sizes):
        many = sizes[size]
        yield tool("hole saw", f"hole saw {_sold(size, 8, units)}", 1, f"{many} hole{'' if many == 1 else 's'}", size)
    bits = {
        basin.relief_hole
        for station in system.stations
        if (basin := site.job.works.basin_named(station.name)) is not None and basin.relief_hole is not None
    }
    for bit in sorted(bits):
        yield tool("drill bit", f"drill bit {_sold(bit, 16, units)}", 1, "relief hole in the pump's riser", bit)
    if holes or bits:
        yield tool("drill", "drill, on a ground-fault protected cord or battery", 1, "holes")
    if any(fitting.kind in THREADED for fitting in fittings):
        yield tool("thread tape", "thread tape, a roll", 1, "adapter in the pump's outlet")
    tamped = [*_open_fill(site, system, dig), *(["the base under paving"] if dig.paved else [])]
    if tamped:
        yield tool("plate compactor", "plate compactor", 1, "; ".join(tamped))
    if dig.trenches:
        yield tool("tamper", "hand tamper", max(1, crew.size // 2), "bed, stone and backfill in layers")
        yield tool("barrow", "barrow", max(1, crew.size // 2), f"{dig.barrow_rounds} rounds")
        yield tool("spade", "spade and pick, a pair for each person", crew.size, "digging by hand")
    deep = [trench for trench in dig.trenches if trench.ladder]
    if deep:
        number = sum(trench.ladders for trench in deep)  # were people in all of them at once
        reach = write(LADDER_REACH, "length", units, *(("ft", 0) if units == "US" else ("m", 1)))
        where = ", ".join(trench.name for trench in deep)
        yield tool("ladder", "ladder, 3 ft over the edge" if units == "US" else "ladder, 0.9 m over the edge", number,
                   f"{where}: one within {reach} of everybody")  # fmt: skip
    shielded = [trench.name for trench in dig.trenches if trench.protection in ("slope or shield", "engineer")]
    if shielded and "shields" in equipment.owned:
        name = shields_name(by_hand=set_by_hand(site.job, shielded))
        yield Tool(key="shields", name=name, count=1, source="own", why=", ".join(shielded))
    if any(coat.volume > 0 or coat.wall.wall.coating.parge for coat in coats):
        yield tool("mixer", "paddle mixer with two tubs", 1, "coating, mortar")
    if any(coat.volume > 0 for coat in coats):
        yield tool("wet-film gauge", "wet-film gauge", 1, "each coat measured while it is wet")
    if any(trench.water > 0.0 for trench in dig.trenches):
        yield tool("trench pump", "trench pump with hose and filter bag", 1, "digging below the water table")


def _asked_for(
    site: Site, system: System, dig: DigPlan, coats: Sequence[CoatedWall], tool: Callable[[str, str, int, str], Tool]
) -> Iterator[Tool]:
    """What the packet's own sheets ask the crew to use: risk sheet, hold points, checkpoints, the basin's start-up."""
    size, units = site.job.crew.size, site.job.units
    if dig.trenches:
        yield tool("first-aid kit", "first-aid kit", 1, "risk sheet")
        yield tool("fire extinguisher", "fire extinguisher", 1, "risk sheet")
        yield tool("night fence", "fence for open edges, covers for holes", 1, "evenings, while a dig stands open")
    if dig.spouts:
        yield tool("temporary leader", "temporary leader of flexible pipe", len(dig.spouts), ", ".join(dig.spouts))
    coated = any(coat.volume > 0 or coat.wall.wall.coating.parge for coat in coats)
    wet = any(trench.water > 0.0 for trench in dig.trenches)
    if coated:
        yield tool("cover sheet", "cover sheet", len(coats), "fresh parge and coat, when rain comes")
    if electric := int(coated) + int(wet):
        yield tool(
            "ground-fault protector", "ground-fault protected cord", electric, "mixer, trench pump: tested daily"
        )
    pressed = [run for run in system.runs if run.pressure]
    for nominal in dict.fromkeys(run.pipe.nominal for run in pressed):
        count = 2 * sum(run.pipe.nominal == nominal for run in pressed)
        yield tool("test plug", f"test plug {nominal_words(nominal, units)}", count, "pressure line: one at each end")
    if system.runs:
        yield tool("hose", "hose", 1, "hose test; water over the pressure line's joints" if pressed else "hose test")
    if system.stations or any(trench.kind == "inlet" for trench in dig.trenches):
        yield tool("spirit level", "spirit level", 1, "basins and grates set level")
    if system.stations:
        yield tool("stop watch", "stop watch", 1, "start-up: the pump's run by the clock")
    if site.job.ground.roots != "none":
        yield tool("root saw", "root saw", 1, "roots cut clean")
    sawn = any(not item.lifted for item in dig.paved)
    if sawn or any(coat.area > 0 for coat in coats):
        dusty = " and ".join((["sawing paving"] if sawn else []) + (["cleaning the wall"] if coated or coats else []))
        yield tool("dust mask", "dust mask and eye protection, a set a person", min(CLEANING, size), dusty)
    if any(coat.wall.wall.coating.parge for coat in coats):
        yield tool("trowel", "trowel and hawk, a pair a person", min(PARGING, size), "parging")


def _open_fill(site: Site, system: System, dig: DigPlan) -> Iterator[str]:
    if any(item.lifts and not item.by_hand for item in backfills(site, system, dig.trenches)):
        yield "lifts of native soil, away from the walls"


def _sold(size: float, parts: int, units: Units) -> str:
    """A size by the inch fraction that saws and bits are sold by."""
    whole, rest = divmod(round(size / INCH * parts), parts)
    words = "-".join(part for part in (str(whole) if whole else "", str(Fraction(rest, parts)) if rest else "") if part)
    return size_words(f"{words} in", units)


def tool_lines(found: Sequence[Tool], days: float) -> tuple[TakeoffLine, ...]:
    """What the firm lacks: tools by the day as long as the work takes; hole saws and small things bought.

    Parameters
    ----------
    found : Sequence of Tool
        From ``tools``.
    days : float
        That the hire of a thing for the whole work is charged. [day]
    """
    lines = []
    for tool in found:
        if tool.source == "own" or tool.key in ("trench pump", *HIRED):  # these by the days on which they run
            continue
        bought = tool.source == "buy"
        amount = float(tool.count if bought else tool.count * days)
        lines.append(
            TakeoffLine(
                key=BOUGHT[tool.key] if bought else f"hire.{tool.key.replace(' ', '-')}",
                category="sundries" if bought else "hire",
                description=tool.name,
                net=amount,
                quantity=amount,
                unit="each" if bought else "day",
                where="",
                waste=0.0,
                basis=Basis.ASSUMED,
                note=tool.why,
                source=tool.source,
            )
        )
    return tuple(lines)


__all__ = ["BOUGHT", "tool_lines", "tools"]
