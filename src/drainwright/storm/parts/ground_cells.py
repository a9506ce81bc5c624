"""Ground beside footing drains: a row of cells from the drain out to where the water table is untouched."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.field.model import Site
from drainwright.job.values import Basis
from drainwright.storm.engine.plant import FREE, Floats, Ground, Whole
from drainwright.system.model import SizedRun
from drainwright.water.ground import ASSUMED_LAYER, ground_of
from drainwright.water.model import Inflows
from drainwright.worksheet import quiet

CELLS = 8  # of a row: what a drain draws then differs by 3.4 % at most from the exact solution, see the tests
WIDER = 1.7  # each cell than the one before it, from the drain outwards
SIDES = 2.0  # of a drain from which water comes, as its seepage was reckoned
UNSURE = 0.5  # of a drainable porosity that nobody measured: emptied ground holds a failure's water back [-]
LEAST_POROSITY = 0.01  # ground that gives up less is taken to give up this much [-]
SHORT = 0.01  # the far water stands at least so much over the drain [m]
ABOVE = 1.0  # how far the tables go over the far level [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundCells:
    """Cells of ground and their links. Rows of the stores count from the first cell's, which the caller gives."""

    names: tuple[str, ...]
    stage: Floats  # (cells, 2) [m]
    stored: Floats  # (cells, 2) water over the bottom [m³]
    start: Floats  # volumes on the steady line [m³]
    ground: Ground
    rows: Mapping[str, Whole]  # of each drain, by its run: where water that seeps down beside it would enter
    widths: Floats  # of a row's cells over its length, from the drain out [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Strip:
    """Ground that feeds one or several drains alike."""

    node: int
    drain: float  # level to which the drain lowers the water [m]
    far: float  # [m]
    influence: float  # [m]
    runs: tuple[str, ...]
    flow: float  # steady, all drains together [m³/s]
    length: float  # all together [m]


def cell_widths() -> Floats:
    """Widths of the cells over the length of their row, from the drain out. [-]"""
    widths = WIDER ** np.arange(float(CELLS))
    return np.asarray(widths / widths.sum())


def _strips(inflows: Inflows, gravity: Sequence[SizedRun], index: Mapping[str, int]) -> list[_Strip]:
    """Drains that meet the same node, at one level, with the same far water at the same distance, as one strip.

    Their equations are the same but for the length, so that one row stands for them exactly.
    """
    named = {run.name: run for run in gravity}
    found: dict[tuple[int, float, float, float], _Strip] = {}
    for seep in inflows.seepage:
        run = named.get(seep.run)
        if run is None or seep.flow <= 0.0:
            continue
        free = run.lower not in index
        node = index[run.upper if free else run.lower]
        drain = max(seep.drain_level, run.invert_upper) if free else seep.drain_level
        far = max(seep.far_level, drain + SHORT)
        key = (node, drain, far, seep.influence)
        runs: tuple[str, ...] = (seep.run,)
        flow, length = seep.flow, seep.length
        if (same := found.get(key)) is not None:
            runs, flow, length = (*same.runs, *runs), same.flow + flow, same.length + length
        found[key] = _Strip(
            node=node, drain=drain, far=far, influence=seep.influence, runs=runs, flow=flow, length=length
        )
    return list(found.values())


def ground_cells(
    site: Site, inflows: Inflows, gravity: Sequence[SizedRun], index: Mapping[str, int], first: int
) -> GroundCells:
    """The ground beside footing drains as stores and links.

    Parameters
    ----------
    site : Site
        For the drainable porosity of its ground: as the job gives it, else half of the texture's, the safe side.
    inflows : Inflows
        With the steady seepage into each drain.
    gravity : sequence of SizedRun
        Gravity runs.
    index : mapping
        Row of each node of the network.
    first : int
        Row of the first cell.

    Returns
    -------
    GroundCells
        Empty where no ground water comes.

    Notes
    -----
    Boussinesq's equation, linear: all conductances in a row together let the steady seepage through between the far
    level and the drain, and no more. Both sides of the drain are one row. The level that counts is the water at the
    drain's lower end, where back-up shows first; a drain that runs free to the discharge point goes by its upper
    end. Water that stands higher in the drain than in the ground beside it goes into the ground. The cells begin on
    the steady line. A drain to which no ground water comes in steady state gets no cells: what it would lose to the
    ground is left out, on the safe side.
    """
    with quiet():
        ground = ground_of(site)
        sure = 1.0 if ground.porosity_basis is not Basis.ASSUMED else UNSURE
        porosity = max(sure * ground.drainable_porosity, LEAST_POROSITY)
    strips, shares = _strips(inflows, gravity, index), cell_widths()
    centres = np.cumsum(shares) - 0.5 * shares
    gaps = np.diff(np.concatenate([[0.0], centres, [1.0]]))  # between the drain, the cells and the far water
    names: list[str] = []
    stage, stored, start = [], [], []
    links: list[tuple[int, int, float, float, float]] = []
    rows: dict[str, Whole] = {}
    for number, strip in enumerate(strips):
        begin = first + number * CELLS
        cells = begin + np.arange(CELLS)
        bottom, top = strip.drain - ASSUMED_LAYER, strip.far + ABOVE
        areas = SIDES * porosity * strip.length * strip.influence * shares
        levels = strip.drain + (strip.far - strip.drain) * centres
        rows |= dict.fromkeys(strip.runs, cells)
        names += [f"{' and '.join(strip.runs)} ground {place}" for place in range(1, CELLS + 1)]
        stage += [[bottom, top]] * CELLS
        stored += [[0.0, float(area) * (top - bottom)] for area in areas]
        start += (areas * (levels - bottom)).tolist()
        through = strip.flow / (strip.far - strip.drain) / gaps
        links.append((strip.node, begin, FREE, float(through[0]), strip.drain))
        links += [(begin + i, begin + i + 1, FREE, float(through[i + 1]), bottom) for i in range(CELLS - 1)]
        links.append((begin + CELLS - 1, -1, strip.far, float(through[-1]), bottom))
    a, b, far, conductance, floor = zip(*links, strict=True) if links else ((), (), (), (), ())
    return GroundCells(
        names=tuple(names), stage=np.array(stage).reshape(-1, 2), stored=np.array(stored).reshape(-1, 2),
        start=np.array(start, np.float64),
        ground=Ground(
            a=np.array(a, np.int64), b=np.array(b, np.int64), far=np.array(far, np.float64),
            conductance=np.array(conductance, np.float64), floor_a=np.array(floor, np.float64),
            floor_b=np.array(floor, np.float64),
        ),
        rows=rows, widths=shares,
    )  # fmt: skip


__all__ = ["CELLS", "SHORT", "WIDER", "GroundCells", "cell_widths", "ground_cells"]
