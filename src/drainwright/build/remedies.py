"""What a remedy costs: materials and hours by the price book, with overhead, contingency, profit and tax.

All amounts are as if the remedy were built with the rest of the job, and come on top of its price. What the job
document can say, a second pump or a battery, is priced by whoever designs the job with it (``design.remedies``), as any
choice of the offer is.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal

from drainwright.build.book import Book, book_for
from drainwright.build.earth import SOILS
from drainwright.build.model import CrewPlan, Takeoff, TakeoffLine, Task
from drainwright.build.price import price
from drainwright.build.side import build_side
from drainwright.build.takeoff import pump_key
from drainwright.build.wording import money
from drainwright.field.model import Site
from drainwright.storm.failures.remedy import Prevention, Remedy, Tried
from drainwright.system.fittings import with_fittings
from drainwright.system.lift.choice import DEPTHS, FLOAT_ROOM
from drainwright.system.model import LiftStation, System
from drainwright.worksheet import quiet

FOOT, CUBIC_YARD = 0.3048, 0.764554857984  # [m], [m³]
STICK = 10.0  # [ft]
YEARS = 10  # over which yearly visits are set against what is built once: assumed
SWELL_BACK = 1.25  # loose over bank, of what goes back into an overflow's trench: common practice, no source [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class RemedyCost:
    """The price of one remedy, tax included."""

    total: Decimal
    yearly: bool  # each year, not once
    currency: str
    invented: bool  # by the demonstration book
    included: bool = False  # already in the job's price

    @property
    def words(self) -> str:
        """As it is told."""
        if self.included:
            return "in the price"
        if not self.total:
            return "nothing more by the price book"
        return money(self.total, self.currency, 0) + (" a year" if self.yearly else "")

    @property
    def about(self) -> str:
        """As it is told for what it is, an estimate."""
        return self.words if self.included or not self.total else f"about {self.words}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedRemedy:
    """How a remedy came out, and what it costs."""

    tried: Tried
    cost: RemedyCost


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedPrevention:
    """What would prevent one failure's harm, cheapest first; what prevents nothing alone comes last."""

    key: str
    title: str
    remedies: tuple[PricedRemedy, ...]

    @property
    def cheapest(self) -> PricedRemedy | None:
        """The cheapest that works alone; None: none of those tried does."""
        return next((one for one in self.remedies if one.tried.prevents), None)


def cost_of(remedy: Remedy, site: Site, system: System, book: Book | None = None) -> RemedyCost:
    """What a remedy costs, on top of the job.

    Parameters
    ----------
    remedy : Remedy
        With its size.
    site : Site
        For soil, trench width, units and the job's own prices.
    system : System
        For the station that it concerns.
    book : Book, optional
        Left out: the job's.

    Returns
    -------
    RemedyCost
        An alarm costs nothing more: each basin's is in the price. Cleaning and service cost their visits of one year,
        once the job is done, without tax.

    Raises
    ------
    JobError
        If the job's price book is wrong.
    InputError
        If the book lacks an item.
    """
    book = book_for(site.job.price_book) if book is None else book
    if remedy.kind == "alarm":
        return RemedyCost(
            total=Decimal("0.00"), yearly=False, currency=book.currency, invented=book.invented, included=True
        )
    if remedy.kind == "second pump":
        return RemedyCost(
            total=_with_second_pump(remedy, site, system), yearly=False, currency=book.currency, invented=book.invented
        )
    lines, hours = _parts(remedy, site, system, book)
    bought = tuple(_line(book, key, quantity, remedy.where, own) for key, quantity, own in lines)
    takeoff = Takeoff(lines=bought, holes=())
    task = Task(key=f"remedy.{remedy.kind}", title=remedy.title, hours=round(hours, 2), day=1, quantity="")
    with quiet():
        made = price(takeoff, CrewPlan(tasks=(task,), hours=task.hours, days=1, crew=1), book, site.job.rules)
    return RemedyCost(
        total=max(made.total, Decimal("0.00")), yearly=remedy.visits > 0, currency=book.currency, invented=book.invented
    )


