"""Thirty years of made five-minute rain through twenty nodes: time, peak memory, what passing over dry time saves.

Run in a process of its own, so that its memory is its own. Times are for orientation; the ratios are the claim.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
HOUSE = ROOT / "examples" / "block-wall-house" / "job.yaml"
NODES, YEARS = 20, 30


def twenty() -> Any:
    """A tree of 19 structures and pipes with overflows, falling to a basin with a pump, 5 m³ of ground water a day."""
    sys.path.insert(0, str(ROOT / "tests" / "storm"))
    from plants import plant, resting, shafts

    from drainwright.storm.engine.plant import NEVER

    bottoms = np.linspace(2.0, 1.0, NODES)
    areas = np.full(NODES, 0.1)
    areas[-1] = 0.3
    stage, stored = shafts(areas, bottoms, 2.0)
    dice = np.random.default_rng(1)
    upper = np.arange(NODES - 1)
    lower = np.minimum(upper + dice.integers(1, 4, NODES - 1), NODES - 1)
    drop = np.where(lower == NODES - 1, 0.4, 0.0)
    made = plant(
        stage, stored,
        pipes={"upper": upper, "lower": lower, "z_upper": bottoms[upper], "z_lower": bottoms[lower] + drop,
               "conveyance": np.full(NODES - 1, 0.06)},
        overland={"source": np.arange(NODES), "target": np.full(NODES, -1), "crest": bottoms + 1.5,
                  "width": np.ones(NODES)},
        stations={"node": [NODES - 1], "off": [0.03], "on": [0.09], "second": [NEVER], "low": [1.0], "high": [3.0],
                  "flow": np.full((1, 1, 3, 2), 0.004), "shared": np.zeros((1, 1), np.int64), "to": [-1],
                  "line": [0.005], "battery": [0.0]},
    )  # fmt: skip
    return made, resting(made, np.concatenate([np.zeros(NODES - 1), [0.03]]))


def course(rain: Any, surfaces: Any, *, whole: bool, span: float) -> tuple[float, float, float]:
    """Seconds, steps and starts of a run; ``whole``: every five minutes stepped, nothing passed over."""
    from drainwright.storm.engine.packing import packed
    from drainwright.storm.engine.plant import STEPS, Forcing
    from drainwright.storm.engine.stepper import step
    from drainwright.storm.surface.surfaces import rest, resting, run_off
    from drainwright.storm.years.merging import MOST, SMALL, merged

    made, state = twenty()
    ready, entry, ground = packed(made), np.arange(NODES - 1), 5.0 / 86400.0
    wet, starts, steps = resting(surfaces), 0.0, 0.0
    begun = time.perf_counter()
    begins = [spell.start for spell in rain.spells if spell.start < span]
    for number, spell in enumerate(rain.spells[: len(begins)]):
        after = begins[number + 1] if number + 1 < len(begins) else span
        depths = np.concatenate([rain.depths[spell.first : spell.last + 1], np.zeros(36)])
        most = int((after - spell.start) // rain.step)
        depths = depths[:most]
        off = run_off(surfaces, wet, depths / rain.step, rain.step)
        inflow = np.repeat(off.inflow.sum(axis=1)[:, None] / (NODES - 1), NODES - 1, axis=1)
        edges = float(state.clock[0]) + (spell.start - float(state.clock[0])) + rain.step * np.arange(depths.size + 1.0)
        edges[0] = float(state.clock[0])
        inflow[:, -1] += ground
        if not whole:
            edges, inflow = merged(edges, inflow, SMALL, MOST)
        dry = np.zeros(NODES - 1)
        dry[-1] = ground
        if after > edges[-1] + 1.0:
            more = np.arange(edges[-1] + rain.step, after, rain.step) if whole else np.zeros(0)
            more = np.append(more[more < after - 1.0], after)
            edges = np.concatenate([edges, more])
            inflow = np.vstack([inflow, np.tile(dry, (more.size, 1))])
        forcing = Forcing(edges, entry, np.ascontiguousarray(inflow), np.zeros(edges.size - 1), np.zeros((0, 2)))
        run = step(ready, forcing, state, 0.002, False, not whole)
        state, starts, steps = run.state, starts + run.start_count.sum(), steps + run.totals[STEPS]
        wet = rest(surfaces, off.state, max(after - edges[-1], 0.0))
    return time.perf_counter() - begun, steps, starts


def main() -> None:
    """Print the table's rows."""
    begun = time.perf_counter()
    from drainwright.field import survey
    from drainwright.job.reading import read_job
    from drainwright.storm.surface.surfaces import surfaces_of
    from drainwright.storm.years.spells import YEAR, spells_of_made
    from drainwright.water import inflows
    from drainwright.water.rain_process import fit_process, made_rain

    site = survey(read_job(HOUSE))
    water = inflows(site)
    rain = spells_of_made(made_rain(fit_process(water.rain), YEARS, 1))
    surfaces = surfaces_of(site, water)
    fitted = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    made = time.perf_counter() - begun
    first, _, _ = course(rain, surfaces, whole=False, span=0.05 * YEAR)
    seconds, steps, starts = course(rain, surfaces, whole=False, span=YEARS * YEAR)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    short, few, _ = course(rain, surfaces, whole=False, span=YEAR)
    plain, many, _ = course(rain, surfaces, whole=True, span=YEAR)
    print(f"  fitting the rain and making {YEARS} years of it: {made:.1f} s, {fitted:.0f} MB")
    print(f"  first stretch, code loaded or compiled: {first:.1f} s")
    print(f"  {YEARS} years at 5 min, {NODES} nodes: {seconds:.2f} s, {steps:.0f} steps, {starts:.0f} starts; "
          f"peak memory {memory:.0f} MB, the fit's in it")  # fmt: skip
    print(f"  one year stepped throughout, over the same with dry time passed over: {plain / short:.1f} times the time,"
          f" {many / few:.1f} times the steps")  # fmt: skip


def show() -> None:
    """Print it all: the run in a process of its own, then a start with no compiled code and one with."""
    print("\nThirty years through twenty nodes")
    subprocess.run([sys.executable, "-m", "benchmarks.years"], cwd=ROOT, check=True)
    code = (
        "import time; t = time.perf_counter(); from benchmarks.years import twenty; "
        "from drainwright.storm.engine.stepper import step; "
        "from drainwright.storm.engine.ready import forcing_of; import numpy as np; made, state = twenty(); "
        "step(made, forcing_of(np.array([0.0, 300.0]), np.array([0]), np.array([[1e-4]])), state, 2e-3, False, False); "
        "print(f'{time.perf_counter() - t:.2f} s')"
    )
    with tempfile.TemporaryDirectory() as folder:
        for what in ("first call after install (compiles)", "the same with the code kept on disk"):
            print(f"  {what}: ", end="", flush=True)
            subprocess.run(
                [sys.executable, "-c", code], cwd=ROOT, check=True, env={**os.environ, "NUMBA_CACHE_DIR": folder}
            )


if __name__ == "__main__":
    main()
