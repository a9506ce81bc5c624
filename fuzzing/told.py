"""What a reader may answer to nonsense: a result, or an error that helps."""

from __future__ import annotations

from collections.abc import Callable

from drainwright.errors import DrainError, InputError, JobError, Problem, StageError


class NoHelp(Exception):  # noqa: N818
    """An error that was raised on purpose and does not say what was found or what would be right."""


def carried(call: Callable[[], object]) -> bool:
    """Whether a call came to a result; False where it was refused in words that help.

    Raises
    ------
    NoHelp
        If it was refused without such words, or a stage broke down.
    """
    try:
        call()
    except StageError as error:
        raise NoHelp(str(error)) from error
    except JobError as error:
        if not error.problems:
            raise NoHelp("no problem named") from error
        for problem in error.problems:
            _helps(problem, error)
    except InputError as error:
        problem = getattr(error, "problem", None)
        if problem is not None:
            _helps(problem, error)
        elif "expected" not in str(error):
            raise NoHelp(str(error)) from error
    except DrainError as error:
        raise NoHelp(f"{type(error).__name__}: {error}") from error
    else:
        return True
    return False


def _helps(problem: Problem, error: Exception) -> None:
    if not problem.found.strip() or not problem.expected.strip() or not str(error).strip():
        raise NoHelp(repr(problem)) from error
    if len(problem.found) > 2000 or len(problem.expected) > 2000:
        raise NoHelp(f"an error of {len(problem.found) + len(problem.expected)} letters") from error


__all__ = ["NoHelp", "carried"]
