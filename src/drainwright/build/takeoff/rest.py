"""Haul, restoring the ground, permits."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from drainwright.build.book import Book
from drainwright.build.model import DigPlan, TakeoffLine
from drainwright.build.takeoff.lines import line, names
from drainwright.build.takeoff.paving import paving_lines
from drainwright.build.takeoff.shaping import filling_lines, seeded, shaping_lines
from drainwright.build.units import SQUARE_FOOT
from drainwright.build.visits import new_circuits
from drainwright.field.model import Site
from drainwright.job.values import Basis
from drainwright.system.model import System


def rest_lines(site: Site, system: System, dig: DigPlan, book: Book) -> Iterable[TakeoffLine]:
    """Haul, restoring, permits."""
    job = site.job
    assumed = Basis.ASSUMED
    if dig.trailer_loads:
        by = "payload" if dig.trailer_loads_by_mass >= dig.trailer_loads_by_volume else "volume"
        note = f"{dig.trailer_loads_by_volume} by volume, {dig.trailer_loads_by_mass} by payload: the {by} governs"
        hauled = line(
            "haul.load", "haul", "haul spoil to the dump", float(dig.trailer_loads), "load", basis=assumed, note=note
        )
        yield replace(hauled, source="own")
        yield line("dump.load", "haul", "dump fee", float(dig.trailer_loads), "load", basis=assumed)
    soft = sum(trench.length * trench.width for trench in dig.trenches) - sum(item.area for item in dig.paved)
    opened = seeded(site, dig, max(0.0, soft)) / SQUARE_FOOT
    if opened > 0:
        waste = book.waste_of("restore.ft2", "sundries")
        yield line(
            "restore.ft2",
            "sundries",
            "seed and mulch over the dig" + (" and the shaped ground" if dig.shaped else ""),
            opened,
            "ft²",
            step=10.0,
            waste=waste,
        )
    yield from filling_lines(site, dig, book)
    yield from shaping_lines(site, dig, book)
    yield from paving_lines(site, dig, book)
    yield line("sundries.job", "sundries", "marking paint, sheets, blades, fasteners", 1.0, "job", basis=assumed)
    if dig.unlocated:
        yield line(
            "locate.private",
            "permits",
            "private locate",
            1.0,
            "each",
            basis=assumed,
            note=f"nobody located: {', '.join(dig.unlocated)}",
        )
    yield line("permit.drainage", "permits", "drainage or building permit (allowance)", 1.0, "each", basis=assumed)
    if (made := new_circuits(site, system)) > 0:
        yield line("permit.electrical", "permits", "electrical permit (allowance)", 1.0, "each", basis=assumed)
        words = "pump circuit by an electrician, one for each pump (allowance)"
        yield line("circuit.pump", "permits", words, made, "each", basis=assumed)
    ends = {run.lower for run in system.runs} | {system.discharge}
    asked = [
        item.name
        for item in job.works.discharge
        if item.name in ends and item.permission.value not in ("allowed", "permit granted")
    ]
    if asked:
        yield line(
            "permit.discharge", "permits", "permission to discharge (allowance)", float(len(asked)), "each",
            where=names(asked), basis=assumed,
        )  # fmt: skip


__all__ = ["rest_lines"]
