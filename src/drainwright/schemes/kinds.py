"""The kinds of scheme, each laid out or refused with its number."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from drainwright.quantities import write
from drainwright.schemes.base import Base, Way, nearest_way, rain_basin_place
from drainwright.schemes.gathering import (
    falling,
    falling_clear,
    ground_by_gravity,
    ground_lifted,
    has_ground,
    lay_ground,
    lift,
    rain_places,
    tree_clear,
)
from drainwright.schemes.kinds_soak import soak, wells
from drainwright.schemes.laying import Laying
from drainwright.schemes.model import TITLES, Key, Laid, Missing
from drainwright.schemes.refusing import (
    RefusedError,
    asks_of,
    basin_allowed,
    basin_drawn,
    drain_words,
    lawful_way,
    listed,
    no_basin_drawn,
    sentence,
    too_low,
    water_words,
)
from drainwright.schemes.trees import Gravity, Place, by_gravity


def lay(base: Base, key: Key) -> Laid | Missing:
    """Lay out one kind of scheme.

    Parameters
    ----------
    base : Base
        The lot.
    key : {"gravity", "pumped", "split", "apart", "soak", "wells"}
        The kind.

    Returns
    -------
    Laid or Missing
        What it writes into the job; or why it cannot be.
    """
    makers: dict[Key, Callable[[Base], Laid]] = {
        "gravity": _gravity, "pumped": _pumped, "split": _split, "apart": _apart, "soak": soak, "wells": wells,
    }  # fmt: skip
    try:
        if base.complete:
            raise RefusedError("no wall wants a footing drain, and no inlet or downspout waits to be led away")
        return makers[key](base)
    except RefusedError as refused:
        return Missing(key=key, title=TITLES[key], why=str(refused))


# -- the kinds ----------------------------------------------------------------------------------


def _gravity(base: Base) -> Laid:
    lawful_way(base)
    drains, ground = ground_by_gravity(base) if has_ground(base) else ([], None)
    rain = rain_places(base)
    other = by_gravity(base, rain) if rain else None
    low = [(found, what) for found, what in ((ground, drain_words), (other, water_words)) if found and found.short]
    why = too_low(base, *max(low, key=lambda item: item[0].short[0][1])) if low else ""
    laid = [found for found in (ground, other) if found]
    spare = [level - found.way.level for found in laid for _, level in found.tree.arrivals]
    no_basin_drawn(base, why, min(spare, default=None))
    if low:
        raise RefusedError(why)
    laying = Laying(base)
    laying.basin = "none"
    ways: list[Way] = []
    said = []
    if ground is not None:
        lay_ground(laying, drains, ground)
        ways.append(ground.way)
        said.append(f"the footing drain falls to {ground.way.point.name}")
    if other is not None:
        laying.tree(other.tree, rain)
        ways.append(other.way)
        apart = " in pipes of its own" if ground is not None else ""
        said.append(f"roof and yard water falls{apart} to {other.way.point.name}")
    return Laid(key="gravity", draft=laying.draft(), summary=sentence(said), asks=asks_of(*ways))


def _pumped(base: Base) -> Laid:
    lawful_way(base)
    basin_allowed(base)
    rain = rain_places(base)
    if not has_ground(base) and not basin_drawn(base):
        found = by_gravity(base, rain)
        if not found.short:
            raise RefusedError(f"all water falls to {found.way.point.name} by gravity: a pump would gain nothing")
    laying = Laying(base)
    way = nearest_way(base.outs, base.basin_at, base.house)
    out = lift(laying, base, way)
    laying.tree(tree_clear(laying, rain, base.basin, base.basin_at), rain)
    said = [f"all water runs to the basin {base.basin} and is lifted to {out}"]
    return Laid(key="pumped", draft=laying.draft(), summary=sentence(said), asks=asks_of(way))


def _water_apart(base: Base) -> list[Place]:
    """Roof and yard water, where there is ground water to keep it apart from."""
    lawful_way(base)
    basin_allowed(base)
    if not has_ground(base) and not ground_lifted(base):
        raise RefusedError("no wall wants a footing drain: there is no ground water to keep apart")
    rain = rain_places(base)
    if not rain:
        raise RefusedError("no roof or yard water is left to lead away")
    return rain


def _split(base: Base) -> Laid:
    rain = _water_apart(base)
    if not (basin_drawn(base) or ground_lifted(base)):
        _, ground = ground_by_gravity(base)
        if not ground.short:
            spare = min(level for _, level in ground.tree.arrivals) - ground.way.level
            raise RefusedError(
                f"the footing drain reaches {ground.way.point.name} by gravity with"
                f" {write(spare, 'length', base.job.units)} to spare: to pump its water would gain nothing"
            )
    falls, found = falling(base, rain)
    if not falls:
        raise RefusedError(too_low(base, found, lambda name: f"even {water_words(name)}"))
    laying = Laying(base)
    way = nearest_way(base.outs, base.basin_at, base.house)
    said = [f"ground water runs to the basin {base.basin} and is lifted to {lift(laying, base, way)}"]
    laying.tree(falling_clear(laying, falls, found), falls)
    said.append(_falling_words(falls, found))
    rest = [place for place in rain if place not in falls]
    if rest:
        laying.tree(tree_clear(laying, rest, base.basin, base.basin_at), rest)
        verb = "has no fall and runs" if len(rest) == 1 else "have no fall and run"
        said.append(f"{listed(rest)} {verb} to {base.basin} too")
    return Laid(key="split", draft=laying.draft(), summary=sentence(said), asks=asks_of(way, found.way))


def _falling_words(falls: Sequence[Place], found: Gravity) -> str:
    return f"{listed(falls)} {'falls' if len(falls) == 1 else 'fall'} to {found.way.point.name} by gravity"


def _apart(base: Base) -> Laid:
    """Ground water by a way of its own; rain by gravity as far as it falls, the rest by a basin of its own."""
    rain = _water_apart(base)
    falls, found = falling(base, rain)
    rest = [place for place in rain if place not in falls]
    if not rest:
        raise RefusedError(
            f"all roof and yard water falls to {found.way.point.name} by gravity: none is left for a basin of its own"
        )
    laying = Laying(base)
    lifted = basin_drawn(base) or ground_lifted(base)
    if not lifted:
        drains, ground = ground_by_gravity(base)
        lifted = bool(ground.short)
    if lifted:
        way = nearest_way(base.outs, base.basin_at, base.house)
        said = [f"ground water runs to the basin {base.basin} and is lifted to {lift(laying, base, way)}"]
    else:
        way = ground.way
        lay_ground(laying, drains, ground)
        said = [f"the footing drain falls to {way.point.name}"]
    if falls:
        laying.tree(falling_clear(laying, falls, found), falls)
        said.append(_falling_words(falls, found))
    at = rain_basin_place(base, laying.network, rest)
    name = laying.free("RAIN") if lifted else base.basin
    laying.station(at, name)
    laying.tree(tree_clear(laying, rest, name, at), rest)
    onward = nearest_way(base.outs, at, base.house)
    laying.discharge_line(name, onward)
    verb = "runs" if len(rest) == 1 else "run"
    said.append(f"{listed(rest)} {verb} to the basin {name}, with a pump and a line of its own to {onward.point.name}")
    ways = (way, found.way, onward) if falls else (way, onward)
    return Laid(key="apart", draft=laying.draft(), summary=sentence(said), asks=asks_of(*ways))


__all__ = ["Laid", "lay"]
