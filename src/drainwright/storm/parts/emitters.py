"""A gravity pipe into a pop-up emitter, as a link of the storm test: full below the lid, with the lid's loss."""

from __future__ import annotations

import math
from typing import NamedTuple

from drainwright.hydraulics.arrays import GRAVITY
from drainwright.hydraulics.emitter import emitter_loss_coefficient
from drainwright.system.model import SizedRun
from drainwright.system.outlets.end_model import PipeEnd

THIN = 5e-3  # depth at which a pipe that always stands full counts as full [m]


class Link(NamedTuple):
    """The figures of such a pipe."""

    lower: float  # level below which nothing leaves it [m]
    diameter: float  # depth over its upper end, or over the lid, at which it runs full [m]
    conveyance: float  # full, with the loss of elbow, lid and exit in it [m³/s]
    outfall: float  # level against which it runs; minus infinity: none but ``lower`` [m]


def emitter_link(run: SizedRun, end: PipeEnd, conveyance: float, beyond: float) -> Link:
    """The last pipe of a way out over an emitter's lid.

    Parameters
    ----------
    run : SizedRun
        The pipe.
    end : PipeEnd
        Its emitter.
    conveyance : float
        K of Q = K sqrt(S) by friction alone, full, above zero. [m³/s]
    beyond : float
        Level of the water that the lid stands in; minus infinity where it stands dry. [m]

    Returns
    -------
    Link
        Friction and loss go with the flow squared: L / K'² = L / K² + (1 + k) / (2 g A²), with the exit's own 1. Where
        the pipe begins above the lid its lower end stands full of water up to there; where it begins below, the whole
        pipe does, and nothing comes back: the lid shuts.
    """
    area = math.pi / 4.0 * run.pipe.inside**2
    lost = 1.0 + float(emitter_loss_coefficient(run.pipe.inside, end.opening))
    length = max(run.length, 0.1)
    full = conveyance / math.sqrt(1.0 + conveyance**2 * lost / (2.0 * GRAVITY * area**2 * length))
    if run.invert_upper >= end.lid:
        return Link(run.invert_lower, run.pipe.inside, full, max(beyond, end.lid))
    return Link(end.lid, THIN, full, beyond)


__all__ = ["Link", "emitter_link"]
