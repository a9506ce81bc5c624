"""What to write in the job document for a condition of the grading to give way: the key, and a figure if it has one."""

from __future__ import annotations

import math

from drainwright.errors import JobError
from drainwright.field.words import Units
from drainwright.job.changes import changed_job
from drainwright.job.model import Job
from drainwright.job.works import Basin
from drainwright.job.writing import to_json
from drainwright.quantities import write
from drainwright.system.grading.model import GravityLine, Relief


def _rounded(value: float, step: float, up: bool) -> float:
    return (math.ceil(value / step - 1e-6) if up else math.floor(value / step + 1e-6)) * step


def _level(value: float, units: Units, up: bool) -> str:
    step, unit = (0.003048, "ft") if units == "US" else (0.001, "m")
    return write(_rounded(value, step, up), "length", units, unit, 2 if units == "US" else 3)


def _percent(value: float, units: Units, up: bool) -> str:
    return write(_rounded(value, 1e-4, up), "grade", units, "%", 2)


def _less(asked: float, amount: float, units: Units) -> str | None:
    """A size that gives way by an amount, rounded down; None where it would be less than none."""
    least = _rounded(asked - amount, 0.0254 / 8.0 if units == "US" else 0.001, up=False)
    if least < 0.0:
        return None
    return write(least, "length", units, "in" if units == "US" else "mm", None if units == "US" else 0)


def _named(section: str, name: str, last: str) -> str:
    """A key by name, as ``whatif --set`` takes it: ``works.runs.FD1.grade``."""
    return f"works.{section}.{name}.{last}"


def _basin_key(job: Job, name: str) -> str:
    basin = job.works.basin
    if isinstance(basin, Basin) and basin.name == name:
        return "works.basin.depth"
    return _named("more_basins", name, "depth")


def _key(relief: Relief, line: GravityLine | None, job: Job, units: Units) -> tuple[str, str | None]:
    """The key and its new figure; empty where the job has no key for it, or no one figure; None: less than nothing."""
    item, amount, lower = relief.condition, relief.amount or 0.0, relief.lower
    name, criteria = item.name, job.criteria
    drawn = name in {run.name for run in job.works.runs}
    match item.kind:
        case "grade" if line is not None:
            least = _percent(line.minimum_grade - amount, units, up=False)
            return (_named("runs", name, "grade") if drawn else "criteria.minimum_grade", least)
        case "steep" if line is not None and line.maximum_grade is not None:
            return "criteria.maximum_grade", _percent(line.maximum_grade + amount, units, up=True)
        case "cover" if line is not None:
            differs = line.covers and max(line.covers) > min(line.covers)
            if differs or line.cover > criteria.minimum_cover + 1e-6:
                return "criteria.minimum_cover and criteria.traffic_cover", ""
            return "criteria.minimum_cover", _less(criteria.minimum_cover, amount, units)
        case "capacity" if drawn:
            return _named("runs", name, "pipe"), ""
        case "clearance":
            return "criteria.drain_below_floor", _less(criteria.drain_below_floor, amount, units)
        case "overflow" if drawn and line is not None and line.above is not None:
            return _named("runs", name, "invert_from"), _level(line.above - amount, units, up=False)
        case "utility":
            other = next((one.name for one in job.utilities if item.other.startswith(one.name)), "")
            return (f"utilities.{other}.depth and its located_by, once it is exposed" if other else "", "")
        case "outlet" if line is not None and line.outlet is not None:
            to = line.outlet - amount if lower else line.outlet + amount
            return _named("discharge", line.lower, "invert"), _level(to, units, up=not lower)
        case "fixed upper" if line is not None and line.invert_upper is not None:
            to = line.invert_upper - amount if lower else line.invert_upper + amount
            return _named("runs", name, "invert_from"), _level(to, units, up=not lower)
        case "fixed lower" if line is not None and line.invert_lower is not None:
            to = line.invert_lower - amount if lower else line.invert_lower + amount
            return _named("runs", name, "invert_to"), _level(to, units, up=not lower)
        case "fixed grade" if line is not None and line.grade is not None:
            to = line.grade - amount if lower else line.grade + amount
            return _named("runs", name, "grade"), _percent(to, units, up=not lower)
        case "drop":
            return "criteria.inlet_drop", _less(criteria.inlet_drop, amount, units)
        case "freeboard":
            return "criteria.grate_freeboard", _less(criteria.grate_freeboard, amount, units)
        case "basin":
            return _basin_key(job, name), ""
        case _:
            return "", ""


def with_key(said: str, relief: Relief, line: GravityLine | None, job: Job, units: Units) -> str | None:
    """A remedy with what to write in the job for it.

    Parameters
    ----------
    said : str
        The remedy, a sentence.
    relief : Relief
        What gives way, by how much; without an amount nothing is added.
    line : GravityLine or None
        The line that the condition is asked of, if it is one of a line.
    job : Job
        The document.
    units : {"US", "SI"}
        The job's.

    Returns
    -------
    str or None
        The sentence with the key, and the figure where one figure does it; None where the job would refuse it: a size
        below none, or an end of a run above its inlet's rim.
    """
    key, figure = ("", "") if relief.amount is None else _key(relief, line, job, units)
    if figure is None or (figure and ".invert_" in key and not _taken(job, key, figure)):
        return None
    if not key:
        return said
    return f"{said.removesuffix('.')} (in the job: {key}{': ' + figure if figure else ''})."


def _taken(job: Job, key: str, figure: str) -> bool:
    """Whether the job with this figure is one."""
    try:
        changed_job(to_json(job), {key: figure})
    except JobError:
        return False
    return True


__all__ = ["with_key"]
