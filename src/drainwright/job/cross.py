"""Checks across the parts of a job: what a schema cannot see, and no survey need be reduced for."""

from __future__ import annotations

from itertools import chain, islice

from drainwright.errors import JobError
from drainwright.job.at_odds import check_at_odds
from drainwright.job.figures import check_figures
from drainwright.job.loading import MOST_PROBLEMS
from drainwright.job.model import Job
from drainwright.job.names import absent, names_of, twice
from drainwright.job.plan import check_plan
from drainwright.job.pump_sheet import check_pumps
from drainwright.job.ways_down import check_runs


def cross_check(job: Job) -> None:
    """Check names, references, plan, runs and figures of a job against each other.

    Parameters
    ----------
    job : Job
        Valid part by part, its rain table filled.

    Raises
    ------
    JobError
        Lists all that is wrong; paths without lines, which ``Document.with_lines`` adds.
    """
    names = names_of(job)
    found = chain(
        twice(job),
        absent(job, names),
        check_plan(job, names),
        check_runs(job, names),
        check_figures(job, names),
        check_at_odds(job),
        check_pumps(job),
    )
    problems = tuple(islice(found, MOST_PROBLEMS))
    if problems:
        raise JobError(problems)


__all__ = ["cross_check"]
