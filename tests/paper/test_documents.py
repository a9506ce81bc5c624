"""The documents say what the records say, and say it the same way each time."""

from __future__ import annotations

import dataclasses
import datetime
import io
import re

import pytest
from pypdf import PdfReader

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.job.values import Basis, Fact, Level
from drainwright.paper.documents import typeset
from drainwright.paper.documents.assumed_blocks import assumed_rows
from drainwright.paper.documents.blocks import (
    Block,
    Cell,
    Column,
    Document,
    Heading,
    Keep,
    Notice,
    Paragraph,
    Plate,
    Slot,
    Slots,
    Table,
)
from drainwright.paper.documents.cut_sheets import first_set_up
from drainwright.paper.documents.marks import leaned_on
from drainwright.paper.documents.say import Say, money, round_money
from drainwright.paper.documents.shell import NOT_READY, first_notices
from drainwright.paper.documents.storm_words import open_points, risk_blocks
from drainwright.paper.documents.typeset import SettingError, inputs, to_pdf
from drainwright.paper.documents.worksheet_paper import tidy
from drainwright.paper.documents.writing import papers_of
from drainwright.paper.storm_failures import failure_rows

from ..conftest import designed
from .papers import first_page_of, pages_of, pdf_of, sheets_of, text_of, tight

NAMES = (
    "water-analysis", "proposal", "crew-packet", "site-report", "worksheet", "answers", "answers-crew", "handover",
    "drawings", "drawings-crew",
)  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_each_paper_opens_and_names_its_job(pumped: Design, name: str) -> None:
    reader = PdfReader(io.BytesIO(pdf_of(pumped, name)))
    assert len(reader.pages) > 0
    assert reader.metadata is not None
    assert pumped.job.title in str(reader.metadata.title)
    assert "/StructTreeRoot" in reader.root_object, "a tagged PDF can be read aloud"
    assert reader.root_object["/Lang"] == "en"
    assert pumped.job.number in reader.pages[-1].extract_text()


@pytest.mark.parametrize("name", NAMES)
def test_equal_jobs_give_equal_bytes(pumped: Design, name: str) -> None:
    again = to_pdf(papers_of(pumped, sheets_of(pumped))[f"{name}.pdf"](), pumped.job.date)
    assert again == pdf_of(pumped, name)


@pytest.mark.parametrize("name", [name for name in NAMES if name.startswith("drawings")])
def test_a_set_of_drawings_is_its_sheets_and_no_page_more(pumped: Design, name: str) -> None:
    """The crew's set began with a page that had its title alone."""
    sheets = sheets_of(pumped)
    plates = [block for block in papers_of(pumped, sheets)[f"{name}.pdf"]().blocks if isinstance(block, Plate)]
    sizes = [page.mediabox[2:] for page in PdfReader(io.BytesIO(pdf_of(pumped, name))).pages]
    assert [(float(wide) * 25.4 / 72, float(high) * 25.4 / 72) for wide, high in sizes] == [
        (pytest.approx(plate.width, abs=0.1), pytest.approx(plate.height, abs=0.1)) for plate in plates
    ]


@pytest.mark.parametrize("name", [name for name in NAMES if not name.startswith("drawings")])
def test_pages_are_numbered(pumped: Design, name: str) -> None:
    pages = pages_of(pumped, name)
    assert f"page 1 of {len(pages)}" in pages[0]


def test_the_file_carries_the_date_of_the_visit(pumped: Design) -> None:
    reader = PdfReader(io.BytesIO(pdf_of(pumped, "answers")))
    assert reader.metadata is not None
    created = reader.metadata.creation_date
    assert created is not None
    assert created.date() == pumped.job.date


def test_a_warning_of_the_setter_is_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    document = _document(Paragraph(text="x"))
    template = inputs(document)["main.typ"]
    wrong = template.replace(b'"Source Sans Pro"', b'"No Such Font"')
    assert wrong != template
    monkeypatch.setattr(typeset, "_template", lambda: wrong)
    with pytest.raises(SettingError, match="no such font"):
        to_pdf(document, None)


def test_a_job_without_a_date_has_a_fixed_one() -> None:
    document = _document(Paragraph(text="x"))
    assert to_pdf(document, None) == to_pdf(document, datetime.date(2000, 1, 1))


