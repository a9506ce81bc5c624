"""How the reduction speaks: lengths in the job's units, and the errors it gathers."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from typing import Literal

from drainwright.errors import JobError, Problem
from drainwright.job.values import Basis
from drainwright.quantities import write

Units = Literal["US", "SI"]

_SURENESS = (Basis.MEASURED, Basis.MAPPED, Basis.STATED, Basis.ASSUMED)


def fine(value: float, units: Units) -> str:
    """A level or a small difference: decimal feet to a thousandth, or metres to the millimetre."""
    return write(value, "length", units, "ft", 3) if units == "US" else write(value, "length", units, "m", 3)


def level_words(value: float, units: Units) -> str:
    """A level in running text, to the digits of a level book: feet to a hundredth, metres to the millimetre."""
    return write(value, "length", units, *(("ft", 2) if units == "US" else ("m", 3)))


def degrees(value: float) -> str:
    """An angle to a hundredth of a degree."""
    return write(value, "angle", "SI", "deg", 2)


def nearest(name: str, known: Iterable[str]) -> str:
    """A likely correction for an unknown name, or nothing."""
    near = difflib.get_close_matches(name, sorted(known), n=1)
    return f"Did you mean {near[0]!r}?" if near else ""


def fail(where: str, found: str, expected: str, hint: str = "") -> JobError:
    """A job error with one problem."""
    return JobError((Problem(where=where, found=found, expected=expected, hint=hint),))


def least_sure(*bases: Basis) -> Basis:
    """The basis of a value that leans on all of these: that of the least sure."""
    return max(bases, key=_SURENESS.index)


__all__ = ["Units", "degrees", "fail", "fine", "least_sure", "level_words", "nearest"]
