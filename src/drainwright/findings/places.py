"""Where things lie to each other, and how a few of them are named in a sentence."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from drainwright.field.model import Plan
from drainwright.system.model import System
from drainwright.water.model import Inflows


def to_segment(point: Plan, start: Plan, end: Plan) -> float:
    """Distance from a point to a straight stretch [m]."""
    near = _nearest(point, start, end)
    return hypot(point[0] - near[0], point[1] - near[1])


def to_ring(point: Plan, ring: Sequence[Plan]) -> float:
    """Distance from a point to the nearest side of a closed ring [m]."""
    return min(to_segment(point, ring[i - 1], ring[i]) for i in range(len(ring)))


def nearest_on_ring(point: Plan, ring: Sequence[Plan]) -> Plan:
    """The place of a closed ring that is nearest to a point."""
    places = (_nearest(point, ring[i - 1], ring[i]) for i in range(len(ring)))
    return min(places, key=lambda near: hypot(point[0] - near[0], point[1] - near[1]))


def _nearest(point: Plan, start: Plan, end: Plan) -> Plan:
    east, north = end[0] - start[0], end[1] - start[1]
    length = east * east + north * north
    along = 0.0 if length == 0 else ((point[0] - start[0]) * east + (point[1] - start[1]) * north) / length
    along = min(1.0, max(0.0, along))
    return start[0] + along * east, start[1] + along * north


def ahead(point: Plan, way: Plan, ring: Sequence[Plan]) -> float | None:
    """Distance from a point along a unit vector to the first side of a closed ring; None where none is met [m]."""
    found = []
    for i in range(len(ring)):
        (e1, n1), (e2, n2) = ring[i - 1], ring[i]
        east, north = e2 - e1, n2 - n1
        across = way[0] * north - way[1] * east
        if abs(across) < 1e-12:
            continue
        distance = ((e1 - point[0]) * north - (n1 - point[1]) * east) / across
        along = ((e1 - point[0]) * way[1] - (n1 - point[1]) * way[0]) / across
        if distance >= 0 and -1e-9 <= along <= 1 + 1e-9:
            found.append(distance)
    return min(found, default=None)


def by_own_line(system: System, inflows: Inflows) -> dict[str, float]:
    """Design flows that no line of the works takes, since a line of their own does, by their entry. [m³/s]"""
    uppers = {run.upper for run in system.runs if not run.pressure and run.duty != "overflow"}
    ends = {
        *(station.name for station in system.stations),
        system.discharge,
        *(run.lower for run in system.runs),
    } - uppers
    apart: dict[str, float] = {}
    for item in inflows.contributions:
        if item.flow > 0.0 and not any(leads_to(system, item.entry, end) for end in ends):
            apart[item.entry] = apart.get(item.entry, 0.0) + item.flow
    return apart


def leads_to(system: System, start: str, end: str) -> bool:
    """Whether the water of a node, or of a run, comes to a node by gravity runs (overflows left out)."""
    after = {run.name: run.lower for run in system.runs if run.duty != "overflow" and not run.pressure}
    below = {run.upper: run.lower for run in system.runs if run.name in after}
    here: str | None = after.get(start, start)
    for _ in range(len(system.runs) + 1):
        if here == end:
            return True
        here = None if here is None else below.get(here)
    return False


def listed(words: Sequence[str], last: str = "and") -> str:
    """``a, b and c``, each once."""
    once = tuple(dict.fromkeys(words))
    return once[0] if len(once) == 1 else f"{', '.join(once[:-1])} {last} {once[-1]}" if once else ""


def series(names: Sequence[str]) -> tuple[str, ...]:
    """Names in parts, three or more in a row told by their ends: ``FD1–FD7``, ``L1``, ``L2``, ``west``.

    Parameters
    ----------
    names : sequence of str
        Names of runs, inlets or walls, in any order.

    Returns
    -------
    tuple of str
        Those of one kind together, by their numbers; each kind where its first stands.
    """
    kinds: dict[str, list[int]] = {}
    bare: set[str] = set()  # LA beside LA2 and LA3
    for name in dict.fromkeys(names):
        kind = name.rstrip("0123456789")
        number = name[len(kind) :]
        plain = number.isdecimal() and not number.startswith("0")
        kinds.setdefault(kind if plain else name, []).extend([int(number)] if plain else [])
        bare |= set() if plain else {name}
    parts: list[str] = []
    for kind, numbers in kinds.items():
        rows: list[list[int]] = []
        parts += [kind] if kind in bare else []
        for value in sorted(numbers):
            if rows and value == rows[-1][-1] + 1:
                rows[-1].append(value)
            else:
                rows.append([value])
        for row in rows:
            each = [f"{kind}{value}" for value in row]
            parts += [f"{each[0]}–{each[-1]}"] if len(each) > 2 else each
    return tuple(parts)


def counted(number: int, thing: str) -> str:
    """``1 day``, ``2 days``."""
    return f"{number} {thing}" if number == 1 else f"{number} {thing}s"


__all__ = [
    "ahead", "by_own_line", "counted", "leads_to", "listed", "nearest_on_ring", "series", "to_ring", "to_segment",
]  # fmt: skip
