"""A lot with a live gas line along inside the dig at its north wall."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from drainwright.design import Design, design
from drainwright.job.reading import read_text

from .hazards.planted import LOTS, Planted, add_line, deeper

WORD = {"by": "Hill Gas, P. Field", "on": "2026-04-20", "text": "held in a padded sling, their watcher on site"}
SHORED = {
    "at": "north", "kind": "timber shoring", "by": "N. Ross", "on": "2026-04-21", "text": "sheets past the line",
}  # fmt: skip


def document(*, agreed: bool = True, protection: tuple[dict[str, str], ...] = (), **line: Any) -> dict[str, Any]:
    """The lot on sand, its north wall opened 5 ft 2 in deep, a live gas line along inside."""
    sand = next(lot for lot in LOTS.values() if any(item.what.startswith("a trench 5 ft 2 in") for item in lot.hazards))
    gas = add_line("gas line", "gas", [(-4, 27.7), (38, 27.7)], "2 ft", **({"agreed": WORD} if agreed else {}), **line)
    plants = (Planted("deep", deeper(5.45), "", "", ""), Planted("gas", gas, "", "", ""))
    job = type(sand)(sand.lot, sand.clean, plants).document(with_hazards=True)
    job["works"]["protection"] = list(protection)
    return job


@cache
def built(*, agreed: bool = True, shored: bool = False, live: bool = True) -> Design:
    job = document(agreed=agreed, protection=(SHORED,) if shored else (), live=live)
    return design(read_text(json.dumps(job)).job)
