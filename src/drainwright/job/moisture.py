"""What was seen and heard of the moisture in the house, and the cheap tests that part its causes."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from drainwright.job.values import Day, Record, ShortText, Size, Text

Sign = Literal[
    "water on floor",
    "damp floor",
    "floor finish lifts",
    "timber cups",
    "damp band on wall",
    "damp patch on wall",
    "salts on wall",
    "water runs down wall",
    "crack leaks",
    "joint leaks",
    "drops on cold surfaces",
    "mould or musty smell",
    "warm spot on floor",
    "high water bill",
    "sump runs",
    "water in pit",
    "puddle against house",
    "puddle in yard",
    "gutter overflows",
    "drain backs up",
]
Spot = Literal[
    "wall base", "wall middle", "wall top", "floor edge", "floor middle", "whole floor", "one corner", "below window",
    "at pipe or fixture", "crawl space", "yard", "unknown",
]  # fmt: skip
When = Literal[
    "during rain",
    "after rain",
    "days after rain",
    "always",
    "wet season",
    "snow melt",
    "watering",
    "water in use",
    "humid weather",
    "high tide",
    "unknown",
]

TESTS: dict[str, tuple[str, ...]] = {
    "plastic on floor": ("wet behind", "wet on the room side", "dry"),
    "plastic on wall": ("wet behind", "wet on the room side", "dry"),
    "meter with taps shut": ("turns", "still"),
    "irrigation off": ("dries up", "no change"),
    "dehumidifier": ("dries up", "no change"),
    "hose at downspout": ("wet inside", "stays dry"),
    "hose on ground at wall": ("wet inside", "stays dry"),
    "hose on wall": ("wet inside", "stays dry"),
    "dye in house drain": ("dye seen", "no dye"),
    "fixtures run": ("wet inside", "stays dry"),
    "test pit": ("water found", "no water"),
    "level against tide": ("moves with it", "no change"),
}
Test = Literal[
    "plastic on floor", "plastic on wall", "meter with taps shut", "irrigation off", "dehumidifier",
    "hose at downspout", "hose on ground at wall", "hose on wall", "dye in house drain", "fixtures run", "test pit",
    "level against tide",
]  # fmt: skip


class Symptom(Record):
    """One thing that was seen or told."""

    what: ShortText
    where: ShortText = ""
    when: When = "unknown"
    since: ShortText = ""
    height: Size | None = Field(default=None, description="of the damp band above the floor")
    sign: Sign | None = Field(default=None, description="the kind of thing, for the ranking of causes")
    spot: Spot = Field(default="unknown", description="where on wall or floor, for the ranking of causes")
    seen: Day | None = None
    note: Text = ""


class MoistureTest(Record):
    """A simple test and how it came out."""

    kind: Test
    result: ShortText
    where: ShortText = ""
    date: Day | None = None
    note: Text = ""

    @model_validator(mode="after")
    def _known(self) -> MoistureTest:
        accepted = TESTS[self.kind]
        if self.result not in accepted:
            raise ValueError(f"found {self.result!r} for '{self.kind}': expected one of: {', '.join(accepted)}")
        return self


__all__ = ["TESTS", "MoistureTest", "Sign", "Spot", "Symptom", "Test", "When"]
