"""One run, and batches of runs: what a worker does. Same run in, same figures out, whatever the place."""

from __future__ import annotations

import json
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from drainwright.errors import DrainError, JobError
from drainwright.studies.changes import changed_job
from drainwright.studies.figures import design_figures, storm_figures
from drainwright.studies.model import RESULTS, Kind, Outcome, Run, StudyError

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.job.model import Job

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


def version() -> tuple[str, int]:
    """Version of the program and of its results."""
    from drainwright import __version__

    return __version__, RESULTS


def run_batch(batch: Batch) -> list[Outcome]:
    """Do the runs of a batch, one after the other.

    Raises
    ------
    StudyError
        If the worker holds another version of the program.
    """
    if batch.version != version():
        raise StudyError(f"a worker holds version {version()} of drainwright, the study is of {batch.version}")
    with _ONE_AT_A_TIME:
        return [one_run(batch.kind, batch.jobs[run.job], run) for run in batch.runs]


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
    try:
        return Outcome(key=run.key, figures=_figures(kind, text, run))
    except (DrainError, ArithmeticError, LookupError, TypeError, ValueError, RuntimeError, MemoryError) as error:
        words = str(error).replace("\n", "; ")
        return Outcome(key=run.key, error=words if isinstance(error, JobError) else f"{type(error).__name__}: {words}")


def _figures(kind: Kind, text: str, run: Run) -> dict[str, Any]:
    told = {key: value for key, value in run.changes.items() if kind == "storm" and key in TEST_KEYS}
    before = {key: value for key, value in run.changes.items() if key not in told}
    rain = _as_changes(run.rain)
    if kind == "design":
        return design_figures(_designed(text, json.dumps({**before, **rain}, sort_keys=True)))
    from drainwright.storm import storm_test

    laid = _designed(text, json.dumps(before, sort_keys=True))
    site, water = laid.site, laid.inflows
    if told or rain:
        site = replace(site, job=_told(site.job, {**told, **rain}))
    if "depths" in run.rain:
        from drainwright.studies.rains import table_of

        water = replace(water, rain=table_of(run.rain, site.job.criteria.storm_return_period))
    return storm_figures(storm_test(site, water, laid.system))


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


def batches_of(kind: Kind, jobs: Mapping[str, str], runs: Sequence[Run], size: int) -> list[Batch]:
    """Runs cut into batches of at most ``size``, none of two jobs."""
    found: list[Batch] = []
    start = 0
    for end in range(1, len(runs) + 1):
        if end == len(runs) or end - start == size or runs[end].job != runs[start].job:
            job = runs[start].job
            found.append(Batch(version=version(), kind=kind, jobs={job: jobs[job]}, runs=tuple(runs[start:end])))
            start = end
    return found


__all__ = ["TEST_KEYS", "Batch", "batches_of", "one_run", "run_batch", "version"]
