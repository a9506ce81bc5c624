"""Ground beside the drains, soakaways and water over the ground: each part held against what it stands for."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.special import erfc
from storm_jobs import inflows, pumped_system, site

from drainwright.field.terrain_model import LowSpot, StageCurve
from drainwright.hydraulics.boussinesq import table_in_time
from drainwright.hydraulics.seepage import slot_inflow
from drainwright.job.values import Basis
from drainwright.storm.engine.plant import Overland, Plant, Stores
from drainwright.storm.engine.ready import forcing_of, plant_of, state_of
from drainwright.storm.engine.stepper import step
from drainwright.storm.parts.ground_cells import CELLS, GroundCells, cell_widths, ground_cells
from drainwright.storm.parts.over_ground import Spill, overland_of, pond_table, rings_out
from drainwright.storm.parts.soak_stores import body_of, soak_store, soaking
from drainwright.system.outlets.soak_model import Soakaway
from drainwright.system.outlets.soak_routing import Block, route
from drainwright.water.ground import ground_of

DRAIN, FAR, LENGTH, REACH = 9.25, 9.6, 20.0, 5.0  # of ``storm_jobs``
FLOW = 1e-5 * LENGTH
HUGE = 1e6  # plan area of a drain whose level is held [m²]


def cells(**kw: Any) -> GroundCells:
    system = pumped_system()
    index = {name: row for row, name in enumerate(("F", "DS1", "CB1", "SUMP"))}
    return ground_cells(site(**kw), inflows(), [run for run in system.runs if not run.pressure], index, 4)


def held(found: GroundCells, level: float) -> tuple[Plant, Any]:
    """The cells beside a drain that is held at a level, in place of the node at row 3."""
    stage = np.vstack([[[5.0, 15.0]] * 4, found.stage])
    stored = np.vstack([[[0.0, 10.0 * HUGE]] * 4, found.stored])
    plant = plant_of(Stores(stage, stored), ground=found.ground)
    return plant, state_of(plant, np.concatenate([np.full(4, (level - 5.0) * HUGE), found.start]))


def drawn(level: float, duration: float) -> float:
    """Volume that comes out of the ground into a drain that is held at a level from the start on."""
    plant, state = held(cells(), level)
    run = step(
        plant, forcing_of(np.array([0.0, duration]), np.zeros(0, np.int64), np.zeros((1, 0))), state, 1e-6, False, False
    )
    return -float(run.seeped[0])


def test_steady_seepage_is_the_one_that_was_reckoned() -> None:
    """At a drain that runs as it should, and through each link of the row."""
    plant, state = held(cells(), DRAIN - 0.3)
    run = step(
        plant, forcing_of(np.array([0.0, 1e4]), np.zeros(0, np.int64), np.zeros((1, 0))), state, 1e-4, False, False
    )
    np.testing.assert_allclose(run.seeped, -FLOW * 1e4, rtol=1e-9)


def test_whole_row_lets_through_what_the_straight_line_did() -> None:
    """In steady state behind a drain that backs up: Q = flow (far - level) / (far - drain)."""
    found = cells()
    series = 1.0 / np.sum(1.0 / found.ground.conductance)
    assert series == pytest.approx(FLOW / (FAR - DRAIN), rel=1e-12)
    late = (drawn(DRAIN + 0.1, 6e6) - drawn(DRAIN + 0.1, 5e6)) / 1e6
    assert late == pytest.approx(FLOW * 0.25 / 0.35, rel=5e-3)


def test_water_that_backs_up_goes_into_the_ground_and_comes_back() -> None:
    assert drawn(FAR + 0.3, 3600.0) < 0.0
    assert drawn(FAR, 3600.0) < 0.0  # the old straight line: none


def linear(found: GroundCells, level: float, times: Any) -> Any:
    """The same row in plain words: volume drawn, by an integrator of its own."""
    ground, area = found.ground, found.stored[:, 1] / (found.stage[:, 1] - found.stage[:, 0])
    heads = found.stage[:, 0] + found.start / area

    def rates(_: float, now: Any) -> Any:
        around = np.concatenate([[level], now[:-1], [FAR]])
        flow = ground.conductance * np.diff(around)
        return np.append(np.diff(flow) / area, flow[0])

    return solve_ivp(rates, (0.0, times[-1]), np.append(heads, 0.0), "BDF", times, rtol=1e-8, atol=1e-12).y[-1]


def test_stepper_and_an_independent_integrator_agree() -> None:
    times = np.array([600.0, 3600.0, 86400.0])
    plain = linear(cells(), DRAIN + 0.2, times)
    assert [drawn(DRAIN + 0.2, time) for time in times] == pytest.approx(plain.tolist(), rel=2e-4)


def exact_share(time: Any) -> Any:
    """Water that a layer of unit size gives up to unit fall of the drain, its far end held; with the steady part.

    Carslaw and Jaeger, Conduction of Heat in Solids, 2nd ed. 1959, section 3.4, from memory.
    """
    n = np.arange(1.0, 4001.0)[:, None]
    return time + 1.0 / 3.0 - np.sum(2.0 / (n * np.pi) ** 2 * np.exp(-((n * np.pi) ** 2) * time), axis=0)


def row_share(widths: Any, time: Any) -> Any:
    """The same of a row of cells, by its eigenvalues."""
    centres = np.cumsum(widths) - widths / 2.0
    through = 1.0 / np.diff(np.concatenate([[0.0], centres, [1.0]]))
    matrix = np.diag(through[:-1] + through[1:]) - np.diag(through[1:-1], 1) - np.diag(through[1:-1], -1)
    root = np.sqrt(widths)
    rate, vectors = np.linalg.eigh(matrix / np.outer(root, root))
    first = through[0] * vectors[0] / root[0] * (vectors.T @ ((1.0 - centres) * root))
    return time + (first / rate) @ -np.expm1(-np.outer(rate, time))


def test_row_is_fine_enough() -> None:
    """Volume drawn, to 3.5 %, from a thousandth of the layer's own time on (S L²/T); even cells would be far off."""
    time = np.logspace(-3.0, 0.5, 36)
    own = np.max(np.abs(row_share(cell_widths(), time) / exact_share(time) - 1.0))
    even = np.max(np.abs(row_share(np.full(CELLS, 1.0 / CELLS), time) / exact_share(time) - 1.0))
    assert own < 0.035
    assert even > 0.5


