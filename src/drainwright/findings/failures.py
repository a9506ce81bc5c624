"""Checks of the further failures: floats, valve, relief hole, leaves, roots, more water; the alarm; what comes in."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.findings.failure_words import FILM
from drainwright.findings.places import counted
from drainwright.findings.remedy_words import PROOF, advised
from drainwright.findings.rules import Case, Check, Outcome, caution, ok, rule
from drainwright.findings.storms import _failed
from drainwright.storm.model import StormCase

LEAST_WARNING = 1800.0  # a warning shorter than this is minded: common practice, no source [s]


def _besides(case: Case, result: StormCase) -> str:
    """Starts and running time beside those of the sound case, where the pump works on."""
    sound = case.storm.cases[0]
    if result.key.partition(":")[0] != "check valve leaks" or not result.pump_starts:
        return ""
    ran, usual = case.hours(result.pump_seconds), case.hours(sound.pump_seconds)
    starts = f"{counted(result.pump_starts, 'start')} and {ran} of running"
    return f" {starts}, {sound.pump_starts} and {usual} with everything sound."


def _check(key: str, group: str, what: str) -> Check:
    def check(case: Case) -> Iterator[Outcome]:
        for result in case.storm.further:
            if result.key == key or result.key.startswith(f"{key}: "):
                for outcome in _failed(case, result, advised(case, group, what, result)):
                    more = _besides(case, result)
                    yield Outcome(
                        severity=outcome.severity, where=outcome.where, figure=outcome.figure, limit=outcome.limit,
                        message=outcome.message + more, advice=outcome.advice, basis=outcome.basis,
                    )  # fmt: skip

    return check


for _id, _title, _key, _group, _what in (
    ("STM-10", "If the float sticks low", "float stuck off", "pump", "Move the floats by hand twice a year."),
    ("STM-11", "If the float sticks high", "float stuck on", "pump",
     "Tie the floats so that nothing catches them; a pump that hums in dry weather is looked at the same day."),
    ("STM-12", "If the check valve leaks", "check valve leaks", "pump", "Listen for water that runs back at each stop."),
    ("STM-13", "If the relief hole is plugged", "relief hole plugged", "pump", "See at each visit that it squirts."),
    ("STM-14", "If leaves cover one grate", "grate shut", "leaves and roots", "Sweep it before each storm."),
    ("STM-15", "If roots grow into a line", "roots", "leaves and roots", "Keep its cleanouts where they can be reached."),
    ("STM-16", "If one more downspout is led in", "leader added", "more water",
     "Lead no further roof in without reckoning it first: a stronger pump or a second one may be needed."),
    ("STM-17", "If the soil is twice as open", "soil twice as open", "more water",
     "Test the soil's conductivity in a hole before the pump is bought."),
    ("STM-18", "If the neighbour's water comes", "neighbour's water", "more water",
     "Look uphill in the rain, and lead what comes over the boundary past the house in a swale."),
):  # fmt: skip
    rule(_id, _title, "common_practice")(_check(_key, _group, _what))


@rule("STM-19", "How much water could come in", "common_practice")
def most_in(case: Case) -> Iterator[Outcome]:
    """The most that any failure lets into the house in the design storm."""
    wet = [one for one in case.storm.every if one.entering is not None]
    worst = max(wet, key=lambda one: one.entering.volume if one.entering is not None else 0.0, default=None)
    limit, basis = "none through the floor", case.water_basis
    if worst is None or worst.entering is None:
        if case.at_house(case.storm.cases[0]) is not None:
            text = "No failure that was tried lets water come in within its record."
            yield ok("storm", text, figure="none comes in", limit=limit, basis=basis)
        return
    volume, depth = case.volume(worst.entering.volume), worst.entering.depth
    deep = "" if depth is None else f", {case.small(depth) if depth >= FILM else 'a film'} over the whole floor"
    yield caution(
        "storm",
        f"Of all failures that were tried, this lets most water in: {worst.title}. At most {volume} come in{deep}.",
        figure=volume,
        limit=limit,
        advice=f"Keep what water spoils off the floor. {PROOF}, and what it costs.",
        basis=basis,
    )


@rule("STM-20", "Time to act after the alarm", "common_practice")
def warning(case: Case) -> Iterator[Outcome]:
    """From the alarm's float to the floor, in the failure that leaves least time."""
    told = [one for one in case.storm.every if one.alarm_to_slab is not None]
    if not told:
        return
    worst = min(told, key=lambda one: one.alarm_to_slab or 0.0)
    left = worst.alarm_to_slab or 0.0
    figure, limit, basis = case.hours(left), f"{case.hours(LEAST_WARNING)} or more", case.water_basis
    text = f"The alarm leaves {figure} until water reaches the {case.floor_name}, where it leaves least: {worst.title}."
    if left >= LEAST_WARNING:
        yield ok("storm", text, figure=figure, limit=limit, basis=basis)
    else:
        yield caution(
            "storm",
            text,
            figure=figure,
            limit=limit,
            advice="Set the alarm's float lower, and let it call a telephone. An alarm alone keeps no floor dry.",
            basis=basis,
        )
