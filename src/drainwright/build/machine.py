"""By hand or by machine: what each choice takes in days and money, and what stands in its way."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal

from drainwright.build.book import Book
from drainwright.build.crew_model import CrewPlan, WayToDig
from drainwright.build.earth import in_rock
from drainwright.build.handling import HandShares, Kit
from drainwright.build.hire_terms import HireTerms
from drainwright.build.model import DigPlan, TakeoffLine, Tool
from drainwright.build.paid import paid_days
from drainwright.build.parts import dig_key, task_key
from drainwright.build.price import cents
from drainwright.build.reach import reached
from drainwright.build.schedule import Placed, days_from_to, days_open
from drainwright.build.units import CUBIC_YARD, INCH
from drainwright.field.model import Site
from drainwright.job.firm import Equipment
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.worksheet import quiet

#: Clear width that a small excavator needs: a trade's page on digging at walls. Common practice, no source.
EXCAVATOR_GATE = 42.0 * INCH
#: That of a powered barrow: common practice, no source.
CARRIER_GATE = 30.0 * INCH
CHOICES = (
    ("by hand", Kit()),
    ("by hand, with a powered barrow", Kit(carrier=True)),
    ("with a small excavator", Kit(excavator=True)),
    ("with a small excavator and a powered barrow", Kit(excavator=True, carrier=True)),
)


def kit_of(equipment: Equipment) -> Kit:
    """The machines that the job counts on."""
    return Kit(excavator=equipment.excavator, carrier=equipment.carrier)


def machine_digs(dig: DigPlan, shares: Mapping[str, HandShares]) -> frozenset[str]:
    """Keys of digging works of which a machine does a part; all where it does none, for it is hired all the same."""
    digs = frozenset(item.work for item in dig.trenches if shares[item.name].by_hand < 1 - 1e-9)
    return digs or frozenset(item.work for item in dig.trenches)


def machine_days(
    placed: Sequence[Placed], day_length: float, kit: Kit, dug: frozenset[str]
) -> dict[str, tuple[int, int]]:
    """The working days, from 1, between which each machine is on the lot: the first and the last work that uses it."""
    return {
        name: days_from_to(placed, day_length, keys, keys) for name, keys in machine_works(placed, kit, dug).items()
    }


def machine_works(placed: Sequence[Placed], kit: Kit, dug: frozenset[str]) -> dict[str, list[str]]:
    """Keys of the works that use each machine, in the order in which they begin."""
    found = {}
    keys = [item.work.key for item in sorted(placed, key=lambda item: item.start)]
    digs = [key for key in keys if dig_key(key) in dug]
    if kit.excavator and digs:
        found["excavator"] = digs
    if kit.carrier:
        found["carrier"] = [key for key in keys if task_key(key) in ("haul", "bed", "stone", "round")]
    return found


def machine_hire(
    placed: Sequence[Placed], day_length: float, equipment: Equipment, dug: frozenset[str], terms: HireTerms
) -> Iterator[TakeoffLine]:
    """The hire of machines that the firm does not own, by the calendar, brought and fetched."""
    days = machine_days(placed, day_length, kit_of(equipment), dug)
    words = {"excavator": "small excavator", "carrier": "powered barrow"}
    works = machine_works(placed, kit_of(equipment), dug)
    hired = {name: span for name, span in days.items() if name not in equipment.owned}
    for name, (first, last) in hired.items():
        count = terms.charged(first, last)
        yield TakeoffLine(
            key=f"hire.{name}", category="hire", description=words[name], net=count, quantity=count,
            unit="day", where="", waste=0.0, basis=Basis.ASSUMED,
            note=f"{days_words(first, last)}, its first and last by the crew's plan, charged by the calendar, a week "
            "at its own price",
            source="hire", task=works[name][0],
        )  # fmt: skip
    if hired:
        soonest = min(hired, key=lambda name: hired[name])
        yield TakeoffLine(
            key="hire.delivery", category="hire", description="machine brought and fetched", net=float(len(hired)),
            quantity=float(len(hired)), unit="each", where="", waste=0.0, basis=Basis.ASSUMED, source="hire",
            task=works[soonest][0],
        )  # fmt: skip


def days_words(first: int, last: int) -> str:
    """Days of the crew's plan: ``day 3 to day 4``."""
    return f"day {first} to day {last}" if last > first else f"day {first}"


