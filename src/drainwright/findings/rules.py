"""What a rule is: a small function that looks at a case and says how one check came out.

A rule is registered with an id of its own, a title and a source. It yields an ``Outcome`` for each place it
looked at; where it does not apply it yields nothing. Ids are never reused for another meaning.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from drainwright.build.model import Build
from drainwright.errors import InputError
from drainwright.field.model import Site
from drainwright.field.words import least_sure
from drainwright.findings.model import Finding, Severity
from drainwright.job.model import Job
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.sources import SOURCES
from drainwright.storm.model import StormCase, StormTest
from drainwright.system.model import System
from drainwright.water.model import Inflows
from drainwright.water.moisture_model import MoistureSources


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Everything that a rule may look at."""

    site: Site
    inflows: Inflows
    system: System
    storm: StormTest
    build: Build
    moisture: MoistureSources

    @property
    def job(self) -> Job:
        """The job document."""
        return self.site.job

    @property
    def _system(self) -> Literal["US", "SI"]:
        return self.job.units

    @property
    def _us(self) -> bool:
        return self.job.units == "US"

    def level(self, value: float) -> str:
        """Write an elevation, to the digits of a level book: the drawings' rule too."""
        return write(value, "length", self._system, "ft" if self._us else "m", 2 if self._us else 3)

    def length(self, value: float) -> str:
        """Write a tape length."""
        return write(value, "length", self._system, "ft-in" if self._us else ("m" if abs(value) >= 1.0 else "mm"))

    def small(self, value: float) -> str:
        """Write a length of inches or millimetres."""
        if self._us:
            return write(value, "length", "US", "in" if abs(value) < 0.6 else "ft-in")
        return write(value, "length", "SI", "mm", 0)

    def some(self, value: float) -> str:
        """Write a small difference that is not none, though it would be written so: ``less than 1/8 in``."""
        if self.small(abs(value)) != self.small(0.0):
            return self.small(value)
        return f"less than {'1/8 in' if self._us else '1 mm'}"

    def flow(self, value: float) -> str:
        """Write a flow."""
        return write(value, "flow", self._system)

    def grade(self, value: float) -> str:
        """Write a grade."""
        return write(value, "grade", self._system)

    def speed(self, value: float) -> str:
        """Write a speed of flow."""
        return write(value, "speed", self._system)

    def volume(self, value: float) -> str:
        """Write a volume of water."""
        return write(value, "volume", self._system, "gal" if self._us else "L", 0)

    def mass(self, value: float) -> str:
        """Write a mass."""
        return write(value, "mass", self._system, digits=0)

    def undecided(self, result: StormCase) -> str:
        """How a case stands whose record ends while the water at the house still rises."""
        return f"the water does not reach the {self.floor_name} within {self.hours(result.ended)}, and still rises"

    def at_house(self, result: StormCase) -> str | None:
        """Write the highest water at the house; None: it has no drain and no basin."""
        if result.highest_at_house is not None:
            return self.level(result.highest_at_house)
        return "dry" if result.house_dry else None

    def stays_below(self, result: StormCase) -> str:
        """How a case stands that does not reach the floor."""
        floor = f"{self.floor_name} ({self.level(result.slab_level)})"
        if result.undecided:
            return f"is below the {floor} after {self.hours(result.ended)}, still rising"
        return f"stays below the {floor}"

    def outcome(self, result: StormCase) -> str:
        """What comes of a failure in the storm."""
        if result.time_to_slab is not None:
            return f"water reaches the {self.floor_name} after {self.hours(result.time_to_slab)}"
        return self.undecided(result) if result.undecided else f"the floor stays dry{self.by_rain(result)}"

    def by_rain(self, result: StormCase) -> str:
        """What a dry floor rests on where nobody knows the ground water: it may press with no rain at all."""
        nothing_there = result.highest_at_house is None and not result.house_dry
        known = self.site.water_table is not None or nothing_there
        return "" if known else " by rain alone (how high ground water stands, nobody knows)"

    def dead_pumps(self) -> tuple[tuple[str, str], ...]:
        """Each pump, by its basin where there are several, the one at the house first; what comes if it dies."""
        first = self.system.station
        cases = sorted(self.storm.dead_pumps, key=lambda item: first is not None and item.failed != first.name)
        return tuple((f"pump in {item.failed}" if item.failed else "pump", self.outcome(item)) for item in cases)

    def hours(self, seconds: float) -> str:
        """Write a time as seconds, minutes or hours; one beyond a lifetime as such."""
        if seconds < 90:
            return f"{seconds:.0f} s"
        if seconds < 5400:
            return f"{seconds / 60:.0f} min"
        if seconds > 100 * 365.25 * 86400:
            return "more than 100 years"
        return f"{seconds / 3600:.1f}".removesuffix(".0") + " h"

    def height(self, value: float) -> str:
        """Write a small difference of levels, as a level book is kept."""
        return write(value, "length", self._system, "ft" if self._us else "mm", 3 if self._us else 1)

    def bore(self, inches: str, millimetres: str) -> str:
        """Write a drill's size: for SI the size sold in millimetres, with the one in inches beside it."""
        return f"{inches} in" if self._us else f"{millimetres} mm ({inches} in)"

    @property
    def floor_name(self) -> str:
        """What a footing drain keeps dry."""
        return "crawl-space soil" if self.job.house.floor_kind == "crawl space" else "underside of the floor"

    @property
    def floor_underside(self) -> float:
        """Level of the lowest floor's underside, or of a crawl space's soil [m]."""
        house = self.job.house
        return self.site.floor - (0.0 if house.floor_kind == "crawl space" else house.floor_thickness)

    @property
    def water_basis(self) -> Basis:
        """The weakest mark among the inflows: what every figure of the design rain rests on."""
        entering = (item.basis for item in self.inflows.contributions if item.flow > 0)
        return least_sure(self.job.rain.basis, *entering)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How a check came out at one place."""

    severity: Severity
    where: str
    figure: str
    limit: str
    message: str
    advice: str = ""
    basis: Basis = Basis.MEASURED


Check = Callable[[Case], Iterator[Outcome]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A registered check."""

    id: str
    title: str
    source: str  # key in drainwright.sources
    check: Check

    def judge(self, case: Case) -> tuple[Finding, ...]:
        """Run the check on a case."""
        return tuple(
            Finding(
                id=self.id,
                title=self.title,
                source=self.source,
                severity=outcome.severity,
                where=outcome.where,
                figure=outcome.figure,
                limit=outcome.limit,
                message=outcome.message,
                advice=outcome.advice,
                basis=outcome.basis,
            )
            for outcome in self.check(case)
        )


RULES: dict[str, Rule] = {}


def rule(key: str, title: str, source: str) -> Callable[[Check], Check]:
    """Register a check.

    Raises
    ------
    InputError
        If the id is taken or the source is not in the registry.
    """

    def register(check: Check) -> Check:
        if key in RULES:
            raise InputError(f"{key}: expected an id that no other rule has")
        if source not in SOURCES:
            raise InputError(f"{key}: source {source!r} is not in drainwright.sources")
        RULES[key] = Rule(id=key, title=title, source=source, check=check)
        return check

    return register


def _outcome(severity: Severity) -> Callable[..., Outcome]:
    def make(
        where: str,
        message: str,
        *,
        figure: str = "",
        limit: str = "",
        advice: str = "",
        basis: Basis = Basis.MEASURED,
    ) -> Outcome:
        return Outcome(
            severity=severity, where=where, figure=figure, limit=limit, message=message, advice=advice, basis=basis
        )

    return make


ok = _outcome(Severity.OK)
caution = _outcome(Severity.CAUTION)
fails = _outcome(Severity.FAILS)

__all__ = ["RULES", "Case", "Check", "Outcome", "Rule", "caution", "fails", "ok", "rule"]
