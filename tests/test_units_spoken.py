"""A job in SI speaks SI wherever a person reads, and a job in US units speaks those.

What may stand in a metric job is listed: a pipe's nominal size before its DN, a tool's or ware's trade size in brackets
after its millimetres, horsepower in brackets after watts, and the titles of cited works. In a US job only the
worksheet's steps are in SI, with the job's unit in brackets.
"""

from __future__ import annotations

import dataclasses
import io
import re
from collections.abc import Iterator
from decimal import Decimal
from functools import cache
from typing import Literal

import openpyxl
import pytest

from drainwright import terminal, terminal_answers, terminal_check
from drainwright.build.book import book_for
from drainwright.build.model import PriceLine, TakeoffLine
from drainwright.build.price import cents
from drainwright.build.shown import shown
from drainwright.design import Design, design
from drainwright.job import read_job
from drainwright.paper.documents.worksheet_paper import in_job_units
from drainwright.paper.dxf import to_dxf
from drainwright.paper.order import order_workbook
from drainwright.sources import SOURCES, cite
from tests.conftest import EXAMPLES, designed
from tests.paper.papers import sheets_of, text_of

Units = Literal["US", "SI"]

_NUMBER = r"(?<![\w.])(?:\d[\d,.]*(?:[ -]\d+/\d+)?|\d+/\d+)"  # 12, 1,200.5, 1-1/2, 3/4
_US_WORD = (
    r"ft[²³]?|sq ft|cu yd|yd[²³]?|feet|foot|inch(?:es)?|in(?! the\b)|mi|miles?|gpm|gph|gal|gallons?|pints?|quarts?|"
    r"lbs?|tons?|acres?|pcf|psf|psi|tsf|hp|°F"
)
_US_SIGN = r"gpm|gph|ft²|ft³|yd²|yd³|°F|pcf|psf|\bft/s|\bin/h|\bin/ft|\bft/ft|\((?:ft|in|lb|gal)\)"
_SI_WORD = r"mm|cm|km|m[²³]?|metres?|L|litres?|kg|t|Pa|kPa|N|kN|W|kW|°C"
_SI_SIGN = r"m²|m³|\bL/s|\bL/min|\bmm/|\bm/s|\bkg\b|\bkN\b|\bkPa\b|°C|\((?:m|mm|kg|L)\)|, mm written"
FOREIGN = {
    "SI": re.compile(rf"{_NUMBER}[ -]?(?:{_US_WORD})(?!\w)|{_US_SIGN}"),
    "US": re.compile(rf"{_NUMBER} ?(?:{_SI_WORD})(?!\w)|{_SI_SIGN}"),
}
BESIDE_SI = re.compile(
    r"\b[\d/-]+ in (?=\(DN \d+\))"  # a pipe's nominal size
    r"|(?<= mm )\([\d/ -]+(?: to [\d/]+)? in\)"  # a trade size: drills, saws, stone, basins
    r"|(?<= W )\([\d/-]+ hp\)"  # a pump's label
)
OWN_WORDS = ("existing 4 in line to the street's storm line",)  # names that a person gave stand as they are
AS_TYPED = re.compile(r"(?<=for downspouts of )[\d×]+ (?:in|mm)")  # a downspout's size, by which it is bought
INSIDE = ("key", "unit", "nominal", "pipe", "discharge_size", "units")  # what the program keeps, and papers write anew
CITED = sorted(
    {text for key, work in SOURCES.items() for text in (cite(key), work.title, work.edition, work.where) if text},
    key=len,
    reverse=True,
)


def foreign(text: str, units: Units) -> list[str]:
    """What a text says in the other system, with its surroundings."""
    text = re.sub(r"\s+", " ", text.replace("\u200b", ""))
    text = re.sub(r"(?<=\d)- (?=\d)", "-", text)  # a page's line may end within 18-24
    for work in (*CITED, *OWN_WORDS):
        text = text.replace(work, "")
    text = AS_TYPED.sub("", text)
    if units == "SI":
        text = BESIDE_SI.sub("", text)
    return [text[max(0, hit.start() - 40) : hit.end() + 30] for hit in FOREIGN[units].finditer(text)]


def texts(value: object) -> Iterator[str]:
    """Every text of a result."""
    if isinstance(value, str):
        yield value
    elif dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            if field.name not in (*INSIDE, "job", "steps", "pump", "second", "storm"):
                yield from texts(getattr(value, field.name))
    elif isinstance(value, dict):
        for item in value.values():
            yield from texts(item)
    elif isinstance(value, list | tuple):
        for item in value:
            yield from texts(item)


@cache
def turned(path: str, units: Units) -> Design:
    """An example with its units turned round."""
    job = read_job(EXAMPLES / f"{path}.yaml")
    return designed(path) if job.units == units else design(job.model_copy(update={"units": units}))


