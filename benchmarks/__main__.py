"""Measure and print ratios. Each pair runs in turn, A B A B, so that a machine that drifts drifts for both.

Absolute times are printed for orientation only; the claim is the ratio.
"""

from __future__ import annotations

import os
import platform
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drainwright.job.model import Job

ROOT = Path(__file__).resolve().parents[1]
HOUSE = ROOT / "examples" / "block-wall-house" / "job.yaml"
LONG = HOUSE.parents[1] / "long-house" / "job.yaml"

Result = tuple[float, float, float, float, float]


def pairs(first: Callable[[], object], second: Callable[[], object], rounds: int) -> Result:
    """Median times of both, and of their ratio, first over second, the median, the least and the greatest."""
    a, b = [], []
    for _ in range(rounds):
        for call, times in ((first, a), (second, b)):
            start = time.perf_counter()
            call()
            times.append(time.perf_counter() - start)
    ratios = [x / y for x, y in zip(a, b, strict=True)]
    return statistics.median(a), statistics.median(b), statistics.median(ratios), min(ratios), max(ratios)


def shell(*arguments: str) -> Callable[[], object]:
    """A command run to its end, its output thrown away; exit code 1 (findings that fail) is no error here."""

    def call() -> None:
        code = subprocess.run([sys.executable, *arguments], stdout=subprocess.DEVNULL, check=False).returncode
        if code not in (0, 1):
            raise RuntimeError(f"{arguments}: exit code {code}")

    return call


def row(what: str, against: str, result: Result) -> None:
    """Print one line of the table."""
    a, b, ratio, least, greatest = result
    times = f"{what:44} {a * 1000:9.1f} ms   {against:38} {b * 1000:9.1f} ms"
    print(f"{times}   ratio {ratio:8.2f}   {least:.2f} to {greatest:.2f}", flush=True)


def dragged(job: Job) -> tuple[Callable[[], object], Callable[[], object]]:
    """A first answer of the job with its first inlet moved by an inch: like the answer before, and from nothing."""
    from drainwright.design import begin
    from drainwright.job.changes import changed_job
    from drainwright.job.writing import to_json

    before = begin(job)
    east, north = before.system.nodes[job.works.inlets[0].name].at
    moved = changed_job(to_json(job), {"works.inlets[0].at": f"{east + 0.0254:.4f} m, {north:.4f} m"})
    return lambda: begin(moved, like=before), lambda: begin(moved)


def machine() -> str:
    """The day, the machine and the versions that a table rests on, in one line."""
    listed = (f"{name} {version(name)}" for name in ("numpy", "scipy", "numba", "shapely", "typst"))
    chip = platform.processor() or platform.machine()
    commit = subprocess.run(
        ["git", "-C", str(ROOT), "rev-parse", "--short=10", "HEAD"], capture_output=True, text=True, check=False
    )  # fmt: skip
    return (
        f"{date.today()}, {platform.system()} {platform.release()}, {chip}, {os.cpu_count()} cores, Python "
        f"{platform.python_version()}, {', '.join(listed)}, revision {commit.stdout.strip() or 'not told'}"
    )


