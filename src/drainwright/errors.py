"""The errors raised on purpose.

``DrainError``
    ``InputError``: a value cannot be computed with (also a ``ValueError``).
    ``JobError``: a job document is wrong; carries every problem found, with its place.
    ``StageError``: a stage could not carry a job through; carries the stage's name.

A wrong input raises; a poor design does not: it is a finding (see ``drainwright.findings``).
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from math import isfinite
from typing import TYPE_CHECKING, Any, TypeAlias

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Floats: TypeAlias = "float | NDArray[np.float64]"  # scalars in, scalar out; arrays broadcast together


class DrainError(Exception):
    """Base of every error that Drainwright raises on purpose."""


class InputError(DrainError, ValueError):
    """A value cannot be used: ``diameter = 0.0: expected a finite number, above zero``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """One thing wrong in a job document, said so that it can be put right."""

    where: str  # path in the document: "runs[2].pipe"
    found: str  # what stands there
    expected: str  # what is accepted
    hint: str = ""  # the likely correction, if there is one
    file: str = ""
    line: int | None = None  # counted from 1
    column: int | None = None  # counted from 1
    later: bool = False  # a name that nothing bears yet: what it names may still come

    def __str__(self) -> str:
        place = self.file or "job"
        if self.line is not None:
            place += f":{self.line}"
        place += f": {self.where}" if self.where else ""
        text = f"{place}: found {self.found}; expected {self.expected}"
        return f"{text}. {self.hint[:1].upper()}{self.hint[1:]}" if self.hint else text


class JobError(DrainError, ValueError):
    """A job document cannot be used; ``problems`` lists every fault that was found."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        self.problems = problems
        super().__init__("\n".join(str(problem) for problem in problems))


class StageError(DrainError):
    """A stage broke down on a job that it should have carried through; ``__cause__`` is what broke."""

    def __init__(self, stage: str, cause: Exception) -> None:
        self.stage = stage
        super().__init__(f"{stage}: {type(cause).__name__}: {cause}")


@contextmanager
def stage(name: str) -> Iterator[None]:
    """Name the stage in whatever breaks down within it; a ``JobError`` passes as it is.

    Raises
    ------
    StageError
        In place of any other exception.
    """
    try:
        yield
    except (JobError, StageError, OSError):
        raise
    except Exception as error:
        raise StageError(name, error) from error


_PLAIN = {"greater": operator.gt, "greater_equal": operator.ge}  # NumPy's by name: far slower on single numbers
_plain: dict[Any, Callable[[Any, float], Any]] = {}  # the same by the comparison itself, as it comes up


def require(rule: str, test: Callable[[Floats, float], Any], **values: Floats) -> None:
    """Raise ``InputError`` for the first value that is not finite or fails ``test(value, 0)``.

    Parameters
    ----------
    rule : str
        The rule in words, as the error states it: ``"above zero"``.
    test : Callable
        A comparison against zero, such as ``numpy.greater``.
    **values : Floats
        The values by argument name.

    Raises
    ------
    InputError
        Names the argument, the value and the rule.
    """
    plain = _plain.get(test)
    if plain is None:
        plain = _plain[test] = _PLAIN.get(getattr(test, "__name__", ""), test)
    for name, value in values.items():
        if type(value) is float or isinstance(value, (float, int)):
            good = isfinite(value) and bool(plain(value, 0.0))
        else:
            import numpy as np

            good = bool(np.all(np.isfinite(value) & test(value, 0.0)))
        if not good:
            raise InputError(f"{name} = {value!r}: expected a finite number, {rule}")
