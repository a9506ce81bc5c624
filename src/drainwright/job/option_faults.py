"""What is wrong with the options of an offer: keys that lead nowhere, values that the document does not take."""

from __future__ import annotations

import json
from dataclasses import replace

from drainwright.errors import JobError, Problem
from drainwright.job.changes import changed_record
from drainwright.job.model import Job
from drainwright.job.reading import job_of
from drainwright.job.writing import to_json


def option_faults(job: Job) -> tuple[Problem, ...]:
    """Every fault of the options that a job offers, each with the place of its option.

    Parameters
    ----------
    job : Job
        A valid job.

    Returns
    -------
    tuple of Problem
        Empty where each option makes a valid job; whether that holds in a storm is for its design to tell.
    """
    if not job.offer.options:
        return ()
    record = json.loads(to_json(job))
    record["offer"]["options"] = []
    found: list[Problem] = []
    for number, option in enumerate(job.offer.options):
        where = f"offer.options[{number}].changes"
        try:
            job_of(changed_record(record, option.changes))
        except JobError as error:
            found += [
                replace(
                    problem, where=where, found=f"{problem.where}: {problem.found}", file="", line=None, column=None
                )
                for problem in error.problems
            ]
    return tuple(found)


__all__ = ["option_faults"]
