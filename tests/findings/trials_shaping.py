"""Cases for the rules of shaped ground: strips laid on the mended example, on its own surface."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from drainwright.field.model import SiteTree, SiteUtility
from drainwright.field.shaping import shaped_strips
from drainwright.field.terrain_model import WayOn
from drainwright.findings.rules import Case
from drainwright.job.site import KeepClear, Tree, Utility
from drainwright.job.values import Level
from drainwright.job.works import Shaping

from .change import Change, Trial, every, fact, put

FOOT = 0.3048
NORTH = "works.shaping.north"


def strips(wall: str = "north", clear: float | None = None, kind: str = "wood siding", **values: Any) -> Change:
    """One strip; something that must stay clear of earth so many feet over the lowest ground along its wall."""

    def change(case: Case) -> Case:
        site = case.site
        number = next(n for n, item in enumerate(site.walls) if item.name == wall)
        kept: tuple[KeepClear, ...] = ()
        if clear is not None:
            level = Level.model_construct(offset=site.walls[number].ground_lowest + clear * FOOT, reference=None)
            kept = (KeepClear.model_construct(kind=kind, level=fact(level), from_=0.0, to=None),)
        told = site.walls[number].wall.model_copy(update={"keep_clear": kept})
        site = replace(site, walls=tuple(replace(w, wall=told) if w.name == wall else w for w in site.walls))
        given = {"wall": wall, "from_": 0.0, "to": None, "width": 10 * FOOT, "fall": 0.5 * FOOT, "start_level": None}
        strip = Shaping.model_construct(**{**given, "fill": "fill.clayey", "finish": "seed", **values})
        shaped = shaped_strips(site, (strip,), site.outline, site.boundary, "US")
        return replace(case, site=replace(site, shaped=shaped))

    return change


def at(level: float) -> Level:
    """An elevation in feet."""
    return Level.model_construct(offset=level * FOOT, reference=None)


def ways(kind: str, to: str, walls: tuple[str, ...] = ()) -> Change:
    """Where the strip's water goes."""

    def change(case: Case) -> Case:
        way = WayOn(
            name="north",
            kind=kind,
            to=to,
            path=((0.0, 0.0),),
            length=1.0,
            fall=0.1,
            walls=walls,
            comes_back=bool(walls),
        )  # type: ignore[arg-type]
        return put("site", "terrain", "shaped_ways", to=(way,))(case)

    return change


def edge(below: float, bank: float | None) -> Change:
    """The strip's edge so far below today's ground, and how wide its bank is."""

    def change(case: Case) -> Case:
        (strip,) = case.site.shaped
        sections = tuple(
            replace(item, edge_level=item.ground_edge - below, bank=bank) for item in strip.sections
        )  # fmt: skip
        return put("site", "shaped", to=(replace(strip, sections=sections),))(case)

    return change


def line_under(deep: float) -> Change:
    """A cable along the middle of the strip, the finished ground so far over today's."""

    def change(case: Case) -> Case:
        (strip,) = case.site.shaped
        sections = tuple(
            replace(item, wall_level=item.ground_wall + deep, edge_level=item.ground_edge + deep)
            for item in strip.sections
        )
        route = tuple((item.foot[0], item.foot[1] + 1.0) for item in strip.sections)
        cable = Utility.model_construct(name="lamp cable", kind="low voltage lighting", depth=fact(0.15))
        line = SiteUtility(utility=cable, route=route, top=tuple(30.0 for _ in route))
        site = replace(case.site, utilities=(line,), shaped=(replace(strip, sections=sections),))
        return replace(case, site=site)

    return change


