"""A scheme can be built as it is drawn: off the house, in the lot, clear of other basins, without doubling back."""

from __future__ import annotations

import itertools
import math

import pytest
from scheme_lots import NAMES, compared, of_seed
from shapely import LineString, Point, Polygon

from drainwright.schemes import Scheme
from drainwright.system.model import SizedRun
from drainwright.system.ways import bends

SEEDS = (4, 7)
SHARPEST = 135.0  # a turn of a line by more runs back beside itself [degrees]


def laid(which: str | int) -> list[tuple[Scheme, SizedRun]]:
    """The runs that the schemes lay; what the job draws is the job's."""
    found = of_seed(which) if isinstance(which, int) else compared(which)
    return [
        (scheme, run)
        for scheme in found.schemes
        if scheme.key != "as-drawn"
        for run in scheme.design.system.runs
        if run.name in {words["name"] for words in scheme.draft.runs}
    ]


@pytest.mark.parametrize("which", [*NAMES, *SEEDS])
def test_runs_keep_off_the_house_and_in_the_lot(which: str | int) -> None:
    assert laid(which)
    for scheme, run in laid(which):
        site = scheme.design.site
        under = Polygon(site.outline).buffer(-0.02).intersection(LineString(run.route)).length
        assert under == 0.0, (scheme.key, run.name)
        outlets = [Point(scheme.design.system.nodes[point.name].at) for point in scheme.job.works.discharge
                   if point.name in scheme.design.system.nodes]  # fmt: skip
        ends = [spot for spot in outlets if not Polygon(site.boundary).contains(spot)]
        lot = Polygon(site.boundary).buffer(0.05)
        for spot in ends:  # a way out on the street is reached over the boundary, straight
            lot = lot.union(spot.buffer(Polygon(site.boundary).distance(spot) + 3.0))
        outside = LineString(run.route).difference(lot).length
        assert outside < 0.01, (scheme.key, run.name, outside)


@pytest.mark.parametrize("which", [*NAMES, *SEEDS])
def test_no_run_goes_through_a_basin_that_is_not_its_own(which: str | int) -> None:
    for scheme, run in laid(which):
        for station in scheme.design.system.stations:
            if station.name not in (run.upper, run.lower):
                off = LineString(run.route).distance(Point(station.at)) - station.inside_diameter / 2
                assert off > 0.1, (scheme.key, run.name, station.name, off)


@pytest.mark.parametrize("which", [*NAMES, *SEEDS])
def test_basins_stand_apart(which: str | int) -> None:
    for scheme in {id(scheme): scheme for scheme, _ in laid(which)}.values():
        for one, other in itertools.combinations(scheme.design.system.stations, 2):
            between = math.dist(one.at, other.at) - (one.inside_diameter + other.inside_diameter) / 2
            assert between > 0.6, (scheme.key, between)


@pytest.mark.parametrize("which", [*NAMES, *SEEDS])
def test_no_run_doubles_back(which: str | int) -> None:
    for scheme, run in laid(which):
        turn = math.degrees(max(bends(run.route), default=0.0))
        assert turn <= SHARPEST, (scheme.key, run.name, turn, run.route)
        for onward in scheme.design.system.runs:
            if onward.upper == run.lower and not onward.pressure and not run.pressure:
                turn = math.degrees(bends((run.route[-2], run.route[-1], onward.route[1]))[0])
                assert turn <= SHARPEST, (scheme.key, run.name, onward.name, turn)
