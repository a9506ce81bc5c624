"""The hand count of the block-wall house: its column of the program's figures is what the program counts today."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from drainwright.build.shown import amount
from drainwright.design import Design

PAGE = Path(__file__).resolve().parents[1] / "docs" / "hand-count.md"
ROW = re.compile(r"^\| `(?P<key>[^`]+)` \| (?P<what>net|to buy) \| (?P<hand>[\d.]+) \| (?P<program>[\d.]+) \|", re.M)


def rows() -> list[re.Match[str]]:
    return list(ROW.finditer(PAGE.read_text(encoding="utf-8")))


def test_the_program_s_column_is_true_today(pumped: Design) -> None:
    lines = {line.key: line for line in pumped.build.takeoff.lines}
    assert len(rows()) >= 30
    for row in rows():
        line = lines[row["key"]]
        figure = line.quantity if row["what"] == "to buy" else amount(line.net, line.unit, "US")
        digits = len(row["program"].partition(".")[2])
        assert figure == pytest.approx(float(row["program"]), abs=0.5001 * 10.0**-digits), row["key"]


def test_no_difference_is_left_without_its_reason() -> None:
    """A row whose figures differ says why; a table without the reason would be no count."""
    for line in PAGE.read_text(encoding="utf-8").splitlines():
        if ROW.match(line):
            cells = [cell.strip() for cell in line.strip("|").split("|")]
            assert len(cells) == 6, line
            if float(cells[2]) != float(cells[3]):
                assert len(cells[5]) > 10, line


def test_every_line_of_the_order_is_counted_or_named_as_not(pumped: Design) -> None:
    text = PAGE.read_text(encoding="utf-8")
    for line in pumped.build.takeoff.lines:
        assert f"`{line.key}`" in text, line.key
