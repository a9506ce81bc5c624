"""How much water, from which cause, to which inlet: rain tables, roofs, yards, groundwater."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drainwright.water.causes import inflows

__all__ = ["inflows"]


def __getattr__(name: str) -> object:
    if name == "inflows":
        from drainwright.water.causes import inflows

        return inflows
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
