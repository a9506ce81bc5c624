"""One run, a chain of years, and batches of both: what a worker does. Same in, same figures out, whatever the place."""

from __future__ import annotations

import json
import threading
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from drainwright.errors import DrainError, JobError
from drainwright.job.changes import changed_job
from drainwright.studies.figures import design_figures, storm_figures, year_figures
from drainwright.studies.model import Kind, Outcome, Run, Study, StudyError, Value, digest, version

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.field.model import Site
    from drainwright.job.model import Job
    from drainwright.storm.years.model import SpellRain

TEST_KEYS = (  # of a storm run these are told to the storm test alone: the system stays as it was laid out without them
    "criteria.storm_return_period",
    "criteria.storm_duration",
    "criteria.grate_clogging",
    "criteria.power_cut",
)
_ONE_AT_A_TIME = (
    threading.Lock()
)  # a worker of several threads still runs one at a time: caches and worksheet are its own


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """Runs that a worker does together."""

    version: tuple[str, int]  # of the program and its results
    kind: Kind
    jobs: Mapping[str, str]  # those that its runs need
    runs: tuple[Run, ...]
    rains: Mapping[str, SpellRain] = field(default_factory=dict)  # likewise


def run_batch(batch: Batch) -> list[Outcome]:
    """Do the runs of a batch, one after the other; the years of a chain in one go.

    Raises
    ------
    StudyError
        If the worker holds another version of the program.
    """
    if batch.version != version():
        raise StudyError(f"a worker holds version {version()} of drainwright, the study is of {batch.version}")
    with _ONE_AT_A_TIME:
        return [outcome for chain in chains(batch.runs) for outcome in _chain(batch, chain)]


def chains(runs: Sequence[Run]) -> list[tuple[Run, ...]]:
    """Runs parted into those that are done in one go: the years of one stretch for one job and its changes."""
    found: list[list[Run]] = []
    for run in runs:
        last = found[-1][-1] if found else None
        if (
            last is not None and "stretch" in run.rain and run.rain["stretch"] == last.rain.get("stretch")
            and run.job == last.job and digest(dict(run.changes)) == digest(dict(last.changes))
        ):  # fmt: skip
            found[-1].append(run)
        else:
            found.append([run])
    return [tuple(chain) for chain in found]


def _chain(batch: Batch, runs: Sequence[Run]) -> list[Outcome]:
    text, stretch = batch.jobs[runs[0].job], runs[0].rain.get("stretch")
    if stretch is None:
        return [one_run(batch.kind, text, run) for run in runs]
    return year_runs(text, runs, batch.rains[stretch])


def one_run(kind: Kind, text: str, run: Run) -> Outcome:
    """One run; what goes wrong in it is its outcome.

    Parameters
    ----------
    kind : {"storm", "design"}
        The storm test of a system laid out once, or the whole design.
    text : str
        The job as JSON.
    run : Run
        Changes and rain.

    Returns
    -------
    Outcome
        Figures in SI, or the error's text.
    """
    (outcome,) = _outcomes((run,), lambda: [_figures(kind, text, run)])
    return outcome


def year_runs(text: str, runs: Sequence[Run], rain: SpellRain) -> list[Outcome]:
    """Years of one stretch of rain, carried through a job with its changes as ``drainwright years`` does.

    Parameters
    ----------
    text : str
        The job as JSON.
    runs : sequence of Run
        All of one job, its changes and a stretch, each a year of it.
    rain : SpellRain
        The stretch. All of it is stepped, whichever of its years are asked for.

    Returns
    -------
    list of Outcome
        One a run; what goes wrong is the outcome of each.
    """

    def figures() -> list[dict[str, Value]]:
        from drainwright.storm.years.telling import run_years

        laid, site = _laid(text, runs[0])
        told = run_years(site, laid.inflows, laid.system, rain)
        by_year = {year.year: year for year in told.years}
        return [year_figures(told, by_year[run.rain["year"]]) for run in runs]

    return _outcomes(runs, figures)


