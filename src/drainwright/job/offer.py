"""What the firm offers beside the plain works: options, allowances, stage payments, a minimum charge."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal

from pydantic import Field, model_validator

from drainwright.job.values import Count, Fraction, Money, Name, Number, Record, ShortText, Text

Milestone = Literal["signing", "start", "walls coated", "drains laid", "pump running", "completion"]
Unforeseen = Literal[
    "rock",
    "root",
    "line",
    "earth",
    "stone",
    "coat",
    "fill",
    "water",
    "waiting",
    "fouled",
    "fouled load",
    "fence",
]
MILESTONES: tuple[Milestone, ...] = (
    "signing", "start", "walls coated", "drains laid", "pump running", "completion"
)  # fmt: skip


class Option(Record):
    """A change of the works that the customer may choose: it is designed anew, not priced by a list."""

    key: Name
    title: ShortText = Field(min_length=1)
    words: Text = Field(default="", description="for the customer: why one would take it")
    package: Literal["add-on", "better", "best"] = Field(
        default="add-on", description="'better' is what the firm advises, 'best' is that and more"
    )
    changes: dict[ShortText, Any] = Field(
        min_length=1, max_length=40, description="values of this document by dotted key: works.basin.second_pump: true"
    )


class Stage(Record):
    """One payment."""

    when: Milestone
    share: Fraction = Field(description="of the whole price with tax")


class Allowance(Record):
    """Work that nobody can see beforehand, of which so much is in the price; more is charged by the unit price."""

    what: Unforeseen
    quantity: Number = Field(gt=0, description="as the papers price it: yd³ or m³, ft² or m², pieces, days, hours")
    note: ShortText = ""


class Offer(Record):
    """How the works are offered."""

    minimum_charge: Money | None = Field(default=None, description="least price before tax")
    valid_days: Count = Field(default=30, description="days for which the offer stands")
    options: tuple[Option, ...] = Field(default=(), max_length=20)
    stages: tuple[Stage, ...] = Field(default=(), max_length=6, description="left out: by the program, within limits")
    allowances: tuple[Allowance, ...] = Field(default=(), max_length=12)

    @model_validator(mode="after")
    def _whole(self) -> Offer:
        keys = [option.key for option in self.options]
        for key in keys:
            if keys.count(key) > 1:
                raise ValueError(f"found the option {key!r} twice in 'options': expected each key once")
        what = [one.what for one in self.allowances]
        for name in what:
            if what.count(name) > 1:
                raise ValueError(f"found {name!r} twice in 'allowances': expected each once")
        if self.stages:
            order = [MILESTONES.index(stage.when) for stage in self.stages]
            if order != sorted(set(order)):
                told = ", ".join(stage.when for stage in self.stages)
                raise ValueError(f"found the stages {told}: expected each once, in the order {', '.join(MILESTONES)}")
            together = sum((Decimal(str(stage.share)) for stage in self.stages), Decimal(0))
            if together != 1:
                raise ValueError(f"found shares of 'stages' that make {float(together * 100):g} %: expected 100 %")
            if self.stages[-1].when != "completion":
                raise ValueError(
                    f"found {self.stages[-1].when!r} as the last of 'stages': expected 'completion', so that something"
                    " is still due when the works are tried"
                )
        return self


__all__ = ["MILESTONES", "Allowance", "Milestone", "Offer", "Option", "Stage", "Unforeseen"]
