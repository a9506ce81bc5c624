"""Which work is the first to use what is bought."""

from __future__ import annotations

from collections.abc import Mapping

from drainwright.build.model import TakeoffLine

_BY_KEY = (  # start of the takeoff key, the task that needs it
    ("catch-basin", "inlets"), ("outlet.infiltration", "pipe"), ("outlet", "outlet"),
    ("parge", "parge"), ("board", "board"), ("coating", "coat-1"),
    ("coat.wire-brush", "clean"), ("coat.patch", "clean"), ("restore", "restore"), ("sundries", "set-up"),
)  # fmt: skip
_BY_CATEGORY = {  # the works that may be the first
    "pipe": ("pipe", "pipe-yard"), "fittings": ("pipe", "pipe-yard"), "basins": ("basin",), "pump": ("pump",),
    "fabric": ("bed", "bed-yard"), "stone": ("basin", "inlets", "bed", "bed-yard", "stone", "stone-yard", "round"),
    "coating": ("coat-1",), "haul": ("haul",), "hire": ("open", "trench", "trench-yard"),
    "sundries": ("set-up",), "earth": ("shape",),
}  # fmt: skip


def task_of(line: TakeoffLine, days: Mapping[str, int]) -> str:
    """The first work that uses a line of the takeoff, given each work's day; empty for what is settled before."""
    if line.category == "permits":
        return ""
    by_key = (task for start, task in _BY_KEY if line.key.startswith(start))
    if named := line.task or next(by_key, ""):
        away = f"{named}-yard"  # all of it may lie there
        return away if named not in days and away in days else named
    may = _BY_CATEGORY[line.category]
    return min((task for task in may if task in days), key=lambda task: days[task], default=may[0])


__all__ = ["task_of"]
