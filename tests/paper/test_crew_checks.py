"""Quality checkpoints come from the job's own works, with the design's limits; the packet has no page to spare."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest

from drainwright.build.coating import coated_walls
from drainwright.build.laying import HOSE_HEAD, TIGHT, hose_head
from drainwright.build.protection import UNSURE
from drainwright.build.trench import cuts
from drainwright.build.visits import LIVE
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.job.values import Basis
from drainwright.paper.documents.blocks import Bullets, Cell, Notice, Paragraph, Slots, Table
from drainwright.paper.documents.crew_basin import basin_blocks
from drainwright.paper.documents.crew_checks import DRY, _along_face, _bottom, check_blocks, checkpoints
from drainwright.paper.documents.crew_lists import cutting_blocks
from drainwright.paper.documents.crew_order import order_of_work
from drainwright.paper.documents.crew_places import soak_blocks
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.cut_sheets import cut_sheets, first_set_up, sheet_stations, wall_bottoms
from drainwright.paper.documents.day_words import visits_words
from drainwright.paper.documents.governing import run_rows
from drainwright.paper.documents.handover_built import built_blocks
from drainwright.paper.documents.hazards import holes_first, risk_rows, tight_footings
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.shield_paper import shield_blocks
from drainwright.paper.documents.storm_words import risk_blocks
from drainwright.paper.documents.told import crew_answers
from drainwright.system.outlets.ends import bare_length

from ..conftest import designed
from .papers import pages_of

JOBS = ("block-wall-house/job", "sloping-lot/job", "metric-basement/job", "two-basins/job", "soak-lot/job")


@pytest.mark.parametrize("path", JOBS)
def test_a_pressure_line_is_looked_at_under_pressure_before_it_is_covered(path: str) -> None:
    """It was buried days before the pump first ran: a joint that dripped was found by digging. And its far end was
    to be shut when the outlet was made already."""
    design = designed(path)
    tasks = {task.key: task for task in design.build.plan.tasks}
    held = [task for task in tasks.values() if TIGHT in task.hold]
    pumped = [run.name for run in design.system.runs if run.pressure]
    assert bool(held) == bool(pumped)
    high = Say(design.job.units).length(hose_head(design.system))
    for task in held:
        assert task.key.startswith("pipe")
        assert all(name in task.hold for name in pumped)
        assert f"{high} over its highest joint" in task.hold
        assert tasks["outlet"].start >= task.end
        assert tasks[task.key.replace("pipe", "backfill")].start >= task.end
    wanted = {what: (measure, limit) for what, measure, limit in checkpoints(design)}
    for name in pumped:
        measure, limit = wanted[f"Run {name}: bed and pipe"]
        assert measure.endswith("; joints, a plug at each end")
        assert f"before the outlet is made; water in the hose {high} over its highest joint" in limit
    heads = [station.operating_head for station in design.system.stations]
    assert hose_head(design.system) >= max([HOSE_HEAD, *heads])


@pytest.mark.parametrize("path", JOBS)
def test_each_run_and_basin_has_its_limits(path: str) -> None:
    design = designed(path)
    say = Say(design.job.units)
    found = {what: wanted for what, _, wanted in checkpoints(design)}
    for run in design.system.runs:
        wanted = found[f"Run {run.name}: bed and pipe"]
        assert say.level_number(run.invert_upper) in wanted
        assert say.level(run.invert_lower) in wanted
        assert (f"Run {run.name}: stone" in found) == (run.stone_width > 0)
        assert (DRY in wanted) == run.pressure
    for station in design.system.by_house:
        assert found[f"Basin {station.name} set"] == say.level(station.floor)
        emptied = found.get(f"Basin {station.name}: start-up")
        assert emptied == ("in and tamped before it is first pumped down" if station.uplift > 0 else None)
        on = say.small(station.float_levels["on"] - station.floor)
        assert f"{on} starts" in found[f"Basin {station.name}: pump"]
        if station.second_on is not None:
            second = say.small(station.float_levels["second on"] - station.floor)
            assert f"{second} second pump" in found[f"Basin {station.name}: pump"]
            assert f"'Second pump starts at', '{second}'" in repr(basin_blocks(design))
        assert "fall" not in found[f"Run {station.discharge_run}: bed and pipe"]  # it is pumped
    for soak in design.system.soaks:
        stone = sum(zone.volume for zone in design.build.takeoff.stone if zone.where == soak.name)
        assert f"'{say.bulk(stone)}, washed" in repr(soak_blocks(design))
        assert say.level(soak.bottom) in found[f"Soakaway {soak.name}"]
    assert [what for what in found if "pump" in what] == [f"Basin {s.name}: pump" for s in design.system.by_house]
    assert "Hose test" in found


def test_a_pumped_line_begins_at_its_pump() -> None:
    """DL1 of the two basins rises a little: its pump's end is the lower one."""
    made = designed("two-basins/job")
    said = repr(cut_sheets(made))
    assert "Stations from SUMP, the pump's end." in said
    assert "rises 0.04 %, pumped to DRIVE" in said