def own_machines(
    placed: Sequence[Placed], day_length: float, equipment: Equipment, dug: frozenset[str]
) -> Iterator[Tool]:
    """The firm's own machines that the plan works with: they are brought like its tools, with what they travel on."""
    words = {
        "excavator": "small excavator with its bucket, trailer and straps",
        "carrier": "powered barrow with its trailer and straps",
    }
    for name, (first, last) in machine_days(placed, day_length, kit_of(equipment), dug).items():
        if name in equipment.owned:
            yield Tool(key=name, name=words[name], count=1, source="own", why=days_words(first, last))


def breaker_hire(
    dig: DigPlan, site: Site, placed: Sequence[Placed], day_length: float, terms: HireTerms
) -> Iterator[TakeoffLine]:
    """Electric breakers where the ground is stable rock: as many as break it in the days of digging, by the calendar.

    One breaks a cubic yard in place a day, as for rock found; none is on hire for longer than the digging lasts.
    """
    work = dig.bank_volume / CUBIC_YARD
    if not in_rock(site.job.ground) or work <= 0:
        return
    digs = [item.work.key for item in placed if task_key(item.work.key) in ("open", "trench")]
    first, last = days_from_to(placed, day_length, digs, digs)
    count = max(1, math.ceil(work / (last - first + 1) - 1e-6))
    each = terms.charged(first, last)
    yield TakeoffLine(
        key="hire.breaker", category="hire", description="electric breaker with its tools", net=count * each,
        quantity=count * each, unit="day", where="", waste=0.0, basis=Basis.ASSUMED,
        note=f"{count} at once from day {first} to {last} of the crew's plan, each breaks a cubic yard of rock a day; "
        "charged by the calendar, a week at its own price",
        source="hire", task="trench",
    )  # fmt: skip


def no_breaker(site: Site, dig: DigPlan, plan: CrewPlan) -> tuple[str, ...]:
    """Live gas, electric and propane lines near which the digging may ask for a breaker, that must not come so near.

    Parameters
    ----------
    site, dig, plan : Site, DigPlan, CrewPlan
        The ground; what is dug and the lines whose tolerance zone it enters; the plan with the rock allowed for.

    Returns
    -------
    tuple of str
        Their names; none where the ground is no stable rock and no rock is allowed for.
    """
    if not in_rock(site.job.ground) and plan.rock is None:
        return ()
    dangerous = {item.name for item in site.job.utilities if item.dangerous}
    return tuple(dict.fromkeys(item.utility for item in dig.crossings if item.utility in dangerous))


