"""Trade units as floats of the SI unit, and counting up to what is sold."""

from __future__ import annotations

import math

from drainwright.quantities.units import FOOT as _FOOT
from drainwright.quantities.units import GALLON as _GALLON
from drainwright.quantities.units import INCH as _INCH
from drainwright.quantities.units import POUND as _POUND
from drainwright.quantities.units import TON as _TON
from drainwright.quantities.units import YARD as _YARD

INCH = float(_INCH)  # [m]
FOOT = float(_FOOT)  # [m]
SQUARE_FOOT = float(_FOOT**2)  # [m²]
CUBIC_FOOT = float(_FOOT**3)  # [m³]
CUBIC_YARD = float(_YARD**3)  # [m³]
GALLON = float(_GALLON)  # [m³]
POUND = float(_POUND)  # [kg]
TON = float(_TON)  # short ton [kg]
PCF = POUND / CUBIC_FOOT  # pound per cubic foot [kg/m³]


def whole(quantity: float, step: float = 1.0) -> float:
    """The least multiple of ``step`` that holds ``quantity`` (a trillionth over a multiple is not another one)."""
    return math.ceil(quantity / step - 1e-9) * step