def priced(prevention: Prevention, cost: Callable[[Remedy], RemedyCost]) -> PricedPrevention:
    """The remedies of one failure with their costs: those that work first, the cheapest over ten years first."""
    found = [PricedRemedy(tried=one, cost=cost(one.remedy)) for one in prevention.tried]
    found.sort(key=lambda one: (not one.tried.prevents, one.cost.total * (YEARS if one.cost.yearly else 1)))
    return PricedPrevention(key=prevention.key, title=prevention.title, remedies=tuple(found))


Line = tuple[str, float, float | None]  # key, quantity, own price of each


def _parts(remedy: Remedy, site: Site, system: System, book: Book) -> tuple[list[Line], float]:
    """What to buy, and person-hours."""
    station = system.station_named(remedy.where)
    if remedy.visits:
        return [], remedy.visits * book.rate("visit" if remedy.kind == "service" else "clear")
    if remedy.kind == "bigger pump" and station is not None:
        kind = station.pump.float_kind
        key, count, own = _pump(station)
        taken = pump_key(remedy.size, kind)
        saved = book.item(key).price if own is None else Decimal(str(own))
        return ([(taken, 1.0, None), (key, -count, own)] if book.item(taken).price > saved else []), 0.0
    if remedy.kind == "battery":
        return [("battery.ah", remedy.size, None), ("inverter", 1.0, None)], book.rate("battery")
    if remedy.kind == "second inlet":
        each = max(1.0, remedy.size)
        return [("catch-basin.12in", each, None), ("pipe.d2729-4in.10ft", each, None)], each * book.rate("catch-basin")
    return _overflow(remedy, site, book)


def _with_second_pump(remedy: Remedy, site: Site, system: System) -> Decimal:
    """What the job costs more with a second pump like the first: valves, pipe, circuit, and room for its float."""
    stations = tuple(_paired(one) if one.name == remedy.where else one for one in system.stations)
    paired = with_fittings(site.job, replace(system, stations=stations))
    with quiet():
        before, after = (build_side(site, one) for one in (system, paired))
    return max(after.price.total - before.price.total, Decimal("0.00"))


def _paired(station: LiftStation) -> LiftStation:
    """The station with a second pump's float, its basin deeper by whole steps of those sold where there is no room."""
    levels = station.float_levels
    lacking = 2 * FLOAT_ROOM[station.pump.float_kind] - (levels["alarm"] - levels["on"])
    step = DEPTHS[1] - DEPTHS[0]
    deeper = max(math.ceil(lacking / step - 1e-9), 0) * step
    return replace(
        station, depth=station.depth + deeper, floor=station.floor - deeper, off=station.off - deeper,
        on=station.on - deeper, second_on=levels["alarm"],
    )  # fmt: skip


def _pump(station: LiftStation) -> Line:
    return pump_key(station.pump.label_power, station.pump.float_kind), 1.0, station.pump.price


def _overflow(remedy: Remedy, site: Site, book: Book) -> tuple[list[Line], float]:
    """Pipe, an open end, and a trench dug and filled by hand."""
    soil = SOILS[site.job.ground.texture.value].digs
    earth = remedy.size * remedy.depth * site.job.criteria.trench_width / CUBIC_YARD
    feet = remedy.size / FOOT
    hours = earth / book.rate(f"dig.{soil}") + SWELL_BACK * earth / book.rate(f"backfill.{soil}")
    hours += feet / book.rate("pipe.rigid") + book.rate("outlet")
    sticks = float(math.ceil(feet / STICK - 1e-9))
    return [("pipe.d2729-4in.10ft", sticks, None), ("outlet.daylight", 1.0, None)], hours


def _line(book: Book, key: str, quantity: float, where: str, own: float | None) -> TakeoffLine:
    item = book.item(key)
    return TakeoffLine(
        key=key, category="sundries", description=item.description, net=quantity, quantity=quantity, unit=item.unit,
        where=where, waste=0.0, own_price=own,
    )  # fmt: skip


__all__ = ["PricedPrevention", "PricedRemedy", "RemedyCost", "cost_of", "priced"]
