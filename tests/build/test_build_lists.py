"""Cutting list, stone by zone, fabric by the roll, tools: each against the small job by hand."""

from __future__ import annotations

import itertools
import math
import re
from dataclasses import replace

import pytest
from shapely.affinity import translate

from drainwright.build import build_side
from drainwright.build.backfill import backfills
from drainwright.build.book import demonstration_book
from drainwright.build.fabric import LENGTHS, WIDTHS, fewest, rolls, strips
from drainwright.build.fittings_count import REACH, key_of, named
from drainwright.build.model import Takeoff
from drainwright.build.spouts import over_digs
from drainwright.build.sticks import KERF
from drainwright.build.stone import END_LAP, LIFT, Bed, beds
from drainwright.build.take_offs import held
from drainwright.build.takeoff import count
from drainwright.build.tools import BOUGHT
from drainwright.build.trench import cuts
from drainwright.build.units import FOOT, INCH, SQUARE_FOOT
from drainwright.design import design
from drainwright.job.reading import read_job
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.system.trade import nominal_words

from ..conftest import EXAMPLES, designed
from .sample import GROUND, feet, job_data, make_run, make_site, make_system


def took(**changes: object) -> Takeoff:
    return build_side(make_site(**changes), make_system()).takeoff  # type: ignore[arg-type]


# -- the cutting list --------------------------------------------------------------------------------


def test_every_length_is_cut_once_and_no_stick_is_overfull() -> None:
    takeoff, system, site = took(), make_system(), make_site()
    for cut in takeoff.cuts:
        sawn = math.fsum(piece.length for piece in cut.pieces) + KERF * (len(cut.pieces) - 1)
        assert sawn <= cut.length + 1e-6
        assert 0 <= cut.rest <= cut.length
    for run in system.runs:
        pieces = [piece for cut in takeoff.cuts for piece in cut.pieces]
        laid = math.fsum(piece.length for piece in pieces if piece.where == run.name and not piece.upright)
        inside = system.stations[0].inside_diameter / 2 - REACH  # what comes to the basin ends past its wall
        fitted = math.fsum(math.fsum(ends) for ends in held(run, system, named(site.job, system)[0]))
        assert fitted > 0
        stops = 3 / 16 * INCH if run.name == "DL" else 0.0  # one coupling in 40 ft of its second leg's sticks
        whole = run.pipe_length if run.pressure else run.length  # a pumped line as it rises and falls
        assert laid == pytest.approx(whole - fitted - stops - (inside if run.lower == "SUMP" else 0.0))


def test_a_riser_is_cut_from_what_a_stick_leaves() -> None:
    """The discharge line's 2 ft and the pump's riser come from one 10 ft stick."""
    (short,) = [cut for cut in took().cuts if cut.pipe.startswith("sch40") and cut.length == pytest.approx(10 * FOOT)]
    assert {(piece.where, piece.upright) for piece in short.pieces} == {("DL", False), ("SUMP", True)}
    used = math.fsum(piece.length for piece in short.pieces)
    assert short.rest == pytest.approx(10 * FOOT - used - 2 * KERF)


def test_the_sticks_bought_are_those_of_the_cutting_list() -> None:
    takeoff = took()
    bought = sum(line.quantity for line in takeoff.lines if line.category == "pipe")
    assert bought == len(takeoff.cuts)


def test_a_line_names_what_its_sticks_go_into() -> None:
    lines = {line.key: line for line in took().lines if line.category == "pipe"}
    assert lines["pipe.sch40-1-1/2in.20ft"].where == "DL"
    assert lines["pipe.sch40-1-1/2in.10ft"].where == "SUMP, DL"


def test_a_stick_length_that_cannot_be_had_is_not_bought() -> None:
    works = {**job_data()["works"], "out_of_stock": ["pipe.sch40-1-1/2in.20ft"]}
    found = {line.key: line.quantity for line in took(works=works).lines}
    assert "pipe.sch40-1-1/2in.20ft" not in found
    assert found["pipe.sch40-1-1/2in.10ft"] == 5  # 10, 10, 10, 9 and one for 2 ft with the riser
    counted = count(make_site(works=works), make_system(), demonstration_book())
    assert sum(1 for fit in counted.fittings if fit.kind == "coupling") == 3


