"""The takeoff: everything to buy, to hire and to bring, counted from the design, and the holes to cut."""

from __future__ import annotations

from drainwright.build.takeoff.bodies import sold_size
from drainwright.build.takeoff.pipes import Counted, count, pipe_key, short_runs
from drainwright.build.takeoff.pump import pump_key
from drainwright.build.takeoff.whole import take_off

__all__ = ["Counted", "count", "pipe_key", "pump_key", "short_runs", "sold_size", "take_off"]
