"""Lines graded by hand, as crews do it: from the far end, at the least cover and the least grade, one size."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from drainwright.system.grading.costs import crown, under
from drainwright.system.grading.solve import GradedLine, GravityLine, Meeting, needed_grade


def hand_layout(lines: Sequence[GravityLine], meetings: Sequence[Meeting] = ()) -> dict[str, GradedLine]:
    """Pipe and inverts of each line, the far ends first.

    A line starts at the least cover, or as low as what drains into it (a footing drain: as low as its footing allows),
    and falls at the least grade to its lower end; where the ground dips it starts lower. One size: the smallest of the
    first pipe's family that carries the flow at that grade and is no smaller than what drains in. A fixed invert, grade
    or outlet is kept at its end.
    """
    found: dict[str, GradedLine] = {}
    waiting = list(lines)
    drops = {item.name: item.drop for item in meetings}
    while waiting:
        ready = [line for line in waiting if all(other.lower != line.upper for other in waiting)]
        for line in ready:
            above = [found[other.name] for other in lines if other.lower == line.upper]
            found[line.name] = _by_hand(line, above, drops.get(line.upper, 0.0))
        waiting = [line for line in waiting if line not in ready]
    return found


def _by_hand(line: GravityLine, above: Sequence[GradedLine], drop: float) -> GradedLine:
    grade = line.minimum_grade if line.grade is None else line.grade
    family = [pipe for pipe in line.pipes if pipe.family == line.pipes[0].family]
    family = [pipe for pipe in family if all(pipe.inside >= other.pipe.inside - 0.01 for other in above)] or family
    able = [pipe for pipe in family if needed_grade(line.flow, pipe, line.maximum_fill) <= grade]
    pipe = able[0] if able else family[-1]
    distances = np.array(line.distances)
    starts = np.array(line.grounds) - np.array([line.cover_at(i) for i in range(len(distances))]) - crown(pipe)
    start = float(np.min((starts + grade * distances)[np.array(line.covered)]))
    if any(line.deep):
        bottoms = [
            bottom + grade * distance
            for bottom, distance in zip(line.bottoms, line.distances, strict=True)
            if bottom is not None
        ]
        start = min(start, max(bottoms) + line.bed + under(pipe)) if bottoms else start
    start = min([start, *(other.inverts[-1] - drop - max(pipe.inside - other.pipe.inside, 0.0) for other in above)])
    if line.invert_upper is not None:
        start = line.invert_upper
    end = start - grade * line.length
    for level in (line.invert_lower, line.outlet):
        if level is not None:
            end = level  # the crew ties it in there, steeper or flatter
            break
    return GradedLine(name=line.name, pipe=pipe, knots=(0.0, line.length), inverts=(start, end))


__all__ = ["hand_layout"]
