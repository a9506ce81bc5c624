"""How the stepper's functions are compiled. Importing this module imports numba."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

from numba import njit

F = TypeVar("F", bound=Callable[..., Any])


def compiled(function: F) -> F:
    """The function compiled by numba, cached beside the module (or under ``NUMBA_CACHE_DIR``).

    The plain function stays under ``.py_func``; with ``NUMBA_DISABLE_JIT=1`` in the environment all stay plain.
    """
    return cast(F, njit(cache=True, error_model="numpy")(function))


__all__ = ["compiled"]
