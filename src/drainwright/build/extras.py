"""Unit prices of work that nobody can see beforehand: what a change order charges, worked out from the firm's rates.

A unit price has labour, materials, overhead and profit; no contingency, since it is charged only for what was found.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from drainwright.build.book import Book
from drainwright.build.coating import coverages
from drainwright.build.earth import ROCK_DENSITY, ROCK_SWELL, SOILS
from drainwright.build.earth_chain import stone_hours
from drainwright.build.handling import Rates, carry_rate
from drainwright.build.machine import kit_of
from drainwright.build.model import Extra, UnitPrice
from drainwright.build.price import cents, price_by_margin
from drainwright.build.stone import stone_key
from drainwright.build.units import CUBIC_YARD, FOOT, GALLON, SQUARE_FOOT
from drainwright.errors import JobError, Problem
from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.offer import Unforeseen
from drainwright.job.works import Shaping
from drainwright.worksheet import place

POSTS_APART = 8.0  # of a fence, a bag of concrete at each: common practice, no source [ft]
PAIL = 5.0  # as coating is sold [gal]

Items = tuple[tuple[str, float], ...]

_TITLES: Mapping[Unforeseen, tuple[str, str, str]] = MappingProxyType(
    {
        "rock": (
            "Rock or buried concrete, broken and lifted by hand",
            "yd³",
            "measured in the trench before it is broken; its haul is in it",
        ),
        "root": (
            "Root thicker than {thick} that may be cut",
            "each",
            "a clean saw cut, covered the same day; an arborist's visit is not in it",
        ),
        "line": (
            "Buried line that nobody marked",
            "each",
            "work stopped, line exposed by hand, held and shown to its owner; the repair itself is not in it",
        ),
        "earth": (
            "Earth dug deeper or wider than drawn, at your word or the engineer's",
            "yd³",
            "measured in the ground; haul and the fee of the dump are in it",
        ),
        "stone": ("Washed stone beyond the drawings", "yd³", "delivered and laid"),
        "coat": ("One more coat on an opened wall", "ft²", "of wall; the wait for the cure moves the end of the work"),
        "fill": (
            "Fill beyond the drawings on shaped ground, placed and tamped",
            "yd³",
            "measured in place by levels before and after; topsoil and grass are not in it",
        ),
        "water": (
            "Trench kept dry by a pump",
            "day",
            "a day of pumping beyond those in the price; pump, filter and watching are in it",
        ),
        "fouled": (
            "Fouled soil, dug as it was settled in writing, kept apart and loaded",
            "yd³",
            "ASSUMED, no firm price: measured in the ground; tests, air meters and days of waiting are not in it",
        ),
        "fouled load": (
            "Fouled soil hauled to a place licensed for it",
            "load",
            "ASSUMED, no firm price: the place's own fee counts, by its ticket for each load",
        ),
        "fence": (
            "Fence beside or over a dig: braced, or panels and posts taken out and set again",
            "ft",
            "measured along it, with its owner's leave in writing; new panels and posts are not in it",
        ),
        "waiting": (
            "Crew held up by others",
            "h",
            "for each person and hour: a line's owner, an inspection that did not come",
        ),
    }
)


def extras(site: Site, book: Book) -> tuple[Extra, ...]:
    """Unforeseen work with its hours and items a unit of the job's system, for this lot's soil and roots.

    Parameters
    ----------
    site : Site
        Its job carries soil, roots, the barrow's way, the trailer and the walls' coatings.
    book : Book
        Rates and waste.

    Returns
    -------
    tuple of Extra
        In the order in which they are told.
    """
    job = site.job
    soil = SOILS[job.ground.texture.value]
    rates, kit = Rates(book, job.units), kit_of(job.equipment)
    weight = job.ground.unit_weight
    moved, hauled = _leaves(soil.swell, soil.moist if weight is None else weight.value, site, rates)
    rock_moved, rock_hauled = _leaves(ROCK_SWELL, ROCK_DENSITY, site, rates)
    dug = book.rate(f"roots.{job.ground.roots}") / book.rate(f"dig.{soil.digs}")
    bought = stone_key(job.works.stone.name)
    stone = 1.0 + book.waste_of(bought, "stone")
    thick = "2 in" if job.units == "US" else "50 mm"
    hours: dict[Unforeseen, tuple[float, Items]] = {
        "rock": (1.0 / book.rate("extra.rock") + rock_moved, (("hire.breaker", 1.0), *rock_hauled)),
        "root": (book.rate("extra.root"), ()),
        "line": (book.rate("extra.line"), ()),
        "earth": (dug + moved, hauled),
        "stone": (stone_hours(CUBIC_YARD, site, rates, kit), ((bought, stone),)),
        "coat": (1.0 / book.rate("coat"), (_coat(site, book),)),
        "fill": _fill(site, book, rates),
        "water": (book.rate("extra.dewater"), (("hire.trench-pump", 1.0),)),
        "fence": (book.rate("extra.fence"), (("concrete.bag", 1.0 / POSTS_APART),)),
        "waiting": (1.0, ()),
        "fouled": ((dug + _out(soil.swell, site, rates)) * book.rate("extra.fouled"), ()),
        "fouled load": (book.rate("haul") + book.rate("tip"), (("haul.load", 1.0), ("dump.fouled-load", 1.0))),
    }
    return tuple(
        _in_units(what, title.format(thick=thick), unit, hours[what], counts, job.units)
        for what, (title, unit, counts) in _TITLES.items()
    )


def _leaves(swell: float, density: float, site: Site, rates: Rates) -> tuple[float, Items]:
    """Hours and loads to wheel, load, haul and tip a cubic yard of ground, by the trailer's room or payload."""
    equipment = site.job.equipment
    loose = 1.0 + swell
    loads = CUBIC_YARD * max(loose / equipment.trailer_volume, density / equipment.trailer_payload)
    hours = _out(swell, site, rates) + loads * (rates("haul") + rates("tip"))
    return hours, (("haul.load", loads), ("dump.load", loads))


