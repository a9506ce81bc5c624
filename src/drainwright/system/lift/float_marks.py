"""Float settings as a tape reads them: heights from the basin's floor, rim and lowest pipe, on whole marks."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import Literal

from drainwright.field.words import Units
from drainwright.hydraulics.wetwell import basin_volume
from drainwright.system.lift.choice import FLOAT_ROOM, ON_BELOW
from drainwright.system.model import LiftStation
from drainwright.worksheet import quiet

FloatName = Literal["off", "on", "second on", "alarm"]

MARKS: dict[Units, tuple[float, ...]] = {
    "US": (0.25 * 0.0254, 0.125 * 0.0254, 0.0625 * 0.0254),
    "SI": (0.005, 0.002, 0.001),
}  # of a tape, the coarsest first that keeps everything [m]
SWING = math.radians(45.0)  # a tethered float turns over so far above and below its tie, common practice, no source
FLOAT_REACH = 0.10  # length of the float beyond its tether, common practice, no source [m]
CLOSE = 1e-9  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class FloatMark:
    """One float, where a tape sets it."""

    name: FloatName
    level: float  # of the job's datum [m]
    above_floor: float  # on a mark of the tape [m]
    below_rim: float  # [m]
    below_inlet: float  # below the lowest pipe's invert; negative above it [m]
    moved: float  # from the level reckoned with; positive upwards [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class FloatMarks:
    """All floats of a basin, set by tape."""

    marks: tuple[FloatMark, ...]  # from below
    step: float  # of the tape's marks; 0 where no mark keeps everything and the levels stand as reckoned [m]
    band_volume: float  # between off and on [m³]
    alarm_volume: float  # between on and alarm [m³]
    reserve_volume: float  # between on and the lowest pipe [m³]
    tether: float | None  # free length of a tethered float, to its middle; None for other floats [m]
    tether_room: float | None  # half the basin's width, less the float's reach [m]

    def of(self, name: FloatName) -> FloatMark | None:
        """The float of that name."""
        return next((mark for mark in self.marks if mark.name == name), None)


def _kept(station: LiftStation, heights: dict[FloatName, float], floor: float) -> frozenset[str]:
    """The constraints that a set of heights keeps."""
    off, on, alarm = heights["off"], heights["on"], heights["alarm"]
    second = heights.get("second on", (on + alarm) / 2.0)
    inlet = station.lowest_inlet - floor
    least = FLOAT_ROOM[station.pump.float_kind] / (1.0 if "second on" in heights else 2.0)  # else midway there is none
    checks = {
        "pump stays wet": off >= station.pump.minimum_depth - CLOSE,
        "order": off < on < second < alarm,
        "starts": on - off >= (station.on - station.off) - CLOSE,
        "below the lowest pipe": on <= inlet - ON_BELOW + CLOSE,
        "at the lowest pipe": on <= inlet + CLOSE,
        "alarm before the pipe": alarm <= inlet + CLOSE,
        "room between floats": min(alarm - second, second - on) >= least - CLOSE,
    }
    return frozenset(name for name, held in checks.items() if held)


def _marks(value: float, step: float) -> tuple[float, ...]:
    """The tape's marks next to a height, the nearest first."""
    low = math.floor(value / step + 1e-6) * step
    return tuple(sorted((low - step, low, low + step, low + 2.0 * step), key=lambda mark: (abs(mark - value), mark)))


def float_marks(station: LiftStation, units: Units) -> FloatMarks:
    """Set a basin's floats on the marks of a tape.

    Parameters
    ----------
    station : LiftStation
        With its levels as reckoned.
    units : Units
        Of the tape: quarters of an inch, or 5 mm; finer where a coarser mark would fail something that the levels as
        reckoned keep: the pump's least depth, the volume for the starts, the clearance below the lowest pipe, the
        order, the room between the floats, and the alarm below the pipe.

    Returns
    -------
    FloatMarks
        Off, on, second on and alarm, with the volumes between them.
    """
    floor = station.floor
    exact: dict[FloatName, float] = {"off": station.off - floor, "on": station.on - floor}
    if station.second_on is not None:
        exact["second on"] = station.second_on - floor
    exact["alarm"] = station.alarm - floor
    must = _kept(station, exact, floor)
    names = tuple(exact)
    chosen, step = exact, 0.0
    for size in MARKS[units]:
        fits = [
            dict(zip(names, marks, strict=True))
            for marks in itertools.product(*(_marks(exact[name], size) for name in names))
            if must <= _kept(station, dict(zip(names, marks, strict=True)), floor)
        ]
        if fits:
            chosen = min(fits, key=lambda item: round(sum(abs(item[name] - exact[name]) for name in names), 9))
            step = size
            break
    with quiet():
        width = station.inside_diameter
        volume = float(basin_volume(width, max(chosen["on"] - chosen["off"], 0.0)))
        to_alarm = float(basin_volume(width, max(chosen["alarm"] - chosen["on"], 0.0)))
        reserve = float(basin_volume(width, max(station.lowest_inlet - floor - chosen["on"], 0.0)))
    tethered = station.pump.float_kind == "wide angle"
    return FloatMarks(
        marks=tuple(
            FloatMark(
                name=name,
                level=floor + chosen[name],
                above_floor=chosen[name],
                below_rim=station.rim - floor - chosen[name],
                below_inlet=station.lowest_inlet - floor - chosen[name],
                moved=chosen[name] - exact[name],
            )
            for name in names
        ),
        step=step,
        band_volume=volume,
        alarm_volume=to_alarm,
        reserve_volume=reserve,
        tether=tether_length(chosen["on"] - chosen["off"]) if tethered else None,
        tether_room=station.inside_diameter / 2.0 - FLOAT_REACH if tethered else None,
    )


def tether_length(band: float) -> float:
    """Free length of a tethered float's cord for a band: it turns over 45 degrees above and below its tie.

    Examples
    --------
    >>> round(tether_length(0.254), 3)
    0.18
    """
    return max(band, 0.0) / (2.0 * math.sin(SWING))


__all__ = ["MARKS", "FloatMark", "FloatMarks", "FloatName", "float_marks", "tether_length"]
