"""The files: whole, repeatable, nothing else touched; the order and the calendar."""

from __future__ import annotations

import csv
import dataclasses
import datetime
import io
import itertools
import json
import re
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest

from drainwright.build.locates import working_day
from drainwright.build.model import TakeoffLine
from drainwright.build.price import cents
from drainwright.build.uses import task_of
from drainwright.design import Design
from drainwright.job.reading import read_job
from drainwright.paper import write_papers
from drainwright.paper.calendar import escape, reminders
from drainwright.paper.documents import writing
from drainwright.paper.documents.crew_basin import clock_face
from drainwright.paper.documents.day_words import date_words, visits_words
from drainwright.paper.documents.writing import write_file
from drainwright.paper.order import order_workbook
from drainwright.paper.order_csv import cell, order_csv
from drainwright.paper.pick import pick_list

EXPECTED = {
    "proposal.pdf", "crew-packet.pdf", "crew-packet-es.pdf", "site-report.pdf", "worksheet.pdf", "answers.pdf",
    "drawings.pdf", "drawings-crew.pdf",
    "change-order.pdf", "cost-sheet.pdf", "permit-set.pdf",
    "place-sheet.pdf", "water-analysis.pdf", "answers-crew.pdf", "handover.pdf",
    "plan.svg",
    "ground.svg", "basin.svg",
    "drawing.dxf", "profiles.dxf", "sections.dxf", "order.xlsx", "order.csv", "results.json",
    "job.json", "reminders.ics",
}  # fmt: skip


@pytest.fixture(scope="module")
def written(pumped: Design, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("papers") / "new" / "folder"
    told: list[tuple[str, float]] = []
    files = write_papers(pumped, folder, lambda name, share: told.append((name, share)))
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    assert {path.name for path in files} <= {name for name, _ in told}
    assert sorted(path.name for path in files) == sorted(path.name for path in folder.iterdir())
    return folder


def test_everything_is_written(written: Path, pumped: Design) -> None:
    names = {path.name for path in written.iterdir()}
    assert names >= EXPECTED
    assert any(name.startswith("profiles") for name in names)
    assert all(path.stat().st_size > 100 for path in written.iterdir())
    results = json.loads((written / "results.json").read_text(encoding="utf-8"))
    assert results["job"]["title"] == pumped.job.title


def test_the_job_can_be_read_back(written: Path, pumped: Design) -> None:
    assert read_job(written / "job.json") == pumped.job


def test_equal_designs_give_equal_files(written: Path, pumped: Design, tmp_path: Path) -> None:
    for path in write_papers(pumped, tmp_path):
        assert path.read_bytes() == (written / path.name).read_bytes(), path.name


def test_a_gravity_job_has_no_pump_files(gravity: Design, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("kept", encoding="utf-8")
    (tmp_path / "order.xlsx").write_text("old", encoding="utf-8")
    names = {path.name for path in write_papers(gravity, tmp_path)}
    assert not names & {"basin.svg", "pump.svg"}
    assert "reminders.ics" not in names, "no first day is set"
    assert (tmp_path / "mine.txt").read_text(encoding="utf-8") == "kept"
    assert (tmp_path / "order.xlsx").read_bytes()[:2] == b"PK"


def test_a_broken_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_file(tmp_path, "a.txt", b"old")

    def refuse(*_: object) -> None:
        raise OSError("disk full")

    monkeypatch.setattr(writing.os, "replace", refuse)
    with pytest.raises(OSError, match="disk full"):
        write_file(tmp_path, "a.txt", b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]
    assert (tmp_path / "a.txt").read_bytes() == b"old"


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError])
def test_what_stops_the_writing_leaves_the_old_folder(
    pumped: Design, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: type[BaseException]
) -> None:
    """Stopped at the seventh file of a folder with an older set: each old file is there, and no new one."""
    old = {"proposal.pdf": b"old one", "order.xlsx": b"old two", "mine.txt": b"kept"}
    for name, content in old.items():
        (tmp_path / name).write_bytes(content)
    real, count = writing.write_file, 0

    def interrupted(folder: Path, name: str, content: bytes) -> Path:
        nonlocal count
        count += 1
        if count == 7:
            raise stop("stopped")
        return real(folder, name, content)

    monkeypatch.setattr(writing, "write_file", interrupted)
    with pytest.raises(stop):
        writing.write_all(tmp_path, {f"{n}.svg": b"new" for n in range(5)} | {"proposal.pdf": b"n", "order.xlsx": b"n"})
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == old


def test_nothing_is_written_before_all_is_made(pumped: Design, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "plan.svg").write_bytes(b"old")

    def interrupted(design: Design) -> bytes:
        raise KeyboardInterrupt

    monkeypatch.setattr(writing, "_job", interrupted)
    with pytest.raises(KeyboardInterrupt):
        write_papers(pumped, tmp_path)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"plan.svg": b"old"}


