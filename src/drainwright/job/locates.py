"""The locate ticket: its number, its days, the white marking, and what each owner of lines answered."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

from pydantic import Field, model_validator

from drainwright.job.values import Day, Label, Record, ShortText

Answer = Literal["marked", "clear", "not complete", "no answer"]


class LocateAnswer(Record):
    """What the owner of one line, or of one kind of line, answered to the ticket."""

    line: Label = Field(description="a name among the utilities, or a kind of line")
    answer: Answer
    date: Day | None = None
    note: ShortText = ""


class Locates(Record):
    """The locate ticket of the job."""

    number: ShortText = ""
    called: Day | None = Field(default=None, description="day of the call; left out: nobody called yet")
    white_marked: bool | None = Field(
        default=None, description="the dig area is marked white on the ground; left out: not known"
    )
    valid_from: Day | None = Field(default=None, description="as the ticket says; left out: by the place's notice")
    valid_until: Day | None = Field(default=None, description="as the ticket says; left out: by the place's life")
    renewals: tuple[Day, ...] = Field(default=(), max_length=20, description="days of the calls that renewed it")
    answers: tuple[LocateAnswer, ...] = Field(default=(), max_length=60)

    @model_validator(mode="after")
    def _in_order(self) -> Locates:
        days = [("called", self.called), ("valid_from", self.valid_from), ("valid_until", self.valid_until)]
        given = [(name, day) for name, day in days if day is not None]
        for (first, early), (second, late) in pairwise(given):
            if late < early:
                raise ValueError(f"found '{second}' {late} before '{first}' {early}: expected it on that day or later")
        if self.called is not None and any(day < self.called for day in self.renewals):
            raise ValueError(f"found a renewal before the call of {self.called}: expected it later")
        lines = [item.line for item in self.answers]
        again = next((line for line in lines if lines.count(line) > 1), None)
        if again is not None:
            raise ValueError(f"found two answers for {again!r} in 'answers': expected one, the last")
        return self

    @property
    def made(self) -> bool:
        """Whether a ticket is there, though perhaps nobody wrote down the day of the call."""
        return bool(
            self.called or self.number.strip() or self.valid_from or self.valid_until or self.renewals or self.answers
        )


__all__ = ["Answer", "LocateAnswer", "Locates"]