def main() -> None:
    """Print the table."""
    from benchmarks.grading import forty_runs, show
    from benchmarks.ground import filling, whole_ground
    from benchmarks.stepper import show as show_stepper
    from benchmarks.years import show as show_years
    from drainwright.build.sticks import cut_sticks
    from drainwright.design import begin, design
    from drainwright.field import survey
    from drainwright.hydraulics.conduit import RoundPipe
    from drainwright.hydraulics.water_surface import water_surface
    from drainwright.job.changes import changed_job
    from drainwright.job.reading import read_job
    from drainwright.job.writing import to_json
    from drainwright.offer.options import options
    from drainwright.schemes import schemes
    from drainwright.storm import storm_test
    from drainwright.system import lay_out
    from drainwright.system.yard.least_tree import Terminal, least_tree
    from drainwright.system.yard.yard_map import yard_map
    from drainwright.water import inflows

    print(machine(), flush=True)
    job = read_job(HOUSE)
    site = survey(job)
    water = inflows(site)
    system = lay_out(site, water)

    def storms() -> object:
        return storm_test(site, water, system)

    def sticks() -> object:
        dice = random.Random(5)
        return cut_sticks([dice.uniform(0.3, 3.0) for _ in range(250)], 3.048)

    def surfaces() -> object:
        pipe, distances = RoundPipe(diameter=0.1), tuple(float(place) for place in range(21))
        falls, flows = tuple(0.2 - 0.01 * at for at in distances), tuple(0.0001 * at for at in distances)
        return [water_surface(pipe, distances, falls, flows, 0.011, 0.2) for _ in range(40)]

    lot = yard_map(site)
    ends = [(wall.start[0] + 4.0 * wall.outward[0], wall.start[1] + 4.0 * wall.outward[1]) for wall in site.walls]

    def tree() -> object:
        root = (ends[0][0] - 6.0, ends[0][1] - 6.0)
        places = [Terminal(name=f"T{i}", at=at, ground=30.0, invert=29.5) for i, at in enumerate(ends)]
        return least_tree(lot, places, root)

    storms()
    design(job)
    print("Ratios are medians of pairs run in turn, beside them the least and the greatest of the pairs.")
    print("Times are for orientation on this machine, now.\n")
    row("reading the job document", "designing it, warm", pairs(lambda: read_job(HOUSE), lambda: design(job), 7))
    base = design(job)
    row("designing it again like itself", "designing it from nothing",
        pairs(lambda: design(job, like=base), lambda: design(job), 7))  # fmt: skip
    row(
        "a first answer, without the storm",
        "designing the job, warm",
        pairs(lambda: begin(job), lambda: design(job), 7),
    )
    long = read_job(LONG)
    row("the same of a job of 45 runs", "designing it, warm", pairs(lambda: begin(long), lambda: design(long), 5))
    for what, one in (("a first answer, an inlet moved", job), ("the same of a job of 45 runs", long)):
        row(what, "the same from nothing", pairs(*dragged(one), 7))
    row("the options of its offer, three designs", "designing the job, warm",
        pairs(lambda: options(base), lambda: design(job), 3))  # fmt: skip
    battery = changed_job(to_json(job), {"works.basin.battery": {"capacity": "200 Ah", "current": "60 A"}})
    row("the job with a battery, like the one without", "designing it from nothing",
        pairs(lambda: design(battery, like=base), lambda: design(battery), 5))  # fmt: skip
    row("storm test, five cases", "designing the job, warm", pairs(storms, lambda: design(job), 7))
    row("drainwright --help", "python -c 'import numpy'",
        pairs(shell("-m", "drainwright.cli", "--help"), shell("-c", "import numpy"), 7))  # fmt: skip
    row("drainwright design, whole command", "python -c 'import numba, scipy.optimize'",
        pairs(shell("-m", "drainwright.cli", "design", str(HOUSE)),
              shell("-c", "import numba, scipy.optimize"), 5))  # fmt: skip
    row("filling 100,000 places, a plain search", "the same by spill_levels", pairs(*filling(), 5))
    row("surface, contours, low spots of 5,000 shots", "their Delaunay triangles alone", pairs(*whole_ground(), 7))
    row("grading 40 runs at least cost, proven", "laying them by hand", pairs(*forty_runs(), 5))
    row("250 pieces cut from sticks", "designing the job, warm", pairs(sticks, lambda: design(job), 3))
    row("water surface of 40 lines", "designing the job, warm", pairs(surfaces, lambda: design(job), 5))
    row(
        "least tree from the corners of the house",
        "the map of the yard under it",
        pairs(tree, lambda: yard_map(site), 3),
    )
    row("all schemes of the lot", "designing the job, warm", pairs(lambda: schemes(job), lambda: design(job), 3))
    from drainwright.paper import write_papers

    result = design(job)
    with tempfile.TemporaryDirectory() as folder:

        def papers(processes: int) -> object:
            afresh = replace(result)  # whose options nobody has designed yet
            return write_papers(afresh, Path(folder), lambda name, done: None, processes)

        row("writing all papers", "designing the job, warm", pairs(lambda: papers(2), lambda: design(job), 3))
        row("writing them in two processes", "in one", pairs(lambda: papers(2), lambda: papers(1), 3))
    show()
    show_stepper()
    show_years()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"\npeak memory of this process: {peak:.0f} MB")


if __name__ == "__main__":
    main()