def test_wrapped_sections_come_by_the_stick_with_couplings() -> None:
    """33 ft of sleeve, one bend that needs no fitting: three sections of 10 ft and one of 5, three couplings."""
    from drainwright.system.catalogue import PIPES

    base = make_system()
    route = (feet(-5, -1), feet(20, -1), feet(28, -1))
    drain = make_run("FD", route, GROUND - 1, GROUND - 1.1, ends=("A", "SUMP"), pipe=PIPES["wrapped 10 in"], stone=0.0)
    system = replace(base, runs=tuple(drain if run.name == "FD" else run for run in base.runs))
    works = {**job_data()["works"], "runs": [{**run, "cleanout": False} for run in job_data()["works"]["runs"]]}
    counted = count(make_site(works=works), system, demonstration_book())
    sticks = sorted(round(length / FOOT) for length in counted.sticks["wrapped 10 in"].lengths)
    assert sticks == [5, 10, 10, 10]
    assert sum(1 for fit in counted.fittings if fit.kind == "coupling" and fit.where == "FD") == 3


# -- stone --------------------------------------------------------------------------------------------


def test_the_zones_are_the_stone() -> None:
    """Straight trench, closed form: 28 ft of 12 in: 2 in under, the pipe's height less the pipe, 6 in over.

    Its last foot and 6.4 mm of wall are the basin's.
    """
    takeoff = took()
    outside, length, width = 4.215 * INCH, 27 * FOOT - 0.0064, 12 * INCH
    zones = {zone.zone: zone for zone in takeoff.stone if zone.where == "FD"}
    assert zones["under the pipe"].volume == pytest.approx(width * 2 * INCH * length)
    assert zones["round the pipe"].volume == pytest.approx((width * outside - math.pi / 4 * outside**2) * length)
    assert zones["over the pipe"].volume == pytest.approx(width * 6 * INCH * length)
    assert [zones[name].lifts for name in ("under the pipe", "round the pipe", "over the pipe")] == [1, 1, 1]
    (line,) = [line for line in takeoff.lines if line.key == "stone.57"]
    assert math.fsum(zone.volume for zone in takeoff.stone) / (0.9144**3) == pytest.approx(line.net)
    assert all(zone.bought == pytest.approx(zone.volume * 1.08) for zone in takeoff.stone)


def test_zones_add_up_in_every_bed() -> None:
    from drainwright.build.trench import cuts

    site, system = make_site(), make_system()
    for bed in beds(site, system, cuts(site, system)):
        assert math.fsum(zone.volume for zone in bed.zones) == pytest.approx(bed.stone)


def test_stone_goes_in_by_layers() -> None:
    tall = [zone for zone in took().stone if zone.zone == "round the basin"]
    assert tall
    for zone in tall:
        assert (zone.lifts - 1) * LIFT < zone.height <= zone.lifts * LIFT + 1e-6


# -- fabric -------------------------------------------------------------------------------------------


def bed_of(width: float, length: float) -> Bed:
    return Bed(run="R", stone=1.0, fabric=width * length, displaced=1.0, strip=(width, length))


def test_the_narrowest_roll_that_goes_round_with_its_lap() -> None:
    assert strips(bed_of(5.0 * FOOT, 20.0))[0] == pytest.approx(6.0 * FOOT)
    assert strips(bed_of(6.0 * FOOT, 20.0))[0] == pytest.approx(6.0 * FOOT)
    width, cut = strips(bed_of(20.0 * FOOT, 20.0))  # wider than any: two, lapped a foot
    assert len(cut) == 2
    assert 2 * cut[0][1] - FOOT == pytest.approx(20.0 * FOOT)
    assert width in WIDTHS


