"""The options that a job names, designed once for all papers."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.offer import OptionSet, options

_last: list[tuple[Design, OptionSet | None]] = []  # the design last asked for


def options_of(design: Design) -> OptionSet | None:
    """The job's own options, designed; None where it names none, for those that the program finds cost seconds."""
    if not _last or _last[0][0] is not design:
        _last[:] = [(design, options(design) if design.job.offer.options else None)]
    return _last[0][1]


__all__ = ["options_of"]
