"""Roof and yard water into the ground: a trench where there is room for one, else dry wells."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.job.works import Basin
from drainwright.schemes.base import SOAKS, Base, Place, Way, nearest_way
from drainwright.schemes.draft import Words, length_text, place_text
from drainwright.schemes.gathering import (
    ground_by_gravity,
    has_ground,
    lay_ground,
    lift,
    rain_places,
    tree_clear,
)
from drainwright.schemes.laying import Laying
from drainwright.schemes.model import Key, Laid
from drainwright.schemes.refusing import (
    RefusedError,
    asks_of,
    basin_allowed,
    basin_drawn,
    lawful_way,
    sentence,
    too_low,
    water_words,
)
from drainwright.schemes.soaking import SoakPlace, soak_place, soil_speaks_against
from drainwright.schemes.trees import ROUNDING, Gravity, down, reaching
from drainwright.system.outlets.soak_sizing import SoakKind

TRENCH: SoakKind = "infiltration trench"
WELLS: SoakKind = "dry well"


def soak(base: Base) -> Laid:
    """Roof and yard water soaks away: at the job's own soakaway, else in a trench, else in dry wells."""
    rain = _rain(base)
    own = next((way for way in base.ways if way.point.kind in SOAKS), None)
    if own is not None:
        return _laid(base, "soak", rain, own)
    trench = _place(base, rain, TRENCH)
    if isinstance(trench, SoakPlace):
        return _laid(base, "soak", rain, trench)
    if not trench.startswith(ROOMLESS):
        raise RefusedError(trench)
    well = _place(base, rain, WELLS)
    if isinstance(well, str):
        raise RefusedError(f"{trench}; and of dry wells: {well}")
    return _laid(base, "soak", rain, well)


def wells(base: Base) -> Laid:
    """Roof and yard water soaks away in dry wells, where a trench would do as well."""
    rain = _rain(base)
    if any(way.point.kind == WELLS for way in base.ways):
        raise RefusedError("the job has dry wells of its own")
    place = _place(base, rain, WELLS)
    if isinstance(place, str):
        raise RefusedError(place)
    return _laid(base, "wells", rain, place)


ROOMLESS = ("the place forbids", "nowhere on the surveyed lot")  # a trench may not, or cannot, lie anywhere


def _rain(base: Base) -> list[Place]:
    rain = rain_places(base)
    if not rain:
        raise RefusedError("no roof or yard water is left to lead away")
    return rain


def _place(base: Base, rain: Sequence[Place], kind: SoakKind) -> SoakPlace | str:
    rule = next((rule for rule in base.job.rules.outlets if rule.kind == kind), None)
    if rule is not None and rule.standing.value == "forbidden":
        return "the place forbids it"
    return soil_speaks_against(base) or soak_place(base, rain, kind)


def _laid(base: Base, key: Key, rain: Sequence[Place], into: Way | SoakPlace) -> Laid:
    laying = Laying(base)
    said, ways = [], []
    if has_ground(base):
        lawful_way(base)
        drains, ground = ground_by_gravity(base)
        if ground.short or basin_drawn(base) or not base.drains_fall:
            basin_allowed(base)
            way = nearest_way(base.outs, base.basin_at, base.house)
            said.append(f"ground water runs to the basin {base.basin} and is lifted to {lift(laying, base, way)}")
        else:
            way = ground.way
            laying.basin = "none"
            lay_ground(laying, drains, ground)
            said.append(f"the footing drain falls to {way.point.name}")
        ways.append(way)
    elif not isinstance(base.job.works.basin, Basin) or base.draft.redraw:
        laying.basin = "none"
    if isinstance(into, Way):
        kind, asks = into.point.kind, _own(base, laying, rain, into)
        name = into.point.name
    else:
        name, asks = _proposed(base, laying, rain, into)
        kind = into.kind
    where = f"in dry wells at {name}" if kind == WELLS else f"in the {kind} {name}"
    said.append(f"roof and yard water soaks away {where}")
    return Laid(key=key, draft=laying.draft(), summary=sentence(said), asks=(*asks_of(*ways), *asks))


def _own(base: Base, laying: Laying, rain: Sequence[Place], own: Way) -> tuple[str, ...]:
    """Lines to the job's own soakaway."""
    tree, short = reaching(base, rain, own)
    if short:
        raise RefusedError(too_low(base, Gravity(way=own, tree=tree, short=short), water_words))
    laying.tree(tree, rain)
    return asks_of(own)


def _proposed(base: Base, laying: Laying, rain: Sequence[Place], place: SoakPlace) -> tuple[str, tuple[str, ...]]:
    """A soakaway with its lines: its name, and what must be found out."""
    units = base.job.units
    name = laying.free("SOAK" if place.kind == TRENCH else "WELL")
    tree = tree_clear(laying, rain, name, place.at)
    arrives = min((level for _, level in tree.arrivals), default=place.invert)
    invert = min(place.invert, arrives - ROUNDING)
    entry: dict[str, object] = {"bearing": f"{math.degrees(place.bearing):.0f} deg"}
    over = _overflow(base, place, invert)
    if over is not None:
        entry["overflow"] = over
    words: Words = {
        "name": name, "at": place_text(place.at, units), "kind": place.kind, "invert": length_text(invert, units),
        "soak": entry,
    }  # fmt: skip
    laying.outlet(words, place.at)
    laying.tree(tree, rain)
    rule = next((rule for rule in base.job.rules.outlets if rule.kind == place.kind), None)
    asks = []
    if rule is None or rule.standing.value != "allowed":
        asks.append(f"Ask the place whether roof and yard water may soak away on the lot, at {name}.")
    if place.over_water is None:
        asks.append("Find the high ground water before anything soaks away: dig a pit in the wet season.")
    return name, tuple(asks)


def _overflow(base: Base, place: SoakPlace, invert: float) -> str | None:
    """The nearest lawful way out to which what it cannot take would fall; None where there is none."""
    found = []
    for way in base.spilling if base.spills else ():
        route = base.house.way(place.at, way.at)
        if len(route) > 1 and down(base, route, invert) >= way.level:
            found.append(way)
    return nearest_way(found, place.at, base.house).point.name if found else None


__all__ = ["soak", "wells"]
