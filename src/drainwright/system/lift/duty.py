"""Where a pump runs on its line: as the level moves, new and worn."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.hydraulics.pressure import pipe_velocity
from drainwright.hydraulics.pump import OperatingPoint, PumpCurve, operating_point
from drainwright.hydraulics.pump_service import worn_head
from drainwright.system.lift.pressure_line import PressureLine
from drainwright.system.lift.pump_model import DutyPoint, LevelName

ALL_WORN = 0.999  # a pump that has lost more of its head lifts nothing that counts [-]


def worn(curve: PumpCurve, wear: float) -> PumpCurve:
    """The curve of a worn pump: at each flow its head less the share that is lost.

    Parameters
    ----------
    curve : PumpCurve
        The new pump's.
    wear : float
        Share of its head that it has lost, from 0 to 1. [-]

    Returns
    -------
    PumpCurve
        Lowered; its last flow stays the end of the sheet.
    """
    wear = min(wear, ALL_WORN)
    return PumpCurve(flows=curve.flows, heads=tuple(float(worn_head(head, wear)) for head in curve.heads))


def at_level(curve: PumpCurve, line: PressureLine, level: float, floor: float) -> OperatingPoint:
    """A pump's curve on the discharge line with the water in the basin at a level."""
    return operating_point(curve, line.curve(level, floor))


def duty_points(
    curve: PumpCurve, line: PressureLine, levels: Sequence[tuple[LevelName, float]], floor: float, wear: float
) -> tuple[DutyPoint, ...]:
    """Operating points as the level moves.

    Parameters
    ----------
    curve : PumpCurve
        The pump's.
    line : PressureLine
        The discharge line.
    levels : sequence of (str, float)
        Names and levels. [m]
    floor : float
        The basin's. [m]
    wear : float
        Share of its head that the worn pump has lost. [-]

    Returns
    -------
    tuple of DutyPoint
        One for each level, in their order.
    """
    old = worn(curve, wear)
    found = []
    for name, level in levels:
        point = at_level(curve, line, level, floor)
        found.append(
            DutyPoint(
                place=name,
                level=level,
                flow=point.flow,
                head=point.head,
                velocity=float(pipe_velocity(point.flow, line.pipe.inside)),
                worn_flow=at_level(old, line, level, floor).flow,
                beyond_curve=point.beyond_curve,
            )
        )
    return tuple(found)


__all__ = ["at_level", "duty_points", "worn"]
