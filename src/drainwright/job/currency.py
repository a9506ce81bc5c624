"""The money that a price book is in: an active alphabetic code of ISO 4217."""

from __future__ import annotations

import difflib
import json
from functools import cache
from importlib.resources import files
from typing import Any

from drainwright.quantities import QuantityError
from drainwright.sources import cite

EXPECTED = "a code of ISO 4217 for money in use, such as USD or EUR"


@cache
def _data() -> dict[str, Any]:
    cite("iso_4217")
    text = (files("drainwright.job") / "data" / "currencies.json").read_text("utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


@cache
def currencies() -> tuple[str, ...]:
    """The codes of money that is in use, in the order of the alphabet."""
    return tuple(code for line in _data()["codes"] for code in line.split())


def read_currency(value: object) -> str:
    """A code as it stands in a book.

    Parameters
    ----------
    value : object
        What stands there.

    Returns
    -------
    str
        Three capital letters.

    Raises
    ------
    QuantityError
        If it is no active code; offers the one that followed a withdrawn code, that of a word or sign, or the nearest.
    """
    if isinstance(value, str) and value in currencies():
        return value
    shown = repr(value[:40]) if isinstance(value, str) else str(value)[:40]
    raise QuantityError(shown, EXPECTED, _meant(value.strip()) if isinstance(value, str) else "")


def _meant(text: str) -> str:
    upper = text.upper()
    if upper in _data()["withdrawn"]:
        return f"{upper} is withdrawn: {_data()['withdrawn'][upper]} took its place"
    near = [upper] if upper in currencies() else [_data()["words"].get(text.lower(), "")]
    if not near[0]:
        near = difflib.get_close_matches(upper[:12], currencies(), n=1, cutoff=0.6)
    return f"did you mean {near[0]!r}?" if near else ""


__all__ = ["EXPECTED", "currencies", "read_currency"]
