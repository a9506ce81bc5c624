"""Ladders: 29 CFR 1926.651(c)(2), where people stand at once, and no more of them than that."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest

from drainwright.build.guarded import GuardedPlace, guarded_places, ladder_places
from drainwright.build.ladders import _with_ways_out, ladders_at_once, with_ladders
from drainwright.build.model import Tool
from drainwright.build.panels import BaredLength
from drainwright.build.passes import EVEN
from drainwright.build.protection import ladders_for
from drainwright.build.schedule import Work, arrange
from drainwright.build.side import dig_plan
from drainwright.build.trench import cuts
from drainwright.build.units import FOOT

from .sample import make_site
from .test_build_panels import built
from .test_build_shields import alone, sloped

DAY = 8.0


def hole(name: str, length: float = 3.0, *, passes: tuple[str, ...] = ("",), at_walls: bool = False) -> GuardedPlace:
    kind = "wall" if at_walls else "run"
    return GuardedPlace(
        trench=name,
        kind=kind,
        work="open" if kind == "wall" else "trench",
        panel=0,
        length=length,
        at_walls=at_walls,
        passes=passes,
        stoned=False,  # type: ignore[arg-type]
    )


def work(key: str, hours: float, *after: str, most: int = 99) -> Work:
    return Work(key=key, title=key, hours=hours, quantity="", after=after, most=most)


IN_TURN = [work("open", 8.0), work("backfill", 4.0, "open"), work(f"open{EVEN}", 8.0, "backfill"),
           work(f"backfill{EVEN}", 4.0, f"open{EVEN}")]  # fmt: skip


def test_holes_that_are_never_open_together_share_their_ladders() -> None:
    """Four lengths of a wall, two in each pass: two ladders, where each trench by itself would have four."""
    places = [hole(f"w{n}", passes=("" if n % 2 else EVEN,), at_walls=True) for n in range(4)]
    assert ladders_at_once(places, arrange(IN_TURN, 4, DAY), DAY, 0.0) == 2
    assert ladders_at_once(places[:1], arrange(IN_TURN, 4, DAY), DAY, 0.0) == 1
    assert ladders_at_once((), arrange(IN_TURN, 4, DAY), DAY, 0.0) == 0


@pytest.mark.parametrize(("feet", "needed"), [(50.0, 1), (51.0, 2), (101.0, 3)])
def test_a_long_trench_has_one_within_25_ft_of_everybody_also_for_one_person(feet: float, needed: int) -> None:
    placed = arrange([work("trench", 8.0), work("backfill", 4.0, "trench")], 1, DAY)
    assert ladders_at_once([hole("YD", feet * FOOT)], placed, DAY, 0.0) == needed


@pytest.mark.parametrize("people", [1, 2, 3])
@pytest.mark.parametrize("lengths", [(3.0, 3.0, 3.0), (3.0, 20.0, 40.0), (20.0, 20.0)])
def test_as_many_as_people_can_need_at_once(people: int, lengths: tuple[float, ...]) -> None:
    """All trenches open from the first hour: by trying who stands where, each place once."""
    places = [hole(f"r{number}", length) for number, length in enumerate(lengths)]
    placed = arrange([work("trench", 8.0), work("backfill", 4.0, "trench")], people, DAY)
    each = [ladders_for(length) for length in lengths]
    most = max(sum(each[place] for place in some) for some in permutations(range(len(each)), min(people, len(each))))
    assert ladders_at_once(places, placed, DAY, 0.0) == most


def test_four_feet_ask_for_a_ladder_and_for_no_shield() -> None:
    """A bottom that falls from 3 ft to 4 ft 6 in: the last third of 10 m, and the half inch that papers round."""
    system = alone(sloped(3.0 * FOOT, 4.5 * FOOT))
    site = make_site(walls=())
    digs = cuts(site, system)
    dig = dig_plan(site, digs, ())
    [place] = ladder_places(site, system, digs, dig)
    assert place.length == pytest.approx(10.0 / 3.0 + 10.0 * 0.5 / 18.0, abs=1e-3)
    assert guarded_places(site, system, digs, dig) == ()


def test_the_count_goes_to_the_ladder_alone() -> None:
    tools = [Tool(key=key, name=key, count=7, source="own", why="") for key in ("ladder", "barrow")]
    assert [tool.count for tool in with_ladders(tools, 2)] == [2, 7]
    assert with_ladders([replace(tools[1])], 2)[0].count == 7


def test_each_open_length_of_a_wall_has_its_own_ladder() -> None:
    """20 ft in three lengths, the first and the third open at once with soil between: it was told one ladder."""
    [wall] = [item for item in built(4.7 * FOOT).dig.trenches if item.kind == "wall"]
    assert (wall.ladders, wall.ladder_way) == (2, pytest.approx(20 * FOOT / 3 / 2))
    [whole] = [item for item in built(4.5 * FOOT).dig.trenches if item.kind == "wall"]
    assert (whole.ladders, whole.ladder_way) == (1, pytest.approx(whole.length / 2))
    [shallow] = [item for item in built(3.0 * FOOT).dig.trenches if item.kind == "wall"]
    assert (shallow.ladders, shallow.ladder_way) == (0, 0.0)


def test_a_drain_beside_bared_lengths_has_theirs_and_one_beyond() -> None:
    """20 ft beside the wall in three lengths, then 10 ft in one piece."""
    [run] = [item for item in built(4.7 * FOOT, opened=False).dig.trenches if item.kind == "run"]
    assert run.ladders == 2
    lengths = tuple(
        BaredLength(number=number, wall="w", start=(number - 1) * 2.0, end=number * 2.0) for number in (1, 2, 3)
    )
    long = _with_ways_out(replace(run, length=10.0), lengths, ("w",))
    assert (long.ladders, long.ladder_way) == (3, pytest.approx(2.0))
