"""What a paper cites as W 12 is step 12 of the worksheet, with the same value."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from drainwright.design import Design
from drainwright.errors import InputError
from drainwright.findings.model import Severity
from drainwright.paper.documents.blocks import Cell, Formula, Heading, Table, plain
from drainwright.paper.documents.worksheet_paper import FIGURED
from drainwright.paper.documents.writing import papers_of
from drainwright.quantities import parse
from drainwright.worksheet import _numbers, step_number

from ..conftest import designed
from .papers import sheets_of, text_of

JOBS = ("block-wall-house/job", "metric-basement/job", "sloping-lot/job")
CITED = re.compile(r"(-?\$?[\d,]*\.?\d+ ?[^\s(),;:]*(?: an hour)?) \(W (\d+)\)")
EVERY = re.compile(r"\bW (\d+)\b")
GRAVITY = 9.80665
KINDS = {"m³/s": "flow", "m/s": "speed", "m³": "volume", "m": "length", "s": "time", "1/h": "rate", "N": "mass"}
CITING = ("permit-set", "answers", "cost-sheet")


def words(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value.replace("\u200b", "")
    elif isinstance(value, dict | list):
        for item in value.values() if isinstance(value, dict) else value:
            yield from words(item)


def papers(design: Design) -> dict[str, str]:
    made = papers_of(design, sheets_of(design))
    return {name: "\n".join(words(plain(make().blocks))) for name, make in made.items()}


def shown(text: str, unit: str) -> tuple[float, float]:
    """The figure as printed and the worth of its last digit, in the unit of the step."""
    number = re.search(r"[\d,]*\.?\d+", text)
    assert number, text
    digits = number.group().replace(",", "")
    rest = text[number.end() :].strip()
    last = 10.0 ** -len(digits.partition(".")[2])
    if unit == "currency":
        return float(digits), last
    ending = "/h" if rest == "an hour" else rest
    kind = "intensity" if ending in ("in/h", "mm/h") else KINDS[unit.split(", ")[0]]
    if ending in ("ft", "m"):  # a pump's point is a flow and a head
        assert "m" in unit.split(", ")
        kind = "length"
    scale = {"1/h": 3600.0, "N": GRAVITY}.get(unit, 1.0)
    return tuple(parse(f"{one} {ending}", kind) * scale for one in (digits, f"{last:f}"))  # type: ignore[return-value]


@pytest.mark.parametrize("job", JOBS)
def test_every_citation_is_a_step_of_the_worksheet_with_its_value(job: str) -> None:
    design = designed(job)
    cited = {name: CITED.findall(text) for name, text in papers(design).items()}
    for name, found in cited.items():
        for text, number in found:
            assert 1 <= int(number) <= len(design.steps), f"{name}: {text} (W {number})"
            step = design.steps[int(number) - 1]
            printed, last = shown(text, step.card.units["result"])
            near = min(abs(printed - one) for one in _numbers(step.result))
            assert near <= 0.51 * last, f"{name}: {text} (W {number}), the step has {step.result}"
    assert len(cited["cost-sheet.pdf"]) == 2  # price by margin, and the deposit
    assert len(cited["permit-set.pdf"]) >= 3 * len(design.system.runs)


@pytest.mark.parametrize("job", JOBS)
def test_no_citation_escapes_the_check(job: str) -> None:
    design = designed(job)
    for name, text in papers(design).items():
        if name.removesuffix(".pdf") in CITING:
            bare = CITED.sub("", text)
            assert not EVERY.findall(bare), f"{name}: {EVERY.findall(bare)}"


def test_each_run_and_basin_has_its_steps(pumped: Design) -> None:
    text = papers(pumped)["permit-set.pdf"]
    assert text.count("(W ") == len(CITED.findall(text))
    for formula, value in (
        ("hydraulics.wetwell.basin_volume", pumped.system.stations[0].band_volume),
        ("hydraulics.pump.operating_point", pumped.system.stations[0].operating_flow),
        ("hydraulics.buoyancy.uplift_force", pumped.system.stations[0].uplift),
        ("water.ground.drain_inflow", next(c.flow for c in pumped.inflows.contributions if c.cause.value == "ground")),
    ):
        assert f"(W {step_number(pumped.steps, formula, value)})" in text


def test_a_value_that_no_step_gave_has_no_number(pumped: Design) -> None:
    assert step_number(pumped.steps, "hydraulics.openflow.full_flow", 123.0) is None
    with pytest.raises(InputError, match="a formula in the catalogue"):
        step_number(pumped.steps, "no.such", 1.0)


def test_the_worksheet_numbers_its_steps_and_lists_its_parts_with_pages(gravity: Design) -> None:
    text = text_of(gravity, "worksheet")
    assert "Other papers cite step 12 as W 12." in text
    assert re.search(r"Rain and runoff[ .]*\d+", text)


@pytest.mark.parametrize("paper", ["permit-set.pdf", "crew-packet.pdf"])
@pytest.mark.parametrize("job", JOBS)
def test_each_deep_trench_cites_the_steps_of_its_protection(job: str, paper: str) -> None:
    design = designed(job)
    text, deep = papers(design)[paper], [item for item in design.build.dig.trenches if item.ladder]
    assert deep or job == "sloping-lot/job"
    for item in deep:
        for formula, value in (("judged_depth", item.judged), ("ladder_way", item.ladder_way)):
            number = step_number(design.steps, f"build.protection.{formula}", value)
            assert number is not None
            assert f"(W {number})" in text
    told = [number for _, number in CITED.findall(text)]
    steps = [step for step in design.steps if step.formula.startswith("build.protection.")]
    assert {step.place.partition(".")[2] for step in steps} >= {item.name for item in deep}
    assert len(told) >= 2 * len(deep)


@pytest.mark.parametrize("job", ["long-house/job", "soak-lot/job", "block-wall-house/job"])
def test_the_worksheet_says_a_thing_once(job: str) -> None:
    """Forty trenches in ground water stood with the same nine lines of advice; a soakaway's rains stood six times."""
    design = designed(job)
    blocks = papers_of(design, {})["worksheet.pdf"]().blocks
    tables = [block for block in blocks if isinstance(block, Table)]
    [advice] = [table for table in tables if [column.head for column in table.columns][-1] == "What to do"]
    rows = [(row[0].text, row[3]) for row in advice.rows if isinstance(row[0], Cell)]
    assert len(set(rows)) == len(rows)
    told = " ".join(str(row[2]) for row in advice.rows)
    open_ = [item for item in design.findings if item.severity is not Severity.OK]
    assert open_
    for item in open_:  # in full, each sentence once; of many at which one figure says all, the place
        full = all(sentence in told for sentence in re.split(r"(?<=\.) (?=[A-Z])", item.message))
        assert full or (item.id in FIGURED and "all checks, below, have each figure" in told), item.message
    uses = [(block.title, use.where, use.text) for block in blocks if isinstance(block, Formula) for use in block.uses]
    soaked = [use for use in uses if use[0].startswith("Water level in a soakaway")]
    assert len(set(soaked)) == len(soaked)
    assert len(soaked) == sum(len(soak.storms) for soak in design.system.soaks)


