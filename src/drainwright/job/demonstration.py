"""The demonstration price book's data: which items and rates there are, in which units, at which invented prices."""

from __future__ import annotations

import json
from functools import cache
from importlib.resources import files
from typing import Any


@cache
def demonstration_data() -> dict[str, Any]:
    """The invented book as it is kept: ``items`` and ``rates`` by key, wage, shares and waste.

    Returns
    -------
    dict
        Read once; not to be changed.
    """
    text = (files("drainwright.job") / "data" / "demonstration_prices.json").read_text("utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


__all__ = ["demonstration_data"]
