"""What the papers must say, and must never say: safety, customer's words, one figure for one thing."""

from __future__ import annotations

import dataclasses
import itertools
import re
from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest

from drainwright.build.wording import barrow_rounds, money, round_money
from drainwright.design import Design
from drainwright.findings.places import leads_to, series
from drainwright.job.reading import read_job
from drainwright.job.values import Basis
from drainwright.paper.documents.blocks import Block, Facts, Keep, plain
from drainwright.paper.documents.customer import meaning
from drainwright.paper.documents.hazards import emergencies
from drainwright.paper.documents.marks import leaned_on
from drainwright.paper.documents.proposal_terms import exclusions
from drainwright.paper.documents.proposal_works import battery_facts, scope_blocks
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.storm_words import wet_corners
from drainwright.paper.drilling_sheet import drilling_drafts
from drainwright.paper.order_lists import taken_off
from drainwright.paper.setting_out import taped_places
from drainwright.paper.sheet import TextMark
from drainwright.water.model import Cause

from ..conftest import designed as whole
from .papers import text_of
from .sample import ROOT, designed

# -- safety --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("units", ["US", "SI"])
def test_no_emergency_sends_anyone_into_danger(units: str) -> None:
    """Untrained rescue digging and entering kill the rescuers: OSHA's advice, from memory."""
    say = Say(units)  # type: ignore[arg-type]
    call = "call 911" if units == "US" else "call the emergency number"
    lines = emergencies(say, basin=True)
    assert len(lines) == 5
    told = [f"{name}: {what}" for name, what in lines]
    for line in told:
        assert call in line.lower(), line
        for wrong in ("dig by hand from", "dig them", "jump", "pull", "climb in", "go in and"):
            assert wrong not in line.lower(), line
    collapse = told[0]
    for wanted in (
        "Everyone out",
        "away from the edge",
        "Nobody goes in",
        "nobody digs",
        "trench collapse",
        "trained rescue",
    ):
        assert wanted in collapse
    assert "911" not in str(emergencies(Say("SI"), basin=True))
    gas = told[1]
    assert gas.index("Leave at once") < gas.index(call)
    assert "From afar" in gas


def test_the_crew_packet_carries_the_emergencies(pumped: Design) -> None:
    text = text_of(pumped, "crew-packet")
    assert "Trench collapse Everyone out" in text
    assert "from the sides" not in text
    assert "Nobody enters to help" in text


def test_a_wall_that_may_be_opened_whole_is_said_so(pumped: Design) -> None:
    from drainwright.paper.documents.blocks import plain
    from drainwright.paper.documents.crew import crew_packet

    def words(panel: float) -> str:
        dig = dataclasses.replace(pumped.build.dig, wall_panel=panel)
        design = dataclasses.replace(pumped, build=dataclasses.replace(pumped.build, dig=dig))
        return str(plain(crew_packet(design, {})))

    whole, panels = words(0.0), words(2.4384)
    assert "may be opened whole" in whole
    assert "0 in of wall" not in whole
    assert "more than 0" not in whole
    assert "8 ft" in panels
    assert "opened whole" not in panels


# -- money ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("amount", "currency", "text"),
    [
        ("21271.99", "USD", "$21,271.99"), ("21271.99", "EUR", "21,271.99 EUR"), ("-5", "USD", "-$5.00"),
        ("0.005", "USD", "$0.01"), ("1234567.8", "CAD", "1,234,567.80 CAD"),
    ],
)  # fmt: skip
def test_money_has_its_currency(amount: str, currency: str, text: str) -> None:
    assert money(Decimal(amount), currency) == text


def test_a_band_is_rounded_to_ten() -> None:
    assert round_money(Decimal("19719.20"), "USD") == "$19,720"
    assert round_money(Decimal("22825"), "EUR") == "22,830 EUR"
    assert round_money(Decimal("999.4"), "USD") == "$999"


def test_no_paper_shows_an_amount_without_currency(pumped: Design) -> None:
    for name in ("proposal", "answers"):
        assert re.findall(r"(?<![\d$,])\d{1,3},\d{3}\.\d{2}\b", text_of(pumped, name)) == []
        assert money(pumped.build.price.total, "USD") in text_of(pumped, name)


# -- one figure for one thing --------------------------------------------------------------------------------


def test_barrow_rounds_are_those_of_the_dig(pumped: Design, metric: Design) -> None:
    for design in (pumped, metric):
        dig = design.build.dig
        out, back = barrow_rounds(dig, design.job.equipment)
        bought = dig.soil_rounds
        soil_in, soil = (f", {bought} of bought soil{end}" if bought else "" for end in (" in", ""))
        assert f"Barrow rounds: {out} of spoil out, {back} of stone in{soil_in}." in dig.notes
        words = f"{out} rounds of spoil, {back} of stone{soil}"
        for name in ("crew-packet", "answers"):
            assert words in text_of(design, name)
        assert f"{dig.barrow_rounds} barrow rounds" not in text_of(design, "answers")
        assert "Half barrows" not in text_of(design, "crew-packet")