def test_exact_solution_begins_as_a_layer_without_end() -> None:
    """Edelman 1947, sudden fall of the level: 2 s sqrt(S T t / pi); the profile an erfc. From memory."""
    time = np.array([1e-4, 1e-3, 5e-3])
    assert exact_share(time) == pytest.approx(2.0 * np.sqrt(time / np.pi), rel=2e-3)
    x = np.linspace(0.0, 1.0, 401)
    found = table_in_time(1e-5, 0.1, x, np.full(401, 100.0), np.linspace(0.0, 1.0, 201), 99.999, 100.0)
    diffusivity = 1e-5 * 100.0 / 0.1
    fall = (100.0 - found.head[-1]) / 0.001
    assert fall == pytest.approx(erfc(x / (2.0 * math.sqrt(diffusivity))), abs=0.004)


@pytest.mark.parametrize(("hours", "level"), [(2.0, 9.55), (6.0, 9.55), (24.0, 9.55), (6.0, 9.4)])
def test_straight_ground_against_curved_water_table(hours: float, level: float) -> None:
    """Boussinesq's own equation, which the row takes as linear: what a drain that backs up gives to the ground.

    Ground a metre deep under the drain, 0.35 m of drawdown, half the texture's porosity: within 12 %.
    """
    # nobody measured the porosity: the storm takes half of the texture's, on the safe side
    porosity, conductivity, deep = 0.5 * ground_of(site()).drainable_porosity, 7e-6, 1.0
    per = float(slot_inflow(conductivity, deep + FAR - DRAIN, deep, REACH))
    water = inflows()
    water = replace(water, seepage=(replace(water.seepage[0], per_length=per),))
    index = {name: row for row, name in enumerate(("F", "DS1", "CB1", "SUMP"))}
    found = ground_cells(site(), water, [run for run in pumped_system().runs if not run.pressure], index, 4)
    span = hours * 3600.0
    plain = linear(found, level, np.array([span]))[-1]
    x = REACH * np.linspace(0.0, 1.0, 201) ** 1.5
    low, high = deep, deep + FAR - DRAIN
    first = np.sqrt(low**2 + (high**2 - low**2) * x / REACH)
    time = np.linspace(0.0, 1.0, 400) ** 2 * span
    curved = table_in_time(conductivity, porosity, x, first, time, deep + level - DRAIN, high)
    exact = -2.0 * LENGTH * curved.entered_left[-1]
    still = per * LENGTH * span  # were nothing backed up
    assert plain - still == pytest.approx(exact - still, rel=0.12)