def test_a_work_tells_no_amount_of_nothing() -> None:
    for path in ("soak-lot/job", "two-basins/job"):
        amounts = [task.quantity for task in designed(path).build.plan.tasks]
        assert not [amount for amount in amounts if re.search(r"(^|, )0(\.0)? (yd³|at downspouts)", amount)], path


def test_a_grade_break_is_told_and_checked() -> None:
    """MD of the sloping lot changes its grade on the way: no paper tells one fall for all of it."""
    design = designed("sloping-lot/job")
    say, run = Say(design.job.units), design.system.run("MD")
    steep, flat = run.stretches
    assert steep.grade > 2 * flat.grade
    assert (steep.start, flat.end) == (0.0, run.length)
    assert steep.end == flat.start
    drop = steep.grade * steep.length + flat.grade * flat.length
    assert drop == pytest.approx(run.invert_upper - run.invert_lower, abs=1e-6)
    told = f"{say.grade(steep.grade)} for {say.length(steep.length)}, then {say.grade(flat.grade)}"
    assert say.falls(run) == told
    ((place, what),) = [one for one in sheet_stations(design, run) if "grade break" in one[1]]
    assert place.distance == flat.start
    assert what == "grade break"
    how, wanted = next((how, wanted) for what, how, wanted in checkpoints(design) if what == "Run MD: bed and pipe")
    assert "start, grade break and end" in how
    assert say.level_number(place.invert) in wanted
    assert say.laid(run) in wanted
    whole = say.grade(run.grade)
    for told_in in (built_blocks(design), cut_sheets(design), check_blocks(design), crew_answers(design)):
        assert whole not in repr(told_in)
        assert told in repr(told_in) or say.laid(run) in repr(told_in)
    fall, carries = next((row[2], row[4]) for row in run_rows(design) if row[0] == "MD")
    assert "the flattest governs" in fall
    assert say.fall(flat.grade) in fall
    assert say.flow(run.capacity) in carries


def test_cover_tells_the_end_that_comes_out_of_the_ground() -> None:
    """MD has too little cover, and its crown stands out of the lawn before its end: the finding says both."""
    design = designed("sloping-lot/job")
    say, run = Say(design.job.units), design.system.run("MD")
    (found,) = [one for one in design.findings if one.id == "NET-02" and one.where.endswith(".MD")]
    bare = bare_length(run)
    assert 2.0 < bare < run.length / 4
    assert run.stations[-1].cover < 0.0
    assert f"its crown stands out of the ground along its last {say.length(bare)}" in found.message
    (fall,) = [one for one in design.findings if one.id == "NET-01" and one.where.endswith(".MD")]
    assert say.falls(run) in fall.message


def test_a_trench_at_the_footing_s_bottom_has_a_test_hole_first() -> None:
    """The footings of the block-wall house are assumed, and the trench ends on their bottoms: told, and looked at."""
    design = designed("block-wall-house/job")
    tight = tight_footings(design)
    assert tight
    text = " ".join(str(part) for row in risk_rows(design) for part in row)
    assumed = [item for _, item in tight if item.wall.wall.footing_bottom.basis is Basis.ASSUMED]
    assert assumed
    assert all(item.corner in holes_first(design) for item in assumed)
    assert holes_first(design) in text
    run, least = min(tight, key=lambda one: one[1].margin)
    assert f"{run} at {least.corner}: level with it." in text
    fifth = next(answer for answer in design.answers if answer.number == 5)
    assert "ends level with the bottom of the" in fifth.answer  # "0 in over" it, once
    assert not re.search(r"(?<![\d/.-])0 in (over|below|above)", text + fifth.answer)
    assert "Dig a test hole at corner" in fifth.do


