"""The 25 answers told anew for one reader: for the customer, and for the crew lead."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from drainwright.design import Design
from drainwright.errors import InputError
from drainwright.findings.answers import Findings
from drainwright.findings.model import Answer
from drainwright.findings.rules import Case
from drainwright.paper.documents.say import Say

CANNOT = "Can't tell yet"
_FIELD = re.compile(r" \((?:[a-z_]+\.)*[a-z_]+\)(?=\.|$)")  # a name of the job document, for who fills it in
_KNOWN_AS = (
    ("soil conductivity", "how fast the soil lets water through"), ("pump's curve", "the pump's data sheet"),
    ("how much each sign says", "how much each sign weighs"), ("rain table", "the rain of the place"),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What a reader's answers are made of."""

    design: Design
    case: Case
    say: Say
    found: Findings

    def office(self, number: int) -> Answer:
        """The full answer, as the office has it."""
        return self.design.answers[number - 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain:
    """What the customer is told, before it is numbered."""

    text: str
    do: str  # what the customer does, or what we do


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One answer for the customer."""

    number: int
    question: str
    text: str
    rests_on: str
    limit: str
    do: str
    missing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What the crew lead is told, before it is numbered."""

    do: tuple[str, ...]
    measure: str = ""  # figures and limits
    stop: str = ""  # hold point: when to stop and call
    office: bool = False  # it does not bear on the work: one line


@dataclass(frozen=True, slots=True, kw_only=True)
class CrewTold:
    """One answer for the crew lead."""

    number: int
    question: str
    work: Work


CUSTOMER: dict[int, Callable[[View], Plain]] = {}
CREW: dict[int, Callable[[View], Work]] = {}


def customer(number: int) -> Callable[[Callable[[View], Plain]], Callable[[View], Plain]]:
    """Register what tells the customer.

    Raises
    ------
    InputError
        If the number is told already.
    """

    def register(teller: Callable[[View], Plain]) -> Callable[[View], Plain]:
        if CUSTOMER.setdefault(number, teller) is not teller:
            raise InputError(f"question {number}: expected one answer for the customer")
        return teller

    return register


def crew(number: int) -> Callable[[Callable[[View], Work]], Callable[[View], Work]]:
    """Register what tells the crew lead.

    Raises
    ------
    InputError
        If the number is told already.
    """

    def register(teller: Callable[[View], Work]) -> Callable[[View], Work]:
        if CREW.setdefault(number, teller) is not teller:
            raise InputError(f"question {number}: expected one answer for the crew lead")
        return teller

    return register


def view_of(design: Design) -> View:
    """The design as the tellers look at it."""
    case = Case(
        site=design.site, inflows=design.inflows, system=design.system, storm=design.storm, build=design.build,
        moisture=design.moisture,
    )  # fmt: skip
    return View(design=design, case=case, say=Say(design.job.units), found=Findings(design.findings))


def open_ends(view: View) -> list[str]:
    """Ways out that end in the open: no soakaway, closed all round, and no joint into a line that is there."""
    points = {point.name: point for point in view.design.job.works.discharge}
    return [
        name
        for name in view.design.system.ways_out
        if name not in points
        or (
            points[name].kind not in ("dry well", "infiltration trench")
            and (points[name].air_gap or view.design.system.joined_at(name) is None)
        )
    ]


def customer_answers(design: Design) -> tuple[Told, ...]:
    """All 25 answers in the customer's words.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of Told
        In the order of the questions; where something must be measured first, ``missing`` says what.
    """
    from drainwright.paper.documents import told_house, told_works  # noqa: F401  (they register)

    view = view_of(design)
    found = []
    for office in design.answers:
        plain = CUSTOMER[office.number](view)
        found.append(
            Told(
                number=office.number, question=office.question, text=plain.text, rests_on=_known(office.rests_on),
                limit=office.limit, do=plain.do, missing=_FIELD.sub("", office.missing),
            )
        )  # fmt: skip
    return tuple(found)


def crew_answers(design: Design) -> tuple[CrewTold, ...]:
    """All 25 answers as far as they bear on the crew's work.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of CrewTold
        In the order of the questions.
    """
    from drainwright.paper.documents import told_crew, told_crew_station  # noqa: F401  (they register)

    view = view_of(design)
    return tuple(
        CrewTold(number=office.number, question=office.question, work=CREW[office.number](view))
        for office in design.answers
    )


def _known(words: str) -> str:
    """What an answer rests on, without the office's names of things."""
    for name, plain in _KNOWN_AS:
        words = words.replace(name, plain)
    return words


def said(*parts: str) -> str:
    """Join sentences, each once, empty ones left out."""
    return " ".join(dict.fromkeys(part.strip() for part in parts if part.strip()))


__all__ = [
    "CANNOT", "CREW", "CUSTOMER", "CrewTold", "Plain", "Told", "View", "Work", "crew", "crew_answers", "customer",
    "customer_answers", "open_ends", "said", "view_of",
]  # fmt: skip
