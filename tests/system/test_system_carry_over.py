"""What grates let pass: chains by hand, ponds that several grates share, nothing lost, and pipes sized for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from system_jobs import designed, document

from drainwright.system.flows import Causes, gather, summed
from drainwright.system.network import Line, Network, Spot
from drainwright.system.surface.carry_over import Group, Passed, Way, pass_on
from drainwright.water.model import Cause

FOOT, INCH = 0.3048, 0.0254


def yard(flow: float, roof: float = 0.0) -> Causes:
    return {Cause.YARD: flow, Cause.ROOF: roof, Cause.GROUND: 0.0}


def by_table(ways: Mapping[Group, Way]) -> Any:
    return lambda group: ways.get(group, ("off the lot", "south side"))


def left_for_good(found: Mapping[str, Passed]) -> float:
    return sum(item.carried for item in found.values() if item.to != "inlet")


def test_chain_of_three_by_hand() -> None:
    """5, 1 and 2 come; 3, 2 and 1.5 are the most: 2 run on to B, of 3 there 1 runs on to C, of 3 there 1.5 leave."""
    ways: dict[Group, Way] = {("A",): ("inlet", "B"), ("B",): ("inlet", "C")}
    own = {"C": yard(2.0), "B": yard(1.0), "A": yard(4.0, 1.0)}
    found = pass_on(own, {"A": 3.0, "B": 2.0, "C": 1.5}, by_table(ways))
    assert [found[name].received for name in "ABC"] == pytest.approx([0.0, 2.0, 1.0])
    assert [sum(found[name].takes.values()) for name in "ABC"] == pytest.approx([3.0, 2.0, 1.5])
    assert [found[name].carried for name in "ABC"] == pytest.approx([2.0, 1.0, 1.5])
    assert found["A"].takes == pytest.approx(yard(2.4, 0.6))  # of each cause three fifths
    assert found["B"].comes == pytest.approx(yard(2.6, 0.4))
    assert (found["C"].to, found["C"].name) == ("off the lot", "south side")


def test_a_grate_with_room_passes_nothing_and_is_not_followed() -> None:
    def never(group: Group) -> Way:
        raise AssertionError(group)

    found = pass_on({"A": yard(1.0)}, {"A": 1.0}, never)
    assert found["A"].carried == 0.0
    assert found["A"].to is None


def test_two_grates_in_one_pond_fill_each_other_up_before_anything_leaves() -> None:
    """A passes to B and B to A: together they take 3 of 5, whichever of them the water comes to; 2 leave both."""
    ways: dict[Group, Way] = {("A",): ("inlet", "B"), ("B",): ("inlet", "A"), ("A", "B"): ("house", "north")}
    for own in ({"A": yard(5.0), "B": yard(0.0)}, {"A": yard(2.5), "B": yard(2.5)}):
        found = pass_on(own, {"A": 1.0, "B": 2.0}, by_table(ways))
        assert sum(sum(item.takes.values()) for item in found.values()) == pytest.approx(3.0)
        assert left_for_good(found) == pytest.approx(2.0)
        assert [item.name for item in found.values() if item.to == "house"] == ["north"]


def test_a_pond_with_room_in_it_lets_nothing_out() -> None:
    ways: dict[Group, Way] = {("A",): ("inlet", "B"), ("B",): ("inlet", "A")}
    found = pass_on({"A": yard(5.0), "B": yard(0.0)}, {"A": 1.0, "B": 4.5}, by_table(ways))
    assert left_for_good(found) == 0.0
    assert found["B"].received == pytest.approx(4.0)


def test_ring_of_three_that_drains_to_a_fourth() -> None:
    ways: dict[Group, Way] = {
        ("A",): ("inlet", "B"), ("B",): ("inlet", "C"), ("C",): ("inlet", "A"), ("A", "B", "C"): ("inlet", "D"),
    }  # fmt: skip
    own = {"A": yard(4.0), "B": yard(0.0), "C": yard(1.0), "D": yard(0.5)}
    found = pass_on(own, {"A": 1.0, "B": 1.0, "C": 1.0, "D": 2.0}, by_table(ways))
    assert found["D"].received == pytest.approx(2.0)
    assert found["D"].carried == pytest.approx(0.5)


NAMES = "ABCDE"


@given(st.data())
def test_what_is_taken_and_what_leaves_is_all_that_came(data: st.DataObject) -> None:
    """Any ways, rings among them: nothing is lost or made, cause by cause, and no grate takes more than it can."""
    draw = data.draw
    own = {name: yard(draw(st.floats(0.0, 5.0)), draw(st.floats(0.0, 5.0))) for name in NAMES}
    most = {name: draw(st.floats(0.0, 4.0)) for name in NAMES}
    known: dict[Group, Way] = {}

    def follow(group: Group) -> Way:
        others = [name for name in NAMES if name not in group]
        if group not in known:
            to = draw(st.sampled_from([*others, "out"]))
            known[group] = ("off the lot", "") if to == "out" else ("inlet", to)
        return known[group]

    found = pass_on(own, most, follow)
    for name, item in found.items():
        assert sum(item.takes.values()) <= most[name] + 2e-9
        assert sum(item.takes.values()) + item.carried == pytest.approx(item.flow)
    assert sum(item.received for item in found.values()) == pytest.approx(
        sum(item.carried for item in found.values() if item.to == "inlet"), abs=1e-8
    )
    taken = summed(*(item.takes for item in found.values()))
    assert sum(taken.values()) + left_for_good(found) == pytest.approx(
        sum(summed(*own.values()).values()), rel=1e-9, abs=1e-8
    )
    if left_for_good(found) == 0.0:
        assert taken == pytest.approx(summed(*own.values()), abs=1e-8)


def test_each_line_is_given_the_greater_of_clean_and_clogged_grates() -> None:
    """A and B meet in J: clean 5 and 1 come in, clogged 3 and 2.5; the branches get 5 and 2.5, the main 6."""
    spots = {
        name: Spot(name=name, kind=kind, at=(0.0, 0.0), ground=0.0, rim=0.0)
        for name, kind in (("A", "inlet"), ("B", "inlet"), ("J", "junction"), ("OUT", "discharge"))
    }  # type: ignore[misc]
    lines = tuple(
        Line(name=name, duty="yard drain", upper=name, lower=lower, route=((0.0, 0.0), (1.0, 0.0)))
        for name, lower in (("A", "J"), ("B", "J"), ("J", "OUT"))
    )
    network = Network(spots=spots, lines=lines)
    clean, clogged = {"A": yard(5.0), "B": yard(1.0)}, {"A": yard(3.0), "B": yard(2.5)}
    found = gather(network, clean, clogged=clogged)
    assert [sum(found.lines[name].values()) for name in "ABJ"] == pytest.approx([5.0, 2.5, 6.0])
    assert sum(found.spots["OUT"].values()) == pytest.approx(6.0)
    assert gather(network, clean).lines["B"] == clean["B"]


def lot(size: str = "4 in", **figures: Any) -> dict[str, Any]:
    """Three inlets in a row down the lot, which falls to the south; a large yard drains to the first."""
    places = {"CB1": "-12 ft, -4 ft", "CB2": "-12 ft, -22 ft", "CB3": "-12 ft, -40 ft"}
    data = document(0.02, inlets=[{"name": name, "at": at, "size": size} for name, at in places.items()], **figures)
    data["yards"][0]["area"] = "20000 ft2, measured"
    return data


def weir_and_orifice(side: float, head: float, clogging: float) -> float:
    """HEC-22's grate in a sag by hand: the lesser of 1.66 P h^1.5 and 0.67 A (2 g h)^0.5, both clogged. [m³/s]"""
    open_share = 1.0 - clogging
    weir = 1.66 * 4.0 * side * open_share * head**1.5
    hole = 0.67 * 0.4 * side**2 * open_share * (2.0 * 9.80665 * head) ** 0.5
    return min(weir, hole)


