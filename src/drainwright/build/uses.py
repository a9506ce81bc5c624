"""Which work uses what is bought."""

from __future__ import annotations

from drainwright.build.model import TakeoffLine

_BY_KEY = (  # start of the takeoff key, the task that needs it
    ("catch-basin", "inlets"), ("outlet", "outlet"), ("parge", "parge"), ("board", "board"), ("coating", "coat-1"),
    ("coat.wire-brush", "clean"), ("coat.patch", "clean"), ("restore", "restore"), ("sundries", "set-up"),
)  # fmt: skip
_BY_CATEGORY = {
    "pipe": "pipe", "fittings": "pipe", "basins": "basin", "pump": "pump", "stone": "stone", "fabric": "stone",
    "coating": "coat-1", "haul": "haul", "hire": "open", "sundries": "set-up",
}  # fmt: skip


def task_of(line: TakeoffLine) -> str:
    """The work that uses a line of the takeoff; empty for what is settled before."""
    if line.category == "permits":
        return ""
    if line.task:
        return line.task
    for start, task in _BY_KEY:
        if line.key.startswith(start):
            return task
    return _BY_CATEGORY[line.category]


__all__ = ["task_of"]
