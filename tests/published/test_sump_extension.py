"""Basin arithmetic of the extension service and of the operators' schools."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.hydraulics.wetwell import basin_volume, drawdown_time, fill_time
from drainwright.water.check import usual_groundwater

FOOT, INCH = 0.3048, 0.0254
GALLON = 3.785411784e-3
GPM = GALLON / 60.0


@pytest.mark.parametrize(("inches", "rule", "tolerance"), [(18, 1.0, 0.11), (24, 2.0, 0.03)])
def test_gallons_for_each_inch(inches: float, rule: float, tolerance: float) -> None:
    """D. Friend, Univ. of Illinois Extension, Sizing up a sump pump: 18 in 1 gal, 24 in 2 gal an inch.

    SEEN https://www.waterproofmag.com/2013/04/sizing-up-a-sump-pump/. The 18 in rule is 10 % low (1.10).
    """
    assert basin_volume(inches * INCH, INCH) / GALLON == pytest.approx(rule, rel=tolerance)


def test_drawdown_of_a_round_well() -> None:
    """10 ft across, 6 in in 2 min: 146.8 gpm (it takes 7.48 and π 3.14).

    SEEN https://wastewater101.net/2019/08/time-for-math-33/.
    """
    assert drawdown_time(basin_volume(10 * FOOT, 0.5 * FOOT), 146.8 * GPM) == pytest.approx(120, rel=0.001)


def test_filling_of_a_round_well() -> None:
    """20 ft across, rising 3 in in 20 min: 29.36 gpm. Same source."""
    assert fill_time(basin_volume(20 * FOOT, 0.25 * FOOT), 29.36 * GPM) == pytest.approx(1200, rel=0.001)


def test_drawdown_of_a_square_well() -> None:
    """15 by 12 ft, 3 ft in 30 min: 134.64 gpm. Same source."""
    assert drawdown_time(15 * 12 * 3 * FOOT**3, 134.64 * GPM) == pytest.approx(1800, rel=0.001)


@pytest.mark.parametrize(("texture", "gpm"), [("sand", 14.0), ("sandy loam", 14.0), ("clay", 8.0)])
def test_planning_capacity_by_the_house(metric: Design, texture: str, gpm: float) -> None:
    """The same page: plan 14 gpm for 1,000 ft² of house on sand, 8 on clay. Exact: the rule is a product."""
    ground = metric.job.ground
    job = metric.job.model_copy(
        update={"ground": ground.model_copy(update={"texture": ground.texture.model_copy(update={"value": texture})})}
    )
    square = tuple((x * 1000**0.5 * FOOT, y * 1000**0.5 * FOOT) for x, y in ((0, 0), (1, 0), (1, 1), (0, 1)))
    site = replace(metric.site, job=job, outline=square)
    assert usual_groundwater(site) / GPM == pytest.approx(gpm, rel=1e-6)
