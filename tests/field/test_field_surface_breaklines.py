"""Breaklines: the ground is straight along them, no triangle crosses them, and a drop stands where it is."""

from __future__ import annotations

import copy
import itertools
import math
from typing import Any

import numpy as np
import pytest
import shapely
from field_yard import document
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import JobError
from drainwright.field import survey
from drainwright.field.low_spots import low_spots
from drainwright.field.surface import Surface, triangulate
from drainwright.job.ground_files import Breakline
from drainwright.job.model import Job

FOOT = 0.3048
Shots = dict[str, tuple[float, float, float]]


def line(*points: str, name: str = "L", drop: float = 0.0) -> Breakline:
    return Breakline.model_validate({"name": name, "points": points, "drop": f"{drop} m"})


def ground(shots: Shots, *lines: Breakline, outline: tuple[tuple[float, float], ...] = ()) -> Surface:
    return triangulate(
        list(shots), [(e, n) for e, n, _ in shots.values()], [z for *_, z in shots.values()], outline, lines
    )


def keeps(surface: Surface, *corners: tuple[float, float]) -> bool:
    """Whether every triangle's side that passes from one hand of a straight to the other passes it by."""
    a, b = np.moveaxis(surface.plan[surface.triangles[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)], 1, 0)
    for start, end in itertools.pairwise(corners):
        run = np.subtract(end, start) / math.dist(start, end)
        off_a, off_b = ((one - start) @ [-run[1], run[0]] for one in (a, b))
        over = (np.minimum(off_a, off_b) < -1e-6) & (np.maximum(off_a, off_b) > 1e-6)
        a_over, b_over, off_a, off_b = a[over], b[over], off_a[over], off_b[over]
        along = (a_over + (off_a / (off_a - off_b))[:, None] * (b_over - a_over) - start) @ run
        if ((along > 1e-6) & (along < math.dist(start, end) - 1e-6)).any():
            return False
    return True


YARD: Shots = {
    "A": (0.0, 0.0, 30.0), "B": (20.0, 0.0, 30.0), "C": (20.0, 15.0, 30.0), "D": (0.0, 15.0, 30.0),
    "S1": (2.0, 7.0, 29.5), "S2": (18.0, 8.0, 29.0), "N": (10.0, 8.0, 30.2), "M": (9.0, 7.1, 30.1),
    "K": (12.0, 4.0, 30.3),
}  # fmt: skip


def test_a_swale_is_straight_between_its_shots() -> None:
    """Higher shots close to either side would bridge it."""
    plain, broken = ground(YARD), ground(YARD, line("S1", "S2"))
    along = broken.profile(((2.0, 7.0), (18.0, 8.0)), 0.1)
    assert along.level == pytest.approx(29.5 - 0.5 * along.station / along.station[-1], abs=1e-9)
    assert keeps(broken, (2.0, 7.0), (18.0, 8.0))
    assert not keeps(plain, (2.0, 7.0), (18.0, 8.0))
    assert plain.level(10.0, 7.5) > 29.9
    assert [one for one in broken.names if one] == list(YARD)


def test_without_breaklines_nothing_changes() -> None:
    one, other = ground(YARD), triangulate(list(YARD), [p[:2] for p in YARD.values()], [p[2] for p in YARD.values()])
    assert one.plan.tolist() == other.plan.tolist()
    assert one.triangles.tolist() == other.triangles.tolist()
    assert len(one.plan) == len(YARD)


@settings(max_examples=12)
@given(st.integers(0, 100_000))
def test_lines_through_many_shots_are_kept(seed: int) -> None:
    """Bent lines that fan out from one shot at small angles, among shots of random place and level."""
    rng = np.random.default_rng(seed)
    shots: Shots = {f"R{n}": (e, n_, z) for n, (e, n_, z) in enumerate(rng.uniform(0.0, 20.0, (60, 3)).tolist())}
    shots["HUB"] = (-1.0, 10.0, 30.0)
    lines = []
    turns = np.cumsum(rng.uniform(0.06, 0.3, 5)) - 0.5
    for number, turn in enumerate(turns):
        reach = rng.uniform(3.0, 18.0, 2)
        for step, far in enumerate(sorted(reach)):
            shots[f"F{number}{step}"] = (-1.0 + far * math.cos(turn), 10.0 + far * math.sin(turn), rng.normal())
        lines.append(line("HUB", f"F{number}0", f"F{number}1", name=f"F{number}"))
    laid = shapely.MultiLineString([[shots[name][:2] for name in one.points] for one in lines])
    near = [name for name, at in shots.items() if name[0] == "R" and laid.distance(shapely.Point(at[:2])) < 0.01]
    for name in near:  # a shot on a line would bend it
        del shots[name]
    surface = ground(shots, *lines)
    for one in lines:
        for a, b in itertools.pairwise(one.points):
            assert keeps(surface, shots[a][:2], shots[b][:2])
            along = surface.profile((shots[a][:2], shots[b][:2]), 0.2)
            share = along.station / along.station[-1]
            assert along.level == pytest.approx((1 - share) * shots[a][2] + share * shots[b][2], abs=1e-6)


