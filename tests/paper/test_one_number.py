"""Where the digging meets a buried line bears one number on every paper, in the order in which to expose them."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest

from drainwright.build.exposure import exposures
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Table
from drainwright.paper.documents.cut_sheets import cut_sheets
from drainwright.paper.documents.hazards import risk_rows
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.drawings import drawings


def rows(blocks: Sequence[Block], *heads: str) -> list[list[str]]:
    """Rows of the table that has these columns."""
    [table] = [
        block
        for block in blocks
        if isinstance(block, Table) and set(heads) <= {column.head for column in block.columns}
    ]
    return [[str(getattr(cell, "text", cell)) for cell in row] for row in table.rows]


def test_plan_profiles_and_sheets_number_the_meetings_alike(pumped: Design) -> None:
    met = pumped.build.dig.crossings
    told = {item.mark: (item.utility, item.run) for item in met}
    assert list(told) == [f"X{number}" for number in range(1, len(met) + 1)]
    assert [one.meeting for one in exposures(pumped.site, pumped.build.dig)] == list(met)

    sheets = drawings(pumped)
    plan = {mark.text for mark in sheets["plan"].texts}
    assert set(told) <= plan
    on_profiles = [
        mark.text.split(" ")
        for name, sheet in sheets.items()
        if name.startswith("profile")
        for mark in sheet.texts
        if mark.text.split(" ")[0] in told
    ]
    assert on_profiles
    assert all(" ".join(words[2:]) == told[words[0]][0] for words in on_profiles)

    blocks = safe_dig_blocks(pumped)
    assert {row[0].split(" ")[0]: (row[1], row[2]) for row in rows(blocks, "Met by", "Gap to pipe")} == told
    exposed = rows(blocks, "Expect its top down")
    assert [row[0] for row in exposed] == list(told)
    assert all(row[1] == told[row[0]][0] and row[2].startswith(told[row[0]][1]) for row in exposed)

    said = str(cut_sheets(pumped))
    for item in met:
        assert any(run.name == item.run for run in pumped.system.runs) == (f"{item.mark} {item.utility}" in said)
    assert f"X1–X{len(met)}" in str(risk_rows(pumped))


@pytest.mark.parametrize("check", ["DIG-01", "DIG-02"])
def test_findings_name_the_numbers_of_the_plan(pumped: Design, check: str) -> None:
    text = " ".join(item.message for item in pumped.findings if item.id == check)
    runs = {run.name for run in pumped.system.runs}
    for item in pumped.build.dig.crossings:
        if check == "DIG-02" or item.run in runs:
            assert re.search(rf"\b{item.mark}\b", text), item.mark
