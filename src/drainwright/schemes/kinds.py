"""The kinds of scheme, each laid out or refused with its number."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from drainwright.field.model import Plan
from drainwright.job.works import Basin
from drainwright.quantities import write
from drainwright.schemes.base import SOAKS, Base, Way, nearest_way, start_level
from drainwright.schemes.draft import Draft, length_text, place_text
from drainwright.schemes.laying import Laying, spot_place
from drainwright.schemes.model import TITLES, Key, Missing
from drainwright.schemes.soaking import SoakPlace, soak_place, soil_speaks_against
from drainwright.schemes.trees import ROUNDING, Gravity, Place, by_gravity, down, reaching, tree_to
from drainwright.schemes.walls import WallDrain, wall_drains
from drainwright.system.gravity import drain_ceiling
from drainwright.system.network import Spot

TRENCH = "infiltration trench"


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """A scheme laid out, before it is designed."""

    key: Key
    draft: Draft
    summary: str
    asks: tuple[str, ...]


class RefusedError(Exception):
    """A kind that cannot be; its text says why, with the number."""


def lay(base: Base, key: Key) -> Laid | Missing:
    """Lay out one kind of scheme.

    Parameters
    ----------
    base : Base
        The lot.
    key : {"gravity", "pumped", "split", "soak"}
        The kind.

    Returns
    -------
    Laid or Missing
        What it writes into the job; or why it cannot be.
    """
    makers: dict[Key, Callable[[Base], Laid]] = {"gravity": _gravity, "pumped": _pumped, "split": _split, "soak": _soak}
    try:
        if base.complete:
            raise RefusedError("no wall wants a footing drain, and no inlet or downspout waits to be led away")
        return makers[key](base)
    except RefusedError as refused:
        return Missing(key=key, title=TITLES[key], why=str(refused))


# -- what there is to lead away -----------------------------------------------------------------


def _ground_spots(base: Base) -> tuple[Spot, ...]:
    """Ends of drawn footing drains that lead nowhere yet."""
    fed = {line.lower for line in base.network.lines if line.duty == "footing drain"}
    return tuple(spot for spot in base.spots if spot.name in fed)


def _rain(base: Base) -> list[Place]:
    """Places where roof and yard water waits."""
    ground = {spot.name for spot in _ground_spots(base)}
    return [spot_place(base, spot, start_level(base, spot)) for spot in base.spots if spot.name not in ground]


def _ground(base: Base, to: Plan) -> tuple[list[WallDrain], list[Place]]:
    """The footing drains that fall to a place, and the places where their water waits."""
    ceiling = drain_ceiling(base.site)
    drains = [wall_drains(chain, to, base.yard) for chain in base.chains]
    places = [
        Place(name=drain.name, at=drain.on_from, invert=min(down(base, route, ceiling) for route in drain.whole))
        for drain in drains
    ]
    for spot in _ground_spots(base):
        above = [line.route for line in base.network.lines if line.lower == spot.name]
        places.append(Place(name=spot.name, at=spot.at, invert=min(down(base, route, ceiling) for route in above)))
    return drains, places


def _ground_by_gravity(base: Base) -> tuple[list[WallDrain], Gravity]:
    """The way out that the footing drains reach, or come nearest to; found once for all kinds."""
    if "ground by gravity" not in base.known:
        base.known["ground by gravity"] = _nearest_by_gravity(base)
    drains, gravity = base.known["ground by gravity"]
    return drains, gravity


def _nearest_by_gravity(base: Base) -> tuple[list[WallDrain], Gravity]:
    found = []
    for order, way in enumerate(base.outs):
        drains, places = _ground(base, way.at)
        tree, short = reaching(base, places, way)
        worst = short[0][1] if short else 0.0
        found.append((round(worst, 6), order, (drains, Gravity(way=way, tree=tree, short=short))))
    return min(found, key=lambda item: item[:2])[-1]


def _has_ground(base: Base) -> bool:
    return bool(base.chains) or bool(_ground_spots(base))


# -- why not ------------------------------------------------------------------------------------


def _lawful(base: Base) -> None:
    if base.outs:
        return
    if base.ways:
        names = " and ".join(way.point.name for way in base.ways)
        raise RefusedError(f"there is no way out but into the ground, at {names}")
    names = ", ".join(f"{point.name} ({point.kind})" for point in base.forbidden)
    raise RefusedError(f"no lawful way out: {names} {'is' if len(base.forbidden) == 1 else 'are'} forbidden")


def _no_basin_drawn(base: Base) -> None:
    if isinstance(base.job.works.basin, Basin) and not base.draft.redraw:
        raise RefusedError(f"the job has a basin of its own, {base.basin}; a redraw may leave it out")
    if base.basin in base.network.spots and not base.draft.redraw:
        names = ", ".join(line.name for line in base.network.lines if line.lower == base.basin)
        raise RefusedError(f"{names or 'a run'}, as drawn, leads to the basin {base.basin}")


def _basin_allowed(base: Base) -> None:
    if base.job.works.basin == "none" and not base.draft.redraw:
        raise RefusedError("the job says that there is to be no basin")


def _too_low(base: Base, found: Gravity, what: Callable[[str], str]) -> str:
    name, amount = found.short[0]
    point, units = found.way.point, base.job.units
    arrives = found.way.level - amount
    unit = "ft" if units == "US" else "m"
    return (
        f"{what(name)} would arrive {write(amount, 'length', units)} below the {point.kind} {point.name}"
        f" ({write(arrives, 'length', units, unit)} at the least fall and cover; it takes water from"
        f" {write(found.way.level, 'length', units, unit)})"
    )


def _drain_words(name: str) -> str:
    walls = name.split("+")
    listed = walls[0] if len(walls) == 1 else f"{', '.join(walls[:-1])} and {walls[-1]}"
    return f"the footing drain of the {listed} wall{'s' if len(walls) > 1 else ''}"


def _water_words(name: str) -> str:
    return f"the water of {name}"


def _asks(*ways: Way | None) -> tuple[str, ...]:
    found = []
    for way in dict.fromkeys(way.point.name for way in ways if way is not None):
        one = next(item for item in ways if item is not None and item.point.name == way)
        if one.lawful == "unknown":
            found.append(f"Ask the place whether water may leave by {way} ({one.point.kind}): nobody has yet.")
        elif one.lawful == "permit needed":
            found.append(f"{way} ({one.point.kind}) needs a permit first.")
    return tuple(found)


# -- the kinds ----------------------------------------------------------------------------------


def _gravity(base: Base) -> Laid:
    _lawful(base)
    _no_basin_drawn(base)
    drains, ground = _ground_by_gravity(base) if _has_ground(base) else ([], None)
    rain = _rain(base)
    other = by_gravity(base, rain) if rain else None
    low = [(found, what) for found, what in ((ground, _drain_words), (other, _water_words)) if found and found.short]
    if low:
        raise RefusedError(_too_low(base, *max(low, key=lambda item: item[0].short[0][1])))
    laying = Laying(base)
    laying.basin = "none"
    ways: list[Way] = []
    said = []
    if ground is not None:
        _lay_ground(laying, drains, ground)
        ways.append(ground.way)
        said.append(f"the footing drain falls to {ground.way.point.name}")
    if other is not None:
        laying.tree(other.tree, rain)
        ways.append(other.way)
        apart = " in pipes of its own" if ground is not None else ""
        said.append(f"roof and yard water falls{apart} to {other.way.point.name}")
    return Laid(key="gravity", draft=laying.draft(), summary=_sentence(said), asks=_asks(*ways))


def _lay_ground(laying: Laying, drains: Sequence[WallDrain], found: Gravity) -> None:
    names = {drain.name: laying.drains_to_junction(drain) for drain in drains}
    tree = found.tree
    out = {drain.name: (drain.at,) for drain in drains if drain.lead}
    edges = tuple(
        type(edge)(
            upper=names.get(edge.upper, edge.upper),
            lower=names.get(edge.lower, edge.lower),
            route=(*out.get(edge.upper, ()), *edge.route),
        )
        for edge in tree.edges
    )
    laying.tree(type(tree)(root=tree.root, edges=edges, joints=tree.joints, arrivals=tree.arrivals), (), stem="MD")


def _lift(laying: Laying, base: Base, way: Way) -> None:
    """The basin with the footing drains and the discharge line."""
    basin = laying.station()
    drains, _ = _ground(base, base.basin_at)
    for drain in drains:
        laying.drains_to_basin(drain, basin)
    spots = [spot_place(base, spot, math.inf) for spot in _ground_spots(base)]
    laying.tree(tree_to(base, spots, basin, base.basin_at), spots, stem="MD")
    laying.discharge_line(basin, way)


def _pumped(base: Base) -> Laid:
    _lawful(base)
    _basin_allowed(base)
    laying = Laying(base)
    way = nearest_way(base.outs, base.basin_at, base.house)
    _lift(laying, base, way)
    rain = _rain(base)
    laying.tree(tree_to(base, rain, base.basin, base.basin_at), rain)
    said = [f"all water runs to the basin {base.basin} and is lifted to {way.point.name}"]
    return Laid(key="pumped", draft=laying.draft(), summary=_sentence(said), asks=_asks(way))


def _split(base: Base) -> Laid:
    _lawful(base)
    _basin_allowed(base)
    if not _has_ground(base):
        raise RefusedError("no wall wants a footing drain: there is no ground water to keep apart")
    rain = _rain(base)
    if not rain:
        raise RefusedError("no roof or yard water is left to lead away")
    if not (isinstance(base.job.works.basin, Basin) and not base.draft.redraw):
        _, ground = _ground_by_gravity(base)
        if not ground.short:
            spare = min(level for _, level in ground.tree.arrivals) - ground.way.level
            raise RefusedError(
                f"the footing drain reaches {ground.way.point.name} by gravity with"
                f" {write(spare, 'length', base.job.units)} to spare: to pump its water would gain nothing"
            )
    falls, found = _falling(base, rain)
    if not falls:
        raise RefusedError(_too_low(base, found, lambda name: f"even {_water_words(name)}"))
    laying = Laying(base)
    way = nearest_way(base.outs, base.basin_at, base.house)
    _lift(laying, base, way)
    laying.tree(found.tree, falls)
    rest = [place for place in rain if place not in falls]
    laying.tree(tree_to(base, rest, base.basin, base.basin_at), rest)
    said = [
        f"ground water runs to the basin {base.basin} and is lifted to {way.point.name}",
        f"{_listed(falls)} {'falls' if len(falls) == 1 else 'fall'} to {found.way.point.name} by gravity",
    ]
    if rest:
        verb = "has no fall and runs" if len(rest) == 1 else "have no fall and run"
        said.append(f"{_listed(rest)} {verb} to {base.basin} too")
    return Laid(key="split", draft=laying.draft(), summary=_sentence(said), asks=_asks(way, found.way))


def _falling(base: Base, places: Sequence[Place]) -> tuple[list[Place], Gravity]:
    """The places that reach a way out by gravity; where none does, the one that comes nearest."""
    left = list(places)
    found = by_gravity(base, left)
    while found.short:
        low = {name for name, _ in found.short}
        if len(low) == len(left):
            if len(left) == 1:
                return [], found
            low = {found.short[0][0]}
        left = [place for place in left if place.name not in low]
        found = by_gravity(base, left)
    return left, found


def _soak(base: Base) -> Laid:
    rain = _rain(base)
    if not rain:
        raise RefusedError("no roof or yard water is left to lead away")
    own = next((way for way in base.ways if way.point.kind in SOAKS), None)
    place = None if own is not None else _soak_place(base, rain)
    laying = Laying(base)
    said, ways = [], []
    if _has_ground(base):
        _lawful(base)
        drains, ground = _ground_by_gravity(base)
        drawn = isinstance(base.job.works.basin, Basin) and not base.draft.redraw
        if ground.short or drawn:
            _basin_allowed(base)
            way = nearest_way(base.outs, base.basin_at, base.house)
            _lift(laying, base, way)
            said.append(f"ground water runs to the basin {base.basin} and is lifted to {way.point.name}")
        else:
            way = ground.way
            laying.basin = "none"
            _lay_ground(laying, drains, ground)
            said.append(f"the footing drain falls to {way.point.name}")
        ways.append(way)
    elif not isinstance(base.job.works.basin, Basin) or base.draft.redraw:
        laying.basin = "none"
    name, asks = _into_the_ground(base, laying, rain, own, place)
    said.append(f"roof and yard water soaks away at {name}")
    return Laid(key="soak", draft=laying.draft(), summary=_sentence(said), asks=(*_asks(*ways), *asks))


def _soak_place(base: Base, rain: Sequence[Place]) -> SoakPlace:
    rule = next((rule for rule in base.job.rules.outlets if rule.kind == TRENCH), None)
    if rule is not None and rule.standing.value == "forbidden":
        raise RefusedError("the place forbids it")
    if against := soil_speaks_against(base):
        raise RefusedError(against)
    place = soak_place(base, rain)
    if not isinstance(place, SoakPlace):
        raise RefusedError(place)
    return place


def _into_the_ground(
    base: Base, laying: Laying, rain: Sequence[Place], own: Way | None, place: SoakPlace | None
) -> tuple[str, list[str]]:
    """Lines to the job's own soakaway, or to one that is proposed; its name, and what must be found out."""
    units = base.job.units
    if own is not None or place is None:
        if own is None:
            raise RefusedError("no place for a soakaway was found")
        tree, short = reaching(base, rain, own)
        if short:
            found = Gravity(way=own, tree=tree, short=short)
            raise RefusedError(_too_low(base, found, _water_words))
        laying.tree(tree, rain)
        return own.point.name, list(_asks(own))
    name = laying.free("SOAK")
    tree = tree_to(base, rain, name, place.at)
    arrives = min((level for _, level in tree.arrivals), default=place.invert)
    invert = min(place.invert, arrives - ROUNDING)
    laying.outlet(
        {
            "name": name,
            "at": place_text(place.at, units),
            "kind": TRENCH,
            "invert": length_text(invert, units),
            "soak": {"bearing": f"{math.degrees(place.bearing):.0f} deg"},
        },
        place.at,
    )
    laying.tree(tree, rain)
    rule = next((rule for rule in base.job.rules.outlets if rule.kind == TRENCH), None)
    asks = []
    if rule is None or rule.standing.value != "allowed":
        asks.append(f"Ask the place whether roof and yard water may soak away on the lot, at {name}.")
    if place.over_water is None:
        asks.append("Find the high ground water before anything soaks away: dig a pit in the wet season.")
    return name, asks


def _listed(places: Sequence[Place]) -> str:
    names = [place.name for place in places]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _sentence(parts: Sequence[str]) -> str:
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}."


__all__ = ["Laid", "lay"]
