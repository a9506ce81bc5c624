"""Head lost where pipes meet in a basin: HEC-22's approximate coefficients, by the turn of the flow.

The loss is ``minor_loss(velocity of the pipe that leaves, coefficient)``.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import require_at_most, tidy
from drainwright.worksheet import Card, catalogued

TURNS = (0.0, 22.5, 45.0, 60.0, 90.0)  # turn of the flow, from straight through [degrees]

#: K on the velocity head of the outlet pipe, at each of ``TURNS``; HEC-22 Table 7-5a, from memory. [-]
JUNCTION_COEFFICIENTS: Mapping[str, tuple[float, ...]] = MappingProxyType(
    {
        "inlet": (0.50, 0.70, 1.10, 1.25, 1.50),
        "access_hole": (0.15, 0.45, 0.75, 0.85, 1.00),
    }
)


@catalogued(
    Card(
        title="Loss coefficient of a junction",
        symbol="K_ah",
        expression="the table of HEC-22 by structure and turn of the flow, straight between its rows",
        units={"turn": "rad", "structure": "-", "result": "-"},
        source="hec22",
        expression_kind="procedure",
    )
)
def junction_coefficient(turn: Floats, structure: str = "inlet") -> Floats:
    """Loss coefficient of an inlet (catch basin) or access hole, by the turn of the flow through it.

    Parameters
    ----------
    turn : Floats
        Turn of the flow from straight through, 0 to π/2; a sharper turn is past the table. [rad]
    structure : str
        ``"inlet"`` or ``"access_hole"``.

    Returns
    -------
    Floats
        K, on the velocity head of the pipe that leaves. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    The manual means these for preliminary design; the table is quoted from memory.

    Examples
    --------
    >>> round(junction_coefficient(np.pi / 4), 2), round(junction_coefficient(0.0, "access_hole"), 2)
    (1.1, 0.15)
    """
    if structure not in JUNCTION_COEFFICIENTS:
        raise InputError(f"structure = {structure!r}: expected one of {', '.join(JUNCTION_COEFFICIENTS)}")
    require("zero or more", np.greater_equal, turn=turn)
    require_at_most("turn", turn, "a right angle", np.pi / 2 * (1.0 + 1e-12))
    return tidy(np.interp(np.degrees(turn), TURNS, JUNCTION_COEFFICIENTS[structure]))