def test_each_row_of_the_lines_that_a_pipe_meets_names_the_line(pumped: Design) -> None:
    """Rows told "13 1/4 in apart" and not from what."""
    met = [finding for finding in pumped.findings if finding.id == "DIG-01"]
    assert len(met) > 3
    lines = [line.name for line in pumped.job.utilities]
    assert all(any(name in finding.figure for name in lines) for finding in met)


@pytest.mark.parametrize("job", ["long-house/job", "soak-lot/job", "block-wall-house/job", "metric-basement/job"])
def test_parts_and_amounts_of_the_worksheet_are_named_as_they_are(job: str) -> None:
    """Grates stood under "Lift station" in jobs without a pump, amounts in "currency", shields at "Work: open-even"."""
    design = designed(job)
    blocks = papers_of(design, {})["worksheet.pdf"]().blocks
    heads = {block.text for block in blocks if isinstance(block, Heading)}
    assert ("Lift station" in heads) == bool(design.system.stations)
    assert not [head for head in heads if head.startswith("Work:")], "a work is headed by its title, not by its key"
    assert "Grates" in heads
    formulas = [block for block in blocks if isinstance(block, Formula)]
    told = " ".join(text for block in formulas for text in (block.units, *(use.text for use in block.uses)))
    assert "currency" not in told
    assert f" {design.build.price.currency}" in told


@pytest.mark.parametrize("job", ["long-house/job", "soak-lot/job", "block-wall-house/job", "metric-basement/job"])
def test_no_step_stands_again_for_a_trial_and_none_without_its_place(job: str) -> None:
    """Hours of shields stood once more for each way to dig; what ten grates take stood under the whole job, unnamed."""
    steps = designed(job).steps
    moving = [step for step in steps if step.formula == "build.hire_moving.moving_hours"]
    assert bool(moving) == (designed(job).build.shields is not None)
    assert len({(step.place, step.note) for step in moving}) == len(moving)
    assert {step.note for step in moving} <= {"shields", "bays of sheeting"}
    assert all("inlets." in step.place for step in steps if step.card.title.startswith("Inflow of a grate"))


def rows_of(design: Design, check: str) -> list[tuple[str, ...]]:
    """The rows of a check in the tables of the worksheet's findings."""
    blocks = papers_of(design, {})["worksheet.pdf"]().blocks
    rows = [row for block in blocks if isinstance(block, Table) for row in block.rows]
    told = [tuple(cell.text if isinstance(cell, Cell) else cell for cell in row) for row in rows]
    return [row for row in told if row[0] == check]


def test_what_was_found_at_many_places_is_told_once() -> None:
    """A page and a half of the long house told of ground water in forty trenches, each with the same two sentences."""
    design = designed("long-house/job")
    (wet,) = rows_of(design, "DIG-17")
    sure, _, bound = wet[2].partition("Ground water stands up to ")
    assert sure.count("Ground water stands") == 1
    assert "Ground water stands" not in bound
    places = {item.where.rpartition(".")[2] for item in design.findings if item.id == "DIG-17"}
    assert len(places) > 30
    assert "FD1–FD7" in sure
    assert "M6, M7" in bound
    assert bound.count("nobody measured how far") == 1
    (coat,) = rows_of(design, "FTG-05")
    assert coat[2].count("ground water stands") == 3
    assert coat[2].count("The coat alone does nothing lasting") == 1
    assert coat[2].endswith("the drain must work.")


@pytest.mark.parametrize("job", ["long-house/job", "metric-basement/job"])
def test_no_row_of_all_checks_stands_twice(job: str) -> None:
    """A run beside two footings had one figure twice, and nothing told which footing it was."""
    told = [(one.id, one.where, one.figure, one.limit) for one in designed(job).findings if one.id == "FTG-04"]
    assert told
    assert len(set(told)) == len(told)


def test_a_place_is_cited_by_its_whole_name() -> None:
    """Roof 1 was cited by the steps of roof 13, whose name begins with its own."""
    design = designed("long-house/job")
    for one in design.inflows.contributions:
        if one.cause.value != "roof":
            continue
        place = f"roofs.{one.source}"
        number = step_number(design.steps, "water.runoff.rational_flow", one.flow, place)
        assert number is not None
        assert design.steps[number - 1].place.split(",")[0].removeprefix(place)[:1] not in tuple("0123456789")