@pytest.mark.parametrize("path", [*JOBS, "wrong-choices/job", "wrong-choices/mended", "long-house/job"])
def test_a_footing_that_nobody_measured_is_a_caution_only_with_a_test_hole_before_any_trench(path: str) -> None:
    """29 CFR 1926.651(i): no digging below a footing's base unsupported. The hole is a hold point and a checkpoint."""
    design = designed(path)
    plan, say = design.build.plan, Say(design.job.units)
    blocks, _ = order_of_work(design)
    days, holds = (block for block in blocks if isinstance(block, Table) and block.columns[0].head in ("#", "Day"))
    told = [[cell if isinstance(cell, str) else cell.text for cell in row] for row in days.rows]
    waits = [[cell if isinstance(cell, str) else cell.text for cell in row] for row in holds.rows]
    unsure = {item.corner for _, item in tight_footings(design) if item.wall.wall.footing_bottom.basis in UNSURE}
    cautions = [one for one in design.findings if one.id == "FTG-02" and one.severity is Severity.CAUTION]
    assert bool(cautions) == bool(unsure)
    digs = [task for task in plan.tasks if task.key.startswith(("open", "trench"))]
    for corner in unsure:
        (row,) = [number for number, row in enumerate(told) if f": first of all test hole at {corner}" in row[0]]
        works = [number for number, row in enumerate(told) if row[1:] and row[1] in {task.title for task in digs}]
        assert row < min(works)
        (wait,) = [row for row in waits if row[2] == f"First test hole at {corner}"]
        assert int(wait[0]) == min(task.day for task in digs)
        trench = min(item.trench for _, item in tight_footings(design) if item.corner == corner)
        assert f"by rod: {say.level(trench)} or lower" in wait[3]
        assert (f"Test hole at {corner}", f"{say.level(trench)} or lower") in {
            (what, wanted) for what, _, wanted in checkpoints(design)
        }
    assert any("test hole" in row[0] for row in told) == bool(unsure)


@pytest.mark.parametrize("path", JOBS)
def test_who_else_must_come_stands_on_the_day_and_what_waits_for_it_is_held(path: str) -> None:
    design = designed(path)
    plan = design.build.plan
    blocks, _ = order_of_work(design)
    days, holds = (block for block in blocks if isinstance(block, Table) and block.columns[0].head in ("#", "Day"))
    told = [row[0] if isinstance(row[0], str) else row[0].text for row in days.rows]
    waits = [row[3] if isinstance(row[3], str) else row[3].text for row in holds.rows]
    found: dict[str, int] = {}
    for row in told:
        if row.startswith("Day "):
            day, comes = int(row.split()[1].rstrip(",:")), row.partition(". By today comes: ")[2]
            found |= {comes: day} if comes else {}
    assert found == {visits_words(plan.visits_on(visit.day)): visit.day for visit in plan.visits}
    spoken = translator_of(design)
    assert all(spoken.say(f"By today comes: {words}").startswith("Para hoy viene: ") for words in found)
    assert not spoken.missing
    assert (LIVE in waits) == bool(design.system.stations)


def test_a_trench_over_a_footing_that_nobody_measured_is_no_smaller_point() -> None:
    """The proposal once named it at the end of a list, after ten rows of others."""
    design = designed("block-wall-house/job")
    (table,) = [block for block in risk_blocks(design) if isinstance(block, Table)]
    titles = [cell if isinstance(cell, str) else cell.text for cell, *_ in table.rows]
    assert "Drain not below the footing" in titles[:3]


def test_no_coat_no_coat_checkpoint() -> None:
    assert not any("Wall" in what or "Parging" in what for what, _, _ in checkpoints(designed("soak-lot/job")))
    coated = [what for what, _, _ in checkpoints(designed("block-wall-house/job"))]
    assert [what for what in coated if "damp-proofing" in what] == [
        f"Wall {side}: damp-proofing" for side in ("west", "south", "east")
    ]
    assert "Parging: west, south and east" in coated
    assert not any(what.startswith("Parging") for what, _, _ in checkpoints(designed("metric-basement/job")))


def test_the_film_is_the_volume_bought_for_over_the_face() -> None:
    """Waterproofing at 20 ft²/gal: 1 gal is 231 in³ on 2880 in², 0.0802 in or 2.04 mm; the gallon's cubic inches are
    NIST Handbook 44, appendix C (from memory)."""
    wanted = {what: text for what, _, text in checkpoints(designed("metric-basement/job"))}
    assert "2.0 mm wet in all" in wanted["Wall north: waterproofing"]
    assert pytest.approx(2.04, abs=0.005) == 231 / (20 * 144) * 25.4


def test_slots_are_numbered_on_and_have_room_to_write() -> None:
    [slots] = [block for block in check_blocks(designed("sloping-lot/job")) if isinstance(block, Slots)]
    assert [slot.number for slot in slots.items] == [str(n) for n in range(1, len(slots.items) + 1)]
    assert len(slots.heads) == 4
    text = " ".join(pages_of(designed("sloping-lot/job"), "crew-packet"))
    for slot in slots.items:
        assert slot.what in text


