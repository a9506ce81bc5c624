"""Steady seepage in a vertical section by finite elements: heads, free water surface, flow net.

Linear triangles. The free surface is found by moving the mesh: with the flow solved as if the surface were a known
boundary, each column's top goes part of the way to the head found there, until it stays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.hydraulics.section_mesh import Indices, Mesh, Numbers, Section, mesh_of

RELAXATION = 0.7  # share of the way that a column's top goes in a step [-]
MOST_STEPS = 120
CLOSE_ENOUGH = 1e-4  # of the head lost in all: the surface stays when no column moves more [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heads:
    """The flow on one mesh."""

    head: Numbers  # at each node [m]
    inflow: Numbers  # into the section at each node; zero inside it [m²/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionFlow:
    """Seepage of a section, for each metre of drain."""

    section: Section
    nodes: Numbers  # (n, 2) distance and level [m]
    triangles: Indices  # (m, 3)
    head: Numbers  # (n,) [m]
    stream: Numbers  # (n,) flow between the node's streamline and the barrier; rising from outside to inside [m²/s]
    to_drain: float  # [m²/s]
    from_outside: float  # through the outer end [m²/s]
    from_inside: float  # through the inner end, from under the house [m²/s]
    from_rain: float  # recharge [m²/s]
    outside: Numbers  # (k, 2) water table outside, from the stone outwards [m]
    inside: Numbers  # (j, 2) water table or slab's underside under the house, from the footing inwards [m]
    pressed: tuple[bool, ...]  # at each place of ``inside``: whether the water presses on the slab
    inside_head: Numbers  # (j,) head at each place of ``inside``: above it where the water presses on the slab [m]
    seepage_face: float  # height of the stone's side above the drain's level that weeps [m]
    balance: float  # what comes less what goes, over what goes [-]
    surface_error: float  # greatest gap between water table and the head there [m]
    steps: int
    converged: bool


def steady_heads(
    nodes: Numbers,
    triangles: Indices,
    across: Numbers,
    upright: Numbers,
    fixed: Indices,
    levels: Numbers,
    load: Numbers | None = None,
) -> Heads:
    """Heads of steady confined flow in a plane: Darcy's law and continuity, on linear triangles.

    Parameters
    ----------
    nodes : ndarray
        (n, 2) places. [m]
    triangles : ndarray
        (m, 3) nodes of each triangle.
    across, upright : ndarray
        (m,) conductivity along the two axes, above zero. [m/s]
    fixed : ndarray
        Nodes whose head is given; at least one.
    levels : ndarray
        Their heads. [m]
    load : ndarray, optional
        (n,) water put in at each node. [m²/s]

    Returns
    -------
    Heads
        Heads, and the water that enters at each node.

    Raises
    ------
    InputError
        If no head is given, there are not as many levels as nodes of a given head, or a triangle is flat or turned.

    Notes
    -----
    The inflow at a node of given head is the consistent one (the row of the stiffness matrix that the head replaced):
    it balances exactly and converges faster than flows from gradients.
    """
    from scipy.sparse.linalg import spsolve

    if len(fixed) == 0 or len(fixed) != len(levels):
        raise InputError(f"fixed, levels: found {len(fixed)} and {len(levels)}: expected as many, one or more")
    a, b, c = (nodes[triangles[:, corner]] for corner in range(3))
    turned = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    if not bool(np.all(turned > 0.0)):  # also where a place is no number
        raise InputError("nodes, triangles: found a flat or turned triangle: expected all of them anticlockwise")
    matrix = _stiffness(nodes, triangles, across, upright)
    head = np.zeros(len(nodes))
    head[fixed] = levels
    free = np.ones(len(nodes), dtype=bool)
    free[fixed] = False
    given = np.zeros(len(nodes)) if load is None else load
    if free.any():
        right = (given - matrix @ head)[free]
        head[free] = spsolve(matrix[free][:, free].tocsc(), right)
    inflow = np.asarray(matrix @ head, dtype=np.float64)
    return Heads(head=head, inflow=inflow)


def _stiffness(nodes: Numbers, triangles: Indices, across: Numbers, upright: Numbers):  # type: ignore[no-untyped-def]
    """The matrix that takes heads to the flow into each node."""
    from skfem import Basis, BilinearForm, ElementTriP1, MeshTri

    def darcy(u, v, w):  # type: ignore[no-untyped-def]
        return w.across * u.grad[0] * v.grad[0] + w.upright * u.grad[1] * v.grad[1]

    basis = Basis(MeshTri(np.ascontiguousarray(nodes.T), np.ascontiguousarray(triangles.T)), ElementTriP1(), intorder=1)
    form = BilinearForm(darcy)
    return form.assemble(basis, across=across[:, None], upright=upright[:, None]).tocsr()


def stream_function(nodes: Numbers, triangles: Indices, across: Numbers, upright: Numbers, inflow: Numbers) -> Numbers:
    """Stream function of a flow whose inflow at each boundary node is known.

    Parameters
    ----------
    nodes, triangles, across, upright
        As for ``steady_heads``; the section is in one piece without holes.
    inflow : ndarray
        (n,) as ``steady_heads`` gives it. [m²/s]

    Returns
    -------
    ndarray
        (n,) zero on the tight boundary that holds the lowest node, else at that node. [m²/s]

    Notes
    -----
    Along the boundary it is the inflow added up; inside it solves the conjugate problem, with 1/K turned by a quarter.
    """
    loop = boundary_loop(triangles)
    lowest = int(np.lexsort((nodes[loop, 0], nodes[loop, 1]))[0])
    loop = np.roll(loop, -lowest)
    water = inflow[loop]
    small = 1e-9 * float(np.abs(water).max(initial=0.0))
    wet = np.abs(water) > small
    open_next = wet & np.roll(wet, -1)  # the edge to the next node lets water pass
    open_last = np.roll(open_next, 1)
    to_next = np.where(open_next & open_last, 0.5, np.where(open_next, 1.0, 0.0))
    edge = water * to_next + np.roll(water * (1.0 - to_next), -1)
    around = np.concatenate([[0.0], np.cumsum(edge)[:-1]])
    return steady_heads(nodes, triangles, 1.0 / upright, 1.0 / across, loop, around).head


def boundary_loop(triangles: Indices) -> Indices:
    """Nodes around a mesh of anticlockwise triangles, anticlockwise.

    Raises
    ------
    InputError
        If the mesh has a hole or is in pieces.
    """
    edges = np.vstack([triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]])
    known = {(int(a), int(b)) for a, b in edges}
    follow = {a: b for a, b in known if (b, a) not in known}
    start = min(follow)
    loop = [start]
    while (after := follow[loop[-1]]) != start:
        loop.append(after)
    if len(loop) != len(follow):
        raise InputError(f"triangles: found {len(follow)} boundary edges, {len(loop)} in one loop: expected one piece")
    return np.array(loop)


def seep(section: Section, triangles: int = 3000) -> SectionFlow:
    """Seepage to a drain in a section, with its free surface.

    Parameters
    ----------
    section : Section
        Ground, house, drain, and the levels that hold.
    triangles : int
        About how many.

    Returns
    -------
    SectionFlow
        ``converged`` tells whether the surface came to rest.

    Raises
    ------
    InputError
        If ``triangles`` is too few.

    Notes
    -----
    The top of the stone's weeping side is drawn on from the columns beside it. That height depends on the mesh and is
    the weakest figure here; flow and the water table beyond do not lean on it.
    """
    mesh = mesh_of(section, triangles)
    tops = _first_tops(section, mesh)
    lost = max(section.outer_level - section.drain_level, 1e-9)
    cap = np.full(len(tops), np.inf)
    if section.cap is not None:
        cap[mesh.inside] = section.cap
    least = section.shelf + 1e-3 * lost  # no column is ever flat
    tops = np.maximum(np.minimum(tops, cap), section.shelf + 0.02 * lost)
    steps, converged = 0, False
    while steps < MOST_STEPS and not converged:
        steps += 1
        nodes, flow, _ = _solve(section, mesh, tops)
        moved = tops + RELAXATION * (flow.head[mesh.top_nodes] - tops)
        moved = np.maximum(np.minimum(moved, cap), least)
        if mesh.outside.stop > 1:
            moved[0] = max(_weeping_top(section, nodes[mesh.top_nodes[:3], 0], moved), least)
        converged = bool(np.max(np.abs(moved - tops)) <= CLOSE_ENOUGH * lost)
        tops = moved
    nodes, flow, kinds = _solve(section, mesh, tops)
    return _result(section, mesh, tops, nodes, flow, kinds, steps, converged)


def _weeping_top(section: Section, x: Numbers, tops: Numbers) -> float:
    """Where the water table meets the stone's side, from the two columns beside it. [m]

    It gets steeper towards the side. Straight on from the columns would overshoot and swing; half of that fall stands.
    """
    top = float(tops[1])
    if len(tops) > 2:
        top -= 0.5 * float((tops[2] - tops[1]) * (x[1] - x[0]) / (x[2] - x[1]))
    return max(min(top, section.outer_level), section.drain_level)


def _first_tops(section: Section, mesh: Mesh) -> Numbers:
    """Water table by Dupuit between the drain and each end."""
    x = mesh.x[mesh.top_nodes]
    low = section.drain_level - section.barrier
    tops = np.empty(len(x))
    for part, start, end, level in (
        (mesh.outside, section.stone[1], section.outer, section.outer_level),
        (mesh.inside, section.footing, section.inner, section.inner_level),
    ):
        if part.stop > part.start and end is not None:
            high = (level if level is not None else section.drain_level) - section.barrier
            share = (x[part] - start) / (end - start)
            tops[part] = section.barrier + np.sqrt(low**2 + (high**2 - low**2) * share)
    return tops


def _soil(section: Section, nodes: Numbers, triangles: Indices) -> tuple[Numbers, Numbers]:
    """Conductivity of each triangle, across and upright. [m/s]"""
    across = np.full(len(triangles), section.conductivity)
    if section.layer is not None and section.conductivity_below is not None:
        across[nodes[triangles, 1].mean(axis=1) < section.layer] = section.conductivity_below
    return across, section.anisotropy * across


def _solve(section: Section, mesh: Mesh, tops: Numbers) -> tuple[Numbers, Heads, dict[str, Indices]]:
    """The flow under a given water table."""
    nodes = np.column_stack([mesh.x, mesh.heights(tops)])
    level = np.full(len(nodes), np.nan)
    side = mesh.stone_side
    level[side] = np.maximum(nodes[side, 1], section.drain_level)
    if section.deep:
        level[mesh.stone_nodes] = section.drain_level
    drain = np.flatnonzero(~np.isnan(level))
    level[mesh.outer_nodes] = section.outer_level
    inner = mesh.inner_nodes if section.inner_level is not None else np.empty(0, dtype=np.int64)
    level[inner] = section.inner_level if section.inner_level is not None else np.nan
    fixed = np.flatnonzero(~np.isnan(level))
    load = np.zeros(len(nodes))
    if section.recharge > 0.0:
        top = mesh.top_nodes[mesh.outside]
        share = 0.5 * section.recharge * np.abs(np.diff(nodes[top, 0]))
        np.add.at(load, top[:-1], share)
        np.add.at(load, top[1:], share)
    across, upright = _soil(section, nodes, mesh.triangles)
    flow = steady_heads(nodes, mesh.triangles, across, upright, fixed, level[fixed], load)
    return nodes, flow, {"drain": drain, "outer": mesh.outer_nodes, "inner": inner}


def _weeping_only(inflow: Numbers, side: Indices) -> Numbers:
    """The inflows with none through the weeping side: a little that its top corner takes in is set off below."""
    found, carried = inflow.copy(), 0.0
    for node in side[::-1]:
        water = float(inflow[node]) + carried
        carried = max(water, 0.0)
        found[node] = min(water, 0.0)
    found[side[0]] += carried
    return found


def _result(
    section: Section, mesh: Mesh, tops: Numbers, nodes: Numbers, flow: Heads, kinds: dict[str, Indices], steps: int,
    converged: bool,
) -> SectionFlow:  # fmt: skip
    across, upright = _soil(section, nodes, mesh.triangles)
    rain = section.recharge * (section.outer - section.stone[1])
    ends = mesh.top_nodes[mesh.outside][[0, -1]]
    half = 0.5 * section.recharge * np.abs(np.diff(nodes[mesh.top_nodes[mesh.outside], 0]))[[0, -1]]
    own = flow.inflow.copy()  # without the rain that falls on the drain's and the end's own nodes
    own[ends] -= half
    to_drain, outer = -float(own[kinds["drain"]].sum()), float(own[kinds["outer"]].sum())
    inner = float(own[kinds["inner"]].sum())
    top = nodes[mesh.top_nodes]
    inside = mesh.inside
    pressed = tops[inside] >= (section.cap if section.cap is not None else np.inf) - 1e-9
    away = flow.head[mesh.top_nodes] - tops
    away[0] = 0.0  # the weeping side's top holds its own level
    away[inside] = np.where(pressed, 0.0, away[inside])
    return SectionFlow(
        section=section,
        nodes=nodes,
        triangles=mesh.triangles,
        head=flow.head,
        stream=stream_function(nodes, mesh.triangles, across, upright, _weeping_only(flow.inflow, mesh.stone_side)),
        to_drain=to_drain,
        from_outside=outer,
        from_inside=inner,
        from_rain=rain,
        outside=top[mesh.outside],
        inside=top[inside],
        pressed=tuple(bool(item) for item in pressed),
        inside_head=flow.head[mesh.top_nodes[inside]],
        seepage_face=float(max(tops[0] - section.drain_level, 0.0)),
        balance=(outer + inner + rain - to_drain) / max(abs(to_drain), 1e-300),
        surface_error=float(np.max(np.abs(away))),
        steps=steps,
        converged=converged,
    )


__all__ = [
    "Heads", "Section", "SectionFlow", "boundary_loop", "seep", "steady_heads", "stream_function",
]  # fmt: skip
