"""What paving over a dig takes: blades, the haul of what is broken, a base, and the new surface."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from drainwright.build.book import Book
from drainwright.build.model import DigPlan, TakeoffLine
from drainwright.build.paving_work import BACK, OUT, rubble, thick_words, yards
from drainwright.build.takeoff.lines import line
from drainwright.build.units import CUBIC_YARD, FOOT, INCH, SQUARE_FOOT
from drainwright.field.model import Site
from drainwright.field.words import least_sure
from drainwright.job.values import Basis

# Common practice, no source.
BED = 1.0 * INCH  # of sand under stones that are set again, what fills their joints counted with it
SAND_BAG = 0.5 * FOOT**3  # in a bag of 50 lb
BROKEN = 0.05  # of lifted stones, those that break or are worn


def paving_lines(site: Site, dig: DigPlan, book: Book) -> Iterable[TakeoffLine]:
    """The lines of all paving that is cut; none where no dig goes through any."""
    over, units = dig.paved, site.job.units
    hard, set_ = [item for item in over if not item.lifted], [item for item in over if item.lifted]
    if hard:
        where, basis = yards(hard), least_sure(*(item.basis for item in hard))
        note = ", ".join(dict.fromkeys(f"{item.yard}: {item.surface} {thick_words(item, units)}" for item in hard))
        edge = math.fsum(item.edge for item in hard) / FOOT
        yield replace(
            line("paving.blade", "sundries", "diamond blade for paving, worn by the foot", edge, "ft", where=where,
                 basis=basis, note=note), task=OUT,
        )  # fmt: skip
        hauled = float(rubble(over, site.job.equipment).loads)
        told = "broken paving, apart from soil"
        yield replace(
            line("haul.load", "haul", "haul broken paving to the dump", hauled, "load", where=where, basis=basis,
                 note=told), source="own", task=OUT,
        )  # fmt: skip
        fee = line("dump.rubble-load", "haul", "dump fee for broken paving", hauled, "load", where=where, basis=basis)
        yield replace(fee, task=OUT)
    poured = [item for item in hard if item.surface == "concrete"]
    if poured:
        volume = math.fsum(item.broken for item in poured) / CUBIC_YARD
        yield replace(
            line("paving.concrete", "sundries", "concrete to close the paving, with forms and ties", volume, "yd³",
                 where=yards(poured), waste=book.waste_of("paving.concrete", "sundries"), step=0.25,
                 basis=least_sure(*(item.basis for item in poured))), task=BACK,
        )  # fmt: skip
    asphalt = [item for item in hard if item.surface == "asphalt"]
    if asphalt:
        area = math.fsum(item.taken for item in asphalt) / SQUARE_FOOT
        yield line(
            "paving.asphalt", "permits", "asphalt laid hot by a paver (allowance)", area, "ft²", where=yards(asphalt),
            basis=Basis.ASSUMED,
        )  # fmt: skip
    if set_:
        where, area = yards(set_), math.fsum(item.taken for item in set_)
        yield replace(
            line("paving.sand", "sundries", "sand under paving stones and in their joints", area * BED / SAND_BAG,
                 "bag 50 lb", where=where, basis=Basis.ASSUMED), task=BACK,
        )  # fmt: skip
        yield replace(
            line("paving.stones", "sundries", "paving stones for those that break (allowance)",
                 area * BROKEN / SQUARE_FOOT, "ft²", where=where, basis=Basis.ASSUMED, note="5 % of what is lifted"),
            task=BACK,
        )  # fmt: skip
    if over:
        base = math.fsum(item.base for item in over) / CUBIC_YARD
        yield replace(
            line("paving.base", "stone", "crushed stone for the base under paving, delivered", base, "yd³",
                 where=yards(over), waste=book.waste_of("paving.base", "stone"), step=0.5), task=BACK,
        )  # fmt: skip


__all__ = ["paving_lines"]
