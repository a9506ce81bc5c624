"""The survey of a job, made once for all jobs that are alike in what it reads."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace
from typing import TypeVar

from drainwright.field.model import Site
from drainwright.field.survey import measured, with_things
from drainwright.job.model import Job
from drainwright.job.values import Record
from drainwright.job.works import Basin
from drainwright.kept import kept
from drainwright.worksheet import Step, put_on, worksheet

Part = TypeVar("Part", bound=Record)

OF_JOB = {
    "schema_version", "units", "property", "survey", "house", "ground", "downspouts", "utilities", "trees", "works",
    "rules",
}  # fmt: skip
OF_MEASURE = {"schema_version", "units", "survey", "house", "ground"}
OF_WORKS = {"inlets", "runs", "basin", "more_basins", "discharge", "shaping"}
OF_RUN = {"name", "duty", "from_", "to", "via", "beside", "beside_offset"}
OF_BASIN = {"name", "at"}


def surveyed(job: Job) -> Site:
    """As ``survey``, or what it gave for a job that differs only in what the survey does not read.

    Parameters
    ----------
    job : Job
        A validated job document.

    Returns
    -------
    Site
        The site of this job.

    Raises
    ------
    JobError
        As ``survey``.

    Notes
    -----
    What the survey does not read is taken out of the job before it is made, so that it cannot hang on that; all that
    is left names the piece that is kept. So it is with the measurements by themselves, which stand whatever is planned.
    The steps go on the worksheet wherever they came from.
    """
    base, seen = read_by_measuring(job), read_by_survey(job)

    def measure() -> tuple[Site, tuple[Step, ...]]:
        with worksheet() as steps:
            site = measured(base)
        return site, tuple(steps)

    ground, first = kept("measured", base, measure)

    def make() -> tuple[Site, tuple[Step, ...]]:
        with worksheet() as steps:
            site = with_things(ground, seen)
        return site, tuple(steps)

    site, steps = kept("survey", seen, make)
    put_on((*first, *steps))
    return replace(site, job=job)


def read_by_measuring(job: Job) -> Job:
    """The job with nothing in it but what the measurements are reduced by; it is for no other stage."""
    return _only(job, OF_MEASURE)


def read_by_survey(job: Job) -> Job:
    """The job with nothing in it but what the survey may read; it is for no other stage."""
    works = _only(job.works, OF_WORKS).model_copy(
        update={
            "runs": tuple(_only(run, OF_RUN) for run in job.works.runs),
            "basin": _only(job.works.basin, OF_BASIN) if isinstance(job.works.basin, Basin) else job.works.basin,
            "more_basins": tuple(_only(basin, OF_BASIN) for basin in job.works.more_basins),
        }
    )
    return _only(job, OF_JOB).model_copy(update={"works": works})


def _only(part: Part, names: Collection[str]) -> Part:
    return part.model_copy(update={name: None for name in type(part).model_fields if name not in names})


__all__ = ["read_by_measuring", "read_by_survey", "surveyed"]
