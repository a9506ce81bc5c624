"""Who stands by beside a live line: hours by the digging that is watched, reckoned by hand; a crew of one."""

from __future__ import annotations

from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.model import Build
from drainwright.build.units import CUBIC_YARD, FOOT

from .sample import feet, make_site, make_system, make_utility

BOOK = demonstration_book()


def built(kind: str, *, live: bool = True, **changes: Any) -> Build:
    line = make_utility("service", kind, (feet(-60, -20), feet(60, -20)), 0.3, live=live)
    return build_side(make_site(utilities=(line,), **changes), make_system())


def watches(build: Build) -> dict[str, float]:
    return {task.key: task.watch for task in build.plan.tasks if task.watch}


def test_as_long_as_one_person_digs_in_the_zone() -> None:
    """Only DL is crossed, square: the zone on both sides and the line's own width are dug by hand, all else at ease."""
    build = built("gas")
    trench = next(item for item in build.dig.trenches if item.name == "DL")
    wide = make_utility("service", "gas", (feet(-60, -20), feet(60, -20)), 0.3).utility.diameter
    # by the length of the whole run, as its digging hours are shared
    by_hand = (2 * make_site().job.rules.tolerance_zone.value + wide) / make_system().run(
        "DL"
    ).length  # as digging hours share it
    assert 0 < by_hand < 1
    assert trench.depth_mean < 5 * FOOT
    hours = trench.bank_volume / CUBIC_YARD / BOOK.rate("dig.firm") * by_hand * BOOK.rate("tolerance-zone")
    assert watches(build) == {"trench-yard": pytest.approx(hours, abs=0.011)}


@pytest.mark.parametrize("kind", ["electric", "propane"])
def test_what_kills_is_watched(kind: str) -> None:
    assert watches(built(kind)) == watches(built("gas"))


def test_nothing_else_is() -> None:
    assert not watches(built("water"))
    assert not watches(built("gas", live=False))


def test_it_is_paid_in_the_hours_of_the_digging() -> None:
    plain, build = built("water"), built("gas")
    before, dig = (next(task for task in one.plan.tasks if task.key == "trench-yard") for one in (plain, build))
    assert dig.hours == pytest.approx(before.hours + dig.watch)
    assert (
        dig.quantity
        == f"{before.quantity.partition(';')[0]}; somebody stands by at live lines, {dig.watch:g} h at 1 h/h"
        + (f";{before.quantity.partition(';')[2]}" if ";" in before.quantity else "")
    )
    assert "another stands by with nothing else to do" in dig.hold
    line = next(line for line in build.price.lines if line.key == "labour.trench-yard")
    assert line.description.endswith("with somebody standing by at live lines")
    hour = float(BOOK.wage * (1 + BOOK.burden))
    assert float(line.amount) == pytest.approx((before.hours + dig.watch) * hour, abs=0.01)


def test_the_rate_of_the_book_counts() -> None:
    dear = built("gas", price_book={"rates": {"watch": 2.0}})
    assert watches(dear)["trench-yard"] == pytest.approx(2 * watches(built("gas"))["trench-yard"], abs=0.011)
