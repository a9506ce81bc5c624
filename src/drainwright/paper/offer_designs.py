"""The options that a job names, designed once for all papers."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.offer import OptionSet, options
from drainwright.paper.once import once


@once
def options_of(design: Design) -> OptionSet | None:
    """The job's own options, designed; None where it names none, for those that the program finds cost seconds."""
    return options(design) if design.job.offer.options else None


__all__ = ["options_of"]
