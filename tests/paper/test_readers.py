"""What a round of figures means to each reader: crew, inspector, customer, next technician, the terminal."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator

import pytest

from drainwright.design import Design
from drainwright.paper.basin_notes import basin_notes
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Checks,
    Facts,
    Heading,
    Keep,
    Notice,
    Paragraph,
    Slots,
    Table,
)
from drainwright.paper.documents.crew_places import fitting_blocks, soak_blocks
from drainwright.paper.documents.cut_sheets import cut_sheets
from drainwright.paper.documents.proposal_terms import terms_blocks
from drainwright.paper.documents.worksheet_results import result_blocks
from drainwright.paper.documents.writing import papers_of
from drainwright.paper.pick import pick_list
from drainwright.paper.profile import profile_drafts, strip_of
from drainwright.paper.section import basin_drafts
from drainwright.paper.setting_out import taped_places
from drainwright.results import design_to_plain

from ..conftest import designed
from .papers import text_of


def said(blocks: tuple[Block, ...] | list[Block]) -> Iterator[str]:
    """Every text of some blocks."""
    for block in blocks:
        if isinstance(block, Keep):
            yield from said(block.blocks)
        elif isinstance(block, Heading | Paragraph):
            yield block.text
        elif isinstance(block, Facts):
            yield from (f"{name}: {text}" for name, text in (*block.items, *block.wide))
        elif isinstance(block, Bullets | Checks):
            yield from block.items
        elif isinstance(block, Notice):
            yield from (block.title, block.text, *block.items)
        elif isinstance(block, Slots):
            yield from (f"{item.what}: {item.measure}: {item.wanted}" for item in block.items)
        elif isinstance(block, Table):
            for row in block.rows:
                yield " | ".join(cell.text if isinstance(cell, Cell) else cell for cell in row)


def text(blocks: tuple[Block, ...] | list[Block]) -> str:
    return "\n".join(said(blocks))


@pytest.fixture(scope="module")
def house() -> Design:
    return designed("block-wall-house/job")


@pytest.fixture(scope="module")
def lot() -> Design:
    return designed("soak-lot/job")


def drawn(design: Design) -> str:
    return " ".join(mark.text for draft in basin_drafts(design) for mark in draft.marks if hasattr(mark, "text"))


def test_floats_stand_on_one_mark_everywhere(house: Design) -> None:
    """The drawing showed the levels as reckoned, the crew's sheet those of the tape."""
    station = house.system.station
    assert station is not None
    assert station.line is not None
    assert any(abs(mark.moved) > 1e-4 for mark in station.line.floats.marks)  # else this tells nothing
    assert station.float_levels["on"] == pytest.approx(station.floor + station.line.floats.of("on").above_floor)  # type: ignore[union-attr]
    bare = dataclasses.replace(station, line=None, second_on=station.on + 0.1)
    assert bare.float_levels == {"off": bare.off, "on": bare.on, "second on": bare.second_on, "alarm": bare.alarm}
    assert "pump starts 2 ft 2 1/2 in" in drawn(house)
    crew = text(papers_blocks(house, "crew-packet.pdf"))
    proposal = text(papers_blocks(house, "proposal.pdf"))
    assert "Pump starts | 2 ft 2 1/2 in" in crew
    assert "Starts at | 2 ft 2 1/2 in" in crew
    assert "pump starts 2 ft 2 1/2 in" in proposal


def papers_blocks(design: Design, name: str) -> tuple[Block, ...]:
    return papers_of(design, {})[name]().blocks


def test_fittings_by_place_leave_none_out(house: Design) -> None:
    fits = [fit for fit in house.system.fittings or () if fit.kind != "gasket"]
    rows = next(block.rows for block in fitting_blocks(house) if isinstance(block, Table))
    told = 0
    for row in rows:
        for part in str(row[2]).split("; "):
            times, _, rest = part.partition(" × ")
            told += int(times) if rest else 1
    assert told == len(fits)
    cleanouts = [place for place in house.system.cleanouts if place.fitted and place.distance > 0]
    assert cleanouts
    assert sum("tee, on its back" in str(row[2]) for row in rows) == len(cleanouts)
    assert "at F" in [row[1] for row in rows]  # FD1's free upper end
    assert fitting_blocks(dataclasses.replace(house, system=dataclasses.replace(house.system, fittings=()))) == ()


def test_cut_sheet_says_which_way_it_falls_and_which_fabric(house: Design) -> None:
    words = text(cut_sheets(house))
    assert "Fall: 1.04 % (1/8 in/ft), down from F to SUMP" in words
    assert "pumped to OUT" in words
    assert "apparent opening 0.0098 in (No. 60 sieve) or finer, not under 0.0059 in" in words
    assert "bend, cleanout" in words
    (fabric,) = [pick for pick in pick_list(house) if pick.category == "fabric"]
    assert "permittivity" in fabric.description


def test_crew_gets_the_soakaway(lot: Design) -> None:
    (soak,) = lot.system.soaks
    far = next(place for place in taped_places(lot) if place.name == "SOAK far end")
    assert math.dist(far.at, soak.at) == pytest.approx(soak.length, rel=0.02)
    words = text(soak_blocks(lot))
    assert "44 ft long, 2 ft wide, bottom level" in words
    for level in (soak.ground, soak.top, soak.invert, soak.bottom):
        assert f"{level / 0.3048:.2f} ft" in words
    assert "Too much water: goes to SWALE" in words
    crew = text(papers_blocks(lot, "crew-packet.pdf"))
    assert "levels of bottom and stone, before the fabric is closed" in crew
    assert "soakaway" in crew
    assert "basin and holes" not in crew
    assert "fresh coat" not in crew  # no wall is coated here


