"""What a study answers: in how many runs the floor got wet, how soon, and with which settings; figures in job units."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from drainwright.quantities import System, convert
from drainwright.studies.model import Outcome, Run, Study, StudyResult, Value

YEARS = "years of rain"
_LONG = re.compile(r"-?\d+\.\d{4,}(?:e[-+]?\d+)?")
_PLAIN: Mapping[str, tuple[str, float, int]] = {"s": ("min", 60.0, 1), "J": ("kWh", 3.6e6, 1)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One case of the storm test through all runs, or all years of rain."""

    case: str
    runs: int  # that went well and tell of the house
    wet: int  # in which water reached the floor
    rising: int  # whose record ended while the water still rose
    soonest: float | None  # from the start, or from the failure; None: never, or years of rain [s]
    worst: str  # settings of the soonest, or of the highest water
    best: str  # settings of the lowest water at the house
    highest: float | None  # water at the house with the worst settings [m]
    lowest: float | None  # and with the best [m]


def answers_of(result: StudyResult) -> list[Answer]:
    """The answers of a study, case by case in the order in which they come.

    Parameters
    ----------
    result : StudyResult
        Its runs; those that failed are left out.

    Returns
    -------
    list of Answer
        Empty where no run went well or no job has a drain or basin at the house.
    """
    cases: dict[str, list[tuple[Run, Outcome]]] = {}
    for run, outcome in zip(result.study.runs, result.outcomes, strict=True):
        for name in outcome.figures:
            if name.startswith("highest at house: "):
                cases.setdefault(name.removeprefix("highest at house: ").rpartition(" [")[0], []).append((run, outcome))
            elif name == "floor reached [-]" and outcome.figures[name] is not None:
                cases.setdefault(YEARS, []).append((run, outcome))
    return [_answer(result.study, case, rows) for case, rows in cases.items()]


def _answer(study: Study, case: str, rows: Sequence[tuple[Run, Outcome]]) -> Answer:
    years = case == YEARS
    tail = "" if years else f": {case}"

    def number(outcome: Outcome, name: str, unit: str) -> float | None:
        value = outcome.figures.get(f"{name}{tail} [{unit}]")
        return None if value is None or isinstance(value, str | bool) else float(value)

    high = [(level, run) for run, one in rows if (level := number(one, "highest at house", "m")) is not None]
    if years:
        wet, times, rising = sum(one.figures["floor reached [-]"] is True for _, one in rows), [], 0
    else:
        times = [(time, run) for run, one in rows if (time := number(one, "time to slab", "s")) is not None]
        wet, rising = len(times), sum(one.figures.get(f"undecided{tail} [-]") is True for _, one in rows)
    soonest, run = min(times, key=lambda each: each[0], default=(None, None))
    _, top_run = max(high, key=lambda each: each[0], default=(None, None))
    low, low_run = min(high, key=lambda each: each[0], default=(None, None))
    worst = run or top_run
    top = next((level for level, one in high if one is worst), None)
    return Answer(
        case=case, runs=len(rows), wet=wet, rising=rising, soonest=soonest, highest=top, lowest=low,
        worst="" if worst is None else settings(study, worst), best="" if low_run is None else settings(study, low_run),
    )  # fmt: skip


def settings(study: Study, run: Run) -> str:
    """What sets a run apart from the others of its study: job, changes, rain; empty: there is one run alone."""
    from drainwright.studies.tables import rain_words

    words = [study.job_names[run.job]] if len(study.jobs) > 1 else []
    words += [f"{key} = {rounded(value)}" for key, value in run.changes.items()]
    if len({json.dumps(dict(one.rain), sort_keys=True) for one in study.runs}) > 1:
        words.append(rain_words(run.rain))
    return "; ".join(words)


def rounded(value: object) -> str:
    """A value as people read it: a number drawn from a range to three figures."""
    return _LONG.sub(lambda found: f"{float(found[0]):.3g}", str(value))


def units_of(study: Study) -> System:
    """The units of a study's jobs; of several kinds those of the first."""
    found: Literal["US", "SI"] = "US" if json.loads(next(iter(study.jobs.values())))["units"] == "US" else "SI"
    return found


def in_job_units(head: str, values: Sequence[Value], units: System) -> tuple[str, list[str]]:
    """A column of the results as people read it: the heading with the job's unit, values to sensible digits.

    Parameters
    ----------
    head : str
        Name with its SI unit in brackets, or without one.
    values : sequence
        SI, or texts and truths.
    units : {"US", "SI"}
        Of the job.
    """
    name, _, unit = head.rpartition(" [")
    unit = unit.removesuffix("]") if name else ""
    us = units == "US"
    if unit == "m":
        kind, label, digits = "length", "ft" if us else "m", 2 if us else 3
        if name in ("rain depth", "deepest pond"):
            label, digits = ("in", 2) if us else ("mm", 0)
        return f"{name} [{label}]", [_number(value, digits, kind, units, label) for value in values]
    if unit == "m3":
        label = "gal" if us else "L"
        return f"{name} [{label}]", [_number(value, 0, "volume", units, label) for value in values]
    if unit in _PLAIN:
        label, size, digits = _PLAIN[unit]
        return f"{name} [{label}]", [
            f"{value / size:.{digits}f}" if isinstance(value, int | float) else _text(value) for value in values
        ]
    return (name if unit in ("-", "currency") else head), [_text(value) for value in values]


def _number(value: Value, digits: int, kind: str, units: System, label: str) -> str:
    if isinstance(value, bool | str) or value is None:
        return _text(value)
    return f"{convert(float(value), kind, units, label):.{digits}f}"


def _text(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.3g}"
    return "" if value is None else rounded(value)


__all__ = ["YEARS", "Answer", "answers_of", "in_job_units", "rounded", "settings", "units_of"]
