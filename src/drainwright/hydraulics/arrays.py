"""What the formulas share: the array contract and the acceleration of gravity."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import Floats, InputError

Array: TypeAlias = NDArray[np.float64]

GRAVITY = 9.80665  # standard acceleration of gravity [m/s²]


def tidy(value: Any) -> Floats:
    """A float for a single value, an array for an array."""
    array = np.asarray(value, dtype=np.float64)
    return float(array) if array.ndim == 0 else array


def together(*values: Floats) -> list[Array]:
    """Copies of the values, broadcast to one shape."""
    return [np.array(value, dtype=np.float64) for value in np.broadcast_arrays(*values)]


def require_at_most(low_name: str, low: Floats, high_name: str, high: Floats) -> None:
    """Raise ``InputError`` unless ``low`` is at most ``high`` everywhere.

    Raises
    ------
    InputError
        Names both arguments and the first value.
    """
    if not np.all(np.asarray(low) <= np.asarray(high)):
        raise InputError(f"{low_name} = {low!r}: expected at most {high_name} = {high!r}")


def require_fraction(**values: Floats) -> None:
    """Raise ``InputError`` for the first value outside 0 to 1."""
    for name, value in values.items():
        if not np.all((np.asarray(value) >= 0.0) & (np.asarray(value) <= 1.0)):
            raise InputError(f"{name} = {value!r}: expected a fraction from 0 to 1")


def bisect(function: Callable[[Array], Array], low: Floats, high: Floats, *, halvings: int = 60) -> Array:
    """Where a function that rises with its argument passes zero, for every element at once.

    Parameters
    ----------
    function : Callable
        Takes and gives an array of the shape of the bounds; below zero left of the root.
    low, high : Floats
        Bounds of the root, of the full shape.
    halvings : int
        Each halves the bracket; 60 reach the last digit.

    Returns
    -------
    Array
        The roots; a bound where the function does not change sign.
    """
    left = np.array(low, dtype=np.float64)
    right = np.array(high, dtype=np.float64)
    for _ in range(halvings):
        middle = 0.5 * (left + right)
        below = function(middle) < 0.0
        left = np.where(below, middle, left)
        right = np.where(below, right, middle)
    return 0.5 * (left + right)