def test_three_grates_in_a_row_by_hand_and_their_pipes_sized_for_it() -> None:
    """Each 4 in grate takes its formula's flow under an inch of water; the rest comes to the next, and to its pipe."""
    site, inflows, system = designed(lot())
    most = weir_and_orifice(4 * INCH, INCH, site.job.criteria.grate_clogging)
    comes = inflows.at("CB1")
    one, two, three = (system.water[name].grate for name in ("CB1", "CB2", "CB3"))
    assert one is not None
    assert two is not None
    assert three is not None
    assert one.head == pytest.approx(INCH)
    assert comes > 4 * most
    assert (one.to, one.name, two.to, two.name) == ("inlet", "CB2", "inlet", "CB3")
    assert [item.takes for item in (one, two, three)] == pytest.approx([most] * 3, rel=0.01)
    assert [item.carried for item in (one, two, three)] == pytest.approx(
        [comes - most, comes - 2 * most, comes - 3 * most], rel=0.01
    )
    assert sum(item.takes for item in (one, two, three)) + three.carried == pytest.approx(comes)
    assert (two.counted, three.counted) == pytest.approx((two.received, three.received))
    leaving = {name: next(run for run in system.runs if run.upper == name) for name in ("CB1", "CB2", "CB3")}
    arriving = {name: sum(run.flow for run in system.runs if run.lower == name) for name in ("CB1", "CB2", "CB3")}
    for name, item in (("CB2", two), ("CB3", three)):
        assert leaving[name].flow >= item.takes - 1e-9, name
        if arriving[name] == 0.0:
            assert leaving[name].flow == pytest.approx(item.takes)
            assert leaving[name].flows[Cause.YARD] == pytest.approx(item.takes)
    assert leaving["CB1"].flow == pytest.approx(comes + arriving["CB1"])
    assert sum("runs on to" in note for note in system.notes) == 2
    assert any(note.startswith("CB1: with 50 %") and "runs on to CB2" in note for note in system.notes)


def test_what_large_grates_take_leaves_no_note_and_changes_no_flow() -> None:
    data = lot(size="24 in")
    data["yards"][0]["area"] = "500 ft2, measured"
    _, inflows, system = designed(data)
    assert not any("runs on to" in note for note in system.notes)
    for name in ("CB2", "CB3"):
        assert inflows.at(name) == 0.0
        grate = system.water[name].grate
        assert grate is not None
        assert grate.received == 0.0
