"""Which fittings a pipe takes, and the solid pipes that take the same."""

from __future__ import annotations

from drainwright.errors import InputError
from drainwright.system.catalogue import PIPES
from drainwright.system.model import Pipe

_GROUPS = {
    "Schedule 40": "sch40",
    "D2729": "sewer",  # D2729 and D3034 have one outside diameter up to 6 in, and take the same fittings
    "D3034 SDR 35": "sewer",
    "corrugated single wall": "corrugated",
    "corrugated smooth inside": "corrugated",
    "wrapped aggregate": "corrugated",
}


def group(pipe: Pipe) -> str:
    """Which fittings a pipe takes: ``sch40``, ``sewer`` or ``corrugated``."""
    return _GROUPS[pipe.family]


def made(fits: str, nominal: str) -> Pipe | None:
    """A solid pipe of the catalogue that takes a group's fittings in a size."""
    alike = (pipe for pipe in PIPES.values() if group(pipe) == fits and pipe.nominal == nominal and not pipe.perforated)
    return next(alike, None)


def solid(pipe: Pipe) -> Pipe:
    """The pipe itself, or where it is perforated the solid one that takes its fittings, as a riser in backfill is.

    Of the same family where that is made, so that no joint is an odd one. Raises ``InputError`` for a perforated pipe
    without any.
    """
    if not pipe.perforated:
        return pipe
    same = (one for one in PIPES.values() if one.family == pipe.family and one.nominal == pipe.nominal)
    found = next((one for one in same if not one.perforated), None) or made(group(pipe), pipe.nominal)
    if found is None:
        raise InputError(f"pipe = {pipe.key!r}: expected one of which solid pipe is made in its size")
    return found


__all__ = ["group", "made", "solid"]
