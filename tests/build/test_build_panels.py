"""Walls bared whole or in two passes, and what stays open how long."""

from __future__ import annotations

import datetime
import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.model import Build
from drainwright.build.panels import PANEL_SOUND, PANEL_WEAK, BaredLength, bared_lengths
from drainwright.build.passes import EVEN, even_share, in_passes
from drainwright.build.protection import LETTERS_WIDTH
from drainwright.build.schedule import Work, arrange, days_open
from drainwright.build.units import FOOT, INCH
from drainwright.build.uses import task_of
from drainwright.build.working_days import WorkingDays
from drainwright.design import Design
from drainwright.system.model import System

from .sample import GROUND, feet, make_node, make_run, make_site, make_system, make_wall


def built(depth: float = 3 * FOOT, *, drain: float | None = None, opened: bool = True, **changes: Any) -> Build:
    """A wall of 20 ft with its footing so deep, and a drain whose trench is so deep."""
    ground = changes.pop("ground", {"texture": "sandy loam, measured", "osha_type": "C, measured"})
    changes.setdefault("footing_bottom", f"{GROUND - depth} m, measured")
    wall = make_wall("front", feet(0, 0), feet(20, 0), footing=GROUND - depth, open_and_coat=opened, **changes)
    low = GROUND - (depth if drain is None else drain) + 2 * INCH + 0.002
    run = make_run("FD", (feet(0, -1), feet(20, -1)), low, low, ends=("a", "b"), walls=("front",))
    nodes = {name: make_node(name, "junction", feet(0, -1), low) for name in ("a", "b")}
    system = System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")
    return build_side(make_site(walls=(wall,), ground=ground), system)


@pytest.mark.parametrize(
    ("depth", "changes", "panel"),
    [
        (3.0, {}, 0.0),
        (4.5, {}, 0.0),  # 3 ft 10 in over the footing's top
        (4.7, {}, PANEL_SOUND),
        (4.5, {"footing_bottom": "28.6284 m, assumed"}, PANEL_SOUND),  # half a foot more may be there
        (3.0, {"condition": "unknown"}, PANEL_WEAK),
        (3.0, {"condition": "bowed"}, PANEL_WEAK),
        (3.0, {"material": "stone"}, PANEL_WEAK),
        (3.0, {"material": "brick"}, PANEL_WEAK),
        (3.0, {"ground": {"texture": "clay, measured", "expansive": True}}, PANEL_WEAK),
        (3.0, {"drain": 3.3 * FOOT}, PANEL_SOUND),  # dug below the footing
        (4.7, {"opened": False}, PANEL_SOUND),  # a drain's trench bares the wall, too
    ],
)
def test_how_much_of_a_wall_is_bared_at_once(depth: float, changes: dict[str, Any], panel: float) -> None:
    assert built(depth * FOOT, **changes).dig.wall_panel == panel


def test_nothing_bared_needs_no_panel() -> None:
    nothing = System(nodes={}, runs=(), gravity=(), joined=None, discharge="OUT")
    deep = make_wall("front", feet(0, 0), feet(20, 0), footing=GROUND - 9 * FOOT, open_and_coat=False)
    assert build_side(make_site(walls=(deep,)), nothing).dig.wall_panel == 0.0


def test_a_shallow_sound_wall_is_worked_in_one_pass() -> None:
    plan = build_side(make_site(), make_system()).plan
    assert not any(task.key.endswith(EVEN) for task in plan.tasks)