def _outcomes(runs: Sequence[Run], figures: Callable[[], list[dict[str, Value]]]) -> list[Outcome]:
    """The figures of each run, or for each what went wrong."""
    try:
        return [Outcome(key=run.key, figures=found) for run, found in zip(runs, figures(), strict=True)]
    except (DrainError, ArithmeticError, LookupError, TypeError, ValueError, RuntimeError, MemoryError) as error:
        words = str(error).replace("\n", "; ")
        words = words if isinstance(error, JobError) else f"{type(error).__name__}: {words}"
        return [Outcome(key=run.key, error=words) for run in runs]


def _figures(kind: Kind, text: str, run: Run) -> dict[str, Value]:
    if kind == "design":
        changes = {**run.changes, **_as_changes(run.rain)}
        return design_figures(_designed(text, json.dumps(changes, sort_keys=True)))
    from drainwright.storm import storm_test

    laid, site = _laid(text, run)
    return storm_figures(storm_test(site, laid.inflows, laid.system))


def _laid(text: str, run: Run) -> tuple[Design, Site]:
    """The system as it was laid out, and the site as the storm test is told of it."""
    told = {key: value for key, value in run.changes.items() if key in TEST_KEYS}
    before = {key: value for key, value in run.changes.items() if key not in told}
    laid = _designed(text, json.dumps(before, sort_keys=True))
    told |= _as_changes(run.rain)
    return laid, replace(laid.site, job=_told(laid.site.job, told)) if told else laid.site


@lru_cache(maxsize=2)
def _designed(text: str, changes: str) -> Design:
    from drainwright.design import design

    return design(changed_job(text, json.loads(changes)))


def _as_changes(rain: Mapping[str, Any]) -> dict[str, Any]:
    """A rain as keys of the job."""
    places = {
        "return_period": "criteria.storm_return_period",
        "duration": "criteria.storm_duration",
        "distribution": "rain.distribution",
    }
    return {key: rain[name] for name, key in places.items() if name in rain}


def _told(job: Job, changes: Mapping[str, Any]) -> Job:
    """The job as the storm test is told of it: criteria and the rain's distribution changed, checked."""
    from drainwright.job.place import Rain
    from drainwright.job.works import Criteria

    groups: dict[str, dict[str, Any]] = {"criteria": {}, "rain": {}}
    for key, value in changes.items():
        group, _, name = key.partition(".")
        groups[group][name] = value
    update: dict[str, Any] = {}
    for group, model in (("criteria", Criteria), ("rain", Rain)):
        if groups[group]:
            record = getattr(job, group).model_dump(mode="json", by_alias=True)
            update[group] = model.model_validate({**record, **groups[group]}, context={"document": True})
    return job.model_copy(update=update)


def batches_of(study: Study, runs: Sequence[Run], size: int) -> list[Batch]:
    """Runs of a study cut into batches of at most ``size``, none of two jobs; a chain of years is one by itself."""
    found: list[list[Run]] = []
    for chain in chains(runs):
        last = found[-1] if found else []
        alone = "stretch" in chain[0].rain or (last and "stretch" in last[0].rain)
        if not last or alone or len(last) == size or last[0].job != chain[0].job:
            found.append([*chain])
        else:
            last.extend(chain)
    return [_batch(study, some) for some in found]


def _batch(study: Study, runs: Sequence[Run]) -> Batch:
    job, stretch = runs[0].job, runs[0].rain.get("stretch")
    return Batch(
        version=version(), kind=study.kind, jobs={job: study.jobs[job]}, runs=tuple(runs),
        rains={} if stretch is None else {stretch: study.rains[stretch]},
    )  # fmt: skip


__all__ = ["TEST_KEYS", "Batch", "batches_of", "chains", "one_run", "run_batch", "year_runs"]