@pytest.mark.parametrize("feet", [3.0, 49.0, 51.0, 99.0, 130.0, 148.5, 149.0, 290.0, 420.0, 1000.0])
def test_no_cheaper_set_of_rolls_covers_a_length(feet: float) -> None:
    counts = fewest(feet * FOOT)

    def covers(tried: tuple[int, ...]) -> bool:
        long = math.fsum(n * one for n, one in zip(tried, LENGTHS, strict=True))
        return sum(tried) > 0 and long - (sum(tried) - 1) * END_LAP >= feet * FOOT - 1e-9

    def bought(tried: tuple[int, ...]) -> float:
        return math.fsum(n * one for n, one in zip(tried, LENGTHS, strict=True))

    assert covers(counts)
    least = min(bought(tried) for tried in itertools.product(range(25), range(12), range(5)) if covers(tried))
    assert bought(counts) == pytest.approx(least)


def test_fabric_is_bought_by_whole_rolls() -> None:
    takeoff = took()
    (line,) = [line for line in takeoff.lines if line.key == "fabric.nonwoven"]
    area = math.fsum(roll.count * roll.width * roll.length for roll in takeoff.rolls)
    assert line.quantity == pytest.approx(area / SQUARE_FOOT)
    assert line.quantity >= line.net
    assert rolls([replace(bed_of(2.0, 3.0), fabric=0.0)], 0.05) == ()


# -- tools --------------------------------------------------------------------------------------------


def test_a_saw_for_each_size_of_hole() -> None:
    takeoff = took()
    saws = {tool.size for tool in takeoff.tools if tool.key == "hole saw"}
    assert saws == {hole.diameter for hole in takeoff.holes}
    assert all(hole.diameter > hole.outside > 0 for hole in takeoff.holes)


def test_tools_are_the_firm_s_own_unless_it_lacks_them() -> None:
    assert {tool.source for tool in took().tools} == {"own"}
    built = build_side(make_site(equipment={"lacks": ["laser", "hole saw"]}), make_system())
    hired = [line for line in built.takeoff.lines if line.key == "hire.laser"]
    assert [(line.source, line.quantity) for line in hired] == [("hire", float(built.plan.days))]
    saws = [line for line in built.takeoff.lines if line.key == "hole-saw.each"]
    assert [line.source for line in saws] == ["buy"] * len({hole.diameter for hole in built.takeoff.holes})


def test_every_tool_that_can_be_lacking_has_its_price() -> None:
    from typing import get_args

    from drainwright.job.firm import Equipment

    book = demonstration_book()
    (literal, _) = get_args(Equipment.model_fields["lacks"].annotation)
    for key in get_args(literal):
        name = BOUGHT.get(key, f"hire.{key.replace(' ', '-')}")
        assert book.item(name).unit == ("each" if key in BOUGHT else "day")


@pytest.mark.parametrize(
    ("path", "has"),
    [
        ("block-wall-house/job", {"plate compactor", "wet-film gauge", "thread tape"}),
        ("sloping-lot/job", {"plate compactor", "wet-film gauge"}),
        ("soak-lot/job", {"plate compactor"}),
    ],
)
def test_gauge_tape_and_compactor_come_where_they_are_used(path: str, has: set[str]) -> None:
    """A coat is measured wet, the pump's adapter is made tight, lifts away from the walls are tamped by machine."""
    made = designed(path)
    tools = {tool.key: tool for tool in made.build.takeoff.tools}
    assert has == tools.keys() & {"plate compactor", "wet-film gauge", "thread tape"}
    digs = backfills(made.site, made.system, made.build.dig.trenches)
    assert any(one.lifts and not one.by_hand for one in digs) == ("plate compactor" in tools)
    spoken = translator_of(made)
    assert all(spoken.say(words) for key in has for words in (tools[key].name, tools[key].why))
    assert not spoken.missing


def test_what_the_firm_lacks_of_them_is_bought_or_hired() -> None:
    made = designed("block-wall-house/job")
    lacks = made.job.equipment.model_copy(update={"lacks": ("plate compactor", "wet-film gauge", "thread tape")})
    site = replace(made.site, job=made.job.model_copy(update={"equipment": lacks}))
    lines = {line.key: line for line in build_side(site, made.system).takeoff.lines}
    assert [lines[key].source for key in ("thread-tape.each", "wet-film-gauge.each")] == ["buy", "buy"]
    assert (lines["hire.plate-compactor"].source, lines["hire.plate-compactor"].unit) == ("hire", "day")