def _document(*blocks: Block) -> Document:
    return Document(
        name="x", title="T", kind="Test", job="", author="", masthead=("F",), subject=(), paper="a4", size=10,
        invented=False, blocks=blocks,
    )  # fmt: skip


@pytest.mark.parametrize("many", [4, 5, 9])
def test_no_row_of_a_table_stands_alone_at_a_page_s_foot_or_head(many: int) -> None:
    """A cut sheet had its head and one row on one page and the rest overleaf; another its head alone."""
    columns = (Column(head="Station"), Column(head="Ground"))
    rows = tuple((f"row{number}", "x") for number in range(many))
    broken = 0
    for before in range(28, 46):
        filled = [Paragraph(text=f"line {number}") for number in range(before)]
        head = Keep(blocks=(Heading(text="Run", level=2), Paragraph(text="headed")), leads=True)
        document = _document(*filled, head, Table(columns=columns, rows=rows))
        pages = [page.extract_text() for page in PdfReader(io.BytesIO(to_pdf(document, None))).pages]
        counts = [sum(f"row{number}" in page for number in range(many)) for page in pages]
        assert 1 not in counts, (before, counts)
        assert counts[[("headed" in page) for page in pages].index(True)] >= 2, (before, counts)
        broken += len([count for count in counts if count]) > 1
    assert broken or many == 4, "some of them are broken over two pages"


# -- what fails stands first ---------------------------------------------------------------------------------


def test_what_fails_stands_on_the_first_page(wrong: Design) -> None:
    fails = {finding.id for finding in wrong.findings if finding.severity is Severity.FAILS}
    assert fails
    for name in ("proposal", "crew-packet", "worksheet", "answers"):
        first = first_page_of(wrong, name)
        assert NOT_READY in first
        assert [key for key in sorted(fails) if key not in first] == []


def test_a_sound_design_is_not_held_back(pumped: Design) -> None:
    sound = dataclasses.replace(
        pumped, findings=tuple(item for item in pumped.findings if item.severity is not Severity.FAILS)
    )
    assert not [block for block in first_notices(sound) if isinstance(block, Notice) and block.tone == "fails"]


def test_an_invented_job_says_so_everywhere(pumped: Design) -> None:
    assert pumped.job.demonstration
    for name in ("proposal", "crew-packet", "worksheet", "answers"):
        pages = pages_of(pumped, name)
        assert "Invented demonstration" in pages[0]
        assert all("invented demonstration" in page.lower() for page in pages)


# -- the proposal --------------------------------------------------------------------------------------------


def test_the_proposal_tells_work_price_and_terms(pumped: Design) -> None:
    text = text_of(pumped, "proposal")
    price, station = pumped.build.price, pumped.system.station
    assert station is not None
    assert "The price is fixed for the work described" in text
    assert round_money(price.low, "USD") not in text  # the firm's cushion is not the customer's
    assert f"Price: {money(price.total, 'USD')}" in first_page_of(pumped, "proposal")
    for words in (
        *(money(amount, "USD") for amount in (price.total, *(item.amount for item in pumped.build.payments))),
        price.deposit_rule,
    ):
        assert words in text
    say = Say(pumped.job.units)
    assert f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)} of head" in text
    for run in pumped.system.runs:
        assert run.name in text
        assert say.length(run.length) in text
    for wall in pumped.site.walls:
        if wall.wall.open_and_coat:
            assert say.length(wall.length) in text
    shown = " ".join(row.title.lower() for row in failure_rows(pumped))  # the page "If something breaks"
    for case in pumped.storm.cases[1:]:
        assert case.title.lower() in shown
        assert case.title in text_of(pumped, "worksheet")
    for symptom in pumped.job.symptoms:
        assert symptom.what in text
    for part in ("What this will not cure", "Not included", "Warranty", "Right to cancel", "Acceptance", "Customer:"):
        assert part in text
    assert " ".join(pumped.job.firm.warranty.split()) in text


def test_each_assumption_is_listed_as_such(pumped: Design) -> None:
    text, sheet = text_of(pumped, "proposal"), text_of(pumped, "worksheet")
    rows = [[cell.text if isinstance(cell, Cell) else cell for cell in row] for row in assumed_rows(pumped)]
    assert rows[0][0] == "Depth of a wall's footing: east", "the dearest first"
    assert rows[1][0] == "Rain of the place"
    assert all(row[0] in text for row in rows)
    assert all(item.what in sheet for item in leaned_on(pumped.job))


