"""A design beside another, and the packages that a customer chooses from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from drainwright.design import Design
from drainwright.findings.model import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """One part of the price, before and after."""

    name: str
    before: Decimal
    after: Decimal

    @property
    def change(self) -> Decimal:
        """After less before."""
        return self.after - self.before


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One thing that is told otherwise, in the job's units."""

    where: str  # "run FD1", "basin SUMP", the storm case's title
    what: str  # "grade", "pump", "inside"
    before: str  # empty: was not there
    after: str  # empty: is no longer there


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseTold:
    """One case of the storm test that comes out otherwise."""

    key: str
    title: str
    before: str
    after: str
    better: bool | None  # None: neither better nor worse by the floor


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """One line of the order that changes."""

    key: str
    description: str
    unit: str  # of the job's units
    before: float  # in ``unit``
    after: float
    amount: Decimal  # after less before


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """What changes from one design to another of the same lot."""

    currency: str
    price: Amount  # with tax
    parts: tuple[Amount, ...]  # of the price, those that change
    days: tuple[int, int]
    hours: tuple[float, float]  # person-hours
    duration: tuple[Told, ...]  # planned, likely and bad days, weather, last day, rock allowed for
    settled: tuple[Finding, ...]  # failed or warned before, no longer
    arisen: tuple[Finding, ...]  # fail or warn now, did not before
    otherwise: tuple[tuple[Finding, Finding], ...]  # fail or warn in both, with another severity or figure
    sound: tuple[bool, bool]
    storm: tuple[CaseTold, ...]
    sizes: tuple[Told, ...]
    bought: tuple[Bought, ...]  # the dearest change first

    @property
    def dug_worse(self) -> tuple[Finding, ...]:
        """New cautions and failures of the digging that come with the change."""
        return tuple(item for item in self.arisen if item.id.startswith("DIG-"))

    @property
    def nothing(self) -> bool:
        """Whether the designs are told alike."""
        return not (
            self.price.change
            or self.settled
            or self.arisen
            or self.otherwise
            or self.storm
            or self.sizes
            or self.bought
            or self.hours[0] != self.hours[1]
            or self.duration
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Package:
    """One thing that the customer may choose: the job with changes, designed as a whole."""

    key: str
    title: str
    words: str
    role: Literal["base", "add-on", "better", "best"]
    holds: tuple[str, ...]  # titles of the options in it; none: the works as written
    changes: Mapping[str, Any]
    design: Design
    difference: Difference | None  # from the base; None: it is the base
    buys: tuple[str, ...]  # what it is good for, in plain words; none: nothing that was tried shows it

    @property
    def total(self) -> Decimal:
        """Price with tax."""
        return self.design.build.price.total


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """An option that is not offered, and why."""

    title: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OptionSet:
    """The works as written, the packages beside them, and single add-ons."""

    base: Package
    packages: tuple[Package, ...]  # better, best
    add_ons: tuple[Package, ...]
    refused: tuple[Refused, ...]
    standing: bool  # the job names no options: these are those the program finds

    @property
    def every(self) -> tuple[Package, ...]:
        """All that can be chosen."""
        return (self.base, *self.packages, *self.add_ons)


__all__ = ["Amount", "Bought", "CaseTold", "Difference", "OptionSet", "Package", "Refused", "Told"]
