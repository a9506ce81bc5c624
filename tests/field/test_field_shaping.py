"""Shaped ground along walls: closed forms, a printed volume, what limits it and where its water goes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.build.earth import average_end_area
from drainwright.errors import JobError
from drainwright.field.model import SiteWall
from drainwright.field.shaping import BANK, ShapedStrip, level_at_wall, shaped_strips
from drainwright.field.surface import triangulate
from drainwright.job.site import KeepClear, Wall
from drainwright.job.values import Basis, Fact, Level
from drainwright.job.works import Shaping

FOOT = 0.3048
HOUSE = ((0.0, 0.0), (12.0, 0.0), (12.0, 8.0), (0.0, 8.0))
REACH = 40.0


@dataclass(frozen=True)
class Yard:
    """A plane round a house, with one wall on its south side (the way of the walls is eastwards)."""

    away: float = 0.0  # falls southwards by so much [-]
    along: float = 0.0  # falls eastwards by so much [-]
    keep_clear: tuple[KeepClear, ...] = ()
    floor: float = 30.0
    points = {}  # noqa: RUF012

    def ground(self, east: float, north: float) -> float:
        return 30.0 + self.away * north - self.along * east

    @property
    def surface(self) -> Any:
        places = [(e, n) for e in np.linspace(-REACH, REACH, 9) for n in np.linspace(-REACH, REACH, 9)]
        places = [at for at in places if not (0.0 <= at[0] <= 12.0 and 0.0 <= at[1] <= 8.0)] + list(HOUSE)
        return triangulate([f"P{n}" for n in range(len(places))], places, [self.ground(*at) for at in places], HOUSE)

    @property
    def walls(self) -> tuple[SiteWall, ...]:
        wall = Wall.model_construct(name="south", from_="A", to="B", keep_clear=self.keep_clear)
        return (
            SiteWall(
                wall=wall, start=(0.0, 0.0), end=(12.0, 0.0), outward=(0.0, -1.0), length=12.0, ground_start=30.0,
                ground_end=30.0, ground_lowest=30.0, ground_highest=30.0, footing_bottom=28.0, footing_top=28.2,
            ),
        )  # fmt: skip


def strip(**values: Any) -> Shaping:
    given = {"wall": "south", "from_": 0.0, "to": None, "width": 10 * FOOT, "fall": 0.5 * FOOT, "start_level": None}
    return Shaping.model_construct(**{**given, "fill": "fill.clayey", "finish": "seed", **values})


def shaped(yard: Yard, boundary: tuple[tuple[float, float], ...] = (), **values: Any) -> ShapedStrip:
    return shaped_strips(yard, [strip(**values)], HOUSE, boundary, "US")[0]


def at(level: float) -> Level:
    return Level.model_construct(offset=level, reference=None)


def clear(kind: str, level: float, **values: Any) -> KeepClear:
    told = Fact.model_construct(value=at(level), basis=Basis.MEASURED)
    return KeepClear.model_construct(**{"kind": kind, "level": told, "from_": 0.0, "to": None, **values})


def test_a_wedge_on_level_ground_has_its_closed_form() -> None:
    """On level ground the strip is a wedge: V = L w h / 2, and a fall of 6 in in 10 ft from the wall."""
    found = shaped(Yard())
    assert found.fill == pytest.approx(12.0 * 10 * FOOT * 0.5 * FOOT / 2, rel=1e-6)
    assert found.cut == pytest.approx(0.0, abs=1e-9)
    assert found.area == pytest.approx(12.0 * 10 * FOOT, rel=1e-6)
    assert found.rise == pytest.approx(12.0 * 0.5 * FOOT, rel=1e-6)
    for item in found.sections:
        assert (item.fall, item.runs_out, item.bank) == (pytest.approx(0.5 * FOOT), True, 0.0)


@given(st.floats(-0.04, 0.04), st.floats(-0.03, 0.03))
@settings(max_examples=15, deadline=None)
def test_on_any_plane_it_runs_out_at_its_edge_and_the_volume_is_that_of_its_sections(away: float, along: float) -> None:
    """By average end area, which is exact here: every section is a triangle (w times the rise at the wall over 2)."""
    yard = Yard(away=away, along=along)
    found = shaped(yard)
    areas = [0.5 * 10 * FOOT * (item.wall_level - yard.ground(item.station, 0.0)) for item in found.sections]
    ends = pairwise(zip(found.sections, areas, strict=True))
    want = math.fsum(average_end_area(max(a, 0.0), max(b, 0.0), y.station - x.station) for (x, a), (y, b) in ends)
    assert all(item.runs_out and item.fall >= 0.5 * FOOT - 1e-9 for item in found.sections)
    assert found.fill - found.cut == pytest.approx(want, rel=0.02, abs=0.02)


def test_the_printed_pair_of_sections_by_the_strip_itself() -> None:
    """A tapering wedge between two end areas: V = (A1 + A2) L / 2 as the printed examples in tests/published use it.

    Here A1 = 10 ft x 6 in / 2 at one end and A2 = 10 ft x 12 in / 2 at the other, 12 m apart: ground that falls by
    6 in along the wall, finished level at the wall one and the same.
    """
    yard = Yard(along=0.5 * FOOT / 12.0)
    found = shaped(yard, start_level=at(30.0 + 0.5 * FOOT))
    assert [found.sections[n].fall for n in (0, -1)] == pytest.approx([0.5 * FOOT, FOOT], abs=1e-6)
    want = average_end_area(10 * FOOT * 0.5 * FOOT / 2, 10 * FOOT * FOOT / 2, 12.0)
    assert found.fill == pytest.approx(want, rel=1e-3)


def test_ground_that_falls_enough_already_is_left() -> None:
    found = shaped(Yard(away=0.06))
    assert found.fill + found.cut < 0.002 * found.area  # the ground at the wall is read 3 cm out


def test_what_must_stay_clear_of_earth_lowers_it_into_a_swale() -> None:
    """Siding 4 in above the ground: by R317.1 the ground must be 2 in lower at the wall, and a swale takes the fall."""
    found = shaped(Yard(keep_clear=(clear("wood siding", 30.0 + 4 / 12 * FOOT),)))
    for item in found.sections:
        assert item.wall_level == pytest.approx(30.0 - 2 / 12 * FOOT)
        assert (item.clear_of, item.runs_out) == ("wood siding", False)
        assert item.fall == pytest.approx(0.5 * FOOT)
        assert item.bank == pytest.approx(BANK * (2 + 6) / 12 * FOOT, abs=0.08)
    edge, deep = 10 * FOOT, 8 / 12 * FOOT
    want = 12.0 * ((2 / 12 * FOOT + deep) / 2 * edge + BANK * deep**2 / 2)
    assert found.cut == pytest.approx(want, rel=0.02)
    assert found.fill == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize(
    ("kind", "inches"),
    [("wood siding", 6), ("wood framing", 8), ("foundation top", 6), ("weep screed", 4)],
    ids=lambda item: str(item),
)
def test_clearances_of_the_residential_code(kind: str, inches: int) -> None:
    """IRC R317.1: siding 6 in, framing 8 in; R404.1.6: walls 6 in; R703.7.2.1: weep screed 4 in; from memory."""
    found = shaped(Yard(keep_clear=(clear(kind, 31.0),)))
    assert {round((31.0 - (item.highest or 0.0)) / FOOT * 12, 6) for item in found.sections} == {inches}


def test_what_lies_elsewhere_along_the_wall_limits_nothing() -> None:
    vent = clear("vent", 30.1, from_=8.0, to=9.0)
    told = {item.station: item.highest for item in shaped(Yard(keep_clear=(vent,))).sections}
    assert {along for along, highest in told.items() if highest is not None} == {8.0, 9.0}


def test_a_lot_line_shortens_it_at_the_same_slope() -> None:
    lot = ((-30.0, -2.0), (30.0, -2.0), (30.0, 30.0), (-30.0, 30.0))
    found = shaped(Yard(), lot)
    for item in found.sections:
        assert item.run == pytest.approx(2.0)
        assert item.fall / item.run == pytest.approx(0.05)


def test_strips_that_share_ground_count_it_once() -> None:
    one = shaped(Yard())
    both = shaped_strips(Yard(), [strip(to=8.0), strip(from_=4.0)], HOUSE, (), "US")
    assert [item.name for item in both] == ["south", "south-2"]
    assert math.fsum(item.fill for item in both) == pytest.approx(one.fill, rel=1e-6)
    assert math.fsum(item.area for item in both) == pytest.approx(one.area, rel=1e-6)


def test_beyond_the_shots_it_is_assumed() -> None:
    assert shaped(Yard()).basis is Basis.MEASURED
    assert shaped(Yard(), width=60.0, fall=3.0).basis is Basis.ASSUMED


@pytest.mark.parametrize(
    ("values", "part"), [({"to": 13.0}, "to"), ({"from_": 12.5}, "from")], ids=["past its end", "begins beyond"]
)
def test_a_strip_beyond_its_wall_is_refused(values: dict[str, float], part: str) -> None:
    with pytest.raises(JobError, match="less than the wall's length") as told:
        shaped(Yard(), **values)
    assert told.value.problems[0].where == f"works.shaping[0].{part}"


def test_the_level_at_the_wall() -> None:
    assert level_at_wall(30.0, 30.0, 0.15, math.inf) == pytest.approx(30.15)
    assert level_at_wall(30.0, 29.0, 0.15, math.inf) == 30.0
    assert level_at_wall(30.0, 30.0, 0.15, 29.9) == 29.9
