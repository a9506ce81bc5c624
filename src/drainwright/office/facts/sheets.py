"""Which parts of a job stand on which of the forms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from drainwright.job.model import Job
from drainwright.office.facts.model import Field, Group, Node, nodes_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One form: parts of the job by their paths, without the parts that stand on another."""

    name: str  # in its address
    title: str
    told: str  # what is told here, in a sentence
    parts: tuple[str, ...]
    without: tuple[str, ...] = ()


SHEETS: Mapping[str, Sheet] = {
    one.name: one
    for one in (
        Sheet(
            name="job", title="Job and customer", told="Whose work it is, and how its papers name it.",
            parts=("title", "number", "date", "units", "demonstration", "customer", "notes"),
        ),
        Sheet(
            name="lot", title="The lot", told="Where it is, how to get in, what must be spared.", parts=("property",),
        ),
        Sheet(
            name="house", title="The house", told="Its corners and its lowest floor.",
            parts=("house",), without=("house.walls",),
        ),
        Sheet(
            name="walls", title="Walls", told="Each stretch of foundation wall, seen from outside, with its footing.",
            parts=("house.walls",),
        ),
        Sheet(
            name="ground", title="Ground", told="The soil, the water in it, and the tests in a hole.",
            parts=("ground",),
        ),
        Sheet(name="rain", title="Rain", told="The rain table of the place.", parts=("rain",)),
        Sheet(
            name="place", title="Rules of the place",
            told="What the place demands. What nobody looked up is the usual value, marked assumed.",
            parts=("rules",),
        ),
        Sheet(
            name="criteria", title="Criteria", told="What the design must keep; left out, the usual values stand.",
            parts=("criteria",),
        ),
        Sheet(
            name="crew", title="Crew and days", told="Who digs, on which days, and with what.",
            parts=("crew", "equipment"),
        ),
        Sheet(
            name="basin", title="Basin and stone",
            told="The sump basin with its pumps, and the stone round the drains.",
            parts=("works.basin", "works.basin_place", "works.more_basins", "works.stone", "works.cloth", "works.cap"),
        ),
    )
}  # fmt: skip
ELSEWHERE: Mapping[str, tuple[str, str]] = {  # parts that are told on other pages: the page, its name
    "survey": ("yard", "Yard"),
    "symptoms": ("yard", "Yard"),
    "moisture_tests": ("yard", "Yard"),
    "utilities": ("yard", "Yard"),
    "works": ("plan", "Plan"),
    "roofs": ("plan", "Plan"),
    "downspouts": ("plan", "Plan"),
    "yards": ("plan", "Plan"),
    "trees": ("plan", "Plan"),
}
COSTS = frozenset({"price", "deposit_cap"})  # keys of fields that tell amounts


@cache
def nodes_on(sheet: str, costs: bool = True) -> tuple[tuple[str, Node], ...]:
    """The parts of a form, each with its path; ``costs``: also those that tell amounts."""
    about = SHEETS[sheet]
    return tuple((path, _pruned(_node_at(path), path, about.without, costs)) for path in about.parts)


def _node_at(path: str) -> Node:
    members = nodes_of(Job)
    *above, last = path.split(".")
    for key in above:
        members = next(one.members for one in members if one.key == key and isinstance(one, Group))
    return next(one for one in members if one.key == last)


def _pruned(node: Node, path: str, without: tuple[str, ...], costs: bool) -> Node:
    if isinstance(node, Field):
        return node
    members = node.members if isinstance(node, Group) else node.entry
    kept = tuple(
        _pruned(one, f"{path}.{one.key}", without, costs)
        for one in members
        if f"{path}.{one.key}" not in without and (costs or one.key not in COSTS)
    )
    return replace(node, members=kept) if isinstance(node, Group) else replace(node, entry=kept)


def sheet_of(where: str) -> str:
    """The form on which a part is told; empty where none has it.

    Examples
    --------
    >>> sheet_of("house.walls[0].footing_bottom"), sheet_of("house.outline"), sheet_of("survey.points")
    ('walls', 'house', '')
    """
    found = [
        (len(part), sheet.name)
        for sheet in SHEETS.values()
        for part in sheet.parts
        if where == part or where.startswith((f"{part}.", f"{part}["))
    ]
    return max(found)[1] if found else ""


__all__ = ["COSTS", "ELSEWHERE", "SHEETS", "Sheet", "nodes_on", "sheet_of"]
