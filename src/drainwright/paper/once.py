"""What takes long and several papers of one design show is made once."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from threading import Lock
from typing import TypeVar

from drainwright.design import Design

Made = TypeVar("Made")


def once(make: Callable[[Design], Made]) -> Callable[[Design], Made]:
    """Keep what was made of the design last asked for; it is let go with the next design."""
    last: list[tuple[Design, Made]] = []

    lock = Lock()  # papers are made side by side: the second that asks waits for the first

    @wraps(make)
    def kept(design: Design) -> Made:
        with lock:
            if not last or last[0][0] is not design:
                last[:] = [(design, make(design))]
            return last[0][1]

    return kept


__all__ = ["once"]
