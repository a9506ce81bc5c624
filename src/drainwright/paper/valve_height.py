"""Where a pump's check valve stands: right under the union, the ball valve and the elbow of its riser."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.system.make_up import make_up
from drainwright.system.model import LiftStation

OVER = ("union", "ball-valve")  # what stands between the check valve and the elbow, on short pieces of pipe
JOINED = ("check-valve", *OVER, "elbow-90")
IN_WYE = 3  # short pieces more where two risers meet: to the wye, to the elbow before its branch, and into it


def valve_height(design: Design, station: LiftStation) -> float:
    """Level of the middle of the check valve, with what the fittings above it hold of the riser at the least. [m]

    The cutting list has one piece of riser below the valve: so it stands as high as it goes.
    """
    line = design.system.run(station.discharge_run)
    kinds = {fit.kind for fit in design.system.fittings or () if fit.where == station.name}
    outside = line.pipe.outside
    held = outside + sum(make_up(kind, outside) for kind in OVER if kind in kinds)  # an elbow's radius first
    return line.invert_upper + line.pipe.inside / 2 - held - make_up("check-valve", outside) / 2


def short_pieces(design: Design, station: LiftStation) -> int:
    """Pieces of pipe, two sockets long, that join a station's fittings; the cutting list has none of them."""
    kinds: list[str] = [fit.kind for fit in design.system.fittings or () if fit.where == station.name]
    elbows = kinds.count("elbow-90")
    return sum(kinds.count(kind) for kind in JOINED) - elbows + (IN_WYE if "wye" in kinds else 0)


__all__ = ["short_pieces", "valve_height"]
