"""What a job took beside what was planned, and what was learnt of it."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Literal

from drainwright.job.book_file import BookDocument
from drainwright.job.firm_book import Learning
from drainwright.learning.shrinkage import Moved


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskRow:
    """Hours of one work of the plan, or of all works of one kind where they were noted together."""

    key: str
    title: str
    planned: float  # person-hours; zero for work that no plan had
    taken: float | None  # person-hours; None: nothing noted
    done: float  # work done over work planned [-]
    done_told: bool  # False: as planned, since nothing was noted
    planned_cost: Decimal
    taken_cost: Decimal | None

    @property
    def difference(self) -> Decimal | None:
        """Cost taken less cost planned."""
        return None if self.taken_cost is None else self.taken_cost - self.planned_cost

    @property
    def ratio(self) -> float | None:
        """Hours taken over hours planned."""
        return None if self.taken is None or self.planned <= 0 else self.taken / self.planned


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRow:
    """Amount and cost of one thing bought, hired or paid for, without tax."""

    key: str  # empty for a thing that the price book does not have
    description: str
    unit: str
    planned: float  # amount; zero where nothing was planned
    bought: float | None  # None: nothing noted
    planned_cost: Decimal
    bought_cost: Decimal | None
    at_plan_price: bool = False  # counted, not paid for: at the plan's price

    @property
    def difference(self) -> Decimal | None:
        """Cost paid less cost planned."""
        return None if self.bought_cost is None else self.bought_cost - self.planned_cost

    @property
    def ratio(self) -> float | None:
        """Cost paid over cost planned."""
        if self.bought_cost is None or self.planned_cost == 0:
            return None
        return float(self.bought_cost / self.planned_cost)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """One figure of the actuals that looks like a slip of the pen."""

    kind: Literal["hours", "quantity", "price"]
    key: str  # of the task or the item
    where: str  # in the actuals
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """A job beside its plan. Sums are over what was noted, so that like is held against like."""

    job: str
    finished: datetime.date
    currency: str
    tasks: tuple[TaskRow, ...]
    items: tuple[ItemRow, ...]
    lost_days: int  # working days lost to the weather
    free_days: tuple[datetime.date, ...]  # noted as lost to it, but not worked by the crew's week anyway
    planned_days: int
    days_worked: int | None  # days with work noted on them; None: no days noted
    invented: bool
    invented_of: tuple[str, ...] = ()  # what of it, in sentences
    slips: tuple[Slip, ...] = ()  # figures that look like a slip of the pen
    beside: Decimal = Decimal(0)  # planned for the way and for short days, which nobody notes

    @property
    def planned_hours(self) -> float:
        """Of the tasks with hours noted, and of none else."""
        return sum(row.planned for row in self.tasks if row.taken is not None)

    @property
    def taken_hours(self) -> float:
        """In all."""
        return sum(row.taken for row in self.tasks if row.taken is not None)

    @property
    def planned_cost(self) -> Decimal:
        """Of the lines with something noted."""
        return _sum(row.planned_cost for row in self._told)

    @property
    def taken_cost(self) -> Decimal:
        """Of the same lines."""
        taken = [row.taken_cost for row in self.tasks if row.taken_cost is not None]
        return _sum((*taken, *(row.bought_cost for row in self.items if row.bought_cost is not None)))

    @property
    def difference(self) -> Decimal:
        """Cost over plan, of the lines with something noted."""
        return self.taken_cost - self.planned_cost

    @property
    def without_slips(self) -> Comparison:
        """The same without the lines that look like a slip of the pen."""
        doubted = {one.key for one in self.slips}
        return replace(
            self,
            tasks=tuple(row for row in self.tasks if row.key not in doubted),
            items=tuple(row for row in self.items if row.key not in doubted),
            slips=(),
        )

    @property
    def untold_cost(self) -> Decimal:
        """Planned cost of the lines with nothing noted, the way and short days among them."""
        return self.beside + _sum(row.planned_cost for row in self._rows if row.difference is None)

    @property
    def dearest(self) -> tuple[TaskRow | ItemRow, ...]:
        """What cost more than planned, the most first."""
        over = [row for row in self._told if row.difference is not None and row.difference > 0]
        return tuple(sorted(over, key=lambda row: -(row.difference or Decimal(0))))

    @property
    def _rows(self) -> tuple[TaskRow | ItemRow, ...]:
        return (*self.tasks, *self.items)

    @property
    def _told(self) -> tuple[TaskRow | ItemRow, ...]:
        return tuple(row for row in self._rows if row.difference is not None)


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceMoved:
    """An item's price after a job: the latest that was paid."""

    key: str
    unit: str
    before: Decimal
    after: Decimal
    dated: datetime.date
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """A book before and after a job."""

    document: BookDocument  # after
    learning: Learning  # as it is written in the book
    rates: tuple[Moved, ...]
    prices: tuple[PriceMoved, ...]
    comparison: Comparison


def _sum(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, Decimal("0.00"))


__all__ = ["Comparison", "ItemRow", "Learnt", "PriceMoved", "Slip", "TaskRow"]
