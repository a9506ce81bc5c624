"""A buried emitter: a riser on an elbow at a pipe's end, whose lid the water lifts at the level of the lawn."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import tidy
from drainwright.hydraulics.fittings import fitting
from drainwright.worksheet import Card, catalogued

LID = 1.0  # K of the lifted lid, on the velocity head in the riser: common practice, no source, assumed [-]


@catalogued(
    Card(
        title="Rise from a pipe's end to the lid of its emitter",
        symbol="h",
        expression="depth + height",
        units={"depth": "m", "height": "m", "result": "m"},
        source="geometry",
    )
)
def emitter_rise(depth: Floats, height: Floats) -> Floats:
    """Rise that the water makes in a buried emitter before it leaves.

    Parameters
    ----------
    depth : Floats
        Of the pipe's end below the lawn, zero or more. [m]
    height : Floats
        Of the lid above the lawn, zero or more. [m]

    Returns
    -------
    Floats
        Height. [m]

    Raises
    ------
    InputError
        If a value is not finite or is negative.

    Examples
    --------
    >>> emitter_rise(0.5, 0.0)
    0.5
    """
    require("zero or more", np.greater_equal, depth=depth, height=height)
    return tidy(np.asarray(depth, dtype=np.float64) + height)


@catalogued(
    Card(
        title="Loss coefficient of a pop-up emitter, on the velocity head of its pipe",
        symbol="K",
        expression="(elbow + lid) * (bore / riser) ** 4",
        units={"bore": "m", "riser": "m", "elbow": "-", "lid": "-", "result": "-"},
        source="common_practice",
        trial={"bore": (0.04, 0.1), "riser": (0.075, 0.15)},
    )
)
def emitter_loss_coefficient(
    bore: Floats, riser: Floats, elbow: float = fitting("ell90").loss_coefficient, lid: float = LID
) -> Floats:
    """Loss of the elbow and of the lifted lid, besides that of the exit: K (d/D)⁴.

    Parameters
    ----------
    bore, riser : Floats
        Inside diameters of the pipe and of the emitter, above zero. [m]
    elbow, lid : float
        Loss coefficients on the velocity head in the emitter. [-]

    Returns
    -------
    Floats
        Coefficient. [-]

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Notes
    -----
    The elbow is that of the table of fittings; no published figure for a lid was found: 1.0 is assumed.

    Examples
    --------
    >>> round(emitter_loss_coefficient(0.1, 0.1), 2), round(emitter_loss_coefficient(0.05, 0.1), 4)
    (1.9, 0.1187)
    """
    require("above zero", np.greater, bore=bore, riser=riser)
    require("zero or more", np.greater_equal, elbow=elbow, lid=lid)
    return tidy((elbow + lid) * (np.asarray(bore, dtype=np.float64) / riser) ** 4)


__all__ = ["LID", "emitter_loss_coefficient", "emitter_rise"]