def test_drains_alike_share_a_row_and_others_do_not() -> None:
    one = inflows()
    twice = replace(one, seepage=(one.seepage[0], replace(one.seepage[0], length=10.0)))
    other = replace(one, seepage=(one.seepage[0], replace(one.seepage[0], drain_level=9.3)))
    dry = replace(one, seepage=(replace(one.seepage[0], per_length=0.0),))
    gravity = [run for run in pumped_system().runs if not run.pressure]
    index = {name: row for row, name in enumerate(("F", "DS1", "CB1", "SUMP"))}
    rows = [ground_cells(site(), water, gravity, index, 4) for water in (one, twice, other, dry)]
    assert [len(row.names) for row in rows] == [CELLS, CELLS, 2 * CELLS, 0]
    np.testing.assert_allclose(rows[1].ground.conductance, 1.5 * rows[0].ground.conductance)
    np.testing.assert_allclose(rows[1].stored, 1.5 * rows[0].stored)


def soak(**kw: Any) -> Soakaway:
    values: dict[str, Any] = {
        "name": "SOAK", "kind": "infiltration trench", "at": (0.0, 0.0), "outlines": (), "count": 1, "length": 6.0,
        "width": 0.6, "depth": 0.9, "invert": 9.4, "bottom": 8.5, "top": 9.55, "ground": 10.0, "ground_slope": 0.0,
        "ground_basis": Basis.MEASURED, "voids": 0.4, "soil_rate": 3e-5, "safety": 2.0, "rate": 1.5e-5,
        "rate_from": "measured where it goes", "storage": 1.3, "stone": 3.8, "fabric": 20.0, "effective_area": 50.0,
        "base_flow": 0.0, "return_period": 3e8, "storms": (), "critical": 3600.0, "fullest": 0.8, "spilled": 0.0,
        "half_empty": 1.0, "half_empty_limit": 2.0, "silted": 1.0, "nested": None, "side_storage": 1.0, "mound": 0.1,
        "mound_at_house": 0.0, "house_distance": 5.0, "water_table": None, "overflow": None, "chosen_by": "job",
        "fits": True, "basis": Basis.MEASURED,
    }  # fmt: skip
    return Soakaway(**values | kw)


def soaked(one: Soakaway, blocks: list[tuple[float, float]]) -> tuple[Any, Any]:
    store = soak_store(one)
    plant = plant_of(
        Stores(store.stage[None], store.stored[None]), outlets=soaking([one], [0]),
        overland=Overland(np.array([0]), np.array([-1]), np.array([store.crest]), np.array([store.width])),
    )  # fmt: skip
    edges = np.concatenate([[0.0], np.cumsum([time for time, _ in blocks])])
    forcing = forcing_of(edges, np.array([0]), np.array([[flow] for _, flow in blocks]))
    return plant, step(plant, forcing, state_of(plant, np.array([store.start])), 1e-5, True, False)


@pytest.mark.parametrize("kw", [{}, {"base_flow": 6e-5}, {"kind": "dry well", "length": 1.2, "width": 1.2, "count": 3}])
def test_soakaway_fills_and_empties_as_its_design_was_routed(kw: dict[str, Any]) -> None:
    """One storm that stays below the pipe, to half a per cent of depth and volume."""
    one = soak(**kw)
    base = one.base_flow
    blocks = [(600.0, 2e-4 + base), (900.0, 9e-4 + base), (1800.0, 2e-4 + base), (7200.0, base)]
    start = soak_store(one).start / (one.voids * body_of(one).area)
    routed = route(body_of(one), [Block(duration=time, inflow=flow) for time, flow in blocks], start)
    _, run = soaked(one, blocks)
    assert routed.spilled == 0.0
    assert run.highest[0] - one.bottom == pytest.approx(routed.fullest, rel=0.005)
    assert np.sum(run.soaked) == pytest.approx(routed.soaked, rel=0.005)
    assert run.state.volume[0] == pytest.approx(routed.left, rel=0.005, abs=1e-4)