def test_several_wells_are_set_out_each(lot: Design) -> None:
    (soak,) = lot.system.soaks
    ring = ((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0))
    there = tuple((x + 6.0, y + 1.0) for x, y in ring)
    wells = dataclasses.replace(soak, kind="dry well", count=2, outlines=(ring, there))
    places = {
        place.name: place.at
        for place in taped_places(dataclasses.replace(lot, system=dataclasses.replace(lot.system, soaks=(wells,))))
    }
    assert places["SOAK well 2"] == pytest.approx((7.0, 2.0))
    assert "SOAK far end" not in places


def test_profiles_tell_the_water(house: Design) -> None:
    words = " ".join(mark.text for draft in profile_drafts(house) for mark in draft.marks if hasattr(mark, "text"))
    for part in ("water ft", "in stone ft", "water at CB1 10 3/8 in below the rim", "cleanout", "water in the stone"):
        assert part in words
    run = house.system.run("FD1")
    strip = strip_of(house, run, 240.0)
    dry = dataclasses.replace(strip, run=dataclasses.replace(run, stone_water=tuple(s.water for s in run.stations)))
    assert (strip.in_stone, strip.rows, dry.in_stone, dry.rows) == (True, 7, False, 6)
    assert strip_of(house, house.system.run("DL"), 240.0).rows == 5


def test_results_tell_places_stations_and_proof(house: Design, lot: Design) -> None:
    words = text(result_blocks(house))
    water = house.system.water["CB1"]
    assert f"CB1 | {water.level / 0.3048:.2f} ft | {water.rim / 0.3048:.2f} ft | 10 3/8 in | no | entrance" in words
    assert "Worn, 15 % of its head gone" in words
    assert "Surge, sudden stop" in words
    assert "1 of 2 | 1 of 2" in words
    assert "| 0.00 % | nothing" in words
    words = text(result_blocks(lot))
    assert "Fills most in: the 10-year rain of 60 min" in words
    assert "OF1 | CB1 to SWALE" in words


def test_results_tell_what_runs_on(house: Design) -> None:
    water = house.system.water["CB1"]
    assert water.grate is not None
    grate = dataclasses.replace(water.grate, carried=0.001, to="inlet", name="CB2")
    over = dataclasses.replace(water, grate=grate, level=water.rim + 0.0254)
    system = dataclasses.replace(house.system, water={**house.system.water, "CB1": over})
    words = text(result_blocks(dataclasses.replace(house, system=system)))
    assert "15.9 gpm to CB2" in words
    assert "1 in OVER" in words


def test_every_proof_is_in_the_results(house: Design) -> None:
    plain = design_to_plain(house)["system"]
    assert [set(item["lines"]) for item in plain["gradings"]] == [{"FD1", "FD2", "YD1", "L1", "YD2"}]
    assert plain["gradings"][0]["gap"] == pytest.approx(0.0, abs=1e-6)
    for key in ("water", "fittings", "cleanouts", "overflows", "soaks", "outfalls", "clashes", "sections", "mains"):
        assert key in plain
    assert plain["stations"][0]["study"]["season"]["starts"] > 0
    assert plain["stations"][0]["line"]["surge"]["sudden"] > 0


def test_customer_reads_what_bears(house: Design, lot: Design) -> None:
    words = text(papers_blocks(house, "proposal.pdf"))
    assert "Downspouts it can take: 1 of 2 in the 2-, 5- and 10-year rain, none in the 25- and 100-year rain" in words
    assert "Power out for 4 h at the worst moment, from " in words
    assert " into the storm: the floor stays dry." in words
    assert "What the place must be asked | " not in words  # it has a list of its own, to tick
    assert "Electrical permit" in words
    assert "pump's circuit" in text(terms_blocks(house))
    dry = text(terms_blocks(lot))
    for part in ("pump's circuit", "coatings cure", "wall that is being opened", "treated walls"):
        assert part not in dry
    assert "What it cannot take then runs to SWALE." in text(papers_blocks(lot, "proposal.pdf"))


def test_next_technician_reads_the_year(house: Design) -> None:
    station = house.system.station
    assert station is not None
    marks = basin_notes(house, station, 0.0, 200.0, 90.0)
    words = " ".join(mark.text for mark in marks if hasattr(mark, "text"))
    for part in ("Over the year", "149 kWh", "starts in such a day", "2.0 h"):
        assert part in words


def test_a_proposal_does_not_promise_and_deny_the_same() -> None:
    """Four walls had the same sentence of one price four times; a downspout was taken here and not there."""
    words = " ".join(text_of(designed("metric-basement/job"), "proposal").split())
    assert words.count("Its price is on the proposal's first page") == 1
    mixed = " ".join(text_of(designed("block-wall-house/job"), "proposal").split())
    assert mixed.count("Its price at the south, east and north walls is on the proposal's first page.") == 1
    assert mixed.count("Why it cannot be priced yet at the west, jog and rear walls is on the proposal's") == 1
    assert "one pump alone at the rain's peak, 1.2 times over, nothing stored" in words
    assert "but in a storm only a part of what comes" in words
    assert "is enough" not in words
