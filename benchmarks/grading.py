"""The grading: time for lots of 40 runs, and its cost beside the hand layout's on invented lots and the examples."""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from benchmarks.hand_layout import hand_layout
from drainwright.system.grading.costs import grading_cost, under
from drainwright.system.grading.solve import GradedLine, GravityLine, Meeting, grade_lines

ROOT = Path(__file__).resolve().parents[1]
LOTS = 10  # invented, of 8 to 26 runs
LARGE = 100  # lots of 40 runs


def _lots() -> object:
    """The generator of random lots lives with the tests."""
    sys.path.insert(0, str(ROOT / "tests" / "system"))
    import grading_lots

    return grading_lots


def large_lots() -> list[tuple[Sequence[GravityLine], Sequence[Meeting]]]:
    """Lots of 40 runs; one in three cannot keep everything."""
    made = _lots()
    return [(lot.lines, lot.meetings) for lot in (made.random_lot(seed, 40) for seed in range(LARGE))]  # type: ignore[attr-defined]


def forty_runs() -> tuple[Callable[[], object], Callable[[], object]]:
    """One lot of 40 runs graded at least cost, and laid by hand."""
    lines, meetings = large_lots()[0]
    return lambda: grade_lines(lines, meetings), lambda: hand_layout(lines, meetings)


def times() -> tuple[list[float], list[float]]:
    """Seconds of wall clock and of this process for each large lot."""
    wall, own = [], []
    for lines, meetings in large_lots():
        start, began = time.perf_counter(), time.process_time()
        grade_lines(lines, meetings)
        wall.append(time.perf_counter() - start)
        own.append(time.process_time() - began)
    return wall, own


def depths(lines: Sequence[GravityLine], found: Mapping[str, GradedLine]) -> tuple[float, float]:
    """Mean by length and greatest depth of the trenches [m]."""
    total = length = deepest = 0.0
    for line in lines:
        item = found[line.name]
        cut = np.array(line.grounds) - np.interp(line.distances, item.knots, item.inverts) + under(item.pipe) + line.bed
        total += float(np.trapezoid(np.maximum(cut, 0.0), line.distances))
        length += line.length
        deepest = max(deepest, float(np.max(cut)))
    return total / length, deepest


def example_lines() -> list[tuple[str, Sequence[GravityLine], Sequence[Meeting]]]:
    """The gravity lines of every example, as its design grades them."""
    from drainwright.field import survey
    from drainwright.job.reading import read_job
    from drainwright.system import lay_out
    from drainwright.system.grading import graded as module
    from drainwright.water import inflows

    found = []
    for path in sorted((ROOT / "examples").glob("*/*.yaml")):
        taken: list[tuple[Sequence[GravityLine], Sequence[Meeting]]] = []
        plain = module.grade_lines

        def watched(lines: Sequence[GravityLine], meetings: Sequence[Meeting] = (), plain=plain, taken=taken):  # type: ignore[no-untyped-def]
            taken.append((lines, meetings))
            return plain(lines, meetings)

        module.grade_lines = watched
        try:
            site = survey(read_job(path))
            lay_out(site, inflows(site))
        finally:
            module.grade_lines = plain
        last = {tuple(line.name for line in lines): (lines, meetings) for lines, meetings in taken}
        for lines, meetings in last.values():
            which = f", {lines[0].name}" if len(last) > 1 else ""  # graded apart: told by its first line
            found.append((f"{path.parent.name}/{path.stem}{which}", lines, meetings))
    return found


def compared() -> list[tuple[str, int, tuple[float, ...], tuple[float, ...], float, str, str]]:
    """Name, runs, (cost, mean, greatest depth) of both, hand-dig length, what each breaks."""
    made = _lots()
    cases = [
        (
            f"lot {seed}{'' if seed % 2 else ', nothing buried'}",
            *_parts(made.random_lot(seed, 8 + 2 * seed), seed % 2 == 1),
        )  # type: ignore[attr-defined]
        for seed in range(LOTS)
    ]
    rows = []
    for name, lines, meetings in [*cases, *example_lines()]:
        places = {item.name: item for item in meetings}
        best, by_hand = grade_lines(lines, meetings), hand_layout(lines, meetings)
        lot = made.Lot(tuple(lines), tuple(meetings))  # type: ignore[attr-defined]
        raw = {key: (item.pipe, item.knots, item.inverts) for key, item in by_hand.items()}
        wrong = made.broken(lot, raw)  # type: ignore[attr-defined]
        kinds = ", ".join(sorted({kind for kind, _ in wrong})) or "nothing"
        gave = ", ".join(sorted({item.kind for item in best.relaxed})) or "nothing"
        ours = (best.cost, *depths(lines, best.lines))
        theirs = (grading_cost(lines, by_hand, places), *depths(lines, by_hand))
        careful = sum(line.hand or _careful(line) for line in lines)
        rows.append((name, len(lines), ours, theirs, careful, gave, kinds))
    return rows


def _parts(lot: object, buried: bool) -> tuple[Sequence[GravityLine], Sequence[Meeting]]:
    lines: Sequence[GravityLine] = lot.lines  # type: ignore[attr-defined]
    return lines if buried else [replace(line, obstacles=()) for line in lines], lot.meetings  # type: ignore[attr-defined]


def _careful(line: GravityLine) -> float:
    """Length of stretches dug with care [m]."""
    steps = np.diff(line.distances)
    return float(sum(step for step, care in zip(steps, line.care, strict=False) if care > 1.0))


def spread(seconds: Sequence[float]) -> str:
    """Median, 95th percentile and worst."""
    ordered = sorted(seconds)
    high = ordered[min(int(0.95 * len(ordered)), len(ordered) - 1)]
    return f"median {statistics.median(ordered):.2f} s, 95 % within {high:.2f} s, worst {ordered[-1]:.2f} s"


def show() -> None:
    """Print times and the table."""
    wall, own = times()
    print(f"\nGrading {LARGE} random lots of 40 runs at least cost, proven")
    print(f"  by the clock:    {spread(wall)}\n  of this process: {spread(own)}")
    print(
        "\nLeast cost beside the hand layout: cost by the grading's proxies, mean and greatest depth of the trenches,\n"
        "and the length dug by hand with care, which is the routes' and so the same for both.\n"
        "The ratio is of the costs; none where the hand layout does not keep what is asked."
    )
    print(f"\n{'':24}      {'---- least cost ----':>20}   {'------ by hand -----':>20}")
    names = f"{'cost':>9}{'mean m':>7}{'most m':>7}"
    print(f"{'':24} runs{names}{names}  ratio  hand-dug m  what the hand layout breaks")
    ratios = []
    for name, count, ours, theirs, careful, gave, kinds in compared():
        a, b = (f"{cost:9.0f}{mean:7.2f}{most:7.2f}" for cost, mean, most in (ours, theirs))
        kept = kinds == "nothing"
        ratio = f"{ours[0] / theirs[0]:7.2f}" if kept else f"{'-':>7}"
        ratios += [ours[0] / theirs[0]] if kept else []
        given = "" if gave == "nothing" else f" (least cost gives up: {gave})"
        print(f"{name:24} {count:4}{a}{b}{ratio}{careful:12.1f}  {'-' if kept else kinds}{given}")
    print(
        f"\nWhere the hand layout keeps all that is asked ({len(ratios)} of these), the least cost is {min(ratios):.2f}"
        f" to {max(ratios):.2f} of it, {statistics.median(ratios):.2f} in the median."
    )


__all__ = ["forty_runs", "show"]

if __name__ == "__main__":
    show()
