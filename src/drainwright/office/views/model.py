"""What a page of the answer shows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drainwright.paper.documents.blocks import Block

Kind = Literal["ok", "caution", "fails"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One number that the reader looks for."""

    what: str
    value: str  # with its unit, in the job's units
    band: str = ""  # from where to where it may lie
    why: str = ""  # what it rests on, or what it is held against
    at: str = ""  # its place on the worksheet: "step-12", "part-results"


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """A check that fails or warns."""

    id: str
    kind: Kind
    title: str
    where: str
    message: str
    held: str  # figure and limit
    do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unmeasured:
    """What nobody measured and the job hangs on."""

    what: str
    taken: str
    known: str  # assumed, stated ...
    otherwise: str  # what comes of it if it is otherwise


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing of the job, by the name under which it is asked for."""

    name: str
    title: str
    alt: str
    narrow: bool = False  # laid out for a phone: shown no wider than one on a large screen


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """One page of the answer: what the reader wants to know, its figures, why, and what to do."""

    job: str  # title
    says: tuple[str, ...]  # the answer in a few sentences
    figures: tuple[Figure, ...]
    checks: tuple[Check, ...]  # of this page's matter
    fine: int  # checks of it that came out well
    drawings: tuple[Drawing, ...]
    blocks: tuple[Block, ...]  # the rest, as the papers tell it
    sound: bool  # of the whole design
    invented: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class First:
    """A job's first page."""

    job: str
    what: str  # the house and its trouble, in a line
    says: tuple[str, ...]  # the answer in three sentences
    works: tuple[str, ...]  # what is built, a line each
    price: Figure
    days: Figure
    fails: tuple[Check, ...]
    cautions: int
    unmeasured: tuple[Unmeasured, ...]
    missing: tuple[tuple[int, str, str], ...]  # questions not answered yet: number, question, what is missing
    sound: bool
    invented: bool


__all__ = ["Check", "Drawing", "Figure", "First", "Kind", "Shown", "Unmeasured"]
