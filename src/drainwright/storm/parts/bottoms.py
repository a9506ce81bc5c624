"""No link draws from an empty store: inverts and floors of the ground at the stores' bottoms or above."""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.plant import Floats, Ground, Pipes


def pipes_over(pipes: Pipes, stage: Floats) -> Pipes:
    """Pipes whose ends lie no lower than the bottom of the store there.

    Where ground water stands in a soakaway's stone over the pipe's end, the pipe gives and takes from that water's
    level on.

    Parameters
    ----------
    pipes : Pipes
        As graded.
    stage : array
        Levels of the stores' tables, (nodes, rows), the bottoms first. [m]

    Returns
    -------
    Pipes
        The same where every end lies over its store's bottom.
    """
    ends = np.where(pipes.lower >= 0, stage[pipes.lower, 0], -np.inf)
    return pipes._replace(
        z_upper=np.maximum(pipes.z_upper, stage[pipes.upper, 0]), z_lower=np.maximum(pipes.z_lower, ends)
    )


def ground_over(ground: Ground, stage: Floats) -> Ground:
    """Ground that drains no lower than the bottom of the store beside it, and gets nothing from that store empty.

    A drain's level that was reckoned from a proposal may lie a hair under the place where its pipe ends.

    Parameters
    ----------
    ground : Ground
        As reckoned.
    stage : array
        Levels of the stores' tables, (nodes, rows), the bottoms first. [m]

    Returns
    -------
    Ground
        The same where every floor lies over its store's bottom.
    """
    least = stage[ground.a, 0]
    return ground._replace(floor_a=np.maximum(ground.floor_a, least), floor_b=np.maximum(ground.floor_b, least))


__all__ = ["ground_over", "pipes_over"]
