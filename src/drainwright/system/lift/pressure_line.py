"""The discharge line under pressure: its profile, its fittings and its system curve."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from drainwright.hydraulics.emitter import emitter_loss_coefficient
from drainwright.hydraulics.fittings import (
    narrowing_loss_coefficient,
    total_loss_coefficient,
    widening_loss_coefficient,
)
from drainwright.hydraulics.pump import PressurePipe, SystemCurve
from drainwright.system.bends import Bend, pipe_lengths
from drainwright.system.catalogue import PIPES
from drainwright.system.model import Pipe
from drainwright.worksheet import quiet

SMOOTH_WALL = 1.5e-6  # wall roughness of plastic, where a pipe has no Hazen-Williams C [m]
SHALLOW = 0.1524  # least cover for which one grade to a shallow end is kept, 6 in; common practice, no source [m]
PUMP_OUTLET = 0.15  # height of a pump's outlet above the basin's floor, common practice, no source [m]
RISER = ("ell90", "union", "ball_valve", "swing_check")  # fittings that each pump's riser has of its own
LOSSES = {"elbow-90": "ell90", "elbow-45": "ell45", "elbow-22": "ell45"}  # no table has the flattest: taken as a 45


@dataclass(frozen=True, slots=True, kw_only=True)
class PressureLine:
    """A discharge line from the basin's wall to its free end."""

    name: str
    distances: tuple[float, ...]  # of the stations from the basin [m]
    inverts: tuple[float, ...]  # [m]
    pipe: Pipe
    tailwater: float  # water level that it ends in; below its end where it ends in air [m]
    bends: tuple[Bend, ...]  # that take elbows: sideways, up and down
    check_valve: bool
    from_junction: bool = False  # the common part of several basins' lines, without pump, riser and valve
    to_junction: bool = False  # ends in the side of another discharge line
    second_pump: bool = False  # two pumps' risers meet in a wye, the second by an elbow
    lid: float = -math.inf  # level of the lid of the emitter that it ends in; it empties to the soil when it rests [m]
    emitter: float = 0.0  # bore of that emitter; 0: none [m]
    relief_tee: bool = False  # a tee with a relief outside, for when its end is frozen
    port: float = 0.0  # inside of the adapter in the pump's outlet, that a reducer brings to the riser; 0: as wide [m]

    @property
    def length(self) -> float:
        """Length along the pipe [m]."""
        return self.alongs[-1]

    @property
    def alongs(self) -> tuple[float, ...]:
        """Length along the pipe from the basin to each station [m]."""
        return pipe_lengths(self.distances, self.inverts)

    @property
    def against(self) -> float:
        """Water level at its end while it runs: the tailwater, or an emitter's lid; minus infinity in air [m]."""
        return max(self.tailwater, self.lid)

    @property
    def highest(self) -> float:
        """The level to which the pump lifts: the highest crown, or the water at its end [m]."""
        return max(self.against, max(self.inverts) + self.pipe.inside)

    @property
    def emitter_loss(self) -> float:
        """Loss coefficient of the emitter, besides its exit; 0 without one [-]."""
        return float(emitter_loss_coefficient(self.pipe.inside, self.emitter)) if self.emitter > 0.0 else 0.0

    @property
    def to_highest(self) -> float:
        """Length along the pipe from the basin to the highest place of the line [m]."""
        return self.alongs[self.inverts.index(max(self.inverts))]

    def fittings(self) -> Mapping[str, int]:
        """The fittings by kind: riser elbow, union, valves, wye, tees, elbows of its bends, exit or junction.

        Of two pumps' risers the one is counted that loses more: by its elbow and the wye's branch.
        """
        found = Counter({"tee_branch" if self.to_junction else "exit": 1})
        if not self.from_junction:
            found += Counter({"ell90": 1, "union": 1, "ball_valve": 1})
        if self.check_valve and not self.from_junction:
            found["swing_check"] += 1
        if self.second_pump and not self.from_junction:
            found += Counter({"wye": 1, "ell45": 1})
        if self.relief_tee:
            found["tee_run"] += 1
        found.update(LOSSES[kind] for bend in self.bends for kind in bend.elbows)
        return dict(found)

    @property
    def port_loss(self) -> float:
        """Loss coefficient of the change from the pump's outlet to the riser, on the line's velocity head [-]."""
        if self.from_junction or self.port <= 0.0 or self.port == self.pipe.inside:
            return 0.0
        change = widening_loss_coefficient if self.port < self.pipe.inside else narrowing_loss_coefficient
        return float(change(self.port, self.pipe.inside))

    @property
    def riser_loss(self) -> float:
        """Loss coefficient of what one pump's riser has of its own, on the line's velocity head [-]."""
        if self.from_junction:
            return 0.0
        kinds = [kind for kind in RISER if kind != "swing_check" or self.check_valve]
        with quiet():
            return total_loss_coefficient(kinds) + self.port_loss

    def riser(self, floor: float) -> float:
        """Height of the riser in the basin, from the pump's outlet to the line [m]."""
        if self.from_junction:
            return 0.0
        return max(self.inverts[0] - floor - PUMP_OUTLET, 0.0)

    def curve(self, level: float, floor: float, pumps: int = 1) -> SystemCurve:
        """The system curve with the water in the basin at a level; of several pumps each has its share in its riser."""
        pipe = self.pipe
        coefficient = total_loss_coefficient(self.fittings()) + self.port_loss + self.emitter_loss
        coefficient -= self.riser_loss * (1.0 - 1.0 / pumps**2)
        length = self.length + self.riser(floor)
        if pipe.hazen_williams is None:
            part = PressurePipe(
                length=length,
                diameter=pipe.inside,
                roughness=SMOOTH_WALL,
                loss_coefficient=coefficient,
                method="darcy_weisbach",
            )
        else:
            part = PressurePipe(
                length=length, diameter=pipe.inside, roughness=pipe.hazen_williams, loss_coefficient=coefficient
            )
        return SystemCurve(static_head=self.highest - level, pipes=(part,))


def behind(line: PressureLine, port: str) -> PressureLine:
    """The line with a pump's outlet, by its nominal size: the adapter in it has the bore of a Schedule 40 pipe."""
    sold = PIPES.get(f"sch40 {port}")
    return line if sold is None else replace(line, port=sold.inside)


def pressure_inverts(
    distances: Sequence[float],
    grounds: Sequence[float],
    upper: float,
    lower: float,
    cover: float,
    pipe: Pipe,
    wheels: float = 0.0,
) -> tuple[float, ...]:
    """Inverts at the stations: straight from the upper to the lower end, sagging where the cover would be short.

    The last station keeps its level, where the line comes out. A line that falls to an end with less cover than asked
    keeps one grade as long as its cover is nowhere less than at that end, than ``SHALLOW`` and than ``wheels`` ask:
    a dip before such an end saves no cover and holds water and silt.
    """
    length = distances[-1]
    end = grounds[-1] - lower - pipe.inside - pipe.wall
    if upper >= lower and end >= max(SHALLOW, wheels):
        cover = min(cover, end)
    found = [
        min(upper + (lower - upper) * distance / length, ground - cover - pipe.inside - pipe.wall)
        for distance, ground in zip(distances, grounds, strict=True)
    ]
    found[0], found[-1] = upper, lower
    return tuple(found)


__all__ = ["PUMP_OUTLET", "PressureLine", "behind", "pressure_inverts"]