def test_what_does_not_bear_is_not_assumed(pumped: Design) -> None:
    """No soakaway, no rule of soakaways; no wall that stays closed. With a tree its roots' rule is told."""
    told = repr(assumed_rows(pumped))
    assert "soakaway" not in told
    assert not any(f"footing: {name}" in told or f"stands out: {name}" in told for name in ("north", "jog", "rear"))
    assert "roots" in told
    bare = dataclasses.replace(pumped, job=pumped.job.model_copy(update={"trees": []}))
    assert "roots" not in repr(assumed_rows(bare))


JARGON = (
    "pcf", "invert", "HGL", "EGL", "Manning", "Darcy", "Hazen", "Green and Ampt", "Curve number", "curve number",
    "slot formula", "tailwater", "time of concentration", "OSHA", "durations", "conductivity", "porosity",
    "Rational", "Notes of the design", "rules:", "hydraulic",
)  # fmt: skip


@pytest.mark.parametrize("name", ["pumped", "metric", "gravity"])
def test_the_proposal_speaks_no_jargon(name: str, request: pytest.FixtureRequest) -> None:
    text = text_of(request.getfixturevalue(name), "proposal")
    assert [word for word in JARGON if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text)] == []


def test_the_proposal_has_nine_pages_at_most(pumped: Design) -> None:
    assert len(PdfReader(io.BytesIO(pdf_of(pumped, "proposal"))).pages) <= 9


def test_ten_risks_at_most_and_the_answers_have_all(pumped: Design) -> None:
    table = next(block for block in risk_blocks(pumped) if isinstance(block, Table))
    assert len(table.rows) <= 10
    told = text_of(pumped, "answers")
    cells = [cell.text if isinstance(cell, Cell) else cell for row in open_points(pumped)[1].rows for cell in row]
    assert len(cells) > 3 * len(table.rows)
    assert all(tight(cell) in tight(told) for cell in cells)


def test_assumptions_are_written_in_the_job_s_units(pumped: Design, metric: Design) -> None:
    at_slab = Fact[Level](value=Level(offset=0.0, reference="SLAB"), basis=Basis.STATED)
    floor = pumped.job.model_copy(update={"house": pumped.job.house.model_copy(update={"floor": at_slab})})
    assert any(item.value == "at SLAB" for item in leaned_on(floor) if item.what == "floor")
    assert any(item.value == "8 in" for item in leaned_on(pumped.job) if "thickness" in item.what)
    assert any(item.value == "0.25 m" for item in leaned_on(metric.job) if "thickness" in item.what)
    assert {item.basis for item in leaned_on(pumped.job)} <= {Basis.ASSUMED, Basis.STATED}


# -- the crew packet -----------------------------------------------------------------------------------------


def test_rod_readings_are_the_instrument_less_the_invert(pumped: Design) -> None:
    line = first_set_up(pumped)
    assert line is not None
    assert line.instrument_height == pytest.approx(104.85 * 0.3048), "100.00 ft + 4.85 ft, from the job's level book"
    text = text_of(pumped, "crew-packet")
    assert "104.85 ft" in text
    for run in pumped.system.runs:
        for station in (run.stations[0], run.stations[-1]):
            feet = (line.instrument_height - station.invert) / 0.3048
            assert f"{feet:.2f}" in text


def test_the_crew_packet_has_all_its_sheets(pumped: Design) -> None:
    text = text_of(pumped, "crew-packet")
    for part in (
        "Two minutes before the first shovel", "Setting out by tape", "Order of work", "Cut sheets", "Basin SUMP",
        "Holes in basins", "Pick list", "Safe-dig sheet", "Quality checkpoints", "Photo", "Start-up readings",
    ):  # fmt: skip
        assert part in text
    for task in pumped.build.plan.tasks:
        assert task.title in text
    for utility in pumped.job.utilities:
        assert utility.name in text
        assert utility.shutoff in text or not utility.shutoff
    for hole in pumped.build.takeoff.holes:
        assert Say("US").small(hole.height) in text


