"""The ground at the foot of the walls: told by shots close by, and asked for where none is."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from drainwright.field import survey
from drainwright.field.model import Site, SiteWall
from drainwright.field.next_shots import next_shots
from drainwright.field.surface import Surface, triangulate
from drainwright.field.wall_feet import told_at, untold
from drainwright.field.wall_slopes import wall_slopes
from drainwright.field.walls import _as_told
from drainwright.job.ground_files import Breakline
from drainwright.job.reading import read_job
from drainwright.job.values import Basis

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
HOUSE = ((0.0, 0.0), (12.0, 0.0), (12.0, 9.0), (0.0, 9.0))
CORNERS = {"A": (0.0, 0.0, 30.5), "B": (12.0, 0.0, 30.5), "C": (12.0, 9.0, 30.5), "D": (0.0, 9.0, 30.5)}
YARD = {
    "P": (-9.0, -9.0, 30.0), "Q": (21.0, -9.0, 30.0), "R": (21.0, 18.0, 30.0), "S": (-9.0, 18.0, 30.0),
    "T": (4.0, -8.0, 29.9), "U": (8.0, -8.0, 29.9),
}  # fmt: skip
CLOSE = {"N": (6.0, -0.127, 30.2), "F": (6.0, -3.127, 30.05)}  # 5 in off the wall, and 3 m farther at 5 % lower


def ground(
    *more: dict[str, tuple[float, float, float]], far: float = 0.0, lines: tuple[Breakline, ...] = ()
) -> Surface:
    shots = CORNERS | YARD
    for some in more:
        shots = shots | some
    return triangulate(
        list(shots), [(e + far, n + far) for e, n, _ in shots.values()], [z for *_, z in shots.values()],
        [(e + far, n + far) for e, n in HOUSE], lines,
    )  # fmt: skip


def wall(length: float = 12.0, **marks: bool) -> SiteWall:
    record = SimpleNamespace(name="south", **{"wet": False, "open_and_coat": False, **marks})
    given: dict[str, Any] = {
        "wall": record, "start": (0.0, 0.0), "end": (length, 0.0), "outward": (0.0, -1.0), "length": length,
        "ground_start": 0.0, "ground_end": 0.0, "ground_lowest": 0.0, "ground_highest": 0.0, "footing_bottom": 0.0,
        "footing_top": 0.0,
    }  # fmt: skip
    return SiteWall(**given)


# -- what a shot close by tells -----------------------------------------------------------------------------------


@pytest.mark.parametrize("far", [0.0, 576000.0])
def test_a_shot_close_to_a_wall_speaks_for_its_foot(far: float) -> None:
    """Corner to corner the wall would stand at 30.5, a cliff of 0.3 m over 5 in; 5 % carried on is 30.20635."""
    surface = ground(CLOSE, far=far)
    assert surface.level(6.0 + far, far) == pytest.approx(30.2 + 0.05 * 0.127, abs=1e-6)
    assert surface.level(3.0 + far, far) == pytest.approx(0.5 * (30.5 + 30.20635), abs=1e-6)
    assert surface.level(0.0 + far, far) == pytest.approx(30.5)
    assert surface.names.count("") >= 1
    assert set(CORNERS) <= set(surface.names)


def test_the_slope_at_the_wall_is_that_of_the_shots() -> None:
    shots = {f"{name}{n}": (float(e), north, 30.2 + 0.05 * (north + 0.127))
             for n, e in enumerate(range(2, 12, 2)) for name, north in (("N", -0.127), ("F", -4.0))}  # fmt: skip
    (south,) = wall_slopes(ground(shots), (wall(),), HOUSE)
    middle = [fall / run for at, run, fall in zip(south.station, south.run, south.fall, strict=True) if 2 < at < 10]
    assert middle == pytest.approx([0.05] * len(middle), abs=1e-6)
    assert south.basis is Basis.MEASURED


def test_without_a_shot_beyond_the_level_is_the_shots_own() -> None:
    assert ground({"N": CLOSE["N"]}).level(6.0, 0.0) == pytest.approx(30.2)
    aside = {"N": CLOSE["N"], "F": (7.5, -3.0, 29.0)}
    assert ground(aside).level(6.0, 0.0) == pytest.approx(30.2)
    too_near = {"N": CLOSE["N"], "F": (6.0, -0.2, 29.0)}  # over 7 cm a slip of the rod would be carried on twofold
    assert ground(too_near).level(6.0, 0.0) == pytest.approx(30.2)


@pytest.mark.parametrize(
    "shots",
    [
        {"N": (6.0, -0.65, 29.0)},  # farther than 2 ft
        {"N": (0.4, -0.3, 29.0)},  # the corner's own level tells of the foot
        {"N": (6.0, -0.3, 29.0), "W": (6.5, 0.0, 30.5)},  # so does a shot on the wall
    ],
)
def test_levels_read_at_the_wall_stay(shots: dict[str, tuple[float, float, float]]) -> None:
    along = ground(shots).profile(((0.0, 0.0), (12.0, 0.0)), 0.25)
    assert along.level == pytest.approx(30.5, abs=1e-9)


def test_of_two_shots_close_by_the_nearer_one_speaks() -> None:
    surface = ground({"M": (6.2, -0.5, 30.1), "N": (6.0, -0.1, 30.2)})  # M tells only how the ground falls at N
    assert surface.level(6.0, 0.0) == pytest.approx(30.225)
    assert surface.level(6.2, 0.0) == pytest.approx(30.225 + 0.2 / 6.0 * 0.275)


def test_nothing_is_carried_over_a_breakline() -> None:
    """A planter's wall between shot and house; then the shot on a line: at its head, or at the bottom of a swale."""
    kerb = {"K1": (4.0, -0.2, 30.5), "K2": (8.0, -0.2, 30.5)}
    line = Breakline(name="planter", kind="wall", points=("K1", "K2"))
    parted = ground(kerb, {"N": (6.0, -0.4, 29.0)}, lines=(line,))
    assert parted.level(6.0, 0.0) == pytest.approx(30.5, abs=1e-6)
    head = Breakline(name="planter", kind="wall", points=("K1", "N", "K2"), drop="0.3 m")
    low = ground({"K1": (3.0, -0.4, 30.0), "K2": (9.0, -0.4, 30.0), "N": (6.0, -0.4, 30.0)}, lines=(head,))
    assert low.level(6.0, 0.0) == pytest.approx(30.5, abs=1e-6)
    swale = Breakline(name="swale", kind="swale", points=("K1", "N", "K2"))
    flat = ground({"K1": (3.0, -0.4, 30.2), "K2": (9.0, -0.4, 30.2), "N": (6.0, -0.4, 30.2), "F": (6.0, -2.0, 31.0)},
                  lines=(swale,))  # fmt: skip
    assert flat.level(6.0, 0.0) == pytest.approx(30.2, abs=1e-6)  # not 30.2 less what the bank beyond rises


