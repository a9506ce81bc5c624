"""How deep a buried line lies: a fact, or the word that nobody knows; and how far a depth may be off."""

from __future__ import annotations

from typing import Annotated

from drainwright.job.or_word import or_word
from drainwright.job.values import Basis, Fact, Size

#: How far a depth may be off where nobody told: common practice, no source. A locator's reading is of a like size in
#: BSI PAS 128 (15 % of the depth by several methods, 40 % by one; from memory), which gives a record no depth at all.
DOUBTS = {Basis.MEASURED: 0.1524, Basis.MAPPED: 0.3048, Basis.STATED: 0.3048, Basis.ASSUMED: 0.4572}  # [m]
EXPOSED = 0.0254  # the same where it was exposed by hand and taped [m]

Depth = Annotated[Fact[Size] | None, *or_word("unknown", "a depth, like '24 in, mapped'")]

__all__ = ["DOUBTS", "EXPOSED", "Depth"]
