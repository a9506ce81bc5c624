"""The 25 answers for a person at a terminal: for the office, the customer or the crew lead."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.padding import Padding
from rich.text import Text

from drainwright.console import new_console

if TYPE_CHECKING:
    from drainwright.findings.model import Answer
    from drainwright.paper.documents.told import CrewTold, Told


def show_answers(answers: Sequence[Answer]) -> None:
    """Print questions with their answers."""
    for answer in answers:
        rows = (("Rests on", answer.rests_on), ("Limit", answer.limit), ("Do", answer.do), ("Missing", answer.missing))
        _asked(answer.number, answer.question, answer.answer, rows)


def show_customer(answers: Sequence[Told]) -> None:
    """Print questions with the customer's answers."""
    for answer in answers:
        rows = (("Do", answer.do), ("Rests on", answer.rests_on), ("Limit", answer.limit), ("Missing", answer.missing))
        _asked(answer.number, answer.question, answer.text, rows)


def show_crew(answers: Sequence[CrewTold]) -> None:
    """Print questions with the crew lead's answers."""
    for answer in answers:
        work = answer.work
        rows = (("Measures", work.measure), ("Stop and call", work.stop), ("For", "the office" if work.office else ""))
        _asked(answer.number, answer.question, " ".join(work.do), rows)


def _asked(number: int, question: str, answer: str, rows: Sequence[tuple[str, str]]) -> None:
    console = new_console()
    console.print()
    console.print(Text(f"{number}. {question}", style="bold"))
    for text in (answer, *(f"{label}: {words}" for label, words in rows if words)):
        console.print(Padding(Text(text), (0, 0, 0, 3)))


__all__ = ["show_answers", "show_crew", "show_customer"]