# -- where none tells ---------------------------------------------------------------------------------------------


def test_stretches_without_a_shot_are_told() -> None:
    assert untold(ground(), wall()) == ((0.0, 12.0),)
    some = ground({"N": (5.0, -0.3, 30.2)})
    assert told_at(some, wall()).tolist() == pytest.approx([0.0, 5.0, 12.0])
    assert untold(some, wall()) == ((5.0, 12.0), (0.0, 5.0))
    assert untold(ground({"N": (4.0, -0.3, 30.2), "M": (8.0, -0.1, 30.2)}), wall()) == ()


def test_a_wall_whose_foot_no_shot_tells_of_is_assumed() -> None:
    around = {f"Y{n}": (float(e), -5.0, 30.0) for n, e in enumerate(range(-6, 20, 2))}
    assert wall_slopes(ground(around), (wall(),), HOUSE)[0].basis is Basis.ASSUMED  # 6 m from either corner
    told = ground(around, {"N": (6.0, -0.5, 30.2)})
    assert wall_slopes(told, (wall(),), HOUSE)[0].basis is Basis.MEASURED


@cache
def example() -> Site:
    return survey(read_job(EXAMPLES / "wrong-choices/job.yaml"))


def test_the_foot_of_a_wet_wall_is_asked_for_until_it_is_shot() -> None:
    site = example()
    wet = [one.name for one in site.walls if one.wall.wet or one.wall.open_and_coat]
    assert wet
    _, found = next_shots(replace(site, terrain=None), (), ())
    asked = [shot for shot in found if "at the foot of the" in shot.why]
    walls = {f"house.walls.{one.name}" for one in site.walls if one.name in wet and untold(site.surface, one)}
    assert {shot.bears_on for shot in asked} == walls
    assert found[: len(asked)] == tuple(asked)
    assert any("at the foot of wall" in note for note in site.notes)
    one = asked[0]
    shots = site.surface
    taken = triangulate(
        [*shots.names, "FOOT"], [*((float(e), float(n)) for e, n in shots.plan), one.at],
        [*shots.levels.tolist(), shots.level(*one.at)], site.outline,
    )  # fmt: skip
    _, after = next_shots(replace(site, terrain=None, surface=taken), (), ())
    left = np.array([shot.at for shot in after if "at the foot of the" in shot.why]).reshape(-1, 2)
    assert not len(left) or np.linalg.norm(left - one.at, axis=1).min() > 1.0
    dry = tuple(replace(each, wall=each.wall.model_copy(update={"wet": False, "open_and_coat": False}))
                for each in site.walls)  # fmt: skip
    _, quiet = next_shots(replace(site, terrain=None, walls=dry), (), ())
    assert not any("at the foot of the" in shot.why for shot in quiet)


def test_a_wall_has_the_ground_that_the_shots_at_its_foot_tell() -> None:
    straight, humped = (_as_told(ground(*more), wall()) for more in ((), (CLOSE,)))
    foot = 30.2 + (30.2 - 30.05) * 0.127 / 3.0  # carried on to the wall by its fall
    assert any(at == pytest.approx((6.0, foot), abs=1e-6) for at in humped.bends)
    assert humped.ground_highest == pytest.approx(max(foot, straight.ground_highest))
    assert all(abs(along - 6.0) > 1e-6 for along, _ in straight.bends)
