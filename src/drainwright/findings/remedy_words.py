"""Remedies with what they cost, as advice."""

from __future__ import annotations

from drainwright.build.remedies import cost_of
from drainwright.findings.rules import Case
from drainwright.storm.failures.remedy import Remedy, RemedyKind

PROOF = "'drainwright storm' tries each remedy in this job and tells which works alone"


def remedy_words(case: Case, kind: RemedyKind, words: str, visits: int = 0) -> str:
    """A remedy with its cost on top of the job's price."""
    station = case.system.station
    where = station.name if station is not None else ""
    power = 0.0 if station is None or station.pump.label_power is None else station.pump.label_power
    size = power if kind == "second pump" else 1.0
    cost = cost_of(Remedy(kind=kind, title=words, where=where, size=size, visits=visits), case.site, case.system)
    by = " by invented prices" if cost.invented and not cost.included else ""
    return f"{words} ({cost.words}{by})"


def advised(case: Case, group: str, what: str) -> str:
    """What to do against a failure, with what it costs."""
    second = "a second pump with a float of its own"
    visit = remedy_words(case, "service", "a yearly visit", 1)
    clear = remedy_words(case, "cleaning", "clearing twice a year", 2)
    if group == "pump":
        station = case.system.station
        pair = "" if station is None or station.second_on is not None else remedy_words(case, "second pump", second)
        others = f"; {pair}" if pair else ""
        return f"{what} What guards against it: {visit}{others}. {PROOF}."
    if group == "leaves and roots":
        inlet = remedy_words(case, "second inlet", "a second inlet")
        return f"{what} What guards against it: {clear}; {inlet}. {PROOF}."
    return f"{what} {PROOF}."


__all__ = ["PROOF", "advised", "remedy_words"]