def test_a_gravity_job_has_no_pump_pages(gravity: Design) -> None:
    assert gravity.system.station is None
    crew = text_of(gravity, "crew-packet")
    assert "Start-up readings" not in crew
    assert "Basin " + "SUMP" not in crew
    proposal = text_of(gravity, "proposal")
    assert "No pump" in proposal
    assert "Pump's duty" not in proposal
    assert "Pump starts" not in proposal


def test_a_metric_job_shows_no_feet(metric: Design) -> None:
    """Lengths, levels, flows and weights. Nominal sizes (4 in D2729) and trade packs are names of things to buy."""
    parts = ("Two minutes", "Setting out by tape", "Order of work", "Cut sheets", "Stations from", "Basin SUMP")
    pages = [page for page in pages_of(metric, "crew-packet") if any(part in page for part in parts)]
    assert len(pages) >= 6
    text = re.sub(r"[\d/-]+ in \(DN \d+\)|(?<=mm )\([\d /]+ in\)", "", " ".join(pages))
    assert re.findall(r"\d[\d.,/ ]* (?:ft|in(?! the\b)|gpm|gal|yd³|lb|ft²)\b", text) == []
    assert re.search(r"\d mm\b", text)
    assert re.search(r"\d m\b", text)


def test_paper_is_that_of_the_place(pumped: Design, metric: Design) -> None:
    us = PdfReader(io.BytesIO(pdf_of(pumped, "answers"))).pages[0].mediabox
    si = PdfReader(io.BytesIO(pdf_of(metric, "answers"))).pages[0].mediabox
    assert (round(us.width), round(us.height)) == (612, 792)
    assert (round(si.width), round(si.height)) == (595, 842)


def test_drawings_keep_their_true_size(pumped: Design) -> None:
    reader = PdfReader(io.BytesIO(pdf_of(pumped, "drawings")))
    sheets = [sheet for sheet, _ in sheets_of(pumped).values()]
    assert len(reader.pages) == len(sheets)
    for page, sheet in zip(reader.pages, sheets, strict=True):
        assert float(page.mediabox.width) == pytest.approx(sheet.width / 25.4 * 72, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(sheet.height / 25.4 * 72, abs=0.01)


# -- worksheet and answers -----------------------------------------------------------------------------------


def test_the_worksheet_has_each_formula_number_and_source(pumped: Design) -> None:
    text = text_of(pumped, "worksheet").replace(" ", "")
    assert pumped.steps
    for step in pumped.steps:
        assert step.card.title.replace(" ", "") in text
        if step.card.expression_kind == "formula":
            assert tidy(step.card.expression).replace(" ", "") in text
    for finding in pumped.findings:
        assert finding.id in text


def test_an_expression_is_printed_as_a_person_writes_it() -> None:
    assert tidy("10.67 * length * (flow / roughness) ** 1.852") == "10.67 × length × (flow / roughness)^1.852"


def test_a_figure_that_is_known_stands_once(pumped: Design) -> None:
    """A line that was seen was to be expected "7 in to 7 in" down; and "the first 1 are in the price"."""
    crew = text_of(pumped, "crew-packet")
    assert "X3 reclaimed main" in crew
    assert not re.search(r"(?<![\d/ ])(\d[\d /]* in) to \1(?![\d/])", crew)
    order = text_of(pumped, "change-order")
    assert order.count("photograph") == 1  # the word in each box is its own
    assert order.count("sketch") == 1
    assert "Buried line that nobody marked (the first is in the price)" in order
    assert "(the first 6 are in the price)" in order


def test_a_source_of_water_says_its_cause_once() -> None:
    design = designed("soak-lot/job")
    told = text_of(design, "permit-set") + text_of(design, "answers")
    assert "south-east roof" in told
    assert "yard east lawn" in told
    assert "roof south-east roof" not in told


def test_no_checkpoint_stands_alone_on_its_last_page() -> None:
    """The thirty-second checkpoint had a page to itself."""
    for many in range(17, 24):
        items = tuple(Slot(number=f"{n}", what=f"thing{n}.", measure="m", wanted="w") for n in range(many))
        document = _document(Slots(heads=("Before", "Wanted", "Value", "Photo"), items=items))
        pages = [page.extract_text() for page in PdfReader(io.BytesIO(to_pdf(document, None))).pages]
        counts = [sum(f"thing{n}." in page for n in range(many)) for page in pages]
        assert sum(counts) == many
        assert counts[-1] >= 3, counts
