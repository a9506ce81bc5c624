"""Where the water goes: network, grades, sizes, water surface, lift station, discharge.

``lay_out(site, inflows)`` does it all; it is loaded when it is first asked for.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drainwright.system.layout import lay_out

__all__ = ["lay_out"]


def __getattr__(name: str) -> object:
    if name == "lay_out":
        from drainwright.system.layout import lay_out

        return lay_out
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