def test_a_folder_that_cannot_be_made_is_an_os_error(pumped: Design, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("a file", encoding="utf-8")
    with pytest.raises(OSError, match="taken"):
        write_papers(pumped, tmp_path / "taken")


# -- the order -----------------------------------------------------------------------------------------------


def test_line_totals_are_formulas_with_their_values(pumped: Design) -> None:
    content = order_workbook(pumped)
    formulas = openpyxl.load_workbook(io.BytesIO(content))["Order"]
    values = openpyxl.load_workbook(io.BytesIO(content), data_only=True)["Order"]
    amounts = {line.key: line.amount for line in pumped.build.price.lines if line.category != "labour"}
    found = 0
    for row in formulas.iter_rows(min_row=7):
        text = str(row[7].value)
        if text.startswith("=ROUND"):
            found += 1
            at = row[7].row
            product = Decimal(str(row[4].value)) * Decimal(str(row[6].value))
            assert values.cell(at, 8).value == pytest.approx(float(round(product, 2)), abs=0.0051)
    assert found == len(pumped.build.takeoff.lines)
    last = values.cell(_row_of(values, "All together"), 8).value
    total = sum(line.amount for line in pumped.build.price.lines if line.category != "labour")
    assert amounts
    assert last == pytest.approx(float(total), abs=0.02 * found)


def _row_of(sheet: openpyxl.worksheet.worksheet.Worksheet, text: str) -> int:
    return next(row[0].row for row in sheet.iter_rows() if row[0].value == text)


def test_the_order_prints_on_the_paper_of_the_place(pumped: Design, metric: Design) -> None:
    for made, code in ((pumped, 1), (metric, 9)):
        book = openpyxl.load_workbook(io.BytesIO(order_workbook(made)))
        assert book.sheetnames == ["Order", "Pick list", "Holes", "Cutting list", "Stone", "Fabric", "Tools"]
        for sheet in book.worksheets:
            assert sheet.page_setup.paperSize == code
            assert sheet.print_title_rows
            assert sheet.freeze_panes == "A7"
        assert book.properties.created is not None
        assert book.properties.created.date() == made.job.date


def test_holes_are_in_the_units_of_the_job(pumped: Design, metric: Design) -> None:
    for made, unit, factor in ((pumped, "in", 0.0254), (metric, "mm", 0.001)):
        sheet = openpyxl.load_workbook(io.BytesIO(order_workbook(made)))["Holes"]
        assert sheet["D6"].value == f"Hole ({unit})"
        holes = made.build.takeoff.holes
        assert sheet.max_row == 6 + len(holes)
        for row, hole in enumerate(holes, start=7):
            assert sheet.cell(row, 4).value == pytest.approx(hole.diameter / factor, abs=0.002)
            assert sheet.cell(row, 6).value == pytest.approx(hole.height / factor, abs=0.006)


@pytest.mark.parametrize(
    ("hours", "face"), [(12.0, "12:00"), (0.5, "12:30"), (3.0, "3:00"), (10.12, "10:07"), (11.9999, "12:00")]
)
def test_a_clock_face_reads_as_a_clock(hours: float, face: str) -> None:
    assert clock_face(hours) == face


def test_things_are_picked_for_the_day_of_their_work(pumped: Design) -> None:
    days = {task.key: task.day for task in pumped.build.plan.tasks}
    picks = pick_list(pumped)
    assert len(picks) == len(pumped.build.takeoff.lines)
    assert [pick.day for pick in picks] == sorted(pick.day for pick in picks)
    by_key = {pick.key: pick.day for pick in picks}
    assert by_key["stone.57"] == min(days["basin"], days["bed"])  # its bed comes before the pipe, and before the basin
    assert days["bed"] <= days["pipe"] <= days["stone"]
    assert by_key["parge.bag"] == days["parge"]
    assert by_key["catch-basin.12in"] == days["inlets"]
    assert by_key["permit.drainage"] == 0


def test_each_category_has_its_work(pumped: Design) -> None:
    known = {task.key for task in pumped.build.plan.tasks}
    for line in pumped.build.takeoff.lines:
        assert task_of(line, dict.fromkeys(known, 1)) in known | {""}
    stray = dataclasses.replace(pumped.build.takeoff.lines[0], category="permits")
    assert isinstance(stray, TakeoffLine)
    assert task_of(stray, {}) == ""


def test_the_csv_has_every_line_in_the_job_s_units(pumped: Design, metric: Design) -> None:
    for made in (pumped, metric):
        rows = list(csv.DictReader(io.StringIO(order_csv(made).decode("utf-8-sig"))))
        bought = [row for row in rows if row["category"] != "tools"]
        assert sorted(row["key"] for row in bought) == sorted(line.key for line in made.build.takeoff.lines)
        total = sum(Decimal(row["amount"]) for row in bought)
        assert total == sum(line.amount for line in made.build.price.lines if line.category != "labour")
        own = [tool for tool in made.build.takeoff.tools if tool.source == "own"]
        assert len(rows) - len(bought) == len(own)
        stone = next(row for row in bought if row["key"] == "stone.57")
        assert re.fullmatch("yd³" if made.job.units == "US" else r"yd³ \([\d.]+ m³\)", stone["unit"])
        assert cents(Decimal(stone["to buy"]) * Decimal(stone["unit price"])) == Decimal(stone["amount"])
        assert {row["source"] for row in rows} <= {"buy", "hire", "own"}
        seen = [row["category"] for row in rows]
        assert [name for name, _ in itertools.groupby(seen)] == list(dict.fromkeys(seen))


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@A1", "\t=1", " =1", "\r\n=1", "\uff1d1"])
def test_no_cell_of_the_csv_is_a_formula(text: str) -> None:
    kept = cell(text)
    assert kept[:1] == " "
    assert "\n" not in kept
    assert cell("a = b") == "a = b"


def test_the_cutting_list_tells_every_piece(pumped: Design) -> None:
    book = openpyxl.load_workbook(io.BytesIO(order_workbook(pumped)))
    sheet = book["Cutting list"]
    sticks = sum(int(row[2].value) for row in sheet.iter_rows(min_row=7) if row[2].value is not None)
    assert sticks == len(pumped.build.takeoff.cuts)
    words = " ".join(str(row[4].value) for row in sheet.iter_rows(min_row=7))
    for riser in pumped.system.risers:
        assert f"riser {riser.where}" in words
    layers = book["Stone"]
    last = [cell.value for cell in layers[layers.max_row]]
    assert last[0] == "All together"
    in_place = sum(zone.volume for zone in pumped.build.takeoff.stone) / 0.9144**3
    assert last[2] == pytest.approx(in_place, abs=0.006)


# -- the calendar --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("start", "days", "found"),
    [
        ("2026-04-13", 0, "2026-04-13"),  # a Monday
        ("2026-04-11", 0, "2026-04-13"),  # a Saturday
        ("2026-04-13", -3, "2026-04-08"),
        ("2026-04-13", 5, "2026-04-20"),
        ("2026-04-17", 1, "2026-04-20"),
    ],
)
def test_working_days_leave_out_weekends(start: str, days: int, found: str) -> None:
    assert working_day(datetime.date.fromisoformat(start), days) == datetime.date.fromisoformat(found)


