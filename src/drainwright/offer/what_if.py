"""What if one measurement, choice or price were another: the job designed again, and what that changes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from drainwright.design import Design, design
from drainwright.errors import DrainError, JobError
from drainwright.job.changes import changed_job
from drainwright.job.writing import to_json
from drainwright.offer.difference import difference
from drainwright.offer.model import Difference


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """One value of an input, and what became of the job."""

    value: str
    design: Design | None
    difference: Difference | None
    why: str = ""  # where it could not be designed


def what_if(base: Design, changes: Mapping[str, Any]) -> tuple[Design, Difference]:
    """The job with changes, designed, and what they change.

    Parameters
    ----------
    base : Design
        The job as written, designed.
    changes : mapping
        Values by dotted key, as they would be typed.

    Returns
    -------
    Design, Difference
        The other design, and the way to it from the base.

    Raises
    ------
    JobError
        If a key leads nowhere, or a value is none that the document takes.
    StageError
        If a stage breaks down on it.
    """
    other = design(changed_job(to_json(base.job), changes), like=base)
    return other, difference(base, other)


def sweep(
    base: Design, key: str, values: Mapping[str, Any], told: Callable[[int, int], None] | None = None
) -> tuple[Sweep, ...]:
    """The job with one input at several values.

    Parameters
    ----------
    base : Design
        The job as written, designed.
    key : str
        Dotted key of the job document.
    values : mapping
        By the words that tell them.
    told : callable, optional
        Called with how many of how many are done.

    Returns
    -------
    tuple of Sweep
        In the order of the values; one that cannot be designed says why.
    """
    found = []
    for number, (value, typed) in enumerate(values.items(), start=1):
        try:
            other, changed = what_if(base, {key: typed})
            found.append(Sweep(value=value, design=other, difference=changed))
        except JobError as error:
            first = error.problems[0]
            why = f"{first.where}: found {first.found}; expected {first.expected}"
            found.append(Sweep(value=value, design=None, difference=None, why=why))
        except DrainError as error:
            found.append(Sweep(value=value, design=None, difference=None, why=str(error)))
        if told is not None:
            told(number, len(values))
    return tuple(found)


__all__ = ["Sweep", "sweep", "what_if"]
