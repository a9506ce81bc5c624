"""Every PDF can be read aloud: tagged, in its language, titled, each figure told in words; by a general library."""

from __future__ import annotations

import io
from typing import Any

import pytest
from pypdf import PdfReader

from drainwright.design import Design
from drainwright.paper.documents.writing import papers_of

from ..conftest import designed
from .papers import pdf_of, sheets_of

NAMES = [name.removesuffix(".pdf") for name in papers_of(designed("sloping-lot/job"), {})]


def elements(node: Any) -> list[dict[str, Any]]:
    """All elements of a tree of tags, in no order."""
    found, left = [], [node]
    while left:
        here = left.pop()
        here = here.get_object() if hasattr(here, "get_object") else here
        if isinstance(here, list):
            left += list(here)
        elif isinstance(here, dict):
            found.append(here)
            left += [here["/K"]] if "/K" in here else []
    return found


@pytest.mark.parametrize("name", NAMES)
def test_a_pdf_is_tagged_and_titled_in_its_language(gravity: Design, name: str) -> None:
    """ISO 32000-1, 14.7 to 14.9: mark information, structure, natural language, alternate descriptions."""
    reader = PdfReader(io.BytesIO(pdf_of(gravity, name)))
    root = reader.root_object
    assert bool(root["/MarkInfo"]["/Marked"].value)
    assert root["/Lang"] == ("es" if name.endswith("-es") else "en")
    assert reader.metadata is not None
    assert gravity.job.title in str(reader.metadata.title)
    tags = elements(root["/StructTreeRoot"])
    kinds = {str(tag.get("/S")) for tag in tags}
    assert kinds & {"/P", "/Figure"}
    figures = [tag for tag in tags if tag.get("/S") == "/Figure"]
    assert all(len(str(tag.get("/Alt", "")).split()) >= 3 for tag in figures)
    assert len(figures) >= (len(sheets_of(gravity)) if name == "drawings" else 0)


def test_no_two_papers_bear_one_title(gravity: Design) -> None:
    titles = [str(PdfReader(io.BytesIO(pdf_of(gravity, name, drawn=False))).metadata.title) for name in NAMES]  # type: ignore[union-attr]
    assert len(set(titles)) == len(titles), titles
