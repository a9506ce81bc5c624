"""Ends of pipes: the sizes that crew and inspector need, each with its mark."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError
from system_jobs import designed, document

from drainwright.job.model import Job
from drainwright.job.values import Basis
from drainwright.system.catalogue import find_pipe
from drainwright.system.outlets.end_model import PipeEnd

FOOT, INCH = 0.3048, 0.0254


def with_end(kind: str, end: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    run = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT", "pipe": "d3034 4 in"}
    data = document(runs=[run], basin="none")
    data["works"]["discharge"][0] |= {"kind": kind, "end": end or {}, **more}
    data["property"] = {"boundary": ["-60 ft, -95 ft", "90 ft, -95 ft", "90 ft, 60 ft", "-60 ft, 60 ft"]}
    return data


def end_of(data: dict[str, Any]) -> PipeEnd:
    (end,) = designed(data)[2].ends
    return end


def test_an_open_end_stands_where_the_job_has_it() -> None:
    end = end_of(with_end("daylight"))
    assert (end.form, end.guard, end.nominal, end.run) == ("open end", True, "4 in", "YD")
    assert end.opening == pytest.approx(find_pipe("d3034 4 in").inside)
    assert end.height == pytest.approx(0.0, abs=1e-9)  # its invert is given as "at ground"
    assert end.from_house == pytest.approx(80 * FOOT)
    assert end.from_boundary == pytest.approx(15 * FOOT)
    assert not end_of(with_end("daylight", {"guard": False})).guard


def test_a_kerb_is_assumed_and_the_hole_clears_the_pipe() -> None:
    """4.215 in outside and 1/4 in each side; the invert 1/2 in over the gutter of a kerb of 6 in, by hand."""
    end = end_of(with_end("street"))
    assert (end.form, end.kerb_basis, end.height_basis) == ("kerb hole", Basis.ASSUMED, Basis.ASSUMED)
    assert end.core == pytest.approx(4.715 * INCH)
    assert end.over_core == pytest.approx((6.0 - 0.5 - 3.975 / 2 - 4.715 / 2) * INCH)
    own = end_of(with_end("street", {"kerb": "8 in", "height": "1 in"}))
    assert own.over_core == pytest.approx((8.0 - 1.0 - 3.975 / 2 - 4.715 / 2) * INCH)
    assert (own.kerb_basis, own.height_basis) == (Basis.STATED, Basis.STATED)


def test_an_invert_told_over_the_gutter_s_point_is_the_height_of_the_kerb_s_hole() -> None:
    """The sheet had the hole cored 1/2 in over the gutter, whatever the job said of it."""
    told = end_of(with_end("street", at="G9", invert="20 mm above G9"))
    assert told.height_basis == Basis.STATED
    assert told.invert - told.height == pytest.approx(98.6 * FOOT)  # the level of G9
    assert told.height == pytest.approx(0.020, abs=0.25 * INCH)  # but for how closely levels are set out
    below = end_of(with_end("street", at="G9", invert="20 mm below G9"))  # such a point is no gutter's: the kerb's top
    assert (below.height, below.height_basis) == (pytest.approx(0.5 * INCH), Basis.ASSUMED)


@pytest.mark.parametrize(
    ("pipe", "size", "fits"),
    [
        ("sch40 1-1/2 in", "3 in", ["adapter", "reducer"]),  # no sewer fittings so small: adapted, then reduced
        ("d3034 4 in", "4 in", []),
        ("sch40 4 in", "4 in", ["adapter"]),
    ],
)
def test_an_emitter_is_as_large_as_its_pipe_and_what_lies_between_is_named(
    pipe: str, size: str, fits: list[str]
) -> None:
    data = with_end("pop-up emitter")
    data["works"]["runs"][0]["pipe"] = pipe
    _, _, system = designed(data)
    (end,) = system.ends
    assert (end.form, end.fitting, end.height) == ("pop-up emitter", size, 0.0)
    assert end.opening == pytest.approx(find_pipe(f"d2729 {size}").inside)
    assert sorted(fit.kind for fit in system.fittings or () if fit.where == "OUT") == fits


def test_an_air_gap_is_twice_the_bore_and_the_job_may_give_its_own() -> None:
    end = end_of(with_end("storm line", air_gap=True))
    bore = find_pipe("d3034 4 in").inside
    assert (end.form, end.gap_basis, end.receiver_basis) == ("air gap", Basis.ASSUMED, Basis.ASSUMED)
    assert end.gap == end.gap_least == pytest.approx(2 * bore)
    assert end.rim == pytest.approx(end.invert - 2 * bore)
    own = end_of(with_end("storm line", {"gap": "3 in", "receiver": "10 in"}, air_gap=True))
    assert (own.gap, own.gap_basis) == (pytest.approx(3 * INCH), Basis.STATED)
    assert own.receiver == pytest.approx(10 * INCH)
    assert own.gap_least == pytest.approx(2 * bore)


def test_a_buried_joint_has_no_end() -> None:
    assert designed(with_end("storm line"))[2].ends == ()


@pytest.mark.parametrize(
    ("kind", "end", "more", "said"),
    [
        ("daylight", {"kerb": "6 in"}, {}, "'kerb'"),
        ("daylight", {"height": "1 in"}, {}, "'height'"),
        ("storm line", {"gap": "4 in"}, {}, "'gap'"),
        ("pop-up emitter", {"guard": False}, {}, "'guard'"),
        ("street", {}, {"air_gap": True}, "an air gap at a street"),
    ],
)
def test_sizes_of_another_kind_of_end_are_refused(
    kind: str, end: dict[str, Any], more: dict[str, Any], said: str
) -> None:
    with pytest.raises(ValidationError, match=said):
        Job.model_validate(with_end(kind, end, **more))
