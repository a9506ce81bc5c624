"""A basin of another size that makes the whole job cheaper is told, with what it saves."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from drainwright.build.takeoff.bodies import BASINS
from drainwright.design import Design, design
from drainwright.findings.model import Severity
from drainwright.job.changes import changed_job
from drainwright.job.writing import to_json
from drainwright.offer import cheaper_basins, options, what_if
from drainwright.offer.basin import _told, unpriced_sizes, unpriced_words
from drainwright.office.views.price import price
from drainwright.paper.documents.cost_sheet import cost_sheet
from drainwright.system.lift.choice import DEPTHS
from drainwright.terminal_offer import show_options

from ..conftest import designed


def with_(base: Design, **changes: object) -> Design:
    return design(changed_job(to_json(base.job), {key.replace("__", "."): value for key, value in changes.items()}))


def test_the_cheapest_size_that_holds_every_check_is_told() -> None:
    base = designed("block-wall-house/job")
    (told,) = (one for one in cheaper_basins(base) if not one.against)
    least = base.build.price.total
    for size in BASINS:
        other, changed = what_if(base, {"works.basin.diameter": f"{size:.0f} in"})
        common = other.system.stations[0].depth <= DEPTHS[-1] + 1e-9
        if common and not changed.dug_worse and not any(item.severity is Severity.FAILS for item in changed.arisen):
            least = min(least, other.build.price.total)
    assert told.saves == base.build.price.total - least > 0
    taken = design(changed_job(to_json(base.job), told.changes))
    assert taken.build.price.total == least
    assert told.key in {line.key for line in base.build.takeoff.lines}


def test_a_basin_whose_width_the_job_gives_is_left_alone() -> None:
    assert cheaper_basins(with_(designed("block-wall-house/job"), works__basin__diameter="36 in")) == ()


def test_a_lot_without_a_basin_has_none_to_tell() -> None:
    assert cheaper_basins(designed("soak-lot/job")) == ()


def test_two_basins_are_told_each_by_itself() -> None:
    base = designed("two-basins/job")
    found = cheaper_basins(base)
    assert found  # the drive's; the other has the cheapest size as it is
    assert {one.where for one in found} <= {station.name for station in base.system.stations}
    taken = [one.where for one in found if not one.against]
    assert len(set(taken)) == len(taken)
    for one in found:
        assert what_if(base, one.changes)[1].price.change == -one.saves


def test_the_options_say_it_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    base = designed("block-wall-house/job")
    (told,) = (one for one in cheaper_basins(base) if not one.against)
    show_options(options(base), (told,))
    words = " ".join(capsys.readouterr().out.split())
    assert f"A {told.size} basin at SUMP would make the whole job ${told.saves:,.2f} cheaper" in words
    assert f"write works.basin.diameter: {told.size}" in words


def test_a_cheaper_size_that_is_passed_over_says_why(capsys: pytest.CaptureFixture[str]) -> None:
    """Deep sizes were left out without a word, though the cost sheet had sent its reader here."""
    base = designed("block-wall-house/job")
    (told,) = (one for one in cheaper_basins(base) if not one.against)
    dear = replace(
        told, saves=told.saves + 1, size="18 in", against="it is 9 ft deep, where common ones are 6 ft at most"
    )
    assert _told([told, dear]) == [told, dear]
    assert _told([dear]) == [dear]
    assert _told([told, replace(dear, saves=told.saves - 1)]) == [told]
    assert _told([replace(told, saves=Decimal(0))]) == []
    show_options(options(base), (told, dear))
    words = " ".join(capsys.readouterr().out.split())
    assert "is not put forward: it is 9 ft deep, where common ones are 6 ft at most" in words
    show_options(options(base), ())
    assert "No other size of basin at SUMP makes the job cheaper" in " ".join(capsys.readouterr().out.split())


def test_the_cost_sheet_and_the_price_page_name_what_was_not_priced(pumped: Design) -> None:
    told = unpriced_words(pumped)
    assert list(told) == ["SUMP"]
    mine, others = unpriced_sizes(pumped)["SUMP"]
    assert mine == f"{pumped.system.stations[0].inside_diameter / 0.0254:.0f} in"
    assert {mine, *others} == {"18 in", "24 in", "30 in", "36 in", "48 in"}
    best = cheaper_basins(pumped)
    assert {one.size for one in best} <= set(others)
    for blocks in (cost_sheet(pumped, {}).blocks, price(pumped).blocks):
        assert told["SUMP"] in repr(blocks)


def test_a_basin_that_the_job_gives_is_not_named() -> None:
    assert unpriced_words(with_(designed("block-wall-house/job"), works__basin__diameter="36 in")) == {}
    assert unpriced_words(designed("soak-lot/job")) == {}
