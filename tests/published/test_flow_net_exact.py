"""Flow nets with published answers: exact solutions by conformal mapping, and a course's flow net under sheeting."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ellipk

from drainwright.hydraulics.section_fem import seep, steady_heads, stream_function
from drainwright.hydraulics.section_mesh import Section, graded


def under_sheet_pile(depth: float, layer: float) -> tuple[float, np.ndarray, np.ndarray]:
    """Flow under a single sheet pile over K h, from a fine mesh with a slit; and the two ends' heads at its tip."""
    far = 6.0 * layer
    x = graded([-far, 0.0, far], [0.0], 0.006 * layer, 0.12, 0.5 * layer)
    z = graded([-layer, -depth, 0.0], [-depth], 0.006 * layer, 0.12, 0.06 * layer)
    at = int(np.searchsorted(x, -1e-9))
    grid = np.arange(len(x) * len(z)).reshape(len(x), len(z))
    nodes = np.column_stack([np.repeat(x, len(z)), np.tile(z, len(x))])
    right = grid.copy()
    slit = np.flatnonzero(z > -depth + 1e-9)  # the tip itself stays one node
    right[at, slit] = len(nodes) + np.arange(len(slit))
    nodes = np.vstack([nodes, nodes[grid[at, slit]]])

    def cells(g: np.ndarray) -> np.ndarray:
        a, b, c, d = g[:-1, :-1].ravel(), g[1:, :-1].ravel(), g[1:, 1:].ravel(), g[:-1, 1:].ravel()
        return np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])

    triangles = np.vstack([cells(grid[: at + 1]), cells(right[at:])])
    one = np.ones(len(triangles))
    high, low = grid[: at + 1, -1], right[at:, -1]
    flow = steady_heads(
        nodes, triangles, one, one, np.concatenate([high, low]), np.repeat([1.0, 0.0], [len(high), len(low)])
    )
    stream = stream_function(nodes, triangles, one, one, flow.inflow)
    return float(flow.inflow[high].sum()), flow.head, stream


@pytest.mark.parametrize("share", [0.2, 0.5, 0.8])
def test_single_sheet_pile_in_a_layer_of_finite_depth(share: float) -> None:
    """q / (k h) = K(m) / (2 K(m')), m = cos(pi s / 2T): M. E. Harr, Groundwater and Seepage, 1962, ch. 5;
    P. Ya. Polubarinova-Kochina 1962 (both from memory). Half-way down it is 1/2 by symmetry."""
    modulus = math.cos(math.pi * share / 2)
    exact = ellipk(modulus**2) / (2.0 * ellipk(1.0 - modulus**2))
    found, head, stream = under_sheet_pile(share, 1.0)
    assert found == pytest.approx(exact, rel=0.01)
    assert np.ptp(stream) == pytest.approx(found, rel=1e-6)
    assert head.min() == pytest.approx(0.0)
    if share == 0.5:
        assert exact == pytest.approx(0.5)


@pytest.mark.parametrize("half", [0.25, 0.5, 1.0, 2.0])
def test_flat_floor_on_a_layer_of_finite_depth(half: float) -> None:
    """q / (k h) = K(m') / (2 K(m)), m = tanh(pi b / 2T): impervious floor of width 2b, Harr 1962, ch. 5 (from memory).

    For a wide floor it is 1 / (2b/T + 0.88), the rule for a dam base on a layer (4 ln 2 / pi = 0.8825).
    """
    modulus = math.tanh(math.pi * half / 2)
    exact = ellipk(1.0 - modulus**2) / (2.0 * ellipk(modulus**2))
    if half >= 1.0:
        assert exact == pytest.approx(1.0 / (2.0 * half + 4.0 * math.log(2.0) / math.pi), rel=0.005)
    x = graded([-half - 6.0, -half, half, half + 6.0], [-half, half], 0.006, 0.12, 0.5)
    z = graded([-1.0, 0.0], [0.0], 0.006, 0.12, 0.06)
    grid = np.arange(len(x) * len(z)).reshape(len(x), len(z))
    nodes = np.column_stack([np.repeat(x, len(z)), np.tile(z, len(x))])
    a, b, c, d = grid[:-1, :-1].ravel(), grid[1:, :-1].ravel(), grid[1:, 1:].ravel(), grid[:-1, 1:].ravel()
    triangles = np.vstack([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    one = np.ones(len(triangles))
    high, low = grid[x <= -half + 1e-9, -1], grid[x >= half - 1e-9, -1]
    fixed, levels = np.concatenate([high, low]), np.repeat([1.0, 0.0], [len(high), len(low)])
    flow = steady_heads(nodes, triangles, one, one, fixed, levels)
    assert flow.inflow[high].sum() == pytest.approx(exact, rel=0.01)
    assert np.interp(0.0, x, flow.head[grid[:, 0]]) == pytest.approx(0.5, abs=0.005)  # half the head below mid-floor


def test_flow_net_under_sheeting_of_the_course() -> None:
    """BYU CE 544 unit 4, flownet_calcs_KEY.xlsx (SEEN): k 0.2835 ft/d, h 10 ft, 3 channels, 6 drops: 1.4173 ft³/d
    for each foot. 3/6 is the exact shape factor of a sheet pile half-way down; the printed figure keeps k = 1e-4 cm/s.
    """
    foot, day = 0.3048, 86400.0
    conductivity = 1e-6  # 1e-4 cm/s [m/s]
    factor, _, _ = under_sheet_pile(0.5, 1.0)
    assert conductivity * day / foot == pytest.approx(0.2835, abs=5e-5)
    assert factor == pytest.approx(3 / 6, rel=0.005)
    assert factor * conductivity * 10 * foot * day / foot**2 == pytest.approx(1.4173, rel=0.005)


# Free surface of an upright dam between two waters, after Polubarinova-Kochina's exact integrals, heights over the
# upper water's: tables of a university's worked solver (SEEN: mashadab/PKgui, GUI/H0.5_L0.5_..., GUI/H0.1_L1.0_...).
# Low water, length, seepage face, then (distance from the upper face, height).
EXACT_DAMS = [
    (0.5, 0.5, 0.16238, [(0.170537, 0.935618), (0.335628, 0.834725), (0.461863, 0.719569), (0.484019, 0.690708)]),
    (0.1, 1.0, 0.27462, [(0.407039, 0.847042), (0.656985, 0.703190), (0.800406, 0.597883), (0.961307, 0.437433)]),
]


@pytest.mark.parametrize(("low", "length", "face", "places"), EXACT_DAMS)
def test_free_surface_of_the_dam_against_the_exact_one(
    low: float, length: float, face: float, places: list[tuple[float, float]]
) -> None:
    """Heights to 0.002 of the upper water. The seepage face comes out 2 to 4 % of its height too tall: a finding,
    said in the section's notes."""
    section = Section(
        barrier=0.0, shelf=0.0, drain_level=low, outer=length, outer_level=1.0, stone=(-0.1, 0.0), conductivity=1e-5
    )
    flow = seep(section, 3000)
    assert flow.converged
    for x, height in places:
        assert np.interp(length - x, flow.outside[:, 0], flow.outside[:, 1]) == pytest.approx(height, abs=0.002)
    assert flow.seepage_face == pytest.approx(face, rel=0.05)
