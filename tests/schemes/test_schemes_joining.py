"""New lines that join drawn ones: at their inlets and junctions only, as far as pipe and levels allow."""

from __future__ import annotations

from typing import Any

import pytest
from scheme_lots import FOOT, job
from shapely import LineString

from drainwright.design import design
from drainwright.schemes.base import base_of
from drainwright.schemes.comparing import ends_of
from drainwright.schemes.joining import drawn_to, through
from drainwright.schemes.kinds import lay
from drainwright.schemes.model import Laid
from drainwright.schemes.stage import _designed

INLETS = [{"name": "CB1", "at": "-12 ft, -6 ft"}, {"name": "CB2", "at": "20 ft, -40 ft"}]


def drawn(upper: dict[str, Any] | None = None, lower: dict[str, Any] | None = None, **more: Any) -> Any:
    """A lot with a line from one inlet by another to the way out; the downspouts are left to be led away."""
    runs = [
        {"name": "A", "duty": "yard drain", "from": "CB1", "to": "CB2", **(upper or {})},
        {"name": "B", "duty": "yard drain", "from": "CB2", "to": "OUT", **(lower or {})},
    ]
    return job(**{"fall": 0.05, "wet": (), "inlets": INLETS, "runs": runs, **more})


def ends_of_new(given: Any, key: Any = "gravity") -> dict[str, str]:
    """Where the new runs of a scheme begin and end."""
    laid = lay(base_of(given, redraw=False), key)
    assert isinstance(laid, Laid), laid
    return {str(words["from"]): str(words["to"]) for words in laid.draft.runs}


def test_leaders_join_a_drawn_line_at_its_inlet_and_leave_it_as_it_is() -> None:
    given = drawn()
    to = ends_of_new(given)
    assert "CB2" in to.values()
    assert "OUT" not in to.values()  # what is drawn carries it on
    laid = lay(base_of(given, redraw=False), "gravity")
    assert isinstance(laid, Laid)
    taken = laid.draft.applied(given)
    assert taken.works.runs[:2] == given.works.runs
    result = design(taken)
    assert not result.system.conflicts
    assert {(source, end) for _, source, end, _ in ends_of(result)} == {
        (name, "OUT") for name in ("CB1", "CB2", "DS1", "DS2")
    }
    line = LineString(result.system.run("B").route)
    for words in laid.draft.runs:  # no new run lies in the drawn run's trench
        assert LineString(result.system.run(str(words["name"])).route).buffer(0.1).intersection(line).length < 1.0


def test_a_drawn_invert_too_high_for_the_water_is_not_joined() -> None:
    given = drawn(lower={"invert_from": "97.9 ft"})  # the ground at CB2 is at 96.5 ft
    base = base_of(given, redraw=False)
    assert through(base, "CB2", "OUT", 95.0 * FOOT) < through(base, "CB2", "OUT", 98.0 * FOOT)
    assert through(base, "CB2", "OUT", 98.0 * FOOT) == pytest.approx(
        97.9 * FOOT - base.network.leaving("CB2").length * base.job.criteria.minimum_grade  # type: ignore[union-attr]
    )
    lack = 97.9 * FOOT - 95.0 * FOOT
    assert through(base, "CB2", "OUT", 98.0 * FOOT) - through(base, "CB2", "OUT", 95.0 * FOOT) == pytest.approx(lack)
    low = {"invert_from": "92.5 ft", "invert_to": "91.9 ft"}
    assert through(base_of(drawn(lower=low), redraw=False), "CB2", "OUT", 95.0 * FOOT) == pytest.approx(91.9 * FOOT)


def test_a_drawn_pipe_that_is_too_small_is_not_joined_once_it_is_designed() -> None:
    for pipe, grade, joined in (("d2729 4 in", "0.5 %", False), ("d2729 6 in", "1 %", True)):
        given = drawn(lower={"pipe": pipe, "grade": grade})
        base = base_of(given, redraw=False)
        first = lay(base, "gravity")
        assert isinstance(first, Laid)
        assert "CB2" in {words["to"] for words in first.draft.runs}  # before anybody knows what it must carry
        laid, taken, result = _designed(given, base, first)
        assert ("CB2" in {words["to"] for words in laid.draft.runs}) == joined
        run = result.system.run("B")
        assert taken.works.runs[1] == given.works.runs[1]
        if joined:
            assert run.flow <= run.capacity


def test_rain_joins_no_drawn_line_that_carries_ground_water() -> None:
    drain = {"name": "FD", "duty": "footing drain", "from": "A", "to": "CB2", "beside": ["south"]}
    given = drawn()
    runs = (*given.works.runs, given.works.runs[0].model_validate(drain))
    wet = given.model_copy(update={"works": given.works.model_copy(update={"runs": runs})})
    assert drawn_to(base_of(given, redraw=False), "OUT").chains
    assert set(drawn_to(base_of(given, redraw=False), "OUT").spots) == {"CB1", "CB2"}
    assert not drawn_to(base_of(wet, redraw=False), "OUT").chains
    assert not drawn_to(base_of(given, redraw=False), "SUMP").chains
