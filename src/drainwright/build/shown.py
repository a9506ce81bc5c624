"""Quantities to buy, in the job's units. The price book's trade units stay inside: its prices are per those."""

from __future__ import annotations

from drainwright.build.model import PriceLine, TakeoffLine
from drainwright.field.words import Units
from drainwright.quantities import convert, parse, write

_BULK = {  # a trade unit sold loose: its kind, the SI style, its decimals in a table
    "yd³": ("volume", "m3", 3),
    "ft³": ("volume", "m3", 3),
    "ft²": ("area", "m2", 2),
    "ft": ("length", "m", 2),
    "gal": ("volume", "L", 1),
    "ton": ("mass", "t", 3),
    "lb": ("mass", "kg", 1),
}
_LABEL = {"m3": "m³", "m2": "m²"}
_PACK = {"ft": ("length", "m", 2), "gal": ("volume", "L", 0), "lb": ("mass", "kg", 0)}  # what a pack is named by
_THINGS = frozenset({"bag", "can", "day", "load", "pail", "pint", "quart", "set", "sheet", "stick", "trip"})
_WHOLE = {"pint": "can 0.47 L", "quart": "can 0.95 L"}  # a pack named by what it holds


def shown(line: TakeoffLine | PriceLine, units: Units) -> tuple[float, str]:
    """A line's quantity and unit as the job's papers give them.

    Parameters
    ----------
    line : TakeoffLine | PriceLine
        In the price book's unit.
    units : Units
        The job's.

    Returns
    -------
    float, str
        Bulk goods converted, to the litre or 0.01 m²; packs keep their count and have their size in SI:
        ``stick 3.05 m``, ``pail 19 L``, ``sheet 1.22 x 2.44 m``.
    """
    return amount(line.quantity, line.unit, units), unit_words(line.unit, units)


def amount(quantity: float, unit: str, units: Units) -> float:
    """A number of trade units in ``unit_words(unit, units)``."""
    if units == "US" or unit not in _BULK:
        return quantity
    kind, style, digits = _BULK[unit]
    return round(convert(parse(f"{quantity!r} {unit}", kind), kind, "SI", style), digits)


def unit_words(unit: str, units: Units) -> str:
    """A trade unit as the job's papers name it."""
    if units == "US":
        return unit
    if unit in _BULK:
        style = _BULK[unit][1]
        return _LABEL.get(style, style)
    thing, _, size = _WHOLE.get(unit, unit).partition(" ")
    number, _, measure = size.rpartition(" ")
    if measure not in _PACK:
        return _WHOLE.get(unit, unit)
    kind, style, digits = _PACK[measure]
    sides = (write(parse(f"{side} {measure}", kind), kind, "SI", style, digits) for side in number.split("x"))
    return f"{thing} {' x '.join(sides)}".replace(f" {style} x ", " x ")


def sold(line: TakeoffLine, units: Units) -> tuple[float, str]:
    """A line's quantity and unit as the goods are ordered: those that the book states its price for.

    Parameters
    ----------
    line : TakeoffLine
        In the price book's unit.
    units : Units
        The job's.

    Returns
    -------
    float, str
        Quantity times the book's price is the line's amount. Goods sold loose by another unit than the job's keep the
        unit in which they are sold, with the quantity in the job's beside it: ``10.5``, ``yd³ (8.028 m³)``.
    """
    quantity, unit = shown(line, units)
    return line.quantity, unit if quantity == line.quantity else f"{line.unit} ({quantity:g} {unit})"


def said(quantity: float, unit: str, units: Units) -> str:
    """A quantity to buy in running text: ``8.0 m³``, ``14 sticks of 3.05 m``, ``2``."""
    if unit == "each":
        return f"{quantity:g}"
    if units == "SI" and unit in _BULK:
        kind, style, _ = _BULK[unit]
        return write(parse(f"{quantity!r} {unit}", kind), kind, "SI", style, 1)
    thing, _, size = unit_words(unit, units).partition(" ")
    if not size:
        return counted_unit(quantity, thing)
    count = round(quantity)
    return f"{count:,} {thing}{'' if count == 1 else 's'} of {size}"


def counted_unit(quantity: float, unit: str) -> str:
    """A number with the unit it is sold by, as a list has it: ``3 pints``, ``5 sticks 10 ft``, ``12.5 yd³``."""
    thing, _, size = unit.partition(" ")
    many = "s" if quantity != 1 and thing in _THINGS else ""
    return f"{round(quantity, 2):,g} {thing}{many}{' ' if size else ''}{size}"


__all__ = ["amount", "counted_unit", "said", "shown", "sold", "unit_words"]
