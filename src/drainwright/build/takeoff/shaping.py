"""Fill and finishes of shaped ground."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import replace

from drainwright.build.book import Book
from drainwright.build.earth import SOILS
from drainwright.build.model import DigPlan, TakeoffLine
from drainwright.build.shaping import LAID, suitable
from drainwright.build.takeoff.lines import line, names
from drainwright.build.units import CUBIC_YARD
from drainwright.errors import JobError, Problem
from drainwright.field.model import Site
from drainwright.field.words import least_sure
from drainwright.job.values import Basis
from drainwright.quantities import percent

LEAST_SOIL = 0.1  # less comes together from what is left over: common practice, no source [yd³]
SOLD: Mapping[str, tuple[str, str]] = {
    "mulch": ("mulch.yd3", "mulch over shaped ground"),
    "stone": ("finish.stone", "stone over shaped ground"),
}


def shaping_lines(site: Site, dig: DigPlan, book: Book) -> Iterable[TakeoffLine]:
    """Fill by its kind, and what is laid instead of grass; grass is among what is restored.

    Raises
    ------
    JobError
        If a strip's fill is no item of the price book.
    """
    earth = dig.shaped
    if earth is None:
        return
    unknown = [strip for strip in site.shaped if strip.strip.fill not in book.items]
    if unknown:
        known = ", ".join(key for key in book.items if key.startswith("fill."))
        raise JobError(tuple(
            Problem(
                where=f"works.shaping[{strip.number}].fill", found=f"the key {strip.strip.fill!r}",
                expected=f"an item of the price book: {known}",
            )
            for strip in unknown
        ))  # fmt: skip
    bought = earth.bought / (earth.fill + earth.settles) if earth.fill + earth.settles > 0 else 0.0
    swell = SOILS["clay"].swell
    for key in dict.fromkeys(strip.strip.fill for strip in site.shaped):
        strips = [strip for strip in site.shaped if strip.strip.fill == key]
        share = math.fsum(strip.fill for strip in strips) / earth.fill if earth.fill > 0 else 0.0
        loose = share * (earth.fill + earth.settles) * bought * (1 + swell) / CUBIC_YARD
        if loose <= 0:
            continue
        fit = suitable(site)
        reused = "some of it comes out of the digging" if earth.reused > 0 else f"none from the digging: {fit.why}"
        yield line(
            key, "earth", book.item(key).description, loose, "yd³", where=names(strip.name for strip in strips),
            waste=book.waste_of(key, "earth"), step=0.5, basis=least_sure(*(strip.basis for strip in strips)),
            note=f"loose, {percent(swell)} over its room in place, settlement included; {reused}",
        )  # fmt: skip
    for finish, (key, words) in SOLD.items():
        strips = [strip for strip in site.shaped if strip.strip.finish == finish]
        volume = math.fsum(strip.area for strip in strips) * LAID[finish] / CUBIC_YARD
        if volume > 0:
            where, waste = names(strip.name for strip in strips), book.waste_of(key, "earth")
            laid = line(key, "earth", words, volume, "yd³", where=where, waste=waste, step=0.5)
            yield replace(laid, task="restore")


def filling_lines(site: Site, dig: DigPlan, book: Book) -> Iterable[TakeoffLine]:
    """Soil that is bought to fill the digs: the cap at walls, and topsoil where too little that is dug may go back."""
    made = dig.filling
    if made is None:
        return
    texture = site.job.ground.texture
    fit = suitable(site)
    why = f"{texture.value} here is {texture.basis.value}: where it feels tight, none is needed" if fit.fit else fit.why
    walls = names(item.name for item in dig.trenches if item.kind == "wall")
    for key, loose, where, note in (
        ("fill.cap", made.cap_loose, walls, f"the layer below the topsoil at the walls: {why}"),
        ("fill.topsoil", made.made_up_loose, "", "a tenth of what is dug is taken as unfit to go back"),
    ):
        if loose / CUBIC_YARD > LEAST_SOIL:
            yield line(
                key, "earth", book.item(key).description, loose / CUBIC_YARD, "yd³", where=where,
                waste=book.waste_of(key, "earth"), step=0.5, basis=Basis.ASSUMED, note=note,
            )  # fmt: skip


def seeded(site: Site, dig: DigPlan, opened: float) -> float:
    """Area to rake and seed: what was opened and lies under no strip, and the strips that are seeded. [m²]"""
    if dig.shaped is None:
        return opened
    strips = math.fsum(strip.area for strip in site.shaped if strip.strip.finish == "seed")
    return max(0.0, opened - dig.shaped.over_digs) + strips


__all__ = ["filling_lines", "seeded", "shaping_lines"]
