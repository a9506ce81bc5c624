"""A part of a work's amounts in words: ``about 4.5 yd³ at 1.4 yd³/h`` of ``9 yd³ at 1.4 yd³/h``."""

from __future__ import annotations

import re
from decimal import Decimal

_AMOUNT = re.compile(r"(?:about )?(\d+(?:\.\d+)?)(?= |$)(.*)")
_RATE = re.compile(r" at (\d+(?:\.\d+)?) (h/)?")
_MEASURED = re.compile(r" (?:yd³|m³|ft³|ft²|m²|ft|m)\b")


def portion(quantity: str, hours: float, amount: float | None = None) -> str:
    """A part of what a work takes in.

    Parameters
    ----------
    quantity : str
        Amounts with commas or semicolons between, each with its rate or without.
    hours : float
        The part's share of the hours. [-]
    amount : float, optional
        Its share of the amounts, where that is another: the rates are then those of the part. [-]

    Returns
    -------
    str
        Every amount scaled, pieces to whole ones; a text without an amount stays.

    Examples
    --------
    >>> portion("28.9 yd³ in the ground at 0.315 yd³/h", 0.69, 0.59)
    'about 17 yd³ in the ground at 0.269 yd³/h'
    >>> portion("83.9 ft, 23 fittings", 0.5)
    'about 42 ft, about 12 fittings'
    """
    share = hours if amount is None else amount
    parts = re.split(r"([,;] )", quantity)
    return "".join(part if index % 2 else _scaled(part, hours, share) for index, part in enumerate(parts))


def _scaled(text: str, hours: float, share: float) -> str:
    found = _AMOUNT.fullmatch(text)
    if found is None:
        return text
    number, rest = float(found[1]) * share, found[2]
    pieces = not _MEASURED.match(rest) and "." not in found[1]
    told = f"{max(1, round(number))}" if pieces else _short(number, 2)
    if share not in (0.0, hours) and hours > 0:

        def of_part(rate: re.Match[str]) -> str:
            times = hours / share if rate[2] else share / hours
            return f" at {_short(float(rate[1]) * times, 3)} {rate[2] or ''}"

        rest = _RATE.sub(of_part, rest)
    return f"about {told}{rest}"


def _short(value: float, digits: int) -> str:
    """So many significant digits, whole numbers whole."""
    return f"{value:.0f}" if value >= 10 ** (digits - 1) else f"{Decimal(f'{value:.{digits}g}').normalize():f}"


__all__ = ["portion"]
