"""What takes long and several papers of one design show is made once."""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from threading import Lock
from typing import Generic, TypeVar

from drainwright.design import Design

Made = TypeVar("Made")


class once(Generic[Made]):  # noqa: N801  (a decorator)
    """Keep what was made of the design last asked for; it is let go with the next design."""

    def __init__(self, make: Callable[[Design], Made]) -> None:
        self._make = make
        self._last: list[tuple[Design, Made]] = []
        self._lock = Lock()  # papers are made side by side: the second that asks waits for the first
        update_wrapper(self, make)

    def __call__(self, design: Design) -> Made:
        """What is kept of the design, else made."""
        with self._lock:
            if not self._last or self._last[0][0] is not design:
                self._last[:] = [(design, self._make(design))]
            return self._last[0][1]

    def give(self, design: Design, made: Made) -> None:
        """Keep what another process made of the design."""
        with self._lock:
            self._last[:] = [(design, made)]


__all__ = ["once"]
