"""One form for one thing, over all text of all papers, drawings among them."""

from __future__ import annotations

import re

import pytest

from drainwright.design import Design
from drainwright.paper.documents.writing import papers_of
from drainwright.paper.sheet import TextMark

from .papers import flat, sheets_of, text_of

WRONG = (
    r"[\d.]+%",  # '10 %' is written
    r"\bin bad luck\b",  # 'with bad luck' is written
)


def all_text(design: Design) -> dict[str, str]:
    """What every paper and every drawing says."""
    papers = {name.removesuffix(".pdf") for name in papers_of(design, {}) if name.endswith(".pdf")}
    said = {name: text_of(design, name) for name in sorted(papers)}
    for name, (sheet, _) in sheets_of(design).items():
        said[f"drawing {name}"] = flat(" ".join(mark.text for mark in sheet.marks if isinstance(mark, TextMark)))
    return said


@pytest.mark.parametrize("name", ["pumped", "metric"])
@pytest.mark.parametrize("wrong", WRONG)
def test_one_thing_is_written_in_one_form(name: str, wrong: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    said = all_text(design)
    assert len(said) > 10
    assert " % " in " ".join(said.values())
    assert "with bad luck" in " ".join(said.values())
    found = {paper: re.findall(rf".{{0,20}}{wrong}.{{0,10}}", text) for paper, text in said.items()}
    assert {paper: places for paper, places in found.items() if places} == {}