def ways_to_dig(
    site: Site,
    dig: DigPlan,
    shares: Mapping[str, HandShares],
    planned: Callable[[Kit], Sequence[Placed]],
    book: Book,
    terms: Callable[[Sequence[Placed]], HireTerms],
) -> tuple[WayToDig, ...]:
    """Each choice of machines with its days and cost.

    Parameters
    ----------
    site : Site
        Access, crew, equipment.
    dig : DigPlan
        What is dug.
    shares : mapping of str to HandShares
        What no machine may dig.
    planned : function of Kit to Sequence of Placed
        The plan with a choice of machines.
    book : Book
        Wage, burden, hire.
    terms : function of Sequence of Placed to HireTerms
        How a plan's days of hire are charged.

    Returns
    -------
    tuple of WayToDig
        In the order of ``CHOICES``, those that cannot be among them, with what stands in their way.
    """
    crew, equipment = site.job.crew, site.job.equipment
    hour = cents(book.wage * (1 + book.burden))
    used = kit_of(equipment)
    found = []
    for name, kit in CHOICES:
        placed = planned(kit)
        hours = math.fsum(item.work.hours for item in placed)
        paid = paid_days((spell for item in placed for spell in item.spells), crew.hours_per_day, book)
        beside = math.fsum(day.travel + day.unworked for day in paid)
        days = machine_days(placed, crew.hours_per_day, kit, machine_digs(dig, shares))
        hired = {machine: span for machine, span in days.items() if machine not in equipment.owned}
        charged = terms(placed)
        with quiet():
            hire = sum(
                (
                    Decimal(str(charged.charged(*span))) * book.item(f"hire.{machine}").price
                    for machine, span in hired.items()
                ),
                Decimal(0),
            )
        hire += len(hired) * book.item("hire.delivery").price
        found.append(
            WayToDig(
                name=name,
                excavator=kit.excavator,
                carrier=kit.carrier,
                used=kit == used,
                hours=hours,
                days=days_open(placed, crew.hours_per_day, (), ()),
                labour=cents(Decimal(repr(round(hours + beside, 4))) * hour),
                hire=cents(hire),
                obstacles=tuple(_obstacles(site, dig, shares, kit)),
                unsure=tuple(_unsure(site, kit)),
            )
        )
    return tuple(found)


def _obstacles(site: Site, dig: DigPlan, shares: Mapping[str, HandShares], kit: Kit) -> Iterator[str]:
    access, units = site.job.property.access, site.job.units
    gate = access.gate_width
    small = "in" if units == "US" else "mm"
    for there, name, need in (  # a visit that says what an excavator does not reach says that it reaches the rest
        (kit.excavator and not access.by_hand, "a small excavator", EXCAVATOR_GATE),
        (kit.carrier, "a powered barrow", CARRIER_GATE),
    ):
        if there and gate is not None and gate < need:
            clear, wide = (write(value, "length", units, small, 0) for value in (gate, need))
            yield f"the gate is {clear} wide, {name} needs about {wide}"
    if not kit.excavator:
        return
    at_walls = [trench for trench in dig.trenches if trench.kind == "wall" and reached(access, trench.name)]
    if site.job.house.deck_overhead and at_walls:
        yield "a deck over the wall leaves an excavator no room"
    bank = math.fsum(trench.bank_volume for trench in dig.trenches)
    by_hand = math.fsum(trench.bank_volume * shares[trench.name].by_hand for trench in dig.trenches)
    if in_rock(site.job.ground):
        yield "the ground is stable rock: a breaker in the hand breaks it, and a small excavator does not"
    elif bank > 0 and by_hand / bank >= 1 - 1e-6:
        yield (
            "all of the digging lies out of its reach, in tolerance zones, root zones or at a wall's face: it stays "
            "hand work"
        )


def _unsure(site: Site, kit: Kit) -> Iterator[str]:
    access = site.job.property.access
    if ((kit.excavator and not access.by_hand) or kit.carrier) and access.gate_width is None:
        yield "the gate is not measured"
    if kit.excavator and not access.machine:
        yield "the visit noted no way in for a machine"


def kept_by_hand(dig: DigPlan, shares: Mapping[str, HandShares]) -> tuple[float, float]:
    """Parts of all soil that lie in tolerance zones, and that any machine leaves to the spade. [-]"""
    bank = math.fsum(trench.bank_volume for trench in dig.trenches)
    if bank <= 0:
        return 0.0, 0.0
    careful = math.fsum(trench.bank_volume * shares[trench.name].careful for trench in dig.trenches)
    by_hand = math.fsum(trench.bank_volume * shares[trench.name].by_hand for trench in dig.trenches)
    return careful / bank, by_hand / bank


__all__ = [
    "CARRIER_GATE",
    "CHOICES",
    "EXCAVATOR_GATE",
    "breaker_hire",
    "kept_by_hand",
    "kit_of",
    "machine_digs",
    "machine_hire",
    "no_breaker",
    "own_machines",
    "ways_to_dig",
]
