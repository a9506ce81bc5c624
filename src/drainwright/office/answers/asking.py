"""What is asked of a worker, and what may come back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeAlias, TypeVar

from drainwright.errors import Problem

if TYPE_CHECKING:
    from drainwright.design import Begun, Design, Laid

Shown = TypeVar("Shown")
View: TypeAlias = "Callable[[Design], Shown]"  # of a module, so that another process finds it by name
EarlyView: TypeAlias = "Callable[[Begun], Shown]"  # likewise, of what is known before the storm
LaidView: TypeAlias = "Callable[[Laid], Shown]"  # likewise, of what is known before digging and price


@dataclass(frozen=True, slots=True, kw_only=True)
class FileBeside:
    """A file that lies beside the job: a rain record, a price book, a logo."""

    name: str  # as the job names it: "firm/firm.yaml"
    content: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """A job's document with the files beside it."""

    job: str  # whose: all states of one job are asked of the same worker, which keeps the last ones
    text: str
    name: str = "job.yaml"  # as faults call it; ".json" marks the format
    files: tuple[FileBeside, ...] = ()
    made: bool = False  # JSON that the app itself wrote of a record it could read: nobody asks for lines in it


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered(Generic[Shown]):
    """The job could be designed; what was asked to be shown of it."""

    shown: Shown


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """The job's document cannot be designed as it stands."""

    problems: tuple[Problem, ...]  # at least one


@dataclass(frozen=True, slots=True, kw_only=True)
class Broke:
    """The program, not the document, is at fault."""

    stage: str  # "storm test"; "" where no stage is known
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TooLong:
    """No answer came in the time allowed; the work was ended."""

    seconds: float


Reply: TypeAlias = Answered[Shown] | Refused | Broke | TooLong

__all__ = [
    "Answered",
    "Broke",
    "EarlyView",
    "FileBeside",
    "LaidView",
    "Question",
    "Refused",
    "Reply",
    "Shown",
    "TooLong",
    "View",
]
