"""Write a value kept inside in the units of the trade, US or SI."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from functools import cache
from typing import Literal, NamedTuple, TypeAlias

from drainwright.errors import InputError
from drainwright.quantities.units import ABOUT, SIGNED, Kind, Unit, as_kind, find, tidy

System: TypeAlias = Literal["US", "SI"]

LARGEST = 1e300  # a value to write; in another unit it is still a float
INCHES = 12  # to the foot
SIGNIFICANT = 3  # figures, where a style sets no number of decimals


class Style(NamedTuple):
    """One way to write a kind."""

    label: str  # the unit as written
    digits: int | None  # decimals; None for three significant figures
    parts: int = 0  # parts of an inch to round to, if written with a common fraction


_HOURS = {"h": Style("h", 1), "s": Style("s", 0), "min": Style("min", 0), "day": Style("days", 1)}
_HOURS |= {"yr": Style("yr", 0)}
_SAME: Mapping[Kind, dict[str, Style]] = {
    Kind.ANGLE: {"deg": Style("°", 1), "rad": Style("rad", 3)},
    Kind.TIME: _HOURS,
    Kind.FRACTION: {"%": Style("%", 0)},
    Kind.CURRENT: {"A": Style("A", 1)},
    Kind.CHARGE: {"Ah": Style("Ah", 0)},
    Kind.VOLTAGE: {"V": Style("V", 0)},
    Kind.ENERGY: {"Wh": Style("Wh", 0), "kWh": Style("kWh", 2)},
    Kind.RATE: {"/h": Style("/h", 1), "/day": Style("/day", 1), "/s": Style("/s", None)},
}
STYLES: Mapping[System, Mapping[Kind, dict[str, Style]]] = {  # the first of each is the usual one
    "US": {
        **_SAME,
        Kind.LENGTH: {"ft-in": Style("ft", None, 8), "ft": Style("ft", 2), "in": Style("in", None, 8)},
        Kind.AREA: {"ft2": Style("ft²", 0), "yd2": Style("yd²", 1), "acre": Style("acre", 2)},
        Kind.VOLUME: {"yd3": Style("yd³", 1), "ft3": Style("ft³", 1), "gal": Style("gal", 0)},
        Kind.FLOW: {"gpm": Style("gpm", 1), "gph": Style("gph", 0), "cfs": Style("cfs", 3)},
        Kind.INTENSITY: {"in/h": Style("in/h", 2)},
        Kind.GRADE: {"%": Style("%", 2), "in/ft": Style("in/ft", None, 16), "ft/ft": Style("ft/ft", 4)},
        Kind.SPEED: {
            "ft/s": Style("ft/s", None),
            "ft/day": Style("ft/day", None),
            "in/h": Style("in/h", None),
        },
        Kind.MASS: {"lb": Style("lb", 0), "ton": Style("ton", 1)},
        Kind.DENSITY: {"pcf": Style("pcf", 0), "lb/yd3": Style("lb/yd³", 0)},
        Kind.PRESSURE: {"psf": Style("psf", 0), "psi": Style("psi", 1), "tsf": Style("tsf", 2)},
        Kind.POWER: {"hp": Style("hp", 2), "W": Style("W", 0)},
        Kind.TEMPERATURE: {"degF": Style("°F", 0)},
        Kind.INFLOW: {"gpm/ft": Style("gpm/ft", None)},
    },
    "SI": {
        **_SAME,
        Kind.LENGTH: {"m": Style("m", 2), "mm": Style("mm", 0), "cm": Style("cm", 1)},
        Kind.AREA: {"m2": Style("m²", 1), "ha": Style("ha", 3)},
        Kind.VOLUME: {"m3": Style("m³", 2), "L": Style("L", 0)},
        Kind.FLOW: {"L/s": Style("L/s", 2), "L/min": Style("L/min", 1), "m3/h": Style("m³/h", 2)},
        Kind.INTENSITY: {"mm/h": Style("mm/h", 1)},
        Kind.GRADE: {"%": Style("%", 2), "mm/m": Style("mm/m", 1), "m/m": Style("m/m", 4)},
        Kind.SPEED: {"m/s": Style("m/s", None), "m/day": Style("m/day", None), "cm/s": Style("cm/s", None)},
        Kind.MASS: {"kg": Style("kg", 0), "t": Style("t", 2)},
        Kind.DENSITY: {"kg/m3": Style("kg/m³", 0)},
        Kind.PRESSURE: {"kPa": Style("kPa", 1), "Pa": Style("Pa", 0)},
        Kind.POWER: {"W": Style("W", 0), "kW": Style("kW", 2)},
        Kind.TEMPERATURE: {"degC": Style("°C", 1)},
        Kind.INFLOW: {"L/s/m": Style("L/s/m", None)},
    },
}


def styles(kind: Kind | str, system: System) -> tuple[str, ...]:
    """List the names of the styles of a kind, the usual one first."""
    return tuple(_of(as_kind(kind), system))


def unit_label(kind: Kind | str, system: System, style: str | None = None) -> str:
    """Give the unit that heads a column of ``convert``: ``ft`` for ``ft-in`` too."""
    return _style(as_kind(kind), system, style).label


def convert(value: float, kind: Kind | str, system: System, style: str | None = None) -> float:
    """Give the number alone, in the unit of ``unit_label``.

    Raises
    ------
    InputError
        If ``value`` is not finite, or there is no such style.
    """
    top, bottom = _ratio(value, as_kind(kind), _style(as_kind(kind), system, style))
    return top / bottom


def write(value: float, kind: Kind | str, system: System, style: str | None = None, digits: int | None = None) -> str:
    """Write a value with its unit, rounded for people.

    Parameters
    ----------
    value : float
        The value. [the unit beside the kind in ``Kind``]
    kind : Kind | str
        What it measures.
    system : System
        ``US`` or ``SI``.
    style : str, optional
        One of ``styles(kind, system)``; the usual one if left out. Lengths in ``ft-in`` and ``in`` are
        rounded to 1/8 in, grades in ``in/ft`` to 1/16 in/ft.
    digits : int, optional
        Decimals in place of those of the style; a common fraction then becomes a decimal.

    Returns
    -------
    str
        A text that ``parse`` reads back, to within the rounding.

    Raises
    ------
    InputError
        If ``value`` is not finite, there is no such style, ``digits`` is below zero or asked of ``ft-in``.

    Examples
    --------
    >>> write(12.954, Kind.LENGTH, "US")
    '42 ft 6 in'
    """
    kind = as_kind(kind)
    chosen = _style(kind, system, style)
    top, bottom = _ratio(value, kind, chosen)
    if digits is not None and digits < 0:
        raise InputError(f"digits = {digits}: expected zero or more")
    if chosen.parts and chosen.label == "ft":
        if digits is not None:
            raise InputError(f"digits = {digits}: expected none for feet and inches, written to 1/8 in")
        return _feet_and_inches(_rounded(top * INCHES * chosen.parts, bottom), chosen.parts)
    if chosen.parts and digits is None:
        parts = _rounded(top * chosen.parts, bottom)
        text = ("-" if parts < 0 else "") + _mixed(abs(parts), chosen.parts)
    else:
        text = _decimal(top / bottom, chosen.digits if digits is None else digits)
    gap = "" if chosen.label == "°" else " "
    return f"{text}{gap}{chosen.label}"


def percent(share: float | Decimal, digits: int = 0, *, signed: bool = False) -> str:
    """Write a share in per cent, as all papers, screens and messages do.

    Parameters
    ----------
    share : float | Decimal
        The share. [-]
    digits : int
        Decimals.
    signed : bool
        Whether a share of more than nothing has its plus.

    Raises
    ------
    InputError
        If ``share`` is not finite.

    Examples
    --------
    >>> percent(0.1), percent(0.0625, 2), percent(0.12, signed=True)
    ('10 %', '6.25 %', '+12 %')
    """
    plus = "+" if signed and share > 0 else ""
    return plus + write(float(share), Kind.FRACTION, "SI", digits=digits)


def height_beside(height: float, told: Callable[[float], str], over: str = "over", under: str = "below") -> str:
    """Write a height beside a level: on the level itself where it would be written as nothing.

    Parameters
    ----------
    height : float
        Above that level; negative below it. [m]
    told : callable
        Writes a length: a paper's own way.
    over, under : str
        The words for above and below.

    Examples
    --------
    >>> height_beside(0.0127, lambda value: write(value, "length", "US", "in"))
    '1/2 in over'
    >>> height_beside(0.0004, lambda value: write(value, "length", "US", "in"))
    'level with'
    """
    amount = told(abs(height))
    return "level with" if amount == told(0.0) else f"{amount} {over if height > 0 else under}"


def exact(value: float, kind: Kind | str) -> str:
    """Write a value so that ``parse`` gives the very same float; for saving.

    Raises
    ------
    InputError
        If ``value`` is not finite, or is below zero in a kind that never is.
    """
    kind = as_kind(kind)
    if not math.isfinite(value) or (value < 0 and kind not in SIGNED):
        rule = "a finite number" + ("" if kind in SIGNED else ", zero or more")
        raise InputError(f"{kind} = {value!r}: expected {rule}")
    if kind is Kind.FRACTION:
        return repr(float(value)) if value <= 1 else f"{Decimal(repr(float(value))).scaleb(2)} %"
    return f"{float(value)!r} {ABOUT[kind].base}"


def _of(kind: Kind, system: System) -> dict[str, Style]:
    if system not in STYLES:
        raise InputError(f"system = {system!r}: expected 'US' or 'SI'")
    return STYLES[system][kind]


def _style(kind: Kind, system: System, style: str | None) -> Style:
    known = _of(kind, system)
    name = next(iter(known)) if style is None else style
    if name not in known:
        raise InputError(f"style = {style!r}: expected one of {', '.join(known)} for {kind} in {system}")
    return known[name]


@cache
def _unit(kind: Kind, label: str) -> Unit:
    unit = find(kind, tidy(label))
    assert unit is not None, f"{label} is no unit of {kind}"  # held by a test over all styles
    return unit


def _ratio(value: float, kind: Kind, style: Style) -> tuple[int, int]:
    """The number in the style's unit, exactly, as a quotient of whole numbers."""
    if not abs(value) <= LARGEST:  # nor for NaN
        raise InputError(f"{kind} = {value!r}: expected a finite number, to {LARGEST:g}")
    unit = _unit(kind, style.label)
    top, bottom = (value if isinstance(value, float) else Fraction(value)).as_integer_ratio()
    top, bottom = int(top) * unit.factor.denominator, int(bottom) * unit.factor.numerator
    return (Fraction(top, bottom) - unit.offset).as_integer_ratio() if unit.offset else (top, bottom)


def _rounded(top: int, bottom: int) -> int:
    """The whole number nearest to a quotient, of two the even one; ``bottom`` is above zero."""
    whole, rest = divmod(top, bottom)
    return whole + (2 * rest > bottom or (2 * rest == bottom and whole % 2 == 1))


def _decimal(number: float, digits: int | None) -> str:
    if digits is None:
        if number and abs(number) < 1e-3:
            return f"{number:.{SIGNIFICANT - 1}e}"
        digits = max(0, SIGNIFICANT - 1 - math.floor(math.log10(abs(number)))) if number else 0
    return f"{number:z,.{digits}f}"


def _mixed(count: int, parts: int) -> str:
    """Write ``count`` n-ths as a mixed number: 44 eighths are ``5 1/2``."""
    whole, rest = divmod(count, parts)
    part = str(Fraction(rest, parts)) if rest else ""
    return " ".join(text for text in (str(whole) if whole or not rest else "", part) if text)


def _feet_and_inches(count: int, parts: int) -> str:
    whole, rest = divmod(abs(count), 12 * parts)
    texts = [f"{whole:,} ft"] if whole else []
    if rest or not whole:
        texts.append(f"{_mixed(rest, parts)} in")
    return ("-" if count < 0 else "") + " ".join(texts)