def test_full_soakaway_runs_over_its_lowest_ground() -> None:
    _, run = soaked(soak(), [(3600.0, 3e-3)])
    assert run.highest[0] > 10.0
    assert run.over[0] + np.sum(run.soaked) + run.state.volume[0] == pytest.approx(10.8, rel=1e-6)
    assert run.over[0] > 8.0


def test_empty_soakaway_gives_no_water() -> None:
    _, run = soaked(soak(), [(36000.0, 0.0)])
    assert np.sum(run.soaked) == pytest.approx(0.0, abs=1e-9)


def test_ground_water_in_the_stone_takes_the_bottom_away() -> None:
    one = soak(water_table=8.9)
    store = soak_store(one)
    assert store.stage[0] == 8.9
    assert len(soaking([one], [0]).node) == 1
    _, run = soaked(one, [(3600.0, 2e-4)])
    _, free = soaked(soak(), [(3600.0, 2e-4)])
    assert np.sum(run.soaked) < 0.5 * np.sum(free.soaked)


def spot(**kw: Any) -> LowSpot:
    curve = StageCurve(level=(9.8, 9.9, 10.0), area=(0.0, 10.0, 40.0), volume=(0.0, 0.4, 2.8))
    values: dict[str, Any] = {
        "name": "L1", "at": (0.0, 0.0), "bottom": 9.8, "spill_level": 10.0, "spill_at": (1.0, 0.0), "area": 40.0,
        "volume": 2.8, "rings": (), "curve": curve, "inlet": "CB1",
    }  # fmt: skip
    return LowSpot(**values | kw)


def test_surveyed_pond_holds_what_the_ground_holds() -> None:
    stage, stored, crest = pond_table(spot(), 9.85, 0.09)
    assert crest == 10.0
    assert np.all(np.diff(stage) > 0.0)
    assert np.all(np.diff(stored) > 0.0)
    assert np.interp(10.0, stage, stored) == pytest.approx(2.8 + 0.09 * 0.2)
    assert np.interp(10.1, stage, stored) == pytest.approx(2.8 + 4.0 + 0.09 * 0.3)
    assert pond_table(spot(), 10.05, 0.09)[2] == 10.05


def test_pond_spills_into_the_next_and_nothing_is_lost() -> None:
    spills = [
        Spill(row=0, name="CB1", crest=1.0, width=2.0, way=("inlet", "CB2")),
        Spill(row=1, name="CB2", crest=0.5, width=2.0, way=("house", "west")),
    ]
    rows, to = overland_of(spills, {"CB1": 0, "CB2": 1})
    assert to == (("inlet", "CB2"), ("house", "west"))
    assert rows.target.tolist() == [1, -1]
    stage = np.array([[0.0, 2.0], [-1.0, 2.0]])
    plant = plant_of(Stores(stage, stage - stage[:, :1]), overland=rows)
    forcing = forcing_of(np.array([0.0, 3600.0]), np.array([0]), np.array([[0.01]]))
    run = step(plant, forcing, state_of(plant, np.zeros(2)), 1e-5, False, False)
    assert run.over[0] == pytest.approx(36.0 - run.state.volume[0], rel=1e-9)
    assert run.over[1] == pytest.approx(36.0 - np.sum(run.state.volume), rel=1e-9)
    assert run.over[1] > 30.0


def test_ring_of_ponds_has_a_way_out() -> None:
    spills = {
        "CB1": Spill(row=0, name="CB1", crest=1.0, width=2.0, way=("inlet", "CB2")),
        "CB2": Spill(row=1, name="CB2", crest=0.8, width=2.0, way=("inlet", "CB1")),
        "CB3": Spill(row=2, name="CB3", crest=2.0, width=2.0, way=("inlet", "CB1")),
    }
    asked = []

    def follow(group: tuple[str, ...]) -> Any:
        asked.append(group)
        return "off the lot", "south side"

    out = rings_out(spills, follow)
    assert asked == [("CB1", "CB2")]
    assert [(one.row, one.crest, one.way[0]) for one in out] == [(1, 1.0, "off the lot")]


def test_way_to_an_inlet_without_a_pond_is_told_as_not_known() -> None:
    rows, to = overland_of([Spill(row=0, name="CB1", crest=1.0, width=2.0, way=("inlet", "CB9"))], {"CB1": 0})
    assert (rows.target.tolist(), to) == ([-1], (("not known", ""),))
