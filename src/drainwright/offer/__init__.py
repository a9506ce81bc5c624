"""What is offered: options designed anew beside the job as written, and what a change of any input does."""

from __future__ import annotations

from drainwright.offer.basin import CheaperBasin, cheaper_basins
from drainwright.offer.difference import difference
from drainwright.offer.model import Difference, OptionSet, Package
from drainwright.offer.options import options
from drainwright.offer.swap import Swap, swaps
from drainwright.offer.what_if import Sweep, sweep, what_if

__all__ = [
    "CheaperBasin", "Difference", "OptionSet", "Package", "Swap", "Sweep", "cheaper_basins", "difference", "options",
    "swaps", "sweep", "what_if",
]  # fmt: skip
