"""Storms stepped side by side: the compiled stepper leaves Python to other threads while it runs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from typing import TypeVar

from drainwright.worksheet import quiet

Item = TypeVar("Item")
Made = TypeVar("Made")
THREADS = 2  # more would wait for Python between the steppings


def side_by_side(make: Callable[[Item], Made], items: Sequence[Item]) -> list[Made]:
    """What is made of each item, in their order, as one after the other would make it.

    Parameters
    ----------
    make : callable
        Reads nothing that another call changes. Nothing of it goes on the worksheet: whose steps came first would be
        left to chance.
    items : sequence
        Any.
    """
    with quiet():
        if len(items) < 2:
            return [make(item) for item in items]
        with ThreadPoolExecutor(max_workers=THREADS) as threads:
            begun = [threads.submit(copy_context().run, make, item) for item in items]
            return [one.result() for one in begun]


__all__ = ["side_by_side"]
