"""Trees on the plan: root zone, trunk, and where the trunk stands whose roots are dug on the sheet but is beyond it."""

from __future__ import annotations

import math

from drainwright.design import Design
from drainwright.field.model import SiteTree
from drainwright.paper.frame import View
from drainwright.paper.label import Frame
from drainwright.paper.plan_marks import THIRD, Drawn, clip, inside
from drainwright.paper.sheet import Point, Polyline
from drainwright.paper.symbols import arrow, tree_symbol
from drainwright.paper.wording import Wording

POINTER = 6.0  # length of the arrow at the edge [mm]
OFF_EDGE = 1.0  # its tip from the edge [mm]


def tree_marks(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Every tree's root zone and trunk; a trunk beyond the window is pointed to where its roots are dug in it."""
    word, dug = Wording(design.job.units), dug_trees(design)
    for tree in design.site.trees:
        centre, radius = view(tree.at), view.across.on_paper(tree.root_radius)
        ring = [
            (centre[0] + radius * math.cos(t * math.pi / 36), centre[1] + radius * math.sin(t * math.pi / 36))
            for t in range(73)
        ]
        pieces = clip(ring, window)
        drawn.marks += [Polyline(layer="root zone", points=piece) for piece in pieces]
        trunk = max(view.across.on_paper(tree.tree.trunk_diameter) / 2, 0.9)
        state = "keep" if tree.tree.keep else "remove"
        name = f"{tree.tree.name}, {word.small(tree.tree.trunk_diameter)} trunk: {state}"
        if inside(centre, window, trunk):
            drawn.symbol(centre, trunk, tree_symbol(centre, trunk))
            roots = f"roots to {word.length(tree.root_radius)}"
            drawn.label(THIRD, name, roots, at=centre, clear=trunk, size=2.0, strong=True)
        elif tree.tree.name in dug and pieces:
            _pointed(name, tree, view, window, drawn, word)


def _pointed(name: str, tree: SiteTree, view: View, window: Frame, drawn: Drawn, word: Wording) -> None:
    """An arrow at the edge nearest to a trunk beyond it, with how far beyond it stands."""
    centre = view(tree.at)
    left, bottom, right, top = window
    near = (
        min(max(centre[0], left + OFF_EDGE), right - OFF_EDGE),
        min(max(centre[1], bottom + OFF_EDGE), top - OFF_EDGE),
    )
    away = math.dist(near, centre)
    unit = ((centre[0] - near[0]) / away, (centre[1] - near[1]) / away)
    start: Point = (near[0] - POINTER * unit[0], near[1] - POINTER * unit[1])
    drawn.marks += arrow("root zone", start, near)
    step = word.from_distance(1.0)
    metres = round((away - OFF_EDGE) * view.across.ratio / 1000.0 / step) * step
    beyond = f"trunk about {word.length(metres)} beyond this edge"
    drawn.label(THIRD, name, beyond, at=start, size=2.0, strong=True)


def dug_trees(design: Design) -> frozenset[str]:
    """Names of the trees that lose roots to the digging."""
    return frozenset(loss.tree for loss in design.build.dig.tree_roots)


__all__ = ["dug_trees", "tree_marks"]
