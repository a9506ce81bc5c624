"""Quantities at the border: trade text in, SI floats inside, trade text out.

``parse("42 ft 6 in", Kind.LENGTH)`` gives metres; ``write`` gives them back in US or SI units.
Every factor is an exact fraction, so a parsed value is the float nearest to what was written.
"""

from drainwright.quantities.reading import QuantityError, parse, parse_amount, parse_money
from drainwright.quantities.units import Kind
from drainwright.quantities.writing import System, convert, exact, height_beside, percent, styles, unit_label, write

__all__ = [
    "Kind",
    "QuantityError",
    "System",
    "convert",
    "exact",
    "height_beside",
    "parse",
    "parse_amount",
    "parse_money",
    "percent",
    "styles",
    "unit_label",
    "write",
]
