"""The stepper with several basins: one into another, two on one line, power and batteries of each."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from stepper import shafts, step

AREAS, BOTTOMS = [0.2, 0.3], [8.0, 7.5]
EDGES = np.linspace(0.0, 3600.0, 61)


def chain(**more: Any) -> dict[str, Any]:
    """Two basins: what the first pump lifts falls into the second; a third flow comes to each from outside."""
    stage, stored = shafts(AREAS, BOTTOMS)
    inflow = np.column_stack([np.full(60, 0.0008), np.full(60, 0.0005)])
    return {
        "stage": stage, "stored": stored, "start": np.array([0.02, 0.03]), "edges": EDGES, "inflow": inflow,
        "basin": [0, 1], "off": np.array([0.02, 0.03]), "on": np.array([0.10, 0.15]),
        "pump_levels": np.array([[8.0, 11.0], [7.5, 10.5]]),
        "pump_flows": np.array([[[[0.002, 0.002], [0.002, 0.002]]], [[[0.003, 0.003], [0.003, 0.003]]]]),
        "pump_to": [1, -1],
    } | more  # fmt: skip


def total_in(plant: dict[str, Any]) -> float:
    return float(np.sum(plant["inflow"] * np.diff(plant["edges"])[:, None]))


def test_what_one_lifts_comes_to_the_other_and_nothing_is_lost() -> None:
    plant = chain()
    run = step(**plant)
    stored = float(np.sum(run.volume - plant["start"]))
    assert run.volume_in == pytest.approx(total_in(plant), rel=1e-12)
    assert run.volume_in == pytest.approx(run.volume_out + stored, rel=1e-9)
    first, second = run.told[:, 0]
    assert second == pytest.approx(run.volume_out, rel=1e-12)
    # the second basin: its own inflow and what the first lifted, less what it lifted, is what it holds more
    assert 0.0005 * 3600 + first - second == pytest.approx(run.volume[1] - 0.03, rel=1e-9)


def test_cycles_of_both_are_those_of_hand() -> None:
    """First: fills 0.08 m³ at 0.8 L/s in 100 s, empties at 1.2 L/s in 66.7 s: a start every 166.7 s."""
    run = step(**chain())
    times = run.all_starts[run.all_starts[:, 1] == 0, 0]
    assert times[0] == pytest.approx(100.0, abs=1e-6)
    assert np.diff(times) == pytest.approx(100.0 + 0.08 / 0.0012, abs=1e-6)
    assert len(run.all_starts[run.all_starts[:, 1] == 1]) > 3


def by_events(end: float) -> tuple[list[float], list[tuple[float, int]]]:
    """The same two basins from switch to switch, with flows that are constant between: exact, by hand."""
    volume, running, time, starts = [0.02, 0.03], [False, False], 0.0, []
    off, on, own, lift = (0.02, 0.03), (0.10, 0.15), (0.0008, 0.0005), (0.002, 0.003)
    while True:
        pumped = [lift[place] * running[place] for place in (0, 1)]
        net = [own[0] - pumped[0], own[1] + pumped[0] - pumped[1]]
        goals = [(off if running[place] else on)[place] for place in (0, 1)]
        waits = [
            (goal - held) / rate if rate * (goal - held) > 0.0 else float("inf")
            for goal, held, rate in zip(goals, volume, net, strict=True)
        ]
        wait = min(*waits, end - time)
        volume = [held + rate * wait for held, rate in zip(volume, net, strict=True)]
        time += wait
        if time >= end - 1e-9:
            return volume, starts
        place = waits.index(wait)
        volume[place] = goals[place]
        running[place] = not running[place]
        if running[place]:
            starts.append((time, place))


def test_both_basins_follow_the_flows_from_switch_to_switch() -> None:
    run = step(**chain(edges=EDGES[:60], inflow=chain()["inflow"][:59]))
    volume, starts = by_events(3540.0)
    assert run.volume == pytest.approx(volume, abs=1e-9)
    assert [int(place) for place in run.all_starts[:, 1]] == [place for _, place in starts]
    assert run.all_starts[:, 0] == pytest.approx([time for time, _ in starts], abs=1e-6)


def shared(**more: Any) -> dict[str, Any]:
    """Two pumps on one line: each gives 2 L/s alone and 1.2 L/s beside the other."""
    flows = np.empty((2, 3, 2, 2))
    flows[:, 0], flows[:, 1:] = 0.002, 0.0012
    return chain(pump_flows=flows, shared=np.array([[0, 1], [1, 0]]), pump_to=[-1, -1]) | more


def test_each_gives_less_while_the_other_runs() -> None:
    run = step(**shared())
    rows = run.all_rows
    spans = np.diff(np.concatenate([[0.0], rows[:, 0]]))
    whole = spans > 1e-3
    one, two = rows[whole, 4] / spans[whole], rows[whole, 7] / spans[whole]
    both = (one > 0) & (two > 0)
    assert np.any(both)
    assert one[both] == pytest.approx(0.0012)
    assert two[both] == pytest.approx(0.0012)
    assert one[(one > 0) & ~both] == pytest.approx(0.002)
    assert run.volume_in == pytest.approx(run.volume_out + float(np.sum(run.volume)) - 0.05, rel=1e-9)


def test_a_battery_carries_its_own_pump_only() -> None:
    plant = chain(cut_from=600.0, cut_to=3600.0, battery=np.array([1e6, 0.0]))
    run = step(**plant)
    starts = run.all_starts
    assert np.any(starts[starts[:, 1] == 0, 0] > 700.0)
    assert not np.any(starts[starts[:, 1] == 1, 0] > 600.0)
    some = step(**chain(cut_from=600.0, cut_to=3600.0, battery=np.array([120.0, 0.0])))
    before = step(**chain(edges=EDGES[:11], inflow=chain()["inflow"][:10]))
    assert some.told[0, 1] - before.told[0, 1] == pytest.approx(120.0, abs=1e-6)


def test_a_station_by_itself_is_the_same_beside_another() -> None:
    """Two that share nothing: each as if it stood alone."""
    both = step(**chain(pump_to=[-1, -1]))
    stage, stored = shafts(AREAS[:1], BOTTOMS[:1])
    alone = step(
        stage=stage, stored=stored, start=[0.02], edges=EDGES, inflow=np.full((60, 1), 0.0008),
        basin=0, off=0.02, on=0.1, pump_levels=[8.0, 11.0], pump_flows=np.full((2, 2), 0.002),
    )  # fmt: skip
    times = both.all_starts[both.all_starts[:, 1] == 0, 0]
    assert times == pytest.approx(alone.starts, abs=1e-9)
    assert both.told[0, 0] == pytest.approx(alone.pumped, rel=1e-9)


def test_what_a_run_carries_is_what_goes_through_it() -> None:
    stage, stored = shafts([0.2, 0.3], [9.0, 8.0])
    run = step(
        stage=stage, stored=stored, start=[0.0, 0.0], edges=EDGES,
        inflow=np.column_stack([np.full(60, 5e-4), np.zeros(60)]),
        upper=[0, 1], lower=[1, -1], z_upper=[9.0, 8.0], z_lower=[8.5, 7.5],
    )  # fmt: skip
    into, out = run.carried
    assert out == pytest.approx(run.volume_out, rel=1e-12)
    assert into == pytest.approx(run.volume_in - run.volume[0], rel=1e-9)
    assert into == pytest.approx(out + run.volume[1], rel=1e-9)
