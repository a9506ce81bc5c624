"""How the documents write values and places, in the job's units. All arguments are SI."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.build.wording import BASIS_WORDS, money, round_money
from drainwright.findings.model import Finding, Severity
from drainwright.findings.places import series
from drainwright.job.model import Job
from drainwright.paper.wording import Wording
from drainwright.quantities import Kind, convert, write
from drainwright.system.model import SizedRun
from drainwright.system.trade import fall_words, pipe_words

DUTY_WORDS = {
    "footing drain": "footing drain",
    "yard drain": "yard drain",
    "leader": "downspout leader",
    "discharge line": "discharge line",
    "overflow": "overflow",
}
SEVERITY_WORDS = {Severity.OK: "ok", Severity.CAUTION: "caution", Severity.FAILS: "FAILS"}

SHALLOW = 0.1  # metric depths below this are written in millimetres [m]


@dataclass(frozen=True, slots=True)
class Say(Wording):
    """The drawings' wording, and what only documents need."""

    def flow(self, value: float) -> str:
        """A flow; a trickle in litres a minute."""
        small = not self.us and 0 < abs(value) < 1e-4
        return write(value, Kind.FLOW, self.units, "L/min" if small else None)

    def volume(self, value: float) -> str:
        """An amount of water."""
        return write(value, Kind.VOLUME, self.units, "gal" if self.us else "L", 0)

    def film(self, value: float) -> str:
        """Thickness of a coat: ``42 mil`` (thousandths of an inch), ``1.1 mm``."""
        return f"{value / 2.54e-5:.0f} mil" if self.us else write(value, Kind.LENGTH, "SI", "mm", 1)

    def bulk(self, value: float) -> str:
        """An amount of soil or stone."""
        return write(value, Kind.VOLUME, self.units, "yd3" if self.us else "m3", 1)

    def heap(self, value: float) -> str:
        """What a barrow holds: ``3.5 ft³``, ``100 L``."""
        return write(value, Kind.VOLUME, self.units, "ft3" if self.us else "L", 1 if self.us else 0)

    def mass(self, value: float) -> str:
        """A weight."""
        return write(value, Kind.MASS, self.units, digits=0)

    def head(self, value: float) -> str:
        """A head of water: ``4.8 ft``, ``1.45 m``."""
        return write(value, Kind.LENGTH, self.units, "ft" if self.us else "m", 1 if self.us else 2)

    def rain(self, value: float) -> str:
        """A depth of rain."""
        return write(value, Kind.LENGTH, self.units, "in" if self.us else "mm", 2 if self.us else 0)

    def whole(self, value: float) -> str:
        """A length to the nearest foot or tenth of a metre, for customers."""
        return write(value, Kind.LENGTH, self.units, "ft" if self.us else "m", 0 if self.us else 1)

    def deep(self, value: float) -> str:
        """A depth for customers: ``2 ft 10 in``, ``0.86 m``, ``20 mm``."""
        if not self.us and abs(value) < SHALLOW:
            return write(value, Kind.LENGTH, self.units, "mm", 0)
        if not self.us:
            return write(value, Kind.LENGTH, self.units, "m", 2)
        return write(round(value / 0.0254) * 0.0254, Kind.LENGTH, self.units)

    def time(self, seconds: float | None) -> str:
        """A time."""
        if seconds is None or not math.isfinite(seconds):
            return "without end"
        if seconds < 90:
            return write(seconds, Kind.TIME, self.units, "s")
        if seconds < 5400:
            return write(seconds, Kind.TIME, self.units, "min")
        return write(seconds, Kind.TIME, self.units, "h")

    def years(self, seconds: float) -> str:
        """A return period: ``25-year``."""
        return write(seconds, Kind.TIME, self.units, "yr").replace(" yr", "-year")

    def starts(self, rate: float) -> str:
        """Starts of a pump: ``9.3 an hour``."""
        return write(rate, Kind.RATE, self.units, "/h").replace(" /h", " an hour")

    def percent(self, value: float, digits: int = 0) -> str:
        """A share."""
        return write(value, Kind.FRACTION, self.units, digits=digits)

    def number(self, value: float) -> str:
        """A plain number, four figures at most."""
        return f"{value:,.4g}" if abs(value) < 1e4 else f"{value:,.0f}"

    def tape(self, value: float) -> str:
        """A length as a crew tapes it, to 1/8 in or the millimetre."""
        if self.us:
            return write(value, Kind.LENGTH, "US")
        return write(value, Kind.LENGTH, "SI", "m", 3)

    def small_number(self, value: float) -> float:
        """A small size as a number of inches or millimetres."""
        return convert(value, Kind.LENGTH, self.units, "in" if self.us else "mm")

    def rod(self, value: float) -> str:
        """A rod reading without its unit; none can be below zero."""
        return self.level_number(value) if value >= 0 else "above HI"

    def fall(self, grade: float) -> str:
        """A grade as a crew checks it: ``1/8 in/ft``, ``10.4 mm/m``."""
        return write(grade, Kind.GRADE, self.units, "in/ft" if self.us else "mm/m")

    def laid(self, run: SizedRun) -> str:
        """A gravity run's fall in both ways: ``1.04 % (1/8 in/ft)``, by stretch where it changes."""
        return fall_words(run, self.units, lambda grade: f"{self.grade(grade)} ({self.fall(grade)})")

    def station(self, value: float) -> str:
        """A distance along a run, without its unit."""
        return write(value, Kind.LENGTH, self.units, "ft" if self.us else "m", 1 if self.us else 2).split(" ")[0]

    def pipe(self, run: SizedRun) -> str:
        """A run's pipe: size and family."""
        outside = "" if self.us else f", {self.small(run.pipe.outside)} outside"
        return f"{pipe_words(run.pipe, self.units)}{outside}"

    def place(self, where: str) -> str:
        """A place of the job in words: ``works.runs.FD1`` is ``run FD1``."""
        words = _WHOLE.get(where, where)
        for start, plain in _PLACES:
            if words.startswith(start):
                words = plain + words.removeprefix(start)
                break
        words = re.sub(r"^([a-z_]+)\.(?=[a-z_]+$)", r"\1: ", words)
        return words.replace("_", " ").replace("[", " row ").replace("]", "").strip() or "the whole job"


