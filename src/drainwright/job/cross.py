"""Checks across the parts of a job."""

from __future__ import annotations

from drainwright.job.model import Job


def cross_check(job: Job) -> None:
    """Check names and references; raises ``JobError`` with all that is wrong."""


__all__ = ["cross_check"]
