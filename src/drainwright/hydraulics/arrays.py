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
    if isinstance(value, float):
        return float(value)
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
    if isinstance(low, float) and isinstance(high, float):
        good = low <= high
    else:
        good = bool(np.all(np.asarray(low) <= np.asarray(high)))
    if not good:
        raise InputError(f"{low_name} = {low!r}: expected at most {high_name} = {high!r}")


def require_fraction(**values: Floats) -> None:
    """Raise ``InputError`` for the first value outside 0 to 1."""
    for name, value in values.items():
        if not np.all((np.asarray(value) >= 0.0) & (np.asarray(value) <= 1.0)):
            raise InputError(f"{name} = {value!r}: expected a fraction from 0 to 1")


PARTS = 32  # of a bracket, looked at in one call: a call costs the same for one value and for a few dozen
ROUNDS = 12  # 32^12 = 2^60: down to the last digit


def bisect(function: Callable[[Array], Array], low: Floats, high: Floats) -> Array:
    """Where a function that rises with its argument passes zero, for every element at once.

    Parameters
    ----------
    function : Callable
        Takes and gives an array whose last axes are those of the bounds; below zero left of the root.
    low, high : Floats
        Bounds of the root, of the full shape.

    Returns
    -------
    Array
        The roots; a bound where the function does not change sign.
    """
    left = np.array(low, dtype=np.float64)
    width = np.array(high, dtype=np.float64) - left
    inner = np.arange(1, PARTS, dtype=np.float64).reshape(-1, *(1,) * left.ndim) / PARTS
    for _ in range(ROUNDS):
        below = np.sum(function(left + width * inner) < 0.0, axis=0)
        left = left + width * (below / PARTS)
        width = width / PARTS
    return left + 0.5 * width
