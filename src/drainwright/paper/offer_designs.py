"""The options that a job names, and the shaping that it leaves out, worked out once for all papers."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.offer import OptionSet, options
from drainwright.offer.accepting import SHORT, mark_of, offered
from drainwright.offer.shaping import ShapingLeft, shaping_left
from drainwright.paper.once import once


@once
def options_of(design: Design) -> OptionSet | None:
    """The job's own options, designed; None where it names none, for those that the program finds cost seconds."""
    return options(design) if design.job.offer.options else None


@once
def shaping_left_of(design: Design) -> ShapingLeft:
    """Ground that still leads water to the walls, and about what it costs to shape."""
    return shaping_left(design)


@once
def offer_mark(design: Design) -> str:
    """The mark of all that is offered, as papers show it; the acceptance's record has the whole."""
    return mark_of(offered(design, options_of(design)))[:SHORT]


__all__ = ["offer_mark", "options_of", "shaping_left_of"]
