"""What fittings and joints take up of the pipe beside them: a table by kind, the least that is held.

Makers' fittings differ by half an inch and more; a piece is never cut shorter than these say. Where geometry sets the
least, it is the geometry; all else is common practice, without a source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

INCH = 0.0254  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class MakeUp:
    """Length of pipe that one fitting takes the place of, along the line that goes through it."""

    diameters: float = 0.0  # outside diameters of its pipe [-]
    fixed: float = 0.0  # [m]
    why: str
    source: Literal["geometry", "common practice"] = "common practice"


#: By kind of fitting. Elbows and wyes turn a line and are reckoned in ``build.take_offs``; gaskets by how far a pipe
#: goes into its basin (``build.fittings_count.REACH``).
MAKE_UP: Mapping[str, MakeUp] = MappingProxyType({
    "coupling": MakeUp(fixed=3 / 16 * INCH, why="the stop between both pipes' ends"),
    "slip-coupling": MakeUp(fixed=1 / 4 * INCH, why="the gap that it is slid over"),
    "cap": MakeUp(fixed=1 / 4 * INCH, why="its bottom"),
    "tee": MakeUp(diameters=1.0, why="its branch's own width", source="geometry"),
    "sweep-90": MakeUp(diameters=1.5, why="a long sweep's radius, from the corner of both axes"),
    "reducer": MakeUp(diameters=0.25, why="its taper between both stops"),
    "adapter": MakeUp(fixed=3 / 16 * INCH, why="the stop between both pipes' ends"),
    "cleanout": MakeUp(fixed=2 * INCH, why="its plug, from the pipe's end up to the ground"),
    "winter-relief": MakeUp(diameters=1.0, why="its branch's own width", source="geometry"),
    "male-adapter": MakeUp(diameters=0.25, why="from its thread's shoulder to the socket's stop"),
    "check-valve": MakeUp(diameters=2.0, why="its body between both stops"),
    "union": MakeUp(diameters=0.5, why="its body between both stops"),
    "ball-valve": MakeUp(diameters=1.0, why="its body between both stops"),
})  # fmt: skip


def make_up(kind: str, outside: float) -> float:
    """What one fitting of a kind holds of its line; none of a kind that the table leaves out.

    Parameters
    ----------
    kind : str
        Of fitting.
    outside : float
        Outside diameter of its pipe. [m]

    Returns
    -------
    float
        Along the line that goes through it. [m]

    Examples
    --------
    >>> round(make_up("tee", 0.107), 3), make_up("flexible", 0.107)
    (0.107, 0.0)
    """
    row = MAKE_UP.get(kind)
    return 0.0 if row is None else row.diameters * outside + row.fixed


__all__ = ["MAKE_UP", "MakeUp", "make_up"]