def test_a_narrow_fan_needs_few_more_places() -> None:
    """Eight lines one or two degrees apart; halved in the middle alone they would break each other thrice as often."""
    put_in = []
    for seed in range(6):
        rng = np.random.default_rng(seed)
        shots: Shots = {
            f"R{n}": (e, north, 30.0) for n, (e, north) in enumerate(rng.uniform(0.0, 20.0, (80, 2)).tolist())
        }
        shots["HUB"] = (-1.0, 10.0, 30.0)
        for number, turn in enumerate(np.cumsum(rng.uniform(0.01, 0.05, 8)) - 0.12):
            far = rng.uniform(2.0, 18.0)
            shots[f"F{number}"] = (-1.0 + far * math.cos(turn), 10.0 + far * math.sin(turn), 30.0)
        surface = ground(shots, *(line("HUB", f"F{n}", name=f"F{n}") for n in range(8)))
        put_in.append(len(surface.plan) - len(shots))
    assert 0 < sum(put_in) / len(put_in) < 300


def test_a_shot_on_a_line_is_part_of_it() -> None:
    shots = YARD | {"ON": (10.0, 7.501, 29.6)}
    surface = ground(shots, line("S1", "S2"))
    along = surface.profile(((2.0, 7.0), (10.0, 7.501)), 0.5)
    assert along.level == pytest.approx(29.5 + 0.1 * along.station / along.station[-1])
    branch = ground(shots | {"T": (11.0, 12.0, 29.9)}, line("S1", "S2"), line("ON", "T", name="branch"))
    assert keeps(branch, (10.0, 7.501), (11.0, 12.0))


@pytest.mark.parametrize("way", [1, -1])
def test_a_drop_lowers_the_ground_on_its_right(way: int) -> None:
    """A retaining wall with a bend, 0.6 m; walked one way the south is lower, the other way the north."""
    shots = YARD | {"W1": (4.0, 10.0, 30.0), "W2": (10.0, 10.0, 30.0), "W3": (16.0, 12.0, 30.0)}
    for name in ("S1", "S2", "N", "M", "K"):
        del shots[name]
    wall = line(*("W1", "W2", "W3")[::way], drop=0.6)
    surface = ground(shots, wall)
    for at, out in (((7.0, 10.0), (0.0, 1.0)), ((13.0, 11.0), (-0.3162, 0.9487))):
        left, right = (surface.level(at[0] + s * way * out[0], at[1] + s * way * out[1]) for s in (0.002, -0.0105))
        assert left == pytest.approx(30.0, abs=0.001)
        assert right == pytest.approx(29.4, abs=0.001)
        assert surface.level(*at) == pytest.approx(30.0, abs=1e-6)
    assert keeps(surface, (4.0, 10.0), (10.0, 10.0), (16.0, 12.0))
    foot = surface.plan[np.isclose(surface.levels, 29.4)]
    gap = shapely.distance(shapely.points(foot), shapely.LineString([(4, 10), (10, 10), (16, 12)]))
    assert gap == pytest.approx(0.01, abs=2e-4)  # a little more on the outside of the bend


def test_a_window_well_is_a_closed_drop() -> None:
    """A square pit walked anticlockwise has its outside on the right; clockwise its inside, which then holds water."""
    shots = YARD | {"P": (5.0, 5.0, 30.0), "Q": (7.0, 5.0, 30.0), "R": (7.0, 7.0, 30.0), "T": (5.0, 7.0, 30.0)}
    shots |= {"OUT": (6.0, 4.95, 30.0), "IN": (6.0, 5.05, 29.5), "OUT2": (4.95, 6.0, 30.0), "IN2": (5.05, 6.0, 29.5)}
    for name in ("S1", "S2", "N", "M", "K"):
        del shots[name]
    (pit,) = low_spots(ground(shots, line("P", "T", "R", "Q", "P", drop=0.5)))
    assert pit.depth == pytest.approx(0.5)
    assert pit.area == pytest.approx(4.0)
    assert pit.volume == pytest.approx(0.5 / 3 * (4.0 + 2.0 * 1.98 + 1.98**2))  # a frustum, 2 m over 1.98 m
    assert low_spots(ground(shots, line("P", "Q", "R", "T", "P", drop=0.5)), least_area=3.0) != (pit,)