_PLACES = (
    ("works.runs.", "run "), ("runs.", "run "), ("house.walls.", "wall "), ("walls.", "wall "),
    ("works.shaping.", "shaped ground at "), ("works.inlets.", "inlet "),
    ("works.discharge.", "outlet "), ("works.basin", "basin"), ("works.more_basins.", "basin "),
    ("basin.", "basin "), ("works.", ""),
    ("inlets.", "inlet "), ("utilities.", ""), ("trees.", "tree "), ("roofs.", "roof "), ("yards.", "yard "),
    ("survey.level_book", "level book"), ("survey.perimeter", "perimeter walk"), ("survey.points.", "point "),
    ("tasks.", "work: "), ("rules.", "rules: "), ("price_book", "price book"),
)  # fmt: skip


_WHOLE = {
    "storm": "the storm test", "utilities": "the buried lines", "locates": "the locate ticket",
    "equipment": "the crew's equipment",
}  # fmt: skip


def day(value: datetime.date | None) -> str:
    """A date in words: ``13 April 2026``."""
    return "not given" if value is None else f"{value.day} {value:%B %Y}"


def site_of(job: Job) -> str:
    """The address of the works."""
    return ", ".join(text for text in (job.property.address, job.property.town) if text.strip())


def joined(words: list[str] | tuple[str, ...], last: str = "and") -> str:
    """``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def places_alike(wheres: Sequence[str], say: Say) -> str:
    """Places of findings that say the same, many runs in short: ``wall west, inlet CB1 and runs M1–M4``."""
    told = [say.place(where) for where in wheres]
    runs = [place.removeprefix("run ") for place in told if place.startswith("run ")]
    if len(runs) > 2:
        told = [place for place in told if not place.startswith("run ")]
        told.append(f"runs {joined(series(runs))}")
    return joined(told)


def failing(findings: tuple[Finding, ...]) -> tuple[tuple[Finding, ...], ...]:
    """The findings that fail, those of one check together, in the order of the findings."""
    groups: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.severity is Severity.FAILS:
            groups.setdefault(finding.id, []).append(finding)
    return tuple(tuple(group) for group in groups.values())


__all__ = [
    "BASIS_WORDS", "DUTY_WORDS", "SEVERITY_WORDS", "Say", "day", "failing", "joined", "money", "places_alike",
    "round_money", "site_of",
]  # fmt: skip
