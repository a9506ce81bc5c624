"""The title block that every drawing has."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.frame import LETTER, MARGIN, STRIP, Draft, finish
from drainwright.paper.measure import READ, text_box, text_width, wrap, wrap_figures
from drainwright.paper.sheet import TextMark


def test_a_long_address_is_told_whole_in_the_title_block(pumped: Design) -> None:
    """An address of ninety characters was cut at the edge of its cell."""
    address = "Rear cottage behind the former packing house, 12345 North Old Quarry and Mill Race Road E"
    assert len(address) >= 89
    place = pumped.job.property.model_copy(update={"address": address, "town": ""})
    job = pumped.job.model_copy(update={"property": place})
    draft = Draft(name="x", title="Plan", scale="none", paper=LETTER, marks=(), description="A sheet.")
    texts = [mark for mark in finish(draft, job, 1, 1).marks if isinstance(mark, TextMark)]
    told = " ".join(mark.text for mark in texts)
    assert address in told
    assert "…" not in told
    corners = [corner for mark in texts for corner in text_box(mark)]
    assert all(mark.size >= READ for mark in texts)
    assert min(y for _, y in corners) > MARGIN
    assert max(y for _, y in corners) < MARGIN + STRIP
    boxes = [text_box(mark) for mark in texts]
    for number, one in enumerate(boxes):
        for other in boxes[number + 1 :]:
            apart = one[1][0] <= other[0][0] or other[1][0] <= one[0][0]
            assert apart or min(one[2][1], other[2][1]) - max(one[0][1], other[0][1]) < 0.5


def test_an_address_and_a_firm_of_three_lines_are_told_whole(pumped: Design) -> None:
    """What went beyond two lines was cut: the town and the firm were lost first."""
    place = pumped.job.property.model_copy(
        update={
            "address": "Rear cottage behind the former packing house, 12345 North Old Quarry and Mill Race Road East",
            "town": "Upper Fernhollow by the Millrace",
        }
    )
    firm = pumped.job.firm.model_copy(update={"name": "Example Drainage and Foundation Company of Fernhollow"})
    job = pumped.job.model_copy(update={"property": place, "firm": firm, "title": "Wet floors"})
    draft = Draft(name="x", title="Plan", scale="none", paper=LETTER, marks=(), description="A sheet.")
    texts = [mark for mark in finish(draft, job, 1, 1).marks if isinstance(mark, TextMark)]
    told = " ".join(mark.text for mark in texts)
    assert f"{place.address}, {place.town} · {firm.name}" in told
    assert "…" not in told
    boxes = [text_box(mark) for mark in texts]
    assert min(y for box in boxes for _, y in box) > MARGIN
    for number, one in enumerate(boxes):
        for other in boxes[number + 1 :]:
            apart = one[1][0] <= other[0][0] or other[1][0] <= one[0][0]
            assert apart or min(one[2][1], other[2][1]) - max(one[0][1], other[0][1]) < 0.5


def test_a_figure_goes_with_its_unit_to_the_next_line() -> None:
    """The table of what breaks had an hour's "h" alone on a line."""
    text = "Water at the underside of the floor after 26.9 h."
    wide = text_width(text.removesuffix(" h."), 2.5) + 0.1
    assert wrap(text, wide, 2.5)[-1] == "h."
    assert wrap_figures(text, wide, 2.5) == ("Water at the underside of the floor after", "26.9 h.")
    assert wrap_figures("no more than 4 each", 20.0, 2.5) == wrap("no more than 4 each", 20.0, 2.5)


def test_a_figure_is_never_broken_at_its_fraction() -> None:
    """The order of assembly set "alarm 2 ft 9" and "3/4 in" on two lines: who reads the first sets the float wrong."""
    text = "second on 2 ft 6 1/4 in, alarm 2 ft 9 3/4 in."
    for width in range(14, 80):
        rows = wrap_figures(text, float(width), 2.5)
        assert " ".join(rows) == text
        if width > text_width("2 ft 9 3/4 in.", 2.5):
            assert any("2 ft 6 1/4 in," in row for row in rows)
            assert any("2 ft 9 3/4 in." in row for row in rows)
    assert len(wrap_figures("2 ft 9 3/4 in", 8.0, 2.5)) > 1
