"""Remedies with what they cost, as advice."""

from __future__ import annotations

from drainwright.build.remedies import cost_of
from drainwright.findings.rules import Case
from drainwright.storm.failures.remedy import Remedy, RemedyKind
from drainwright.storm.model import StormCase
from drainwright.system.model import LiftStation

ONE_MORE = "Fit a second pump"
STAND_IN = (
    "The second pump alone does not hold the storm: take a stronger one, on a float and a circuit of its own, and fit an "
    "alarm that wakes someone."
)
PROOF = "'drainwright storm' tries each remedy in this job and tells which works alone"


def _struck(case: Case, result: StormCase | None) -> LiftStation | None:
    """The station whose pump a failure strikes; the one at the house where it strikes none in particular."""
    name = None if result is None else result.failed or result.key.partition(": ")[2]
    named = case.system.station_named(name) if name else None
    return named if named is not None else case.system.station


def remedy_words(case: Case, kind: RemedyKind, words: str, visits: int = 0, station: LiftStation | None = None) -> str:
    """A remedy with its cost on top of the job's price, at a station."""
    where = station.name if station is not None else ""
    cost = cost_of(Remedy(kind=kind, title=words, where=where, size=1.0, visits=visits), case.site, case.system)
    by = " by invented prices" if cost.invented and not cost.included else ""
    return f"{words} ({cost.about}{by})"


def advised(case: Case, group: str, what: str, result: StormCase | None = None) -> str:
    """What to do against a failure, with what it costs at the station that it strikes."""
    station = _struck(case, result)
    visit = remedy_words(case, "service", "a yearly visit", 1, station)
    clear = remedy_words(case, "cleaning", "clearing twice a year", 2, station)
    if group == "pump":
        there = station is not None and station.second_on is not None
        others = "" if station is None else "; a second pump with a float of its own"
        if there:  # a visit does not lift the storm's water
            others = "; an overflow by gravity above the floats, if there is any fall"
        said = STAND_IN if there and what.startswith(ONE_MORE) else what
        return f"{said} What guards against it: {visit}{others}. {PROOF}."
    if group == "leaves and roots":
        inlet = remedy_words(case, "second inlet", "a second inlet")
        return f"{what} What guards against it: {clear}; {inlet}. {PROOF}."
    return f"{what} {PROOF}."


__all__ = ["PROOF", "advised", "remedy_words"]