def _out(swell: float, site: Site, rates: Rates) -> float:
    """Hours to wheel a cubic yard of ground to the trailer and load it."""
    loose = 1.0 + swell
    way = carry_rate(site.job.property.access.barrow_distance, rates, kit_of(site.job.equipment))
    return loose / way + loose / rates("load")


def _fill(site: Site, book: Book, rates: Rates) -> tuple[float, Items]:
    """Hours and fill to bring, place and tamp a cubic yard in place, as on the shaped ground of the job."""
    loose = 1.0 + SOILS["clay"].swell
    way = carry_rate(site.job.property.access.barrow_distance, rates, kit_of(site.job.equipment))
    key = next((strip.strip.fill for strip in site.shaped), Shaping.model_fields["fill"].default)
    hours = loose * (1 / rates("load") + 1 / way + 1 / rates("backfill.clay"))
    return hours, ((key, loose * (1.0 + book.waste_of(key, "earth"))),)


def _coat(site: Site, book: Book) -> tuple[str, float]:
    """The coating of one more coat, and its pails for a square foot: the dearer one, where walls get both."""
    opened = [wall.wall for wall in site.walls if wall.wall.open_and_coat]
    films = [wall for wall in opened if wall.coating.kind == "waterproofing" and wall.coating.coats > 0]
    key, cover = "coating.damp-proofing", book.rate("extra.coverage")
    if films:
        key = "coating.waterproofing"
        coats = (coverages(wall.material, wall.coating.kind, wall.coating.coats)[0] for wall in films)
        cover = min(coat.middle for coat in coats) * GALLON / SQUARE_FOOT
    return key, (1.0 + book.waste_of(key, "coating")) / (cover * PAIL)


_METRIC = {"ft": ("m", FOOT), "yd³": ("m³", CUBIC_YARD), "ft²": ("m²", SQUARE_FOOT)}


def _in_units(
    what: Unforeseen,
    title: str,
    unit: str,
    work: tuple[float, Items],
    counts: str,
    units: Units,
) -> Extra:
    """One unit of the work as the job's papers count it."""
    name, size = _METRIC.get(unit, (unit, 1.0)) if units == "SI" else (unit, 1.0)
    hours, items = work
    return Extra(
        what=what,
        title=title,
        unit=name,
        hours=hours / size,
        items=tuple((key, amount / size) for key, amount in items),
        counts=counts,
    )


def unit_prices(site: Site, book: Book) -> tuple[UnitPrice, ...]:
    """The price of a unit of each kind of unforeseen work, with the allowances of the job's offer.

    Parameters
    ----------
    site : Site
        The site.
    book : Book
        Rates, prices and shares.

    Returns
    -------
    tuple of UnitPrice
        Each part rounded to the cent, the total their exact sum. What an opened wall, shaped ground or fouled soil
        alone asks for is left out where there is none.

    Raises
    ------
    JobError
        If the job has an allowance that does not apply to it.
    """
    absent: dict[str, str] = {}
    if not any(wall.wall.open_and_coat for wall in site.walls):
        absent["coat"] = "no wall is opened and coated here"
    if not site.shaped:
        absent["fill"] = "no ground is shaped here"
    if not any(thing.kind == "fence" for thing in site.job.property.protected):
        absent["fence"] = "no fence is told of here (property.protected)"
    if site.job.ground.fouled is None:
        absent |= dict.fromkeys(("fouled", "fouled load"), "no fouled soil is told of here (ground.fouled)")
    told = [one for one in extras(site, book) if one.what not in absent]
    included = {one.what: one.quantity for one in site.job.offer.allowances}
    for number, one in enumerate(site.job.offer.allowances):
        if one.what in absent:
            raise JobError(
                (
                    Problem(
                        where=f"offer.allowances[{number}].what",
                        found=repr(one.what),
                        expected=f"an allowance for work of this job: {absent[one.what]}",
                    ),
                )
            )
    return tuple(_priced(extra, book, included.get(extra.what, 0.0)) for extra in told)


def _priced(extra: Extra, book: Book, included: float) -> UnitPrice:
    hour = cents(book.wage * (1 + book.burden))
    labour = cents(Decimal(str(round(extra.hours, 6))) * hour)
    items = Decimal("0.00")
    taxed = [("labour", labour)] if book.taxes("labour") else []
    for key, amount in extra.items:
        item = book.item(key)
        cost = cents(Decimal(str(round(amount, 6))) * item.price)
        items += cost
        taxed += [(item.category, cost)] if item.taxable else []
    overhead = cents((labour + items) * book.overhead)
    cost = labour + items + overhead
    with place("price_book", f"unit price of {extra.what}"):
        before = price_by_margin(cost, book.profit_margin)
    tax = cents(book.tax(taxed))
    return UnitPrice(
        extra=extra, labour=labour, items=items, overhead=overhead, profit=before - cost, tax=tax, total=before + tax,
        included=included,
    )  # fmt: skip


__all__ = ["extras", "unit_prices"]