def test_depths_of_digging_are_the_same_on_all_papers(pumped: Design) -> None:
    say = Say("US")
    proposal, crew = text_of(pumped, "proposal"), text_of(pumped, "crew-packet")
    for trench in pumped.build.dig.trenches:
        depth = say.dug(trench.depth_greatest)
        assert trench.depth_greatest - 1e-4 <= _feet(depth) * 0.3048 < trench.depth_greatest + 0.0255
        assert depth in crew
        if trench.kind == "wall":
            assert re.search(rf"\b{trench.name} [^.]*?{re.escape(depth)} ", proposal), trench.name
            wall = next(wall for wall in pumped.site.walls if wall.name == trench.name)
            assert say.level(wall.footing_bottom) in proposal


def _feet(text: str) -> float:
    numbers = re.fullmatch(r"(?:(\d+) ft)? ?(?:(\d+) in)?", text)
    assert numbers, text
    return int(numbers[1] or 0) + int(numbers[2] or 0) / 12


def test_only_water_that_enters_is_counted(pumped: Design) -> None:
    """The second downspout has its own line: it is named apart, and the sum is the basin's inflow."""
    station = pumped.system.station
    assert station is not None
    say, text = Say("US"), text_of(pumped, "proposal")
    items = pumped.inflows.contributions
    inside = [item for item in items if leads_to(pumped.system, item.entry, station.name)]
    apart = [item for item in items if item not in inside]
    assert [item.entry for item in apart] == ["DS2"]
    assert sum(item.flow for item in inside) == pytest.approx(station.inflow)
    roof = sum(item.flow for item in inside if item.cause is Cause.ROOF)
    assert f"the works must take: roof {say.flow(roof)}" in text
    assert f"by its own line, west hip at DS2, {say.flow(apart[0].flow)}" in text
    source = pumped.answers[3].answer
    assert f"into the works: roof {say.flow(roof)}" in source
    assert f"By its own line, and not counted: DS2 {say.flow(apart[0].flow)}" in source