@pytest.fixture(params=["metric-basement", "block-wall-house"])
def spoken(request: pytest.FixtureRequest) -> Design:
    return designed(f"{request.param}/job")


@pytest.mark.parametrize("text", [
    "12 ft", "3/4 in", "1-1/2 in pipe", "1,200 gal", "900 ft²", "10.5 yd³", "80 lb", "4x8 ft board of 8 ft", "110 pcf",
    "1/3 hp", "44 gpm", "50 °F", "2 pint", "5-gal pail", "Hole (in)", "6 in.", "11.8 ton", "0.5 in/h",
])  # fmt: skip
def test_us_units_are_seen(text: str) -> None:
    assert foreign(text, "SI")


@pytest.mark.parametrize("text", [
    "152 mm", "3.05 m", "10 m²", "8.0 m³", "749 L", "2.26 L/s", "36 kg", "10.7 t", "18 kN/m³", "1.76 m/s", "Hole (mm)",
    "10 °C", "249 W", "75 mm/h",
])  # fmt: skip
def test_si_units_are_seen(text: str) -> None:
    assert foreign(text, "US")


@pytest.mark.parametrize("text", [
    "4 in (DN 100) D2729 perforated", "hole 111 mm (4 3/8 in)", "3 to 6 mm (1/8 to 1/4 in)", "249 W (1/3 hp)",
    "811 in the United States", "9 inlets", "5 min", "3 feeds", "2 t of stone", "elbow 22-1/2°", "sits in a bed",
])  # fmt: skip
def test_what_is_listed_may_stand_in_a_metric_job(text: str) -> None:
    assert foreign(text, "SI") == []


@pytest.mark.parametrize("text", ["12 ft", "3 times", "5 min", "4 Watts Lane", "9 kinds", "2 Larch Way", "1 or more"])
def test_words_are_no_si_units(text: str) -> None:
    assert foreign(text, "US") == []


@pytest.mark.parametrize("units", ["US", "SI"])
@pytest.mark.parametrize("path", [
    "metric-basement/job", "block-wall-house/job", "sloping-lot/job", "wrong-choices/job", "wrong-choices/mended",
])  # fmt: skip
def test_notes_findings_answers_and_tasks(path: str, units: Units) -> None:
    """Each example in both systems, so that checks that fail speak too."""
    made = turned(path, units)
    said = [made.site.notes, made.inflows.notes, made.system, made.build, made.findings, made.answers]
    found = {hit for text in texts(said) for hit in foreign(text, units)}
    assert sorted(found) == []


def test_what_is_bought_is_shown_in_the_units_of_the_job(spoken: Design) -> None:
    units = spoken.job.units
    lines: tuple[TakeoffLine | PriceLine, ...] = (*spoken.build.takeoff.lines, *spoken.build.price.lines)
    for line in lines:
        quantity, unit = shown(line, units)
        assert foreign(f"1 {unit}", units) == []
        assert foreign(f"{line.description}: {quantity:g} {unit}", units) == []
    if units == "US":
        assert all(shown(line, units) == (line.quantity, line.unit) for line in lines)


def test_terminal(spoken: Design, capsys: pytest.CaptureFixture[str]) -> None:
    terminal_check.show_check(spoken.job, spoken.site)
    terminal.show_design(spoken, every=True)
    terminal_answers.show_answers(spoken.answers)
    said = capsys.readouterr().out
    assert len(said) > 10_000
    assert foreign(said, spoken.job.units) == []


@pytest.mark.parametrize(("path", "names"), [
    ("metric-basement/job", ("proposal", "crew-packet", "answers", "worksheet")),
    ("block-wall-house/job", ("proposal", "crew-packet", "answers")),  # the worksheet's steps are in SI
])  # fmt: skip
def test_documents(path: str, names: tuple[str, ...]) -> None:
    made = designed(path)
    for name in names:
        assert foreign(text_of(made, name), made.job.units) == [], name


def test_drawings(spoken: Design) -> None:
    for name, (_, svg) in sheets_of(spoken).items():
        said = " | ".join(re.findall(r">([^<>]+)<", svg))
        assert foreign(said, spoken.job.units) == [], name
    assert foreign(" | ".join(to_dxf(spoken).splitlines()), spoken.job.units) == []


def test_order(spoken: Design) -> None:
    """Only the column of units may name the one in which loose goods are sold, and then the job's beside it."""
    book = openpyxl.load_workbook(io.BytesIO(order_workbook(spoken)))
    for sheet in book.worksheets:
        for row in sheet.iter_rows(values_only=True):
            cells = [str(cell) for cell in row if cell is not None]
            cells = [re.sub(r"^(?:yd³|ft³|ft²|ft|gal|ton|lb) \((.*)\)$", r"\1", cell) for cell in cells]
            assert foreign(" | ".join(cells), spoken.job.units) == []


