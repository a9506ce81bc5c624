"""Water over the yard's grates through the storm: a row for each, as tall and as dark as the water is deep."""

from __future__ import annotations

import numpy as np

from drainwright.design import Design
from drainwright.paper.axes import Axes
from drainwright.paper.frame import words
from drainwright.paper.measure import CAP
from drainwright.paper.sheet import Mark, Polygon
from drainwright.paper.storm_panels import HOUR, LEFT, Panels, Series, curve, span
from drainwright.paper.symbols import box, line
from drainwright.paper.wording import Wording
from drainwright.storm.model import NodeStorm, StormCase

ROW, TALL = 9.0, 18.0  # for one grate of many, of few [mm]
STRIP = 54.0  # for all, before rows get low [mm]
LEAST = 0.005  # a shallower film is no pond [m]
MOST_ROWS = 8  # the deepest are drawn


def wetted(sound: StormCase) -> list[NodeStorm]:
    """Grates over which water stands at some time, the deepest first; places that the case keeps levels of."""
    ponds = [
        node
        for node in sound.nodes.values()
        if node.pond_depth >= LEAST and len(sound.levels(_pond(sound, node.node))) == len(sound.times)
    ]
    return sorted(ponds, key=lambda node: (-node.pond_depth, node.node))


def strip_height(sound: StormCase) -> float:
    """Room that the strip takes. [mm]"""
    count = max(1, min(MOST_ROWS, len(wetted(sound))))
    return count * _row_height(count)


def _row_height(count: int) -> float:
    return max(ROW, min(TALL, STRIP / count))


def pond_strip(design: Design, panels: Panels) -> None:
    """Draw the strip as the next plot; where no water stands, a line that says so."""
    sound, word = design.storm.cases[0], Wording(design.job.units)
    ponds = wetted(sound)
    inlets = [name for name, node in design.system.nodes.items() if node.kind == "inlet"]
    if not ponds:
        text = (
            f"No water stands deeper than {word.small(LEAST)} over any grate."
            if inlets
            else "This job has no grates in the yard."
        )
        panels.title("Water over the grates")
        panels.marks.append(words("text", (panels.left + LEFT, panels.y - 2.4), text, 2.3))
        panels.y -= 6.0
        return
    worst = ponds[0]
    told = f"worst: {word.small(worst.pond_depth)} over {worst.node}, {span(worst.highest_at)} into the storm"
    more = [] if len(ponds) <= MOST_ROWS else [f"{len(ponds) - MOST_ROWS} shallower ones not drawn"]
    stands = f"stands: deeper than {word.small(LEAST)}"
    panels.title("Water over the grates", "all in order", told, stands, *more)
    ponds = ponds[:MOST_ROWS]
    deepest, tall = worst.pond_depth, _row_height(len(ponds))
    whole = panels.next(tall * len(ponds), 0.0, float(len(ponds)))
    marks: list[Mark] = []
    for number, node in enumerate(ponds):
        foot = whole.top - (number + 1) * tall + 1.0
        depth = np.maximum(sound.levels(_pond(sound, node.node)) - node.rim, 0.0)
        marks += _row(panels, (whole.left, foot, tall - 2.0), sound.times, depth, deepest)
        if number:
            y = whole.top - number * tall
            marks.append(line("rule faint", (whole.left, y), (whole.right, y)))
        y = foot + tall / 2 - 1.0 - CAP * 1.05
        marks.append(words("text", (whole.left - 1.6, y), node.node, 2.3, "end", "semibold"))
        marks.append(words("text", (whole.right + 2.0, y + 1.4), f"{word.small(node.pond_depth)} deep", 2.1))
        wet = float(np.sum(np.diff(sound.times)[(depth[1:] + depth[:-1]) / 2 >= LEAST]))
        marks.append(words("text soft", (whole.right + 2.0, y - 1.4), f"stands {span(wet)}", 2.1))
    panels.marks += [*marks, *whole.frame()]


def _row(panels: Panels, place: tuple[float, float, float], times: Series, depth: Series, deepest: float) -> list[Mark]:
    """One grate: water as tall as it is deep, and dark wherever it is deeper than half the deepest."""
    left, foot, height = place
    axes = Axes(
        left=left, bottom=foot, width=panels.width, height=height,
        x_low=0.0, x_high=panels.hours, y_low=0.0, y_high=deepest,
    )  # fmt: skip
    within = times <= panels.hours * HOUR
    hours, depth = times[within] / HOUR, depth[within]
    if len(hours) < 2:
        return []
    top = curve(axes, "water", hours, depth)
    ends = ((top.points[-1][0], foot), (top.points[0][0], foot))
    marks: list[Mark] = [Polygon(layer="water fill", points=(*top.points, *ends))]
    deep = np.flatnonzero(np.diff(np.concatenate(([0], (depth > 0.5 * deepest).astype(int), [0]))))
    for first, last in deep.reshape(-1, 2):
        part = slice(int(first), int(last))
        if last - first > 1:
            body = curve(axes, "node fill", hours[part], depth[part]).points
            marks.append(Polygon(layer="node fill", points=(*body, (body[-1][0], foot), (body[0][0], foot))))
        else:
            x, y = axes(float(hours[first]), float(depth[first]))
            marks.append(box("node fill", x - 0.15, foot, x + 0.15, y))
    return [*marks, top]


def _pond(sound: StormCase, node: str) -> str:
    """The name of the water over a grate."""
    return f"{node} pond" if len(sound.levels(f"{node} pond")) else node


__all__ = ["LEAST", "pond_strip", "strip_height", "wetted"]