def test_a_collar_is_checked_only_where_there_is_one() -> None:
    design = designed("block-wall-house/job")
    assert any(what.endswith(": collar") for what, _, _ in checkpoints(design))
    [station] = design.system.stations
    bare = replace(design, system=replace(design.system, stations=(replace(station, collar=0.0),)))
    assert not any(what.endswith(": collar") for what, _, _ in checkpoints(bare))


@pytest.mark.parametrize(("name", "most"), [("crew-packet", 23), ("crew-packet-es", 24)])
def test_the_packet_is_short_and_no_page_is_nearly_empty(name: str, most: int) -> None:
    """The block-wall house; its plan and the sections that it is built from come besides."""
    pages = pages_of(designed("block-wall-house/job"), name)
    assert len(pages) <= most
    assert min(len(page.split()) for page in pages[:-1]) > 90


def test_an_opened_wall_is_checked_by_what_can_be_measured(pumped: Design) -> None:
    """Where the dig ends above the footing's bottom, that bottom is in the ground: the dig's own is asked for."""
    say, spoken = Say(pumped.job.units), translator_of(pumped)
    [wall] = [coat for coat in coated_walls(pumped.site) if coat.wall.name == first_opened(pumped)]
    [cut] = [cut for cut in cuts(pumped.site, pumped.system) if cut.kind == "wall" and cut.name == wall.wall.name]
    higher = replace(cut, bottom=np.full_like(cut.bottom, wall.wall.footing_bottom + 0.1))
    at = replace(cut, bottom=np.full_like(cut.bottom, wall.wall.footing_bottom))
    measure, wanted = _bottom(wall, {wall.wall.name: higher}, say)
    assert "footing bottom by rod" not in measure
    assert wanted.startswith(f"{say.level(wall.wall.footing_bottom + 0.1)}, nothing dug below")
    assert _bottom(wall, {wall.wall.name: at}, say)[0].startswith("footing bottom by rod")
    for text in (measure, wanted):
        spoken.say(text)
    assert not spoken.missing


def first_opened(design: Design) -> str:
    return next(wall.name for wall in design.site.walls if wall.wall.open_and_coat)


def test_a_set_too_long_for_its_place_is_told(metric: Design) -> None:
    """Sets of 8 ft once guarded, on paper, bared lengths of 3 ft 6 in between earth that stands."""
    hire, say = metric.build.shields, Say(metric.job.units)
    assert hire is not None

    def told(set_length: float) -> list[str]:
        changed = replace(metric, build=replace(metric.build, shields=replace(hire, set_length=set_length)))
        [table] = [block for block in shield_blocks(changed, say) if isinstance(block, Table)]
        cells = [cell.text if isinstance(cell, Cell) else cell for row in table.rows for cell in row]
        assert sum("of sheeting" in text for text in cells) == len(sheeted)  # no set is told where none stands
        return [text for text in cells if "at most" in text]

    sheeted = [item for item in hire.places if item.bays]
    assert sheeted
    assert all(item.sets == 0 for item in sheeted)

    ended = [item for item in hire.places if not item.bays and (item.kind != "run" or item.where != item.trench)]
    assert told(min(item.length for item in ended) - 0.01) == []
    every = told(max(item.length for item in ended) + 0.01)
    assert every == [f"{item.sets} of {say.length(item.length)} at most" for item in ended]
    spoken = translator_of(metric)
    assert all("a lo más" in spoken.say(text) for text in every)
    assert not spoken.missing


def test_a_dig_by_hand_asks_for_no_shield_that_a_machine_must_set(metric: Design) -> None:
    """A basin dug by hand, where no machine can come, once asked for shields without a word of how they get in."""
    say, job = Say(metric.job.units), metric.job
    assert not job.equipment.excavator
    dug = replace(
        metric, job=job.model_copy(update={"equipment": job.equipment.model_copy(update={"excavator": True})})
    )

    def told(design: Design) -> list[str]:
        return [block.text for block in shield_blocks(design, say) if isinstance(block, Paragraph)]

    [words] = set(told(metric)) - set(told(dug))
    assert "two people carry and set from above" in words
    assert words.endswith("stop: nobody goes in.")
    spoken = translator_of(metric)
    assert "dos personas" in spoken.say(words)
    assert not spoken.missing


def test_no_layer_of_stone_is_none_of_it(metric: Design) -> None:
    """Gaps under a bed were told as 0.0 yd³, in place and as bought."""
    take = metric.build.takeoff
    one = take.stone[0]
    little = (replace(one, where="A", volume=0.003, bought=0.004), replace(one, where="B", height=0.0004))
    changed = replace(metric, build=replace(metric.build, takeoff=replace(take, stone=little)))
    table = next(
        block for block in cutting_blocks(changed) if isinstance(block, Table) and block.columns[0].head == "For"
    )
    [row] = table.rows
    assert row[-2:] == ("under 0.1 m³", "under 0.1 m³")
    assert translator_of(metric).say("under 0.1 m³") == "menos de 0.1 m³"


