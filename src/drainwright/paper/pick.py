"""The pick list: what must be on site by which day."""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.build.model import TakeoffLine
from drainwright.build.shown import shown
from drainwright.build.uses import task_of
from drainwright.design import Design
from drainwright.findings.stone import asked_words


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """One thing to have on site."""

    day: int  # working day; 0 is before the first
    category: str
    key: str
    description: str
    quantity: float  # in ``unit``
    unit: str  # of the job's units
    where: str


def pick_list(design: Design) -> tuple[Pick, ...]:
    """What to have on site, by the day of the work that needs it.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of Pick
        By day, then in the order of the takeoff. Permits and what no work names come before the first day.
    """
    days = {task.key: task.day for task in design.build.plan.tasks}
    picks = [
        Pick(
            day=days.get(task_of(line, days), 0), category=line.category, key=line.key,
            description=line.description + (f": {asked}" if (asked := fabric_asked(design, line)) else ""),
            quantity=quantity, unit=unit, where=line.where,
        )
        for line in design.build.takeoff.lines
        for quantity, unit in (shown(line, design.job.units),)
    ]  # fmt: skip
    return tuple(sorted(picks, key=lambda pick: pick.day))


def fabric_asked(design: Design, line: TakeoffLine) -> str:
    """What the data sheet of the fabric bought must say, by the soil; empty for other things."""
    if line.category != "fabric":
        return ""
    runs = [run.name for run in design.system.runs if run.fabric]
    sections = [section for name, section in design.system.sections.items() if name in runs]
    return "; ".join(dict.fromkeys(asked_words(section.fabric, design.job.units) for section in sections))


def noted(design: Design, line: TakeoffLine) -> str:
    """The note of a line; for fabric also what its data sheet must say."""
    return "; ".join(part for part in (line.note, fabric_asked(design, line)) if part)


__all__ = ["Pick", "fabric_asked", "noted", "pick_list"]
