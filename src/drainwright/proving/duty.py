"""What leaves a basin while its pump works: the line's flow at each level, with what the relief hole gives back."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from drainwright.hydraulics.arrays import Array
from drainwright.hydraulics.openings import relief_hole_flow
from drainwright.hydraulics.pump import PressurePipe, PumpCurve
from drainwright.job.works import Basin
from drainwright.storm.pump_tables import alone_table
from drainwright.system.lift.pressure_line import PUMP_OUTLET, SMOOTH_WALL
from drainwright.system.lift.station import CHECK_VALVE_UP
from drainwright.system.model import LiftStation, Pipe, SizedRun, System
from drainwright.worksheet import quiet

FLOWS = 1500  # on which the balance is looked at [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty:
    """A pump on its line, with a relief hole in the riser."""

    curve: PumpCurve
    pipe: PressurePipe
    static: float  # lift from the off level [m]
    off: float  # [m]
    hole: float  # diameter of the relief hole; 0: none [m]
    hole_in_basin: bool  # what squirts out falls back

    def leaves(self, level: float) -> float:
        """Flow out of the basin with the water at a level; the sheet's last flow where it runs beyond. [m³/s]

        At a flow q in the line the riser stands under the head H(q) = lift + losses; the hole lets r(H) out, and the
        pump delivers q + r at H. That is solved for q.
        """
        with quiet():
            line = np.linspace(0.0, self.curve.runout, FLOWS)
            head = self.static - (level - self.off) + np.asarray(self.pipe.head_loss(line))
            squirts = np.asarray(relief_hole_flow(self.hole, np.maximum(head, 0.0)))
            whole = np.minimum(line + squirts, self.curve.runout)
            over = np.asarray(self.curve.head(whole)) - head
        if over[0] <= 0.0:
            return 0.0
        at = float(np.interp(0.0, -over, line)) if over[-1] < 0.0 else float(line[-1])
        return at if self.hole_in_basin else at + float(np.interp(at, line, squirts))


def duty_of(station: LiftStation, run: SizedRun, basin: Basin | None, pipe: Pipe | None = None) -> Duty:
    """The first pump of a station on its own line, or on one of another pipe.

    Parameters
    ----------
    station : LiftStation
        As designed.
    run : SizedRun
        Its discharge line.
    basin : Basin or None
        Of the job, for the relief hole; None: 3/16 in below the check valve, as a basin of the design has.
    pipe : Pipe, optional
        In place of the line's. Its crown is where the line's is, so that the lift is the same.

    Returns
    -------
    Duty
        Without other pumps in the line.
    """
    pipe = run.pipe if pipe is None else pipe
    williams = pipe.hazen_williams
    hole = 0.1875 * 0.0254 if basin is None else (basin.relief_hole or 0.0)
    return Duty(
        curve=station.pump.curve,
        pipe=PressurePipe(
            length=run.pipe_length + riser(station, run),
            diameter=pipe.inside,
            roughness=SMOOTH_WALL if williams is None else williams,
            loss_coefficient=station.fittings_k,
            method="darcy_weisbach" if williams is None else "hazen_williams",
        ),
        static=station.static_head,
        off=station.off,
        hole=hole,
        hole_in_basin=basin is None or basin.relief_hole_place != "outside the basin",
    )


def riser(station: LiftStation, run: SizedRun) -> float:
    """Height of the riser from the pump's outlet to the line. [m]"""
    return max(run.invert_upper - station.floor - PUMP_OUTLET, 0.0)


def over_the_valve(station: LiftStation, run: SizedRun) -> float:
    """Water that stands over the check valve and could come back through it: riser and line to its highest place. [m³]

    A line that falls from the basin on empties outward: only its riser stands full.
    """
    inverts = [place.invert for place in run.stations]
    along = run.stations[inverts.index(max(inverts))].distance
    above = max(riser(station, run) - CHECK_VALVE_UP, 0.0)
    return math.pi / 4.0 * run.pipe.inside**2 * (above + along)


def expected_table(system: System, station: LiftStation, basin: Basin | None) -> tuple[Array, Array]:
    """Levels, and what leaves the basin at each with the other basins' pumps at rest. [m, m³/s]

    Where several basins pump into one line, the line's table is taken as it is, without the relief hole.
    """
    levels, flows = alone_table(system, station)
    if on_main(system, station):
        return levels, flows
    duty = duty_of(station, system.run(station.discharge_run), basin)
    return levels, np.array([duty.leaves(float(level)) for level in levels])


def on_main(system: System, station: LiftStation) -> bool:
    """Whether another basin pumps into the same line."""
    return any(station.name in main.basins for main in system.mains)


__all__ = ["Duty", "duty_of", "expected_table", "on_main", "over_the_valve", "riser"]