def test_a_deep_wall_is_closed_before_the_even_lengths_are_opened() -> None:
    plan = built(6 * FOOT, coating={"kind": "damp-proofing", "coats": 2, "parge": True, "board": True}).plan
    day = {task.key: task.day for task in plan.tasks}
    titles = {task.key: task.title for task in plan.tasks}
    for key in ("open", "clean", "parge", "coat-1", "coat-2", "board", "pipe", "stone", "backfill"):
        assert key in day
        assert key + EVEN in day
        assert "odd lengths" in titles[key]
        assert "even lengths" in titles[key + EVEN]
    assert "lengths of 8 ft" in titles["open"]
    assert day["backfill"] <= day["open" + EVEN]
    for one, two in (("coat-1", "coat-2"), ("coat-2", "backfill"), ("coat-1-even", "coat-2-even")):
        assert day[one] < day[two]
    assert day["coat-2" + EVEN] < day["backfill" + EVEN]
    assert day["finish"] == plan.days


def test_two_passes_take_the_same_hours() -> None:
    once = [
        Work(key="open", title="Open", hours=9.0, quantity="9 yd³ at 1 yd³/h"),
        Work(key="coat-1", title="Coat", hours=2.0, quantity="40 ft²", after=("open",), wait=24.0, held=("backfill",)),
        Work(key="pump", title="Pump", hours=3.0, quantity="1", after=("open",)),
        Work(key="backfill", title="Fill", hours=8.0, quantity="8 yd³", after=("coat-1", "pump")),
        Work(key="finish", title="Finish", hours=1.0, quantity="1", after=("backfill",)),
    ]
    twice = in_passes(once, {"open": 1.0, "coat-1": 1.0, "backfill": 0.5, "pump": 0.0}, "8 ft")
    assert sum(work.hours for work in twice) == pytest.approx(23.0)
    by_key = {work.key: work for work in twice}
    assert by_key["backfill"].quantity == "about 6 yd³"
    assert by_key["open"].quantity == "about 4.5 yd³ at 1 yd³/h"
    placed = {item.work.key: item for item in arrange(twice, 2, 8.0)}
    assert placed["open-even"].start >= placed["backfill"].end
    assert placed["backfill-even"].start - placed["coat-1-even"].end >= 7.99  # a night and a day of cure, again
    assert placed["finish"].start >= placed["backfill-even"].end


def test_the_loads_of_both_passes_are_the_loads_of_the_job(metric: Design) -> None:
    rows = [task.quantity for task in metric.build.plan.tasks if task.key in ("haul", f"haul{EVEN}")]
    each = [int(words.rpartition(", ")[2].split()[0]) for words in rows]
    assert len(each) == 2
    assert sum(each) == metric.build.dig.trailer_loads
    assert min(each) > 0


def test_each_even_length_is_closed_with_a_coupling_that_slides() -> None:
    """Counted by hand: 20 ft of wall in three lengths, the second between two whose pipe lies already."""
    build = built(4.7 * FOOT)
    assert build.dig.wall_panel == PANEL_SOUND
    assert {line.key: line.quantity for line in build.takeoff.lines}["fitting.slip-coupling.sewer.4in"] == 1.0
    whole = built(3 * FOOT)
    assert whole.dig.wall_panel == 0.0
    assert not [line for line in whole.takeoff.lines if "slip" in line.key]


def test_days_open_count_the_first_and_the_last() -> None:
    works = [
        Work(key="trench", title="", hours=12.0, quantity=""),
        Work(key="wait", title="", hours=1.0, quantity="", after=("trench",), wait=24.0),
        Work(key="backfill", title="", hours=1.0, quantity="", after=("wait",)),
    ]
    assert days_open(arrange(works, 2, 8.0), 8.0, ["trench"], ["backfill"]) == 2
    assert days_open(arrange(works[:1], 2, 8.0), 8.0, ["trench"], ["backfill"]) == 1
    assert days_open(arrange(works, 1, 8.0), 8.0, ["trench"], ["backfill", "backfill-even"]) == 3


