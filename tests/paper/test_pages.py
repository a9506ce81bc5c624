"""Every page of every paper, read back from the PDF: nothing overlaps, nothing is cut off, no page is nearly empty."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache

import pypdfium2
import pypdfium2.raw
import pytest

from drainwright.design import Design, design
from drainwright.job.reading import read_job
from drainwright.paper.documents.writing import papers_of

from ..conftest import EXAMPLES
from .papers import pdf_of, sheets_of

JOBS = (
    "block-wall-house", "metric-basement", "sloping-lot", "soak-lot", "two-basins",
    pytest.param("long-house", marks=pytest.mark.slow),  # 45 runs, 300 pages
)  # fmt: skip
READ = 7.0  # the smallest type, as it is printed [pt]
EDGE = 14.0  # nothing is printed nearer to the edge of the paper: 5 mm [pt]
FOOT = 46.0  # where the footer stands [pt]
HEADING = 26.0  # less than a heading and a line of text below it are high [pt]
UNIT = r"(?:ft|in|mm|m|m²|m³|ft²|yd³|L|L/s|L/min|gpm|gal|kg|lb|h|min|%)(?:/[a-z]+[²³]?)?"
LEAST_FILLED = 1 / 3  # of a page's height, but for a paper's last page and one before a page that lies across
LEAST_BEFORE = 0.2  # of one before a drawing or a sheet of its own
OWN = (  # begin a page: drawings, and what is handed out or signed alone
    "Plate: ", "Notice of cancellation", "Safe-dig sheet", "Hoja de excavación segura", "Quality checkpoints",
    "Puntos de control de calidad",
)  # fmt: skip


@dataclass(frozen=True)
class Piece:
    """A piece of level text: where its ink may be, and what it says."""

    left: float
    bottom: float
    right: float
    top: float
    text: str


@dataclass(frozen=True)
class Page:
    """A page as it is printed. [pt]"""

    paper: str
    number: int
    wide: float
    high: float
    pieces: tuple[Piece, ...]
    lines: tuple[float, ...]  # how low each drawn line or box comes: a form to write in has little text
    headings: tuple[tuple[str, float], ...]  # each with where it begins, from the foot of the page
    smallest: tuple[float, str]  # type of the page, with what stands in it

    @property
    def body(self) -> tuple[Piece, ...]:
        return tuple(piece for piece in self.pieces if piece.top > FOOT)

    @property
    def filled(self) -> float:
        """How far down the page goes, of its height."""
        low = min((*(piece.bottom for piece in self.body), *self.lines), default=self.high)
        return (self.high - low) / self.high

    @property
    def told(self) -> str:
        return f"{self.paper} page {self.number}"


@cache
def _design(name: str) -> Design:
    return design(read_job(EXAMPLES / name / "job.yaml"))


@cache
def pages(name: str) -> tuple[Page, ...]:
    made = _design(name)
    return tuple(page for paper in papers_of(made, sheets_of(made)) for page in _pages(made, paper))


def _pages(made: Design, paper: str) -> list[Page]:
    pdf = pypdfium2.PdfDocument(pdf_of(made, paper.removesuffix(".pdf")))
    headings: dict[int, list[tuple[str, float]]] = {}
    for mark in pdf.get_toc():
        where = mark.get_dest()
        assert where is not None
        headings.setdefault(where.get_index() or 0, []).append((mark.get_title(), where.get_view()[1][1]))
    found = []
    for number in range(len(pdf)):
        wide, high = pdf[number].get_size()
        text = pdf[number].get_textpage()
        pieces = tuple(_pieces(text))
        drawn = [one.get_bounds()[1] for one in pdf[number].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_PATH])]
        lines = tuple(low for low in drawn if low > FOOT)
        begun = tuple(headings.get(number, ()))
        found.append(Page(paper, number + 1, wide, high, pieces, lines, begun, _smallest(text)))
    return found


def _pieces(text: pypdfium2.PdfTextPage) -> list[Piece]:
    found = []
    for index in range(text.count_rects()):
        left, bottom, right, top = text.get_rect(index)
        middle = text.get_index((left + right) / 2, (bottom + top) / 2, right - left, top - bottom)
        if middle is None:
            continue
        if math.isclose(math.sin(2 * pypdfium2.raw.FPDFText_GetCharAngle(text, middle)), 0.0, abs_tol=1e-3):
            words = text.get_text_bounded(left, bottom, right, top).strip()
            found.append(Piece(left, bottom, right, top, words))
    return found


def _smallest(text: pypdfium2.PdfTextPage) -> tuple[float, str]:
    """The smallest type as it is printed, and what begins with it."""
    drawn = pypdfium2.raw.FS_MATRIX()
    sizes = []
    for index in range(text.count_chars()):
        if text.get_text_range(index, 1).strip() and pypdfium2.raw.FPDFText_GetMatrix(text, index, drawn):
            scale = math.hypot(drawn.c, drawn.d)
            sizes.append((pypdfium2.raw.FPDFText_GetFontSize(text, index) * scale, index))
    size, first = min(sizes, default=(math.inf, 0))
    return size, text.get_text_range(first, 30)


def _overlaps(pieces: tuple[Piece, ...]) -> list[str]:
    ordered = sorted(pieces, key=lambda piece: piece.left)
    found = []
    for number, one in enumerate(ordered):
        for other in ordered[number + 1 :]:
            if other.left > one.right - 1.0:
                break
            across = min(one.right, other.right) - other.left
            up = min(one.top, other.top) - max(one.bottom, other.bottom)
            if across > 1.0 and up > 0.35 * min(one.top - one.bottom, other.top - other.bottom):
                found.append(f"{one.text[:30]!r} and {other.text[:30]!r}")
    return found


@pytest.mark.parametrize("job", JOBS)
def test_no_text_lies_on_another(job: str) -> None:
    found = [f"{page.told}: {pair}" for page in pages(job) for pair in _overlaps(page.pieces)]
    assert found == []


@pytest.mark.parametrize("job", JOBS)
def test_no_type_is_smaller_than_seven_points(job: str) -> None:
    """Drawings had dimensions, levels and labels in 5.1 to 6.8 points; bars by day 6.85, match lines 6.5."""
    assert [f"{page.told}: {page.smallest}" for page in pages(job) if page.smallest[0] < READ] == []


@pytest.mark.parametrize("job", JOBS)
def test_all_text_is_within_the_paper(job: str) -> None:
    cut = [
        f"{page.told}: {piece.text[:40]!r}"
        for page in pages(job)
        for piece in page.pieces
        if piece.left < EDGE or piece.bottom < EDGE or piece.right > page.wide - EDGE or piece.top > page.high - EDGE
    ]
    assert cut == []


@pytest.mark.parametrize("job", JOBS)
def test_no_page_is_nearly_empty(job: str) -> None:
    told = pages(job)
    empty = []
    for page, following in zip(told, [*told[1:], None], strict=True):
        goes_on = following is not None and following.paper == page.paper and following.wide < following.high
        apart = following is not None and any(title.startswith(OWN) for title, _ in following.headings)
        if goes_on and page.wide < page.high and page.filled < (LEAST_BEFORE if apart else LEAST_FILLED):
            empty.append(page.told)
    assert empty == []


@pytest.mark.parametrize("job", JOBS)
def test_no_page_of_an_offer_is_nearly_empty(job: str) -> None:
    """Nor one before a page that lies across: such a page stood amid the text, and left two thirds of one empty."""
    text = [page for page in pages(job) if page.paper == "proposal.pdf" and page.wide < page.high][1:-1]
    assert len(text) > 2
    assert [page.told for page in text if page.filled < LEAST_FILLED] == []


@pytest.mark.parametrize("job", JOBS)
def test_no_heading_stands_alone_at_the_foot_of_a_page(job: str) -> None:
    alone = []
    for page in pages(job):
        for title, level in page.headings:
            if all(piece.bottom > level - HEADING for piece in page.body):
                alone.append(f"{page.told}: {title}")
    assert sum(len(page.headings) for page in pages(job)) > 50
    assert alone == []


@pytest.mark.parametrize("job", JOBS)
def test_no_figure_is_parted_from_its_unit(job: str) -> None:
    parted = []
    for page in pages(job):
        if page.wide > page.high:  # drawings
            continue
        for one in page.pieces:
            high = one.top - one.bottom
            figure, rate = re.search(r" \S*\d$", one.text), re.search(r"\d [a-z]+[²³]?/$", one.text)
            for below in page.pieces if figure or rate else ():
                next_line = 0.0 < one.bottom - below.top + high < 1.6 * high and abs(one.left - below.left) < 1.0
                if next_line and (rate or re.match(rf"{UNIT}(?:[ ,.;)]|$)", below.text)):
                    parted.append(f"{page.told}: {one.text[-30:]!r} and {below.text[:10]!r}")
    assert parted == []


@pytest.mark.parametrize("job", JOBS)
def test_no_word_is_cut_short(job: str) -> None:
    """The numbers of a large plan's key were cut to nothing, and the scale of a profile."""
    assert [f"{page.told}: {piece.text}" for page in pages(job) for piece in page.pieces if "…" in piece.text] == []


@pytest.mark.parametrize("job", JOBS)
def test_no_foot_of_a_page_is_cut_short(job: str) -> None:
    feet = [piece.text for page in pages(job) for piece in page.pieces if piece.top <= FOOT]
    assert len(feet) > 50
    assert [text for text in feet if "…" in text] == []


@pytest.mark.parametrize("job", ["metric-basement", "sloping-lot", "two-basins"])
def test_a_short_offer_is_accepted_on_the_page_of_its_terms(job: str) -> None:
    last = [page for page in pages(job) if page.paper == "proposal.pdf"][-1]
    titles = [title for title, _ in last.headings]
    assert titles[-1] == "Acceptance"
    assert len(titles) > 1


def test_words_before_a_table_go_with_it_to_the_next_page() -> None:
    """The trenches' heading and soil once stood at the foot of a page, their table on the next."""
    (page,) = (
        page
        for page in pages("soak-lot")
        if page.paper == "permit-set.pdf" and any(title == "Trenches" for title, _ in page.headings)
    )
    assert any(piece.text.startswith("Protection") for piece in page.body)
