"""Checks that look at each lift station in turn, and how a station is named."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import wraps

from drainwright.findings.rules import Case, Check, Outcome
from drainwright.job.works import Basin
from drainwright.system.model import LiftStation

StationCheck = Callable[[Case, LiftStation, str], Iterator[Outcome]]


def station_place(case: Case, name: str) -> str:
    """The place of a station in the job: ``works.basin``, or ``works.more_basins.NAME``."""
    more = {basin.name for basin in case.job.works.more_basins}
    return f"works.more_basins.{name}" if name in more else "works.basin"


def basin_of(case: Case, name: str) -> Basin | None:
    """The basin of a station as the job gives it; ``None`` where it was left to the design."""
    return case.job.works.basin_named(name)


def each_station(check: StationCheck) -> Check:
    """A check of one station as a check of all of them, in the order of the water."""

    @wraps(check)
    def every(case: Case) -> Iterator[Outcome]:
        for station in case.system.stations:
            yield from check(case, station, station_place(case, station.name))

    return every


def the_pump(case: Case, station: LiftStation) -> str:
    """``The pump``, or ``The pump of YARD`` where there are several."""
    return "The pump" if len(case.system.stations) == 1 else f"The pump of {station.name}"


__all__ = ["StationCheck", "basin_of", "each_station", "station_place", "the_pump"]