def test_no_two_odd_lengths_touch_round_the_corners() -> None:
    """A ring of four walls, the third drawn the other way round: an even count, odd lengths only beside even ones."""
    corners = [feet(0, 0), feet(40, 0), feet(40, 20), feet(0, 20)]
    ends = [(0, 1), (1, 2), (3, 2), (3, 0)]
    walls = tuple(
        make_wall(f"w{number}", corners[a], corners[b], footing=GROUND - 2) for number, (a, b) in enumerate(ends)
    )
    found = bared_lengths(make_site(walls=walls), replace(make_system(), runs=()), PANEL_SOUND)
    assert [item.number for item in found] == list(range(1, len(found) + 1))
    assert len(found) % 2 == 0
    lines = {wall.name: wall for wall in walls}

    def at(item: BaredLength, station: float) -> tuple[float, float]:
        wall = lines[item.wall]
        share = station / wall.length
        return tuple(a + share * (b - a) for a, b in zip(wall.start, wall.end, strict=True))  # type: ignore[return-value]

    for one in found:
        assert one.end - one.start <= PANEL_SOUND + 1e-9
        for other in found:
            if one is not other and one.odd and other.odd:
                gaps = [
                    math.dist(at(one, a), at(other, b)) for a in (one.start, one.end) for b in (other.start, other.end)
                ]
                assert min(gaps) > 1.0
    for wall in walls:
        along = sorted((item.start, item.end) for item in found if item.wall == wall.name)
        assert along[0][0] == 0.0
        assert along[-1][1] == pytest.approx(wall.length)
        assert all(a[1] == pytest.approx(b[0]) for a, b in pairwise(along))


def test_the_even_lengths_wait_for_a_hold_point() -> None:
    plan = built(6 * FOOT, coating={"kind": "damp-proofing", "coats": 1}).plan
    holds = {task.key: task.hold for task in plan.tasks}
    assert "an unopened length between each two" in holds["open"]
    assert "ODD LENGTHS FILLED AND TAMPED" in holds["open" + EVEN]
    assert "competent person" in holds["open" + EVEN]
    wrapped = "each open end of pipe and of stone wrapped in fabric and tied"  # they lay open in the soil for days
    assert (wrapped in holds["backfill"]) == ("pipe" + EVEN in holds)
    assert wrapped not in holds.get("backfill" + EVEN, "")


def test_the_wall_is_done_before_anything_covers_its_foot() -> None:
    """Last coat, cure, board, then fabric and bed stone, pipe, cover stone: in each pass."""
    coating = {"kind": "damp-proofing", "coats": 2, "board": True}
    for depth in (3 * FOOT, 6 * FOOT):
        by_key = {task.key: task for task in built(depth, coating=coating).plan.tasks}
        for last in ("", EVEN) if "open" + EVEN in by_key else ("",):
            board, coat = by_key["board" + last], by_key["coat-2" + last]
            assert board.start >= coat.cured - 1e-6
            assert {name + last for name in ("board", "bed", "pipe", "backfill")} <= {*coat.held}
            chain = [by_key[key + last] for key in ("board", "bed", "pipe", "stone", "backfill")]
            assert all(one.end <= other.start + 1e-6 for one, other in pairwise(chain))
    bare = {task.key: task for task in built(coating={**coating, "board": False}).plan.tasks}
    assert bare["bed"].start >= bare["coat-2"].cured - 1e-6


def test_a_basin_stands_on_its_stone_in_a_hole_that_is_dug() -> None:
    build = build_side(make_site(), make_system())
    by_key = {task.key: task for task in build.plan.tasks}
    days = {key: task.day for key, task in by_key.items()}
    assert by_key["basin"].start >= by_key["trench"].end - 1e-6
    [stone] = [line for line in build.takeoff.lines if line.key == "stone.57"]
    assert task_of(stone, days) == "basin"
    assert days["basin"] <= days["bed"]
    assert "of stone under it" in by_key["basin"].quantity
    assert "ft²" in by_key["bed"].quantity
    assert "ft²" not in by_key["stone"].quantity


