"""How it is built: trench, safe digging, takeoff, loads, crew days, price."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drainwright.build.side import build_side

__all__ = ["build_side"]


def __getattr__(name: str) -> object:
    """Load the wing when it is first asked for."""
    if name == "build_side":
        from drainwright.build.side import build_side

        return build_side
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
