"""Checks of the runs as a whole: water must have one way down from everywhere, and no circle."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.errors import Problem
from drainwright.job.model import Job
from drainwright.job.names import Names
from drainwright.job.works import Run


def check_runs(job: Job, names: Names) -> Iterator[Problem]:
    """Runs that leave a discharge point, fork, go in a circle, or end nowhere."""
    runs = job.works.runs
    nodes = names.nodes
    leaving: dict[str, tuple[int, Run]] = {}
    for index, run in enumerate(runs):
        where = f"works.runs[{index}]"
        if run.from_ == run.to:
            yield Problem(where=f"{where}.to", found=f"{run.to!r} at both ends", expected="another place")
            continue
        if run.from_ in names.discharges:
            yield Problem(
                where=f"{where}.from", found=f"a run that leaves the discharge point {run.from_!r}",
                expected="the upper end; a discharge point is a lower end",
            )  # fmt: skip
        if run.to in names.downspouts:
            yield Problem(
                where=f"{where}.to", found=f"a run that ends at the downspout {run.to!r}",
                expected="the lower end; a downspout is an upper end", hint="exchange 'from' and 'to'",
            )  # fmt: skip
        if run.duty == "overflow":
            continue
        if run.from_ in leaving:
            other = leaving[run.from_][1]
            yield Problem(
                where=f"{where}.from", found=f"a second way down from {run.from_!r}, beside run {other.name}",
                expected="one run from each place (an overflow excepted)",
                hint="start this one at a point of its own beside it, or give it the duty 'overflow'",
            )  # fmt: skip
        leaving.setdefault(run.from_, (index, run))
    yield from _circles(leaving)
    for index, run in enumerate(runs):
        end = run.to
        if end in nodes and end not in leaving and end not in names.basins and end not in names.discharges:
            yield Problem(
                where=f"works.runs[{index}].to", found=f"{end!r}, from where no run goes on",
                expected="a basin, a discharge point, or a place that another run leaves",
            )  # fmt: skip


def _circles(leaving: dict[str, tuple[int, Run]]) -> Iterator[Problem]:
    """One problem for each circle of runs."""
    done: set[str] = set()
    for start in leaving:
        path: list[str] = []
        at = start
        while at in leaving and at not in done and at not in path:
            path.append(at)
            at = leaving[at][1].to
        if at in path:
            circle = path[path.index(at) :]
            index = min(leaving[name][0] for name in circle)
            runs = " > ".join(leaving[name][1].name for name in circle)
            yield Problem(
                where=f"works.runs[{index}]", found=f"runs in a circle: {runs}",
                expected="runs that lead down to a basin or a discharge point",
            )  # fmt: skip
        done.update(path)


__all__ = ["check_runs"]