def test_what_is_dug_round_a_corner_counts_with_the_length_at_it() -> None:
    """Two opened walls of 20 and 15 ft meet at an outside corner, dug 2 ft 4 in wide and 3 in more for the shields'
    panels: half of that goes with each."""
    front = make_wall("front", feet(0, 0), feet(20, 0), footing=GROUND - 6 * FOOT)
    side = make_wall("side", feet(20, 0), feet(20, 15), footing=GROUND - 6 * FOOT)
    system = replace(make_system(), runs=())
    found = bared_lengths(make_site(walls=(front, side)), system, PANEL_SOUND)
    half = (LETTERS_WIDTH + 4 * INCH + 3 * INCH) / 2
    for wall, first in ((front, False), (side, True)):
        mine = sorted((item.start, item.end) for item in found if item.wall == wall.name)
        dug = [end - start for start, end in mine]
        dug[0 if first else -1] += half
        assert dug == pytest.approx([(wall.length + half) / len(dug)] * len(dug))
        assert max(dug) <= PANEL_SOUND
    short = replace(front, length=front.length)
    assert [item.end - item.start for item in bared_lengths(make_site(walls=(short,)), system, PANEL_SOUND)] == (
        pytest.approx([20 * FOOT / 3] * 3)
    )


def test_five_lengths_are_opened_as_three_and_two() -> None:
    """The first pass of a wall in five lengths was told half the wall: a fifth too little of everything."""
    lengths = [BaredLength(number=n + 1, wall="long", start=2.4 * n, end=2.4 * (n + 1)) for n in range(5)]
    assert even_share(lengths) == pytest.approx(0.4)
    once = [Work(key=key, title=key, hours=10.0, quantity="15 m³ at 1.5 m³/h") for key in ("open", "inspect")]
    twice = {
        work.key: work for work in in_passes(once, {"open": 1.0, "inspect": 1.0}, "8 ft", even_part=even_share(lengths))
    }
    assert (twice["open"].hours, twice["open-even"].hours) == pytest.approx((6.0, 4.0))
    assert twice["open"].quantity == "about 9 m³ at 1.5 m³/h"
    assert (twice["inspect"].hours, twice["inspect-even"].hours) == pytest.approx((5.0, 5.0))


def test_no_pass_is_begun_on_the_last_day_before_a_weekend() -> None:
    """A wall left half open from Friday to Monday has nobody who looks at it; the days of the week are the crew's."""
    works = (
        Work(key="prepare", title="", hours=4.0 * 9.0, quantity=""),
        Work(key="open", title="", hours=2.0, quantity="", after=("prepare",), rests=True),
        Work(key="other", title="", hours=2.0, quantity="", after=("prepare",)),
    )

    def begins(start: datetime.date, week: set[int]) -> tuple[int, float, float]:
        calendar = WorkingDays(start=start, week=frozenset(week))
        _, opened, other = arrange(works, 1, 9.0, calendar)
        return calendar.dates(20)[int(opened.start / 9.0 + 1e-9)].weekday(), opened.start, other.start

    monday = datetime.date(2026, 4, 13)
    assert begins(monday, {0, 1, 2, 3, 4}) == (0, 45.0, 36.0)  # not on Friday: others go on meanwhile
    assert begins(monday + datetime.timedelta(days=1), {0, 1, 2, 3, 4}) == (0, 36.0, 38.0)
    assert begins(monday, {0, 2, 4}) == (2, 36.0, 38.0)  # no day off more behind Wednesday than behind Friday
    assert begins(monday, {5})[1] == 36.0  # who works on Saturdays alone has no better day


def test_both_passes_of_a_wall_rest_before_a_weekend() -> None:
    works = (
        Work(key="open", title="Open", hours=9.0, quantity=""),
        Work(key="backfill", title="Fill", hours=3.0, quantity="", after=("open",)),
    )
    split = in_passes(works, {"open": 1.0, "backfill": 1.0}, "8 ft")
    assert {work.key for work in split if work.rests} == {"open", "open" + EVEN}
    assert all("last day before a weekend" in work.hold for work in split if work.rests)