def test_deep_digs_without_shields_are_told_with_the_reason(pumped: Design) -> None:
    dig = pumped.build.dig
    one, *others = dig.trenches
    letters = replace(one, protection="house-foundation letters", judged=1.6)
    covered = replace(others[0], protection="slope or shield", judged=1.6, name="Z")
    changed = replace(
        pumped, build=replace(pumped.build, shields=None, dig=replace(dig, trenches=(letters, covered, *others[1:])))
    )
    [told] = shield_blocks(changed, Say(pumped.job.units))
    assert isinstance(told, Bullets)
    assert any(one.name in text and "letters of 1995" in text for text in told.items)
    assert any("No line of its own for Z" in text for text in told.items)


@pytest.mark.parametrize("path", ["block-wall-house/job", "metric-basement/job", "two-basins/job"])
def test_the_checkpoint_of_an_opened_wall_asks_the_levels_of_its_cut_sheet(path: str) -> None:
    """It asked up to the footing's top, where no drain lies past a corner: a dig 4 in too high passed the rod."""
    design = designed(path)
    digs = {cut.name: cut for cut in cuts(design.site, design.system) if cut.kind == "wall"}
    for coat in coated_walls(design.site):
        low, high = _along_face(coat, digs)
        rows = [bottom for _, _, bottom in wall_bottoms(design)[coat.wall.name]]
        assert min(rows) - 0.05 < low <= min(rows) + 0.005
        assert max(rows) - 0.005 <= high < max(rows) + 0.05  # the table goes half a step nearer to a free end


def test_the_bottom_of_an_opened_walls_dig_stands_on_a_cut_sheet(pumped: Design) -> None:
    """No cut sheet had it: the drain's begin where the wall's dig ends, and the bed there is dug days before."""
    say, line = Say(pumped.job.units), first_set_up(pumped)
    assert line is not None
    told = wall_bottoms(pumped)
    digs = {cut.name: cut for cut in cuts(pumped.site, pumped.system) if cut.wall is not None}
    assert told.keys() == digs.keys()
    (table,) = [block for block in cut_sheets(pumped) if isinstance(block, Table)][:1]
    said = [[cell if isinstance(cell, str) else cell.text for cell in row] for row in table.rows]
    for name, places in told.items():
        cut = digs[name]
        assert cut.wall is not None
        mine = [row for row in said if row[0] == name]
        assert len(mine) == len(places)
        for row, (tape, ground, bottom) in zip(mine, places, strict=True):
            assert row[4] == say.level_number(bottom)
            assert say.rod(line.instrument_height - bottom) in row
            assert bottom == pytest.approx(cut.bottom_at(np.array(tape.at)), abs=0.02)
            assert ground - bottom > 0
            assert bottom >= cut.wall.footing_bottom - 1e-9
    west = [round(bottom / 0.3048, 2) for _, _, bottom in told["west"]]
    assert west[0] == 97.6  # the footing's top, where the drain's bed lies higher
    assert min(west) < 97.45
    measured = {what: measure for what, measure, _ in checkpoints(pumped)}
    for name in told:
        assert measured[f"Wall {name}: opened, clean"].startswith("the dig's bottom by rod")


def test_holes_with_gaskets_are_not_cut_by_the_pipes_clearance(pumped: Design) -> None:
    """The listed saw cleared the pipe by 1/8 in, and the order had rubber gaskets for the same holes."""
    assert any(fit.kind == "gasket" for fit in pumped.system.fittings or ())
    told = [block.text for block in basin_blocks(pumped) if isinstance(block, Paragraph)]
    (text,) = [words for words in told if "gasket" in words]
    assert "often by about 1 in: read its sheet before a saw is bought" in text
    spoken = translator_of(pumped)
    assert "empaque" in spoken.say(text)
    assert not spoken.missing


def test_holes_too_close_together_are_not_cut_without_a_word() -> None:
    """Of two holes in CB3 of the long house, 1/8 in apart, the customer was told, the one with the saw was not."""
    found = basin_blocks(designed("long-house/job"))
    (notice,) = (block for block in found if isinstance(block, Notice))
    assert notice.items == ("The holes for L2 and YD2 come too close together in the wall of CB3.",)
    assert not any(isinstance(block, Notice) for block in basin_blocks(designed("block-wall-house/job")))
