"""A lift station fitted into an invented place."""

from __future__ import annotations

import math
from typing import Any

from drainwright.job.values import Place
from drainwright.job.works import Basin, Criteria
from drainwright.system.bends import Bend
from drainwright.system.firm_pipes import shelf_of
from drainwright.system.lift.choice import Setting, choose
from drainwright.system.lift.pressure_line import PressureLine
from drainwright.system.lift.station import lift_station
from drainwright.system.model import LiftStation, Pipe
from drainwright.water.model import Cause

#: A quarter turn sideways half way.
CORNER = Bend(distance=15.0, along=15.0, at=(15.0, 0.0), angle=90.0, way="")
GALLON = 6.30901964e-5  # a minute [m³/s]


def line_of(pipe: Pipe, length: float = 30.0, start: float = 29.5, end: float = 29.0, **changes: Any) -> PressureLine:
    figures: dict[str, Any] = {
        "name": "DL", "distances": (0.0, length / 2, length), "inverts": (start, (start + end) / 2, end), "pipe": pipe,
        "tailwater": -math.inf, "bends": (CORNER,), "check_valve": True,
    }  # fmt: skip
    return PressureLine(**(figures | changes))


def setting(flow: float = 20 * GALLON, basin: dict[str, Any] | None = None, **changes: Any) -> Setting:
    given = Basin.model_validate({"name": "SUMP", "at": Place(east=0.0, north=0.0)} | (basin or {}))
    figures: dict[str, Any] = {
        "basin": given, "given": True, "at": (0.0, 0.0), "ground": 30.0, "rim": 30.05, "lowest_inlet": 29.0,
        "flows": {Cause.GROUND: flow / 4, Cause.ROOF: flow * 3 / 4}, "criteria": Criteria(), "water_table": 29.5,
        "soil_unit_weight": None, "units": "US", "line_pipe": None, "line": line_of,
        "shelf": shelf_of(()),
    }  # fmt: skip
    return Setting(**(figures | changes))


def station_of(item: Setting) -> tuple[LiftStation, PressureLine]:
    station, line, _ = lift_station(item, choose(item))
    return station, line