# -- the customer's words ------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["pumped", "metric", "gravity", "wrong"])
def test_the_proposal_is_free_of_the_program_s_words(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    text = text_of(design, "proposal")
    for word in (
        "rain.file",
        "(mapped)",
        "utilities_absent",
        "price_book",
        "works.",
        "Give it more fall",
        "0 in towards",
    ):
        assert word not in text, word
    for finding in design.findings:
        told = meaning(finding)
        assert not re.search(r"\b\w+[._]\w+\b", told.rstrip(".")), told


def test_the_battery_that_is_paid_for_is_named_with_its_hours(pumped: Design) -> None:
    """The power cut's "named above" had nothing above it."""
    say, station = Say("US"), pumped.system.station
    assert station is not None
    assert station.study is not None
    unit = station.study.offered
    assert unit is not None
    assert battery_facts(station, say) == [], "the block wall house has none"
    given = dataclasses.replace(station, study=dataclasses.replace(station.study, unit=unit, offered=None))
    told = battery_facts(given, say)[0][1]
    assert told.startswith(f"{unit.capacity:g} Ah")
    wet, rain = (next(one for one in unit.hours if one.water == water) for water in ("wet season", "design rain"))
    assert f"{say.time(wet.seconds)} with the wet season's ground water alone" in told
    assert f"{say.time(rain.seconds)} with the water of the design rain" in told
    system = dataclasses.replace(pumped.system, stations=(given,))
    text = str(scope_blocks(dataclasses.replace(pumped, system=system)))
    assert text.index("Battery unit") < text.index("The battery unit named above works in that time.")
    weak = dataclasses.replace(station.study, unit=dataclasses.replace(unit, reaches=False))
    assert "does not lift" in battery_facts(dataclasses.replace(station, study=weak), say)[0][1]


def test_the_storm_says_where_water_stands(pumped: Design) -> None:
    text, say = text_of(pumped, "worksheet"), Say("US")
    dead = pumped.storm.case("pump dead")
    assert dead is not None
    assert dead.highest_at_house is not None
    deep = dead.nodes["CB1"].pond_depth
    assert deep > 0.05, "the demonstration job has water standing there"
    assert f"Water stands {say.deep(deep)} deep over CB1" in text
    gap = dead.slab_level - dead.highest_at_house
    assert f"The floor stays dry, by {say.deep(gap)}." in text
    corner = pumped.site.points["A"].level
    assert corner is not None
    assert wet_corners(pumped, corner + 0.02)[0][0] == "south-west corner (A)"
    assert wet_corners(pumped, corner - 1.0) == []
    assert "ABOVE it" not in text


def test_water_over_the_floor_is_no_swimming_pool(metric: Design) -> None:
    dead = metric.storm.case("pump dead")
    assert dead is not None
    assert dead.time_to_slab is not None
    text = text_of(metric, "worksheet")
    assert "Water outside would stand" in text
    assert "it comes in" in text
    assert "ABOVE it" not in text


def test_the_floor_is_always_its_top_or_its_underside(pumped: Design, metric: Design) -> None:
    for design in (pumped, metric):
        text = text_of(design, "proposal")
        for finding in design.findings:
            text = text.replace(finding.message, "")
        assert "Top of the" in text
        assert "underside of the floor" in text
        assert not re.search(r"(?:above|below) the floor\b(?!'s)", text)


def test_what_the_ground_water_rests_on_is_told(pumped: Design) -> None:
    """With no water table known the assumption, and with a rule of thumb that says more the lower bound, are told."""
    text = text_of(pumped, "proposal")
    after = text[text.index("What this proposal assumes") :]
    assert "comes on top" in after
    assert "Curve number" not in after
    job = read_job(ROOT / "examples" / "block-wall-house" / "job.yaml")
    ground = job.ground.model_copy(update={"water_table": None})
    from drainwright.design import design as design_of

    unknown = design_of(job.model_copy(update={"ground": ground}))
    text = text_of(unknown, "proposal")
    after = text[text.index("What this proposal assumes") :]
    assert "Nobody has found it." in after


def test_lengths_that_are_assumed_have_the_job_s_units(pumped: Design) -> None:
    for item in leaned_on(pumped.job):
        assert not re.fullmatch(r"-?[\d.]+ m", item.value), item
        assert item.basis in (Basis.ASSUMED, Basis.STATED)


def test_a_place_on_the_wall_s_line_is_said_so() -> None:
    from drainwright.paper.documents.cut_sheets import setting_out_blocks

    text = str([plain(block) for block in setting_out_blocks(designed("block-wall-house"))])
    assert "on the wall's line" in text
    assert not re.search(r"(?<![\d/.])0 (?:in|m) (?:towards|away)", text)


def test_a_place_past_a_corner_is_taped_from_the_first_corner() -> None:
    """The column is headed “From the first corner”: the length in it is from there, also past the other one."""
    from drainwright.paper.documents.cut_sheets import setting_out_blocks

    design = designed("block-wall-house")
    say, past = Say("US"), [item for item in taped_places(design) if item.along > item.length]
    assert past
    text = str([plain(block) for block in setting_out_blocks(design)])
    for item in past:
        over = say.length(item.along - item.length)
        assert f"{say.length(item.along)} from {item.start} ({over} past {item.end})" in text


@pytest.mark.parametrize("path", ["block-wall-house/job", "sloping-lot/job"])
def test_ground_water_in_the_digging_is_never_silently_left_out(path: str) -> None:
    """Where a finding says that water stands over a trench's bottom, the price says what of it is not in it."""
    design = whole(path)
    wet = [trench.name for trench in design.build.dig.trenches if trench.water > 0.0]
    said = [item for item in exclusions(design) if "ground water" in item]
    assert len(said) == 1
    assert all(name in said[0] for name in series(wet) if "–" not in name)
    assert any(tool.key == "trench pump" for tool in design.build.takeoff.tools)
    assert any(price.extra.what == "water" for price in design.build.unit_prices)
    dry = dataclasses.replace(
        design.build.dig, trenches=tuple(dataclasses.replace(one, water=0.0) for one in design.build.dig.trenches)
    )
    bare = dataclasses.replace(design, build=dataclasses.replace(design.build, dig=dry))
    assert not any("ground water" in item for item in exclusions(bare))


def test_a_basin_is_drilled_beside_its_hole_in_every_paper(pumped: Design) -> None:
    (work,) = [task for task in pumped.build.plan.tasks if task.key == "basin"]
    assert work.title == "Drill the basin beside its hole, lay the bed stone, set it"
    sheet = next(draft for draft in drilling_drafts(pumped))
    text = " ".join(mark.text for mark in sheet.marks if isinstance(mark, TextMark))
    assert "Stand the basin dry beside its hole" in text
    assert "Mark, drill, then set" in text
    assert "stands in its hole" not in text


# -- cutting list --------------------------------------------------------------------------------------------


def test_the_cutting_list_says_what_is_taken_off(pumped: Design, metric: Design) -> None:
    for design, reach, turns in ((pumped, "2 in past", "1"), (metric, "51 mm past", "0.30 m")):
        said = taken_off(design)
        assert reach in said[0]
        assert "Taken off: what fittings hold at the least" in said[1]
        assert turns in said[1]
    panel = Say("SI").length(metric.build.dig.wall_panel)
    (opened,) = [line for line in taken_off(metric) if "opened" in line]
    assert f"opened {panel} at a time (FD1)" in opened
    assert "no piece is longer than one opened length" not in opened  # the wall's own lengths are shorter than the most
    assert "#3 is the piece for length 3" in opened
    assert "Tape the opening before its piece is cut" in opened
    whole = dataclasses.replace(metric.build.dig, wall_panel=0.0)
    free = dataclasses.replace(metric, build=dataclasses.replace(metric.build, dig=whole))
    assert not [line for line in taken_off(free) if "opened" in line]


# -- cut sheets ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["pumped", "metric", "gravity"])
def test_a_cut_sheet_has_its_places_and_fits_a_page(name: str, request: pytest.FixtureRequest) -> None:
    from drainwright.paper.documents.cut_sheets import APART, HEAD, PAGE, sheet_stations

    design: Design = request.getfixturevalue(name)
    step = 1.524 if design.job.units == "US" else 1.5
    for run in design.system.runs:
        places = sheet_stations(design, run)
        distances = [place.distance for place, _ in places]
        assert distances == sorted(distances)
        assert distances[0] == 0.0
        assert distances[-1] == pytest.approx(run.length)
        assert len(places) <= PAGE - HEAD
        plain = [place.distance for place, what in places if not what]
        for at in plain:
            assert round(at / step) == pytest.approx(at / step)
            assert min(abs(at - other) for other in distances if other != at) >= APART - 1e-9
        for crossing in design.build.dig.crossings:
            if crossing.run == run.name and crossing.crossing:
                near = min(places, key=lambda item: abs(item[0].distance - crossing.station))
                assert crossing.utility in near[1]
        along = [station.distance for station in run.stations]
        for key in ("invert", "ground", "cut"):
            wanted = np.interp(distances, along, [getattr(station, key) for station in run.stations])
            assert [getattr(place, key) for place, _ in places] == pytest.approx(wanted)


@pytest.mark.parametrize("path", sorted(ROOT.glob("examples/*/[jm]*.yaml")), ids=lambda path: "-".join(path.parts[-2:]))
def test_printed_inverts_never_rise_on_a_line_that_falls_unless_the_check_says_so(path: Path) -> None:
    """The inverts are read as printed; where they rise, LFT-22 tells the dip and the sheet's head no one grade."""
    from drainwright.paper.documents.cut_sheets import cut_sheets, sheet_stations

    design = whole(f"{path.parent.name}/{path.stem}")
    say = Say(design.job.units)
    heads = [dict(block.items)["Fall"] for block in _flat(cut_sheets(design)) if isinstance(block, Facts)]
    for run, head in zip(design.system.runs, heads, strict=True):
        if run.invert_upper < run.invert_lower:
            continue
        printed = [float(say.level_number(place.invert)) for place, _ in sheet_stations(design, run)]
        rises = max(after - before for before, after in itertools.pairwise(printed))
        told = [item for item in design.findings if item.id == "LFT-22" and item.where == f"works.runs.{run.name}"]
        assert bool(told) == run.pressure
        dips = any(item.figure != "none" for item in told)
        assert (rises > 0.0) == dips, (run.name, printed)
        assert ("not at one grade" in head) >= dips


def _flat(blocks: Iterable[Block]) -> Iterator[Block]:
    for block in blocks:
        yield block
        if isinstance(block, Keep):
            yield from _flat(block.blocks)


def test_a_long_run_is_thinned_until_it_fits(pumped: Design) -> None:
    from drainwright.paper.documents.cut_sheets import HEAD, PAGE, sheet_stations

    run = pumped.system.runs[0]
    far = (run.route[0], (run.route[0][0] + 120.0, run.route[0][1]))
    ends = (run.stations[0], dataclasses.replace(run.stations[-1], distance=120.0))
    long = dataclasses.replace(run, name="LONG", route=far, length=120.0, stations=ends)
    places = sheet_stations(pumped, long)
    assert 12 < len(places) <= PAGE - HEAD
    gaps = {round(b[0].distance - a[0].distance, 3) for a, b in itertools.pairwise(places[1:-1])}
    assert gaps == {round(1.524 * 3, 3)} or gaps == {round(1.524 * 4, 3)}


def test_names_in_a_row_are_told_by_their_ends() -> None:
    assert series(["FD1", "FD2", "FD3", "YD5", "FD5", "west", "FD4"]) == ("FD1–FD5", "YD5", "west")
    assert series(["L2", "L1", "M10", "M9"]) == ("L1", "L2", "M9", "M10")
    assert series(["A01", "A02", "A03", "A01"]) == ("A01", "A02", "A03")
    assert series(["LA2", "LA", "LB", "LA3", "LB1", "LA"]) == ("LA", "LA2", "LA3", "LB", "LB1")  # LA was swallowed
    assert series([]) == ()
