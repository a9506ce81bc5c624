"""What must hold of the stepper on any plant: five hundred random ones."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from plants import even, forcing, plant, resting, shafts
from random_plants import Drawn, random_plant

from drainwright.errors import InputError
from drainwright.storm.engine.compiling import compiled
from drainwright.storm.engine.plant import Forcing, Plant, Run, State, Watches
from drainwright.storm.engine.stepper import step, stepped

TOLERANCE = 5e-4  # [m]
MANY, FEW = 500, 60


@cache
def drawn(seed: int) -> tuple[Drawn, Run]:
    made = random_plant(seed)
    return made, step(made.plant, made.forcing, made.state, TOLERANCE, True, False)


def part(whole: Forcing, begin: int, end: int) -> Forcing:
    return whole._replace(
        edges=whole.edges[begin : end + 1].copy(), inflow=whole.inflow[begin:end].copy(),
        shift=whole.shift[begin:end].copy(),
    )  # fmt: skip


def test_water_is_neither_made_nor_lost() -> None:
    for seed in range(MANY):
        made, run = drawn(seed)
        out, away, far, came = run.totals[:4]
        before, after = (float(np.sum(s.volume) + np.sum(s.in_line)) for s in (made.state, run.state))
        assert came == pytest.approx(float(np.sum(np.diff(made.forcing.edges) @ made.forcing.inflow)), rel=1e-9)
        assert came - out - away + far == pytest.approx(
            after - before, abs=1e-9 * (came + before + abs(far) + abs(out))
        ), seed


def test_no_store_holds_less_than_nothing() -> None:
    """To a nanometre of level at every step of every plant; nodes run dry in most of them."""
    dry = 0
    for seed in range(MANY):
        made, run = drawn(seed)
        bottoms = made.plant.stores.stage[:, 0]
        depth = run.trace[:, 1 : 1 + len(bottoms)] - bottoms
        dry += int(np.min(depth[1:]) < 1e-6)
        assert np.min(depth) > -1e-9, seed
    assert dry > MANY // 4


def test_the_same_in_gives_the_same_out_to_the_last_digit() -> None:
    for seed in range(FEW):
        made, run = drawn(seed)
        again = step(made.plant, made.forcing, made.state, TOLERANCE, True, False)
        assert np.array_equal(run.trace, again.trace)
        assert np.array_equal(run.totals, again.totals)


def test_a_run_cut_in_pieces_goes_on_as_if_never_stopped() -> None:
    """Cut at edges before, in and after power cuts: the same volumes, pumps and batteries, to the last digit."""
    for seed in range(2 * FEW):
        made, run = drawn(seed)
        state, highest, begun = made.state, np.full(len(made.state.volume), -1e9), np.zeros(len(run.start_count))
        for begin, end in ((0, 1), (1, 25), (25, 27), (27, 60), (60, 90)):
            piece = step(made.plant, part(made.forcing, begin, end), state, TOLERANCE, False, False)
            state, highest = piece.state, np.maximum(highest, piece.highest)
            begun += piece.start_count
        for ours, theirs in zip(state, run.state, strict=True):
            assert np.array_equal(ours, theirs), seed
        # A piece begins by looking its levels up anew, which may round the last digit of a peak at an edge otherwise.
        assert highest == pytest.approx(run.highest, abs=1e-12), seed
        assert np.array_equal(begun, run.start_count), seed


def test_a_run_cut_inside_its_second_power_cut_keeps_its_batteries() -> None:
    for seed in range(2 * FEW):
        made, run = drawn(seed)
        first = step(made.plant, part(made.forcing, 0, 45), made.state, TOLERANCE, False, False)
        second = step(made.plant, part(made.forcing, 45, 90), first.state, TOLERANCE, False, False)
        assert np.array_equal(second.state.volume, run.state.volume), seed


def test_more_rain_never_lowers_a_level_where_nothing_pumps() -> None:
    """Without pumps the plant is monotone: a store gains by whatever raises another (Kamke's condition).

    The bound is twice the tolerance and some: errors of single steps add up over a run.
    """
    for seed in range(MANY):
        made = random_plant(seed, pumps=False)
        run = step(made.plant, made.forcing, made.state, TOLERANCE, False, False)
        more = made.forcing._replace(inflow=1.1 * made.forcing.inflow)
        wetter = step(made.plant, more, made.state, TOLERANCE, False, False)
        assert np.min(wetter.highest - run.highest) > -2.0 * TOLERANCE, seed


def test_a_pump_never_raises_a_level_over_that_without_it() -> None:
    """What leaves the plant for good only lowers; lines that run back or end in the plant do not leave it."""
    for seed in range(MANY):
        made, _ = drawn(seed)
        stations = made.plant.stations
        if len(stations.node) == 0 or np.any(stations.to >= 0):
            continue
        system = made.plant._replace(stations=stations._replace(line=np.zeros(len(stations.node))))
        dead = system._replace(stations=system.stations._replace(flow=0.0 * stations.flow))
        lifted, still = (step(p, made.forcing, made.state, TOLERANCE, False, False) for p in (system, dead))
        assert np.max(lifted.highest - still.highest) < 2.0 * TOLERANCE, seed


def test_a_bigger_pump_is_behind_by_its_float_band_at_most() -> None:
    """With V of the bigger and v of the smaller pump, V - v cannot grow while the bigger runs, and it runs above
    the start float, where v is above the stop float: V <= v + band always. The peak itself may be higher by a
    different phase, so that is all that is true of peaks.
    """
    stage, stored = shafts([0.3], [8.0])
    edges = np.arange(91) * 60.0
    raised = 0
    for seed in range(MANY):
        rng = np.random.default_rng(seed)
        flow, off, on = rng.uniform(1e-3, 3e-3), 0.05, rng.uniform(0.1, 0.3)
        bell = np.exp(-(((edges[:-1] - 2400.0) / rng.uniform(200.0, 900.0)) ** 2))
        outside = forcing(edges, (2e-4 + rng.uniform(1.0, 2.5) * flow * bell)[:, None])
        tops = []
        for share in (1.0, 1.1):
            made = plant(
                stage, stored,
                stations={"node": [0], "off": [off], "on": [on], "flow": even(share * flow),
                          "low": [8.0], "high": [9.0]},
            )  # fmt: skip
            tops.append(step(made, outside, resting(made, [0.06]), TOLERANCE, False, False).highest[0])
        raised += int(tops[1] > tops[0] + 2.0 * TOLERANCE)
        assert tops[1] <= tops[0] + (on - off) / 0.3 + 2.0 * TOLERANCE
    assert raised < MANY // 10  # by the phase: 21 of 500 were seen


@pytest.mark.parametrize("cut", [False, True])
def test_thirty_dry_days_skipped_are_as_stepped(cut: bool) -> None:
    """Whole cycles passed over: starts, pump time and volume as by stepping each; a battery runs down all the same."""
    stage, stored = shafts([0.3], [8.0])
    made = plant(
        stage, stored,
        stations={"node": [0], "off": [0.05], "on": [0.15], "flow": even(2e-3), "low": [8.0], "high": [9.0],
                  "line": [0.01], "battery": [3600.0]},
    )  # fmt: skip
    edges = np.arange(31) * 86400.0
    cuts = [[10.25 * 86400.0, 13.0 * 86400.0]] if cut else ()
    outside = forcing(edges, np.full((30, 1), 1.7e-4), cuts=cuts)
    plain, skipped = (step(made, outside, resting(made, [0.06]), 1e-4, False, repeat) for repeat in (False, True))
    assert skipped.totals[4] < 0.2 * plain.totals[4]
    assert skipped.start_count[0] == pytest.approx(plain.start_count[0], abs=1)
    assert skipped.pump_seconds == pytest.approx(plain.pump_seconds, rel=1e-3 if cut else 1e-4)
    assert skipped.highest == pytest.approx(plain.highest, abs=1e-3)
    before = 0.06
    for run in (plain, skipped):
        held = run.state.volume[0] + run.state.in_line[0] - before
        assert run.totals[3] == pytest.approx(run.totals[0] + held, rel=1e-6)


@compiled
def chosen(which: int, much: bool) -> int:
    return 2 * which if much else which


@compiled
def of_constants() -> int:
    return chosen(1, True) + chosen(2, False) + chosen(3, True)


@pytest.mark.skipif("NUMBA_DISABLE_JIT" in os.environ, reason="nothing is compiled")
def test_it_is_compiled_once() -> None:
    """However its arrays are laid out, and whatever kind of number stands in them; nor anew for each constant."""
    drawn = random_plant(1)
    short, state = part(drawn.forcing, 0, 3), drawn.state
    told = step(drawn.plant, short, state, TOLERANCE, False, False)
    assert of_constants() == 2 + 2 + 6
    before = len(stepped.signatures), len(chosen.signatures)
    locked = state.volume.copy()
    locked.flags.writeable = False
    ways: list[tuple[Plant, Forcing, State, float]] = [
        (drawn.plant, short, state._replace(volume=locked), 1),
        (drawn.plant, short._replace(inflow=np.asfortranarray(np.repeat(short.inflow, 2, axis=1))[:, ::2]), state, 0.5),
        (drawn.plant._replace(watches=Watches(np.zeros(0), np.zeros(0))), short, state, TOLERANCE),
        (drawn.plant, short._replace(edges=short.edges.astype(np.float32)), state, TOLERANCE),
    ]
    for made, outside, begun, tolerance in ways:
        step(made, outside, begun, tolerance, False, False)
    again = step(ways[1][0], ways[1][1], state, TOLERANCE, False, False)
    assert np.array_equal(again.state.volume, told.state.volume)
    assert (len(stepped.signatures), len(chosen.signatures)) == before
    assert before in {(1, 0), (1, 1)}  # kept code that is loaded has its inner parts in it


def test_rows_of_stores_are_whole() -> None:
    drawn = random_plant(1)
    wrong = drawn.forcing._replace(entry=drawn.forcing.entry + 0.5)
    with pytest.raises(InputError, match="entry: found numbers of kind float64; expected whole numbers"):
        step(drawn.plant, wrong, drawn.state, TOLERANCE, False, False)


def test_compiled_is_as_plain_python() -> None:
    """The first ten minutes of some plants, stepped by the same code without numba in another process."""
    code = (
        "import numpy as np\nfrom random_plants import random_plant\n"
        "from drainwright.storm.engine.stepper import step\n"
        "for seed in range(6):\n"
        "    d = random_plant(seed)\n    f = d.forcing\n"
        "    f = f._replace(edges=f.edges[:11].copy(), inflow=f.inflow[:10].copy(), shift=f.shift[:10].copy())\n"
        "    print(*(float(v).hex() for v in step(d.plant, f, d.state, 5e-4, False, False).state.volume))\n"
    )
    here = Path(__file__).resolve().parent
    environment = {**os.environ, "NUMBA_DISABLE_JIT": "1", "PYTHONPATH": os.pathsep.join([str(here), *sys.path])}
    done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, text=True, check=True)
    for seed, line in enumerate(done.stdout.splitlines()):
        made = random_plant(seed)
        run = step(made.plant, part(made.forcing, 0, 10), made.state, TOLERANCE, False, False)
        assert run.state.volume == pytest.approx([float.fromhex(v) for v in line.split()], rel=1e-9, abs=1e-12)
