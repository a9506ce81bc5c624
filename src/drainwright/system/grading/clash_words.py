"""What stands in each other's way, and what would help, in words with numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.field.words import Units
from drainwright.job.model import Job
from drainwright.quantities import write
from drainwright.system.grading.keys import with_key
from drainwright.system.grading.model import Clash, Condition, GravityLine, Meeting, Relief

TOLD = 3  # things given up elsewhere that are named
_GRADES = ("grade", "steep", "fixed grade")


def _small(value: float, units: Units) -> str:
    """A length of inches or millimetres, rounded up, so that a relief said is enough."""
    if units == "US":
        inches = math.ceil(value / 0.0254 * 8.0 - 1e-6) / 8.0
        return write(inches * 0.0254, "length", "US", "in" if inches < 24.0 else "ft-in")
    return write(math.ceil(value * 1000.0 - 1e-6) / 1000.0, "length", "SI", "mm", 0)


def _level(value: float, units: Units) -> str:
    return write(value, "length", units, "ft" if units == "US" else "m")


def _grade(value: float, units: Units) -> str:
    return write(value, "grade", units, "%", 2)


class _Said:
    """Conditions and reliefs of some lines, in words."""

    def __init__(self, lines: Sequence[GravityLine], meetings: Sequence[Meeting], units: Units) -> None:
        self.lines = {line.name: line for line in lines}
        self.meetings = {item.name: item for item in meetings}
        self.units = units

    def asked(self, item: Condition) -> str:
        """What a condition asks."""
        units, name, line, at = self.units, item.name, self.lines.get(item.name), self.meetings.get(item.name)
        match item.kind:
            case "grade" if line is not None:
                return f"{name}: falls at least {_grade(line.minimum_grade, units)}"
            case "steep" if line is not None and line.maximum_grade is not None:
                return f"{name}: falls at most {_grade(line.maximum_grade, units)}"
            case "cover" if line is not None:
                return f"{name}: {_small(line.cover, units)} of cover"
            case "capacity":
                return f"{name}: carries its design flow"
            case "clearance" if line is not None and line.ceiling is not None:
                return f"{name}: starts no higher than {_level(line.ceiling, units)}, to drain below the floor"
            case "overflow" if line is not None and line.above is not None:
                return f"{name}: leaves its place no lower than {_level(line.above, units)}, the first line's top there"
            case "footing":
                return f"{name}: its trench stays out of the ground that bears the footing"
            case "utility":
                return f"{name}: passes clear of the {item.other}"
            case "outlet" if line is not None and line.outlet is not None:
                return f"{name}: its outlet at {_level(line.outlet, units)}"
            case "fixed upper" if line is not None and line.invert_upper is not None:
                return f"{name}: its upper end fixed at {_level(line.invert_upper, units)}"
            case "fixed lower" if line is not None and line.invert_lower is not None:
                return f"{name}: its lower end fixed at {_level(line.invert_lower, units)}"
            case "fixed grade" if line is not None and line.grade is not None:
                return f"{name}: its grade fixed at {_grade(line.grade, units)}"
            case "drop" if at is not None:
                return f"{name}: {_small(at.drop, units)} of fall through the catch basin"
            case "freeboard" if at is not None:
                return f"{name}: the water stays {_small(at.freeboard, units)} below the rim"
            case "basin" if at is not None and at.lowest is not None:
                return f"{name}: a basin of this height takes no pipe lower than {_level(at.lowest, units)}"
            case "crown":
                return f"{name}: a larger pipe's top lies no higher than that of the smaller one that drains into it"
            case "size":
                return f"{name}: no smaller pipe follows a larger one"
            case "junction":
                return f"{name}: water leaves no higher than it comes in"
            case "uphill":
                return f"{name}: does not rise with the flow"
            case "bare":
                return f"{name}: stays in the ground"
            case _:
                return f"{name}: {item.kind}"

    def helped(self, relief: Relief) -> str:
        """What would help, by how much."""
        item, units = relief.condition, self.units
        said, line = self.asked(item), self.lines.get(item.name)
        if relief.amount is None:
            return f"{said}: cannot give way enough by itself."
        by = _small(relief.amount, units)
        match item.kind:
            case "grade" if line is not None:
                least = _grade(math.floor((line.minimum_grade - relief.amount) * 1e4 + 1e-6) / 1e4, units)
                return f"Let {item.name} fall at {least} where {_grade(line.minimum_grade, units)} is asked."
            case "steep" if line is not None and line.maximum_grade is not None:
                return f"Let {item.name} fall at {_grade(line.maximum_grade + relief.amount, units)}."
            case "cover":
                return f"Take {by} less cover on {item.name}."
            case "capacity":
                how = "larger or smoother, or lead less in"
                return f"Lay {item.name} in a pipe that needs {by} less fall at its design flow: {how}."
            case "clearance":
                return f"Let {item.name} start {by} higher below the floor."
            case "overflow":
                return f"Let {item.name} leave its place {by} lower, or the line that runs first start {by} lower."
            case "footing":
                return f"Lay {item.name} on {by} less stone, and never dig into what bears the footing."
            case "utility":
                how = "found by hand first, or have its owner move it"
                return f"Let {item.name} pass {by} nearer to the {item.other}, {how}."
            case "outlet":
                way = "lower, if a lawful way out lies there" if relief.lower else "higher"
                return f"End {item.name} {by} {way}."
            case "fixed upper" | "fixed lower":
                end = item.kind.removeprefix("fixed ")
                return f"Set the {end} end of {item.name} {by} {'lower' if relief.lower else 'higher'}."
            case "fixed grade" if line is not None and line.grade is not None:
                to = line.grade + (-relief.amount if relief.lower else relief.amount)
                return f"Give {item.name} a grade of {_grade(to, units)}."
            case "drop":
                return f"Let the pipes fall {by} less through {item.name}."
            case "freeboard":
                return f"Let the water at {item.name} stand {by} nearer to the rim, or raise the rim."
            case "basin":
                return f"Take a basin {by} deeper at {item.name}."
            case "crown":
                return f"Let the top of the larger pipe at {item.name} lie {by} above that of the smaller."
            case _:
                return f"{said}: by {by}."

    def elsewhere(self, others: Sequence[Relief]) -> str:
        """What is given up for other conflicts, the dearest first."""
        dearest = sorted(others, key=lambda item: (-item.price, item.condition))
        named = [f"{self.asked(one.condition)}, by {_small(self._height(one), self.units)}" for one in dearest[:TOLD]]
        return "; ".join([*named, *([f"and {len(others) - TOLD} more"] if len(others) > TOLD else [])])

    def _height(self, relief: Relief) -> float:
        amount = relief.amount or 0.0
        line = self.lines.get(relief.condition.name)
        return amount * line.length if line is not None and relief.condition.kind in _GRADES else amount

    def counted(self, clash: Clash) -> str:
        """The members, those that the design breaks with how far."""
        broken = {item.condition: item for item in clash.counted}
        return "; ".join(
            self.asked(item)
            + (
                f" (counted as drawn: {_small(self._height(broken[item]), self.units)} short of it)"
                if item in broken
                else ""
            )
            for item in clash.members
        )

    def together(self, reliefs: Sequence[Relief]) -> str:
        """What the members want together: one height only where any of them would give the same."""
        heights = {_small(self._height(item), self.units) for item in reliefs if item.amount is not None}
        if not heights:
            return "they cannot all be kept, and none of them can give way enough by itself"
        if len(heights) > 1:
            return "each would have to give way by a height of its own, as the remedies say"
        return f"together they want {heights.pop()} more height than there is"


def worded(
    clash: Clash, lines: Sequence[GravityLine], meetings: Sequence[Meeting], units: Units, job: Job | None = None
) -> Clash:
    """The conflict with its words: members, what is missing, and each relief, the cheapest first.

    Parameters
    ----------
    clash : Clash
        As it was found.
    lines, meetings : sequence
        As they were graded.
    units : {"US", "SI"}
        The job's.
    job : Job, optional
        The document, for what to write in it; left out: the remedies do not say.

    Returns
    -------
    Clash
        With ``words`` and ``remedies``; a relief that the job would refuse has no amount.
    """
    said = _Said(lines, meetings, units)
    told = [_told(said, item, job) for item in clash.reliefs]
    told.sort(key=lambda item: item[0].amount is None)  # what the job would refuse comes last
    reliefs = tuple(item for item, _ in told)
    together = said.together(reliefs)
    if clash.others:
        together += f"; this counts on what the design gives up elsewhere ({said.elsewhere(clash.others)})"
    remedies = tuple(text for _, text in told)
    return replace(clash, words=f"{said.counted(clash)}: {together}.", reliefs=reliefs, remedies=remedies)


def _told(said: _Said, relief: Relief, job: Job | None) -> tuple[Relief, str]:
    """A relief with its words; one that the job would refuse cannot give way by itself."""
    if job is None:
        return relief, said.helped(relief)
    text = with_key(said.helped(relief), relief, said.lines.get(relief.condition.name), job, said.units)
    if text is not None:
        return relief, text
    none = replace(relief, amount=None, price=math.inf)
    return none, said.helped(none)


__all__ = ["worded"]