def test_lines_say_whether_they_are_bought_or_hired() -> None:
    for line in took().lines:
        assert line.source == ("hire" if line.category == "hire" else "own" if line.key == "haul.load" else "buy")


@pytest.mark.parametrize("name", ["block-wall-house", "long-house", "two-basins"])
def test_a_reducer_and_an_adapter_say_what_they_go_to(name: str) -> None:
    """Nobody can order "one 4 in reducer": its other end has a size too."""
    design_ = design(read_job(EXAMPLES / name / "job.yaml"))
    named = [one for one in design_.system.fittings or () if one.kind in ("reducer", "adapter")]
    for line in design_.build.takeoff.lines:
        if line.key.startswith(("fitting.reducer.", "fitting.adapter.")):
            same = [one for one in named if key_of(one) == line.key]
            for one in same:
                assert one.other is not None
                assert f"to {nominal_words(one.other.nominal, design_.job.units)}" in line.description
            counts = [int(count) for count in re.findall(r"[,;] (\d+) to ", line.description)]
            assert not counts or sum(counts) == len(same)
    assert named


def test_the_tools_have_what_the_packet_asks_for() -> None:
    """Test plugs, a hose, a fence for the night, a level, a watch, a root saw, masks and trowels stood on no list."""
    house, lot = designed("block-wall-house/job"), designed("soak-lot/job")
    has = {tool.key: tool for tool in house.build.takeoff.tools}
    assert has["test plug"].count == 2 * sum(run.pressure for run in house.system.runs)
    assert has["ground-fault protector"].count == 2  # mixer and trench pump
    assert has["dust mask"].count == min(4, house.job.crew.size)
    assert has["trowel"].count == 3
    always = {"first-aid kit", "fire extinguisher", "night fence", "hose"}
    assert always | {"spirit level", "stop watch", "root saw"} <= has.keys()
    dry = {tool.key for tool in lot.build.takeoff.tools}
    assert always <= dry
    assert not dry & {"test plug", "stop watch", "dust mask", "trowel", "ground-fault protector"}
    assert ("root saw" in dry) == (lot.job.ground.roots != "none")
    spoken = translator_of(house)
    assert all(spoken.say(words) for tool in has.values() for words in (tool.name, tool.why))
    assert not spoken.missing


def test_ladders_at_once_are_fewer_than_the_digs_tell_only_where_that_is_said() -> None:
    """The safe-dig sheet had five, the list four: which one serves two digs stood nowhere."""
    for path in ("two-basins/job", "block-wall-house/job"):
        made = designed(path)
        told = sum(trench.ladders for trench in made.build.dig.trenches if trench.ladder)
        (ladder,) = (tool for tool in made.build.takeoff.tools if tool.key == "ladder")
        assert ladder.count <= told
        assert ("at once, moved with the people" in ladder.why) == (ladder.count < told)


def test_a_downspout_over_an_open_dig_has_a_temporary_leader_from_the_first_day() -> None:
    """DS1 and DS2 poured into the walls' digs in the first shower, the leaders being laid last of all."""
    made = designed("block-wall-house/job")
    tasks = {task.key: task for task in made.build.plan.tasks}
    assert made.build.dig.spouts == ("DS1", "DS2")
    assert "DS1 and DS2 led past the digs by a temporary leader" in tasks["set-up"].hold
    assert tasks["set-up"].start == 0.0
    has = {tool.key: tool for tool in made.build.takeoff.tools}
    assert has["temporary leader"].count == 2
    assert "cover sheet" in has
    assert "cover sheets at hand" in tasks["parge"].hold
    assert "cover sheets at hand" in tasks["coat-1"].hold
    digs = cuts(made.site, made.system)
    assert over_digs(made.site, [dig for dig in digs if dig.name == "north"]) == ()
    far = [replace(dig, area=translate(dig.area, 100.0)) for dig in digs]
    assert over_digs(made.site, far) == ()