def test_reminders_follow_the_standard(pumped: Design) -> None:
    """RFC 5545 (from memory): CRLF, lines of 75 octets at most, UID and DTSTAMP in each event."""
    raw = reminders(pumped)
    assert raw.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in raw.replace(b"\r\n", b"")
    rows = raw.decode("utf-8").replace("\r\n ", "").split("\r\n")
    events = rows.count("BEGIN:VEVENT")
    plan = pumped.build.plan
    assert plan.doubt is not None
    assert plan.doubt.end_bad is not None
    late = plan.doubt.end_bad > plan.dates[-1]
    assert events == rows.count("END:VEVENT") == plan.days + 5 + late
    for number, date in enumerate(plan.dates, start=1):
        at = rows.index(f"SUMMARY:{escape(f'Dig day {number} of {plan.days}: {pumped.job.title}')}")
        assert f"DTSTART;VALUE=DATE:{date:%Y%m%d}" in rows[at - 2 : at]
        for task, hands in plan.on_day(number):
            assert escape(f"{task.title} ({hands.people})") in rows[at + 1]
        if comes := visits_words(plan.visits_on(number)):
            assert escape(f"By today comes: {comes}.") in rows[at + 1]
    asked = rows.index(f"SUMMARY:{escape(f'Book who must come: {pumped.job.title}')}")
    for visit in plan.visits:
        assert escape(f"By {date_words(plan.dates[visit.day - 1])}: {visits_words([visit])}") in rows[asked + 1]
    assert len({row for row in rows if row.startswith("UID:")}) == events
    start = pumped.job.crew.start
    assert start is not None
    assert f"DTSTART;VALUE=DATE:{start:%Y%m%d}" in rows
    days = [row.split(":")[1] for row in rows if row.startswith("DTSTART")]
    assert all(datetime.date.fromisoformat(day).weekday() < 5 for day in days[:-1]), (
        "the yearly visit may fall anywhere"
    )


def test_calendar_text_is_escaped() -> None:
    assert escape("a, b; c\\ d\ne") == "a\\, b\\; c\\\\ d e"
