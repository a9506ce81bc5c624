"""What the grading gave up, and which of its conditions stand in each other's way."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from drainwright.findings.footing_room import NOT_LOWER, room_below
from drainwright.findings.rules import Case, Outcome, caution, fails, rule
from drainwright.system.grading.model import Demand, Relaxable, Relaxed

LEVELS: frozenset[Demand] = frozenset({"grade", "fixed grade", "fixed upper", "fixed lower", "uphill"})
_AS_ASKED: Mapping[str, str] = {"bed": "footing", "flat": "grade"}  # kinds that one condition covers
_FALL = "Give it more fall: let it start higher, end lower, or run a shorter way."
_LEAVE = "Let it start lower, or let what drains into it end higher."
_LOW = "Let it lie lower, lay thick-walled pipe there, or fill the ground over it."
_PIPE = "Take a larger or smoother pipe, or lead less water into it."
_BESIDE = "Never dig into what bears the footing: let it lie higher, or lead it another way."
#: What to do where no conflict tells what each remedy takes.
ALONE: Mapping[Relaxable, str] = {
    "grade": _FALL,
    "flat": _FALL,
    "uphill": "Set its ends so that it falls with the flow.",
    "steep": "Let it drop at its upper end, or allow a greater grade (criteria.maximum_grade).",
    "cover": _LOW,
    "bare": _LOW,
    "size": "Take a pipe no smaller than those that drain into it.",
    "capacity": _PIPE,
    "freeboard": "Raise the rim where it starts, or take a larger pipe.",
    "drop": _LEAVE,
    "crown": _LEAVE,
    "junction": _LEAVE,
    "overflow": "Let it start higher, or let the line that runs first start lower.",
    "clearance": "Let it start lower, or give the floor another remedy.",
    "basin": "Take a deeper basin.",
    "utility": "Have the buried line found by hand first, then lead this one clear of it.",
    "bed": _BESIDE,
    "footing": _BESIDE,
    "outlet": "Set the level of its way out by what is found there, or take another way out.",
}

#: The same for a run whose trench ends at the bottom of a footing.
AT_FOOTING: Mapping[Relaxable, str] = {
    **dict.fromkeys(("grade", "flat"), f"{NOT_LOWER[0].upper()}{NOT_LOWER[1:]}"),
    **dict.fromkeys(
        ("cover", "bare"), "Lay thick-walled pipe there, or fill the ground over it: below it is the footing."
    ),
    "clearance": "Give the floor another remedy: the footing's bottom is in the way of a deeper drain (FTG-02).",
}


def in_conflict(case: Case, name: str, kinds: Collection[str]) -> bool:
    """Whether a conflict with a remedy names one of these conditions of a run or place."""
    return any(
        item.name == name and item.kind in kinds
        for clash in case.system.clashes
        if any(relief.amount is not None for relief in clash.reliefs)
        for item in clash.members
    )


def choose(name: str) -> str:
    """Advice for a run that a conflict names: its own order could be against the remedies there."""
    return f"Do not move {name} by itself: choose among the remedies that NET-16 gives where it names {name}."


def _named(case: Case, item: Relaxed) -> bool:
    kind = _AS_ASKED.get(item.kind, item.kind)
    kinds = LEVELS if kind in LEVELS else {kind}
    run = next((one for one in case.system.runs if one.name == item.line), None)
    places = (item.line,) if run is None else (item.line, run.upper, run.lower)
    return any(in_conflict(case, name, kinds) for name in places)


def _alone(case: Case, item: Relaxed) -> str:
    """What to do by itself; what lies at a footing's bottom is not sent lower."""
    run = next((one for one in case.system.runs if one.name == item.line), None)
    if run is not None and item.kind in AT_FOOTING and room_below(case.site, run) < item.amount:
        return AT_FOOTING[item.kind]
    return ALONE[item.kind]


@rule("NET-12", "Constraints that could not be kept together", "common_practice")
def conflicts(case: Case) -> Iterator[Outcome]:
    """What the grading had to give up."""
    gave = [item for grading in case.system.gradings for item in grading.relaxed]
    for text, item in zip(case.system.conflicts, gave, strict=True):
        yield fails(
            f"works.runs.{item.line}",
            text,
            figure="pipe too small" if item.kind == "size" else f"{case.small(item.amount)} missing",
            limit="kept with all others",
            advice=choose(item.line) if _named(case, item) else _alone(case, item),
        )


@rule("NET-16", "What stands in each other's way", "common_practice")
def clashes(case: Case) -> Iterator[Outcome]:
    """Conditions that cannot be kept together, and for each that can give way alone by how much it would have to."""
    runs = {run.name for run in case.system.runs}
    for clash in case.system.clashes:
        name = next((item.name for item in clash.members if item.name in runs), None)
        able = [text for item, text in zip(clash.reliefs, clash.remedies, strict=True) if item.amount is not None]
        if able:
            several = "any one of these alone would be enough: " if len(able) > 1 else ""
            advice = f"Choose on purpose; {several}{' '.join(able)}" if several else f"Choose on purpose: {able[0]}"
        else:
            advice = "Nothing helps alone: take another route, or change two of them together."
        yield caution(
            "works.runs" if name is None else f"works.runs.{name}",
            f"These cannot all be kept. {clash.words}",
            figure=f"{len(clash.members)} conditions",
            limit="all kept together",
            advice=advice,
        )
