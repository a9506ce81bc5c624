"""Hours from quantities and rates, by hand."""

from __future__ import annotations

from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.handling import HandShares, Kit, Rates, barrow_rate, careful_shares, dig_hours, hand_shares
from drainwright.build.units import CUBIC_YARD, FOOT

from .sample import feet, make_site, make_system, make_utility

BOOK = demonstration_book()
RATES = Rates(BOOK, "US")


def ground(**changes: str) -> dict[str, str]:
    return {"texture": "sandy loam, measured", **changes}


def wall_hours(**changes: Any) -> float:
    site = make_site(**changes)
    dig = build_side(site, make_system()).dig
    wall = next(trench for trench in dig.trenches if trench.kind == "wall")
    kit = Kit(excavator=site.job.equipment.excavator)
    shares = hand_shares(dig, site, make_system())[wall.name]
    return dig_hours(wall, shares, site, RATES, kit).all / (wall.bank_volume / CUBIC_YARD)


def test_a_shallow_wall_in_firm_soil() -> None:
    assert wall_hours() == pytest.approx(1 / BOOK.rate("dig.firm"))


@pytest.mark.parametrize("roots", ["few", "many", "heavy"])
def test_roots_slow_the_digging(roots: str) -> None:
    assert wall_hours(ground=ground(roots=roots)) == pytest.approx(wall_hours() * BOOK.rate(f"roots.{roots}"))


def test_a_deck_overhead_slows_the_wall() -> None:
    house = {"outline": ["0 ft, 0 ft", "20 ft, 0 ft", "20 ft, 20 ft"], "floor_kind": "slab", "floor": "30 m"}
    slow = wall_hours(house={**house, "deck_overhead": True})
    assert slow == pytest.approx(wall_hours() * BOOK.rate("overhead"))


def test_the_tolerance_zone_slows_its_share() -> None:
    line = make_utility("service", "water", (feet(24, -60), feet(24, 60)), 0.3)
    site = make_site(utilities=(line,))
    dig = build_side(site, make_system()).dig
    shares = careful_shares(dig, make_system())
    assert sorted(shares) == sorted(trench.name for trench in dig.trenches)
    assert all(0 <= share <= 1 for share in shares.values())  # the whole of a hole may lie in the zone
    crossed = {item.run for item in dig.crossings}
    slowed = [trench for trench in dig.trenches if shares[trench.name] > 0]
    assert slowed
    for trench in dig.trenches:
        share = shares[trench.name]
        at_ease = dig_hours(trench, HandShares(0.0, 0.0), site, RATES).all
        assert dig_hours(trench, HandShares(share, share), site, RATES).all == pytest.approx(
            at_ease * (share * BOOK.rate("tolerance-zone") + 1 - share)
        )
        drains = {run.name for run in make_system().runs if trench.name in run.walls}
        assert (share > 0) == bool({trench.name, *drains} & crossed)


def test_a_line_slows_the_dig_that_it_crosses_and_no_other() -> None:
    """A line across the discharge line once slowed the digging of the wall too, by its share of all lengths."""
    line = make_utility("service", "water", (feet(-60, -20), feet(60, -20)), 0.3)
    dig = build_side(make_site(utilities=(line,)), make_system()).dig
    wall = next(trench.name for trench in dig.trenches if trench.kind == "wall")
    shares = careful_shares(dig, make_system())
    assert shares[wall] == shares["FD"] == 0
    assert shares["DL"] > 0


def test_a_machine_digs_all_but_the_soil_at_the_face() -> None:
    """1.5 ft of soil is left at the wall for the spade: 1 to 2 ft, common practice, no source."""
    site = make_site()
    dig = build_side(site, make_system()).dig
    wall = next(trench for trench in dig.trenches if trench.kind == "wall")
    face = 1.5 * FOOT / wall.width
    assert 0 < face < 1
    expected = face / BOOK.rate("dig.firm") + (1 - face) / BOOK.rate("dig.machine")
    assert wall_hours(equipment={"excavator": True}) == pytest.approx(expected)


def test_the_barrow_by_its_way() -> None:
    assert [barrow_rate(way, RATES) for way in (5.0, 15.0, 50.0)] == [8.2, 4.2, 2.8]
    assert barrow_rate(100.0, RATES) == pytest.approx(1.4)


def test_a_task_says_its_quantity_and_rate() -> None:
    tasks = {task.key: task for task in build_side(make_site(), make_system()).plan.tasks}
    area = 20 * (3 - 8 / 12 + 1.5 / 12)
    assert tasks["clean"].quantity == f"{area:.1f} ft² at 40 ft²/h"
    assert tasks["clean"].hours == pytest.approx(area / 40, abs=0.006)
    metric = {task.key: task for task in build_side(make_site(units="SI"), make_system()).plan.tasks}
    assert metric["clean"].quantity == f"{area * FOOT**2:.1f} m² at 3.7 m²/h"
    assert metric["clean"].hours == tasks["clean"].hours
