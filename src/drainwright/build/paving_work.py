"""Paving in the way of a dig as work: sawn, broken out and hauled before it, laid again over a tamped base after it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from drainwright.build.earth import ROCK_SWELL, loads
from drainwright.build.earth_chain import stone_hours
from drainwright.build.handling import Kit, Rates, carry_rate
from drainwright.build.hire_terms import HireTerms
from drainwright.build.model import DigPlan, TakeoffLine
from drainwright.build.parts import YARD
from drainwright.build.paving import Paved
from drainwright.build.schedule import Placed, Work, days_from_to
from drainwright.build.units import CUBIC_YARD, FOOT, INCH, SQUARE_FOOT
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.firm import Equipment
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.worksheet import quiet

OUT, BACK = "paving-out", "paving-back"  # keys of the two works
DENSITY = 2400.0  # of concrete, and asphalt is lighter: from memory [kg/m³]
SAWN_DEEP = 4.0 * INCH  # to here the rate of sawing holds; deeper takes longer in proportion
HIRED = {"paving saw": "cut-off saw with water", "paving breaker": "electric breaker with its tools"}


class Rubble(NamedTuple):
    """What is broken out and leaves by the trailer, apart from soil."""

    loose: float  # [m³]
    loads: int


def rubble(over: Sequence[Paved], equipment: Equipment) -> Rubble:
    """Broken paving of all digs, in loads by the trailer's room or its payload."""
    solid = math.fsum(item.broken for item in over)
    loose = solid * (1 + ROCK_SWELL)
    with quiet():
        by_room, by_mass = (
            loads(loose, equipment.trailer_volume),
            loads(solid * DENSITY, equipment.trailer_payload),
        )
    return Rubble(loose, max(by_room, by_mass))


def paving_works(site: Site, dig: DigPlan, rates: Rates, kit: Kit) -> Iterator[Work]:
    """The works on paving, in their order.

    Parameters
    ----------
    site : Site
        Access and equipment.
    dig : DigPlan
        With the paving over its digs.
    rates : Rates
        Of the book.
    kit : Kit
        Machines that carry.

    Yields
    ------
    Work
        None where no dig goes through paving.
    """
    over = dig.paved
    if not over:
        return
    hard, set_ = [item for item in over if not item.lifted], [item for item in over if item.lifted]
    edge = math.fsum(item.edge for item in hard) / FOOT
    sawing = math.fsum(item.edge * max(1.0, item.thickness / SAWN_DEEP) for item in hard) / FOOT / rates("paving.saw")
    solid = math.fsum(item.broken for item in hard) / CUBIC_YARD
    out = rubble(over, site.job.equipment)
    loose = out.loose / CUBIC_YARD
    carried = loose / carry_rate(site.job.property.access.barrow_distance, rates, kit) + loose / rates("load")
    hauled = out.loads * (rates("haul") + rates("tip"))
    lifted = math.fsum(item.taken for item in set_) / SQUARE_FOOT
    told = [rates.at(edge, "paving.saw"), rates.at(solid, "paving.break")] if hard else []
    told += [rates.at(lifted, "paving.lift")] if set_ else []
    yield Work(
        key=OUT,
        title="Saw, break out and haul the paving over the digs"
        if not set_
        else "Lift the paving over the digs and stack it"
        if not hard
        else "Saw, break out, lift and haul the paving over the digs",
        hours=sawing + solid / rates("paving.break") + carried + hauled + lifted / rates("paving.lift"),
        quantity=", ".join(told),
        loads=out.loads,
        after=("set-up",),
        most=2,
        hold="sawn wet, in a mask that fits: the dust is silica; lines under it are marked before the blade goes in"
        if hard
        else "the pattern photographed, the stones stacked where no barrow goes",
    )
    base = math.fsum(item.base for item in over)
    poured = math.fsum(item.taken for item in hard if item.surface == "concrete") / SQUARE_FOOT
    told = [f"{rates.amount(base / CUBIC_YARD, 'yd³')} of base"]
    told += [rates.at(poured, "paving.place")] if poured > 0 else []
    told += [rates.at(lifted, "paving.set")] if set_ else []
    yield Work(
        key=BACK,
        title="Lay and tamp the base under the paving, and lay the paving again",
        hours=stone_hours(base, site, rates, kit) + poured / rates("paving.place") + lifted / rates("paving.set"),
        quantity=", ".join(told),
        after=("backfill", f"backfill{YARD}"),
        most=3,
        hold="; ".join(_closed(site, over)),
    )


def _closed(site: Site, over: Sequence[Paved]) -> Iterator[str]:
    deep = "4 in" if site.job.units == "US" else "100 mm"
    yield f"no topsoil under paving: soil tamped in lifts to {deep} below it, then the base"
    surfaces = {item.surface for item in over}
    if "concrete" in surfaces:
        yield "concrete: nobody walks on it for a day, no car for a week; the bag's sheet or the mixer's word governs"
    if "asphalt" in surfaces:
        yield "asphalt is laid hot by a paver, who is called for it: till then no car, and barrels round the hole"


def paving_hire(
    dig: DigPlan, site: Site, placed: Sequence[Placed], day_length: float, terms: HireTerms
) -> Iterator[TakeoffLine]:
    """Saw and breaker that the firm does not own, on the days of the sawing and breaking, by the calendar."""
    if all(item.lifted for item in dig.paved):
        return
    first, last = days_from_to(placed, day_length, (OUT,), (OUT,))
    count = terms.charged(first, last)
    for name, words in HIRED.items():
        if name not in site.job.equipment.owned:
            yield TakeoffLine(
                key=f"hire.{name.replace(' ', '-')}", category="hire", description=words, net=count, quantity=count,
                unit="day", where=yards(dig.paved), waste=0.0, basis=Basis.ASSUMED,
                note=f"day {first}" + (f" to {last}" if last > first else "") + " of the crew's plan, by the calendar",
                source="hire", task=OUT,
            )  # fmt: skip


def yards(over: Sequence[Paved]) -> str:
    """The paved yards that digs go through, by name."""
    return ", ".join(dict.fromkeys(item.yard for item in over))


def thick_words(item: Paved, units: Units) -> str:
    """``4 in thick, ASSUMED``."""
    size = write(item.thickness, "length", units, *(() if units == "US" else ("mm", 0)))
    return f"{size} thick" + (", ASSUMED" if item.basis is Basis.ASSUMED else "")


__all__ = ["BACK", "HIRED", "OUT", "Rubble", "paving_hire", "paving_works", "rubble", "thick_words", "yards"]