def test_a_drop_that_starts_at_the_house() -> None:
    house = ((0.0, 0.0), (8.0, 0.0), (8.0, 6.0), (0.0, 6.0))
    shots: Shots = {f"H{n}": (e, n_, 30.0) for n, (e, n_) in enumerate(house)}
    shots |= {"E1": (8.0, 3.0, 30.0), "E2": (15.0, 3.0, 30.0), "X": (20.0, -5.0, 29.0), "Y": (20.0, 11.0, 29.5),
              "Z": (-6.0, 11.0, 29.5), "V": (-6.0, -5.0, 29.0)}  # fmt: skip
    surface = ground(shots, line("E1", "E2", drop=0.4), outline=house)
    assert surface.level(11.0, 3.001) == pytest.approx(30.0, abs=0.002)
    assert surface.level(11.0, 2.989) == pytest.approx(29.6, abs=0.002)
    assert surface.level(8.0, 2.99) == pytest.approx(29.6, abs=1e-6)  # at the wall, too
    assert keeps(surface, *house, house[0])
    aslant = ground(shots | {"E2": (15.0, 0.0, 30.0)}, line("E1", "E2", drop=0.4), outline=house)
    a, b, c = (aslant.plan[aslant.house_triangles[:, n]] for n in range(3))
    assert np.abs(np.cross(np.c_[b - a, 0 * a[:, :1]], np.c_[c - a, 0 * a[:, :1]])[:, 2]).sum() / 2 == pytest.approx(
        48.0
    )
    assert (aslant.plan[np.isclose(aslant.levels, 29.6), 0] >= 8.0 - 1e-9).all()


def refused(shots: Shots, *lines: Breakline, outline: tuple[tuple[float, float], ...] = ()) -> str:
    with pytest.raises(JobError) as caught:
        ground(shots, *lines, outline=outline)
    return str(caught.value)


def test_what_lines_must_not_do() -> None:
    house = ((6.0, 6.0), (14.0, 6.0), (14.0, 12.0), (6.0, 12.0))
    crossing = refused(YARD, line("S1", "S2"), line("K", "N", name="kerb"))
    assert "survey.breaklines[1]: found a line (kerb) that crosses L" in crossing
    assert "Level the place where they cross" in crossing
    assert "crosses itself" in refused(YARD, line("A", "C", "B", "D"))
    assert "survey.breaklines[0]: found a line (L) that runs through the house" in refused(
        YARD, line("S1", "S2"), outline=house
    )
    unknown = refused(YARD, line("A", "S22"))
    assert "survey.breaklines[0]: found the point 'S22', which is no ground shot" in unknown
    assert "Did you mean" in unknown
    assert "which is no ground shot" in refused(YARD, line("A", "N"), outline=house)  # N lies inside
    doubled = YARD | {"A2": (0.0, 0.0, 30.0)}
    assert "points that are all one place" in refused(doubled, line("A", "A2"))


def test_lines_may_meet_at_a_shot_run_along_each_other_and_along_a_wall() -> None:
    house = ((6.0, 6.0), (14.0, 6.0), (14.0, 12.0), (6.0, 12.0))
    shots = {k: v for k, v in YARD.items() if k not in ("N", "M")}
    shots |= {"H0": (6.0, 6.0, 30.0), "H1": (14.0, 6.0, 30.0), "H2": (14.0, 12.0, 30.0), "H3": (6.0, 12.0, 30.0)}
    surface = ground(
        shots, line("A", "H0", "H1"), line("D", "H0", name="x"), line("A", "H0", "S1", name="y"), outline=house
    )
    assert keeps(surface, (0.0, 0.0), (6.0, 6.0), (14.0, 6.0))
    assert len(surface.house_triangles) >= 2


def changed(**parts: Any) -> Job:
    data = copy.deepcopy(document())
    data["survey"] |= parts
    return Job.model_validate(data)


def test_a_job_brings_its_breaklines_and_shot_sets() -> None:
    job = changed(
        breaklines=[{"name": "swale", "kind": "swale", "points": ["P3", "P4"]}],
        shot_sets=[{"name": "grid shots", "shots": [["20 ft", "-19.5 ft", "100 ft"], ["25 ft", "-20.6 ft", "99 ft"]]}],
    )
    site = survey(job)
    assert {"grid shots 1", "grid shots 2"} < set(site.surface.names)
    assert site.surface.level(20 * FOOT, -19.5 * FOOT) == pytest.approx(100 * FOOT)
    along = site.surface.profile(((-20 * FOOT, -20 * FOOT), (60 * FOOT, -20 * FOOT)), 0.1)
    ends = site.points["P3"].level, site.points["P4"].level
    assert ends[0] is not None
    assert ends[1] is not None
    share = along.station / along.station[-1]
    assert along.level == pytest.approx((1 - share) * ends[0] + share * ends[1], abs=1e-9)
    assert set(site.points) == set(survey(changed()).points)


def test_a_job_with_a_poor_line_or_an_unread_file() -> None:
    with pytest.raises(JobError, match=r"survey\.breaklines\[0\]: found the point 'BM', which is no ground shot"):
        survey(changed(breaklines=[{"name": "kerb", "points": ["P3", "BM"]}]))
    with pytest.raises(JobError, match=r"survey\.breaklines\[0\]: .* through the house"):
        survey(changed(breaklines=[{"name": "kerb", "points": ["P3", "P6"]}]))
    with pytest.raises(JobError, match=r"survey\.shot_sets\[0\]: found the file 'lot.csv', which was not read"):
        survey(changed(shot_sets=[{"name": "lot", "file": "lot.csv"}]))
