"""Pumps' data sheets: what makes points of flow and head no curve, for every pump that a job holds."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from typing import Literal

from drainwright.errors import Problem
from drainwright.job.model import Job
from drainwright.job.works import Pump
from drainwright.quantities import write

Units = Literal["US", "SI"]


def sheet_problems(pump: Pump, where: str, units: Units) -> Iterator[Problem]:
    """Points that repeat, flows that do not rise, heads that do not fall.

    Parameters
    ----------
    pump : Pump
        As the job or a file has it.
    where : str
        Its path in the job.
    units : str
        The job's, for the words.

    Yields
    ------
    Problem
        One for each point that cannot follow the point before it.
    """
    for index, (one, two) in enumerate(pairwise(pump.curve), start=1):
        if one == two:
            yield Problem(
                where=f"{where}.curve[{index}]", found="the same point again", expected="each point of the sheet once"
            )
            continue
        if two.flow <= one.flow:
            yield Problem(
                where=f"{where}.curve[{index}].flow",
                found=f"{write(two.flow, 'flow', units)} after {write(one.flow, 'flow', units)}",
                expected="flows that rise along the curve",
            )
        if two.head >= one.head:
            yield Problem(
                where=f"{where}.curve[{index}].head",
                found=f"{write(two.head, 'length', units)} after {write(one.head, 'length', units)}",
                expected="heads that fall as the flow rises",
            )


def check_pumps(job: Job) -> Iterator[Problem]:
    """Every sheet of a job: each basin's first and second pump and battery unit, and the firm's own pumps."""
    for index, basin in enumerate(job.works.basins):
        path = f"works.more_basins[{index - 1}]" if index else "works.basin"
        unit = None if basin.battery is None else basin.battery.pump
        for name, pump in (("pump", basin.pump), ("second", basin.second), ("battery.pump", unit)):
            if pump is not None:
                yield from sheet_problems(pump, f"{path}.{name}", job.units)
    for index, pump in enumerate(job.pumps):
        yield from sheet_problems(pump, f"pumps[{index}]", job.units)


__all__ = ["check_pumps", "sheet_problems"]