def tree(out: float, keep: bool = True) -> Change:
    """A tree so far out from the middle of the strip's wall, its roots 3 m about it."""

    def change(case: Case) -> Case:
        middle = case.site.shaped[0].sections[len(case.site.shaped[0].sections) // 2].foot
        oak = Tree.model_construct(name="oak", trunk_diameter=0.3, keep=keep)
        at = (middle[0], middle[1] + out)
        return put("site", "trees", to=(SiteTree(tree=oak, at=at, root_radius=3.0),))(case)

    return change


def in_two(case: Case) -> Case:
    """The north strip given as two, one after the other along the wall."""
    one, other = (strips(**part)(case).site.shaped for part in ({"to": 4.0}, {"from_": 4.0}))
    return put("site", "shaped", to=(*one, *other))(case)


M = "mended"
TRIALS = (
    Trial("GRD-08", "caution", strips(), base=M, where=NORTH, says="not measured"),
    Trial("GRD-08", "ok", strips(clear=2.0), base=M, where=NORTH, says="wood siding"),
    Trial("GRD-08", "fails", strips(clear=1.0, start_level=at(101.0)), base=M, where=NORTH, says="too high"),
    Trial("GRD-08", "ok", strips(clear=0.4), base=M, where=NORTH),  # designed lower, into a swale
    Trial("GRD-08", None, put("site", "shaped", to=()), base=M),
    Trial("GRD-09", "ok", strips(), base=M, where=NORTH, says="within its width"),
    Trial("GRD-09", "caution", strips(clear=0.4), base=M, where=NORTH, says="a swale"),
    Trial("GRD-09", "caution", every(strips(), edge(0.1, 0.4)), base=M, where=NORTH, says="a swale"),
    Trial("GRD-09", "fails", every(strips(), edge(0.1, None)), base=M, where=NORTH, says="does not run out"),
    Trial("GRD-09", "fails", strips(start_level=at(104.0)), base=M, where=NORTH, says="slips"),
    Trial("GRD-10", "ok", every(strips(), ways("inlet", "CB1")), base=M, where=NORTH, says="to CB1"),
    Trial("GRD-10", "caution", every(strips(), ways("boundary", "north side")), base=M, where=NORTH, says="north side"),
    Trial("GRD-10", "caution", every(strips(), ways("wall", "east")), base=M, where=NORTH, says="the east wall"),
    Trial("GRD-10", "caution", every(strips(), ways("low spot", "G6")), base=M, where=NORTH, says="keeps it"),
    Trial("GRD-10", "caution", every(strips(), ways("beyond the shots", "?")), base=M, where=NORTH, says="nobody"),
    Trial("GRD-10", None, every(strips(), put("site", "terrain", to=None)), base=M, where=NORTH),
    Trial("GRD-11", "ok", strips(), base=M, where=NORTH, says="near today's ground"),
    Trial("GRD-11", "caution", strips(start_level=at(104.0)), base=M, where=NORTH, says="Read 'start_level' again"),
    Trial("GRD-11", "fails", strips(start_level=at(120.0)), base=M, where=NORTH, says="over the surveyed ground"),
    Trial("GRD-11", "fails", strips(start_level=at(80.0)), base=M, where=NORTH, says="under the surveyed ground"),
    Trial("FTG-10", "ok", strips(), base=M, where="house.walls.north", says="as shaped; today"),
    Trial("FTG-10", "caution", strips(to=3.0), base=M, where="house.walls.north", says="in part as shaped"),
    Trial("FTG-13", "caution", strips(), base=M, where="house.walls.north", says="not coated"),
    Trial("FTG-13", "ok", strips("south"), base=M, where="house.walls.south", says="counted up"),
    Trial("FTG-13", None, strips("north", clear=0.4), base=M, where="house.walls.north"),
    Trial("DIG-21", "caution", every(strips(), line_under(0.1)), base=M, where=NORTH, says="more cover"),
    Trial("DIG-21", "caution", every(strips(), line_under(-0.1)), base=M, where=NORTH, says="keep its cover"),
    Trial("DIG-21", None, every(strips(), put("site", "utilities", to=())), base=M, where=NORTH),
    Trial("DIG-22", "caution", every(strips(), tree(2.0)), base=M, where="trees.oak", says="they die"),
    Trial("DIG-22", "ok", every(strips(), tree(5.8)), base=M, where="trees.oak", says="Little fill"),
    Trial("DIG-22", "caution", every(in_two, tree(2.0)), base=M, where="trees.oak", says="at the north wall covers"),
    Trial("DIG-22", None, every(strips(), tree(2.0, keep=False)), base=M, where="trees.oak"),
)
