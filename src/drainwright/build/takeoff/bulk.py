"""What goes in by volume and area: stone, fabric, coating."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from drainwright.build.book import Book
from drainwright.build.coating import CoatedWall
from drainwright.build.model import Roll, TakeoffLine
from drainwright.build.stone import (
    DENSITY,
    POROSITY,
    SOLD,
    Bed,
    stone_key,
    stone_mass,
    stone_number,
    to_buy,
    void_volume,
)
from drainwright.build.takeoff.lines import line, names
from drainwright.build.units import CUBIC_YARD, FOOT, GALLON, INCH, SQUARE_FOOT
from drainwright.field.words import Units
from drainwright.job.values import Basis
from drainwright.quantities import write
from drainwright.system.trade import size_words
from drainwright.worksheet import place

PARGE_THICKNESS = 0.5 * INCH  # two coats of 1/4 in
BAG_YIELD = 0.6 * FOOT**3  # mortar from an 80 lb bag, from memory [m³]
SHEET = 32.0 * SQUARE_FOOT  # 4 x 8 ft
# What one lasts for, common practice, no source [ft²]
WIRE_BRUSH, PATCH_BAG, BRUSH, ROLLER, MASK, LATH = 200.0, 150.0, 250.0, 300.0, 250.0, 16.0
TRUCK = 12.0  # stone that a common truck brings at once, common practice, no source [yd³]
LEAST_DELIVERY = 5.0  # below it a yard charges for the trip, common practice, no source [yd³]


def stone_lines(beds: Sequence[Bed], name: str, units: Units, book: Book) -> Iterable[TakeoffLine]:
    """The stone that the job names, with its deliveries."""
    stone = math.fsum(bed.stone for bed in beds)
    if stone > 0:
        key, number = stone_key(name), stone_number(name)
        waste = book.waste_of(key, "stone")
        with place("stone", "to buy"):
            mass = stone_mass(stone, DENSITY) * (1 + waste)
            voids = void_volume(stone, POROSITY)
        heavy = write(mass, "mass", units, "ton" if units == "US" else "t", 1)
        water = write(voids, "volume", units, "gal" if units == "US" else "L", 0)
        loose = to_buy(stone, waste) / CUBIC_YARD
        trips = math.ceil(loose / TRUCK - 1e-9)
        often = "one delivery" if trips == 1 else f"{trips} deliveries"
        size = size_words(SOLD[number], units) if number else ""
        as_57 = "" if number == "57" else "; mass and voids as of No. 57"
        yield line(
            key,
            "stone",
            f"washed stone, {size} clean (No. {number})" if number else f"washed stone: {name}",
            stone / CUBIC_YARD,
            "yd³",
            where=names(bed.run for bed in beds if bed.stone > 0),
            waste=waste,
            step=0.5,
            note=f"about {heavy} with waste; its voids hold about {water}; {often}{as_57}",
        )
        if loose < LEAST_DELIVERY:
            least = write(LEAST_DELIVERY * CUBIC_YARD, "volume", units, "yd3" if units == "US" else "m3", 0)
            yield line(
                "delivery.short", "stone", "charge for a small delivery of stone", 1.0, "each", basis=Basis.ASSUMED,
                note=f"less than {least}: the yard's own rule governs",
            )  # fmt: skip


def fabric_lines(beds: Sequence[Bed], bought: Sequence[Roll], units: Units) -> Iterable[TakeoffLine]:
    """Fabric by the whole roll."""
    fabric = math.fsum(bed.fabric for bed in beds)
    if fabric <= 0:
        return
    area = math.fsum(roll.count * roll.width * roll.length for roll in bought)
    style = "ft" if units == "US" else "m"

    def size(roll: Roll) -> str:
        wide, long = (
            write(side, "length", units, style, digits) for side, digits in ((roll.width, 1), (roll.length, 0))
        )
        return f"{wide} x {long}"

    told = (f"{roll.count} of {size(roll)}" for roll in bought)
    yield replace(
        line(
            "fabric.nonwoven",
            "fabric",
            "non-woven drainage fabric, laps included",
            fabric / SQUARE_FOOT,
            "ft²",
            where=names(bed.run for bed in beds if bed.fabric > 0),
            waste=area / fabric - 1,
            note=f"rolls: {', '.join(told)}; widths sold from memory",
        ),
        quantity=round(area / SQUARE_FOOT, 6),
    )


def coating_lines(coats: Sequence[CoatedWall], units: Units, book: Book) -> Iterable[TakeoffLine]:
    """Coating, parge, board, and the sundries that go with them."""
    for kind in ("damp-proofing", "waterproofing"):
        walls = [coat for coat in coats if coat.wall.wall.coating.kind == kind and coat.volume > 0]
        if walls:
            pail = 5 * GALLON
            style = "gal" if units == "US" else "L"
            low, high = (
                write(sum(volumes), "volume", units, style, 0)
                for volumes in zip(*((coat.least, coat.most) for coat in walls), strict=True)
            )
            spread = high if low == high else f"{low.removesuffix(f' {style}')} to {high}"
            yield line(
                f"coating.{kind}",
                "coating",
                f"{kind} emulsion",
                sum(coat.volume for coat in walls) / pail,
                "pail 5 gal",
                where=names(coat.wall.name for coat in walls),
                waste=book.waste_of(f"coating.{kind}", "coating"),
                basis=Basis.ASSUMED,
                note=f"{spread} by coverage; the product's sheet governs",
            )
    parged = [coat for coat in coats if coat.wall.wall.coating.parge]
    if parged:
        bags = sum(coat.area for coat in parged) * PARGE_THICKNESS / BAG_YIELD
        where = names(coat.wall.name for coat in parged)
        waste = book.waste_of("parge.bag", "coating")
        yield line("parge.bag", "coating", "mortar for parge, type S", bags, "bag 80 lb", where=where, waste=waste)
    boarded = [coat for coat in coats if coat.wall.wall.coating.board]
    if boarded:
        sheets = sum(coat.area for coat in boarded) / SHEET
        where = names(coat.wall.name for coat in boarded)
        waste = book.waste_of("board.sheet", "coating")
        yield line("board.sheet", "coating", "protection board", sheets, "sheet 4x8 ft", where=where, waste=waste)
    yield from _coating_sundries(coats, units, book)


def _coating_sundries(coats: Sequence[CoatedWall], units: Units, book: Book) -> Iterable[TakeoffLine]:
    """Small things by area; how far each goes is common practice, no source."""
    area = math.fsum(coat.area for coat in coats) / SQUARE_FOOT
    if area <= 0:
        return
    where = names(coat.wall.name for coat in coats)
    layers = math.fsum(coat.area * coat.wall.wall.coating.coats for coat in coats if coat.volume > 0) / SQUARE_FOOT
    stone = math.fsum(
        coat.area for coat in coats if coat.wall.wall.coating.parge and coat.wall.wall.material == "stone"
    )
    for key, words, goes, amount, unit in (
        ("coat.wire-brush", "wire brush for the wall", WIRE_BRUSH, area, "each"),
        ("coat.patch", "patching mortar for holes, ties and open joints", PATCH_BAG, area, "bag 10 lb"),
        ("coat.brush", "brush for coating, thrown away after", BRUSH, layers, "each"),
        ("coat.roller", "roller cover for coating, deep nap", ROLLER, layers, "each"),
        ("coat.mask", "mask and gloves, one set", MASK, area, "set"),
        ("parge.lath", "metal lath under parge on stone", LATH, stone / SQUARE_FOOT, "sheet 2.25x8 ft"),
    ):
        if amount > 0:
            covers = write(goes * SQUARE_FOOT, "area", units, "ft2" if units == "US" else "m2", 0)
            note = f"one for {covers} of {'wall' if amount is area else 'coat or lath'}: common practice, no source"
            waste = book.waste_of(key, "coating")
            yield line(
                key, "coating", words, amount / goes, unit, where=where, waste=waste, basis=Basis.ASSUMED, note=note
            )  # fmt: skip


__all__ = ["coating_lines", "fabric_lines", "stone_lines"]
