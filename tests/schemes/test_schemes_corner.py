"""Footing drains that are too long for the fall there is beside their walls leave them at a corner between."""

from __future__ import annotations

from typing import Any

from scheme_lots import lot

from drainwright.job.model import Job
from drainwright.schemes import SchemeSet, schemes
from drainwright.system.sized import lowest_trench


def two_walls(footing: float, **more: Any) -> SchemeSet:
    """North and west walls that are wet, 74 ft together, a way out beyond the west one; footing under floor [ft]."""
    given = lot(fall=0.08, floor=-6.0, wet=("north", "west"), out=(-4.0, -85.0), house=(44.0, 30.0))
    for wall in given["house"]["walls"]:
        wall["footing_bottom"] = f"{100.0 - 0.08 * 30.0 - 6.0 - footing:.3f} ft, measured"
    given["works"]["discharge"][0]["invert"] = "88 ft"
    given["criteria"] = {"minimum_grade": "0.5 %", "drain_below_floor": "3 in"}
    return schemes(Job.model_validate(given | more))


def test_drains_leave_a_corner_between_where_the_way_along_both_walls_is_too_flat() -> None:
    """Along both walls 74 ft at 0.5 % want 4.4 in; 3 in under the floor to 2 in over the footing there are 3 in.

    An oak makes the way on from the corner between dear: the drain followed the walls all the same.
    """
    found = two_walls(1.0, trees=[{"name": "oak", "at": "-9 ft, 40 ft", "trunk_diameter": "24 in"}])
    (gravity,) = (scheme for scheme in found.schemes if scheme.key == "gravity")
    assert gravity.works
    drains = [run for run in gravity.design.system.runs if run.duty == "footing drain"]
    assert [run.walls for run in drains] == [("north",), ("west",)]
    assert drains[0].lower == drains[1].lower
    site = gravity.design.site
    onward = [run for run in gravity.design.system.runs if run.name.startswith("MD")]
    assert len(onward) == 2  # one grade by the house, another beyond it
    for run in onward:
        for station in run.stations:
            lowest = lowest_trench(site, station.at, site.job.criteria.trench_width)
            assert lowest is None or station.ground - station.cut >= lowest - 1e-6


def test_reasons_against_two_kinds_can_be_true_together() -> None:
    """No corner keeps the fall here: gravity does not work, so that no other kind is refused because it would."""
    found = two_walls(0.7)
    faults = {scheme.key: scheme.fault for scheme in (*found.schemes, *found.refused)}
    assert "the footing drain FD1 lies" in faults["gravity"]
    reasons = {item.key: item.why for item in found.missing}
    assert not any("footing drain reaches" in why for why in reasons.values())
    assert "split" in faults
