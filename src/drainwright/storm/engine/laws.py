"""The laws of the links: flow from the higher level to the lower, and its derivatives by both. Compiled."""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.compiling import inner
from drainwright.storm.engine.plant import Floats, Whole

LINEAR_HEAD = 0.001  # below this difference of level, pipe flow is linear in it: the square root has no slope [m]
FILM = 1e-6  # no flow under this depth over a crest [m]
WEIR = 1.66  # of a broad crest, SI; TxDOT Hydraulic Design Manual, ch. 10, eq. 10-30, SEEN [m^0.5/s]


@inner
def run_flow(
    h_from: float, z_from: float, h_to: float, z_to: float, diameter: float, conveyance: float, length: float,
    share: Floats,
) -> tuple[float, float, float]:  # fmt: skip
    """Flow in a pipe from the higher level, and its derivatives by both levels: Q = K(y) sqrt(dh / L).

    ``y`` is the depth over the higher of the two inverts at the feeding end. The level at the far end is the water
    there, or, where the pipe falls free, the feeding depth, at most two thirds of the head over the far invert
    (critical outflow) and at most the crown. On a grade this is uniform flow; in a full pipe the grade line.
    """
    y = h_from - max(z_from, z_to)
    if y <= 0.0:
        return 0.0, 0.0, 0.0
    last = share.size - 1
    part = y / diameter * last
    if part >= last:
        k, dk = share[last], 0.0
    else:
        cell = int(part)
        dk = share[cell + 1] - share[cell]
        k = share[cell] + dk * (part - cell)
        dk *= last / diameter
    free, dfree = h_from - z_from, 1.0
    if free > diameter:
        free, dfree = diameter, 0.0
    critical = 2.0 / 3.0 * (h_from - z_to)
    if critical < free:
        free, dfree = critical, 2.0 / 3.0
    far, dfar_from, dfar_to = z_to + free, dfree, 0.0
    if h_to > far:
        far, dfar_from, dfar_to = h_to, 0.0, 1.0
    head = h_from - far
    if head <= 0.0:
        return 0.0, 0.0, 0.0
    if head > LINEAR_HEAD:
        root = np.sqrt(head / length)
        droot = 0.5 * root / head
    else:
        droot = 1.0 / np.sqrt(LINEAR_HEAD * length)
        root = head * droot
    return (
        conveyance * k * root,
        conveyance * (dk * root + k * droot * (1.0 - dfar_from)),
        -conveyance * k * droot * dfar_to,
    )


@inner
def grate_flow(h_from: float, h_to: float, rim: float, weir: float, orifice: float) -> tuple[float, float, float]:
    """Flow through a grate from the higher level, and its derivatives: the smaller of weir and orifice.

    The head is the difference of level, from the rim where the lower side is below it.
    """
    far, dfar = rim, 0.0
    if h_to > rim:
        far, dfar = h_to, 1.0
    head = h_from - far
    if head <= 0.0:
        return 0.0, 0.0, 0.0
    root = np.sqrt(head)
    if weir * head <= orifice:
        slope = 1.5 * weir * root
        return weir * head * root, slope, -slope * dfar
    slope = 0.5 * orifice / root
    return orifice * root, slope, -slope * dfar


@inner
def crest_flow(h_from: float, h_to: float, crest: float, width: float) -> tuple[float, float, float]:
    """Flow over a broad crest from the higher level, and its derivatives; drowned, by the difference of level."""
    far, dfar = crest, 0.0
    if h_to > crest:
        far, dfar = h_to, 1.0
    head = h_from - far
    if head <= FILM:
        return 0.0, 0.0, 0.0
    slope = 1.5 * WEIR * width * np.sqrt(head)
    return slope * head / 1.5, slope, -slope * dfar


@inner
def table_flow(level: float, low: float, high: float, flow: Floats) -> tuple[float, float]:
    """Flow at a level by straight lines between even rows, and its derivative; beyond the rows the last holds."""
    pitch = (high - low) / (flow.size - 1)
    part = (level - low) / pitch
    if part <= 0.0:
        return flow[0], 0.0
    if part >= flow.size - 1:
        return flow[-1], 0.0
    cell = int(part)
    slope = flow[cell + 1] - flow[cell]
    return flow[cell] + slope * (part - cell), slope / pitch


@inner
def levels_of(volume: Floats, stage: Floats, stored: Floats, hint: Whole, level: Floats, slope: Floats) -> None:
    """Levels at volumes, and their derivatives, by straight lines between the tables' rows; beyond, the last line.

    Each search begins at its ``hint``, the row found last; the answer does not depend on it.
    """
    last = stored.shape[1] - 2
    for i in range(volume.size):
        cell, held = hint[i], volume[i]
        while cell < last and stored[i, cell + 1] <= held:
            cell += 1
        while cell > 0 and stored[i, cell] > held:
            cell -= 1
        rise = (stage[i, cell + 1] - stage[i, cell]) / (stored[i, cell + 1] - stored[i, cell])
        level[i], slope[i], hint[i] = stage[i, cell] + rise * (held - stored[i, cell]), rise, cell


__all__ = ["FILM", "LINEAR_HEAD", "WEIR", "crest_flow", "grate_flow", "levels_of", "run_flow", "table_flow"]