SOLD_BY = {"yd³": 0.764554857984, "ft²": 0.09290304, "ft": 0.3048, "gal": 3.785411784, "ton": 0.90718474}  # exact


def test_line_totals_stay_to_the_cent(metric: Design) -> None:
    """Bulk is ordered as it is sold, at the price that the book states, with the job's unit beside it."""
    sheet = openpyxl.load_workbook(io.BytesIO(order_workbook(metric)))["Order"]
    rows = {row[0]: row for row in sheet.iter_rows(min_row=7, values_only=True) if isinstance(row[4], int | float)}
    lines = [line for line in metric.build.price.lines if line.category != "labour"]
    assert len(rows) == len(lines)
    book = book_for(metric.job.price_book)
    own = {line.key for line in metric.build.takeoff.lines if line.own_price is not None}
    loose = 0
    for line in lines:
        row = rows[line.description]
        quantity, price = (Decimal(str(row[column])) for column in (4, 6))
        assert cents(quantity * price) == line.amount, line.description
        if line.key not in own:
            assert price == book.item(line.key).price, line.description
        if told := re.fullmatch(r"(\S+) \(([\d.]+) (\S+)\)", str(row[5])):
            unit, number, _ = told.groups()
            assert unit == line.unit
            assert float(quantity) * SOLD_BY[unit] == pytest.approx(float(number), abs=0.051)
            loose += 1
    assert loose >= 4


@pytest.mark.parametrize(("value", "unit", "said"), [
    (0.00279, "m³/s", "44.22 gpm"),  # 1 US gpm is 6.30901964e-5 m³/s
    (30.48, "m", "100.00 ft"),
    (0.0254, "m", "1.000 in"),
    (0.764554857984, "m³", "202.0 gal"),
    (7.64554857984, "m³", "10.00 yd³"),
    (0.09290304, "m²", "1.000 ft²"),
    (0.3048, "m/s", "1.000 ft/s"),
    (0.45359237, "kg", "1.000 lb"),
    (0.0, "m", "0 in"),
    (5.0, "s", ""),
    (70000.0, "Pa", "10.15 psi"),  # 1 psi is 6894.757 Pa
    (True, "m", ""),
    (None, "m", ""),
])  # fmt: skip
def test_a_worksheet_figure_has_the_jobs_unit(value: float | None, unit: str, said: str) -> None:
    """Exact factors of the international foot and pound and the US gallon (NIST SP 811, Appendix B; from memory)."""
    assert in_job_units(value, unit, "US") == said
    assert in_job_units(value, unit, "SI") == ""


def test_earth_stands_in_cubic_yards_however_little() -> None:
    """Nobody orders stone or hauls soil by the gallon."""
    yard = 0.764554857984
    assert in_job_units(yard / 10, "m³", "US", "V", "build.earth.trench_volume") == "0.1000 yd³"
    assert in_job_units(yard / 10, "m³", "US", "V", "hydraulics.wetwell.basin_volume") == "20.20 gal"


def test_conductivity_has_one_unit_in_a_job() -> None:
    """2 ft/day are 7.0556e-6 m/s, which as a speed of rain is 1 in/h."""
    speed = 2 * 0.3048 / 86400
    assert in_job_units(speed, "m/s", "US", "K") == "2.000 ft/day"
    assert in_job_units(speed, "m/s", "US", "i") == "1.000 in/h"


def test_the_us_worksheet_says_both(pumped: Design) -> None:
    said = text_of(pumped, "worksheet")
    pairs = [
        (trade, metric)
        for _, trade, metric in re.findall(r"(\w+) ([\d,.]+) gpm\. In SI: \1 = [^;]*? = ([\d.e-]+) m³/s", said)
    ]
    assert len(pairs) >= 10
    for trade, metric in pairs:
        assert float(trade.replace(",", "")) * 6.30901964e-5 == pytest.approx(float(metric), rel=1e-3)
    bore = r"diameter ([\d.]+) in: Q_full [\d,.]+ gpm\. In SI: Q_full = [^()]*\([^()]*\) × \(([\d.]+) m\)"
    bores = re.findall(bore, said)
    assert len(bores) >= 3
    for trade, metric in bores:
        assert float(trade) * 0.0254 == pytest.approx(float(metric), rel=1e-3)


def test_findings_write_small_lengths_as_the_papers_do() -> None:
    """Eighths of an inch, feet from two on; no tenths of an inch beside them, no 36.0 in beside 3 ft."""
    for name in ("block-wall-house/job", "sloping-lot/job", "wrong-choices/job"):
        found = designed(name)
        texts = [
            *(text for item in found.findings for text in (item.message, item.figure, item.limit, item.advice)),
            *(text for answer in found.answers for text in (answer.answer, answer.limit, answer.do)),
        ]
        for text in texts:
            assert not re.search(r"\d\.\d in\b(?! a|/)", text) or "rain" in text, text
            assert not re.search(r"\b0 in (UP|down)", text), text
