"""The bars of the days: true to the plan, legible on a phone and in grey."""

from __future__ import annotations

import dataclasses
import datetime
import itertools
import math

import pytest
import shapely

from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.paper.days_chart import ABREAST, SEVERAL, WIDTH, days_chart, days_pages
from drainwright.paper.documents.blocks import plain
from drainwright.paper.documents.crew_order import LOOKED_AT, held_words, numbers, order_of_work
from drainwright.paper.documents.customer import meaning
from drainwright.paper.documents.day_words import days_words, work_words
from drainwright.paper.documents.spanish import Translator
from drainwright.paper.looks import LOOKS
from drainwright.paper.measure import text_box, text_width
from drainwright.paper.sheet import Polygon, Sheet, TextMark

from ..conftest import designed


@pytest.fixture(params=["block-wall-house/job", "metric-basement/job", "sloping-lot/job"])
def job(request: pytest.FixtureRequest) -> Design:
    return designed(request.param)


def chart(job: Design) -> Sheet:
    sheet = days_chart(job)
    assert sheet is not None
    return sheet


def test_every_spell_is_a_bar_of_its_length(job: Design) -> None:
    plan = job.build.plan
    bars = [
        mark for mark in chart(job).marks if isinstance(mark, Polygon) and mark.layer in ("bar", "bar dark")
    ]  # the last two are the key's
    spells = [spell for task in plan.tasks for spell in task.spells]
    assert len(bars) == len(spells) + 2
    hour = (WIDTH - 8.0) / (plan.days * plan.day_length)
    drawn = sorted(round(max(x for x, _ in bar.points) - min(x for x, _ in bar.points), 6) for bar in bars[:-2])
    true = sorted(round(max((end - start) * hour, 0.6), 6) for start, end, _ in spells)
    assert drawn == pytest.approx(true, abs=2e-6)


def test_words_are_read_on_a_phone(job: Design) -> None:
    """Ten pixels at the least, where the picture is 390 pixels wide."""
    sheet = chart(job)
    assert sheet.width == WIDTH
    assert min(text.size for text in sheet.texts) * 390 / WIDTH >= 10.0
    assert {task.title.split()[0] for task in job.build.plan.tasks} <= {text.text.split()[0] for text in sheet.texts}


def test_bars_differ_in_grey() -> None:
    def grey(colour: str) -> float:
        red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
        return (0.299 * red + 0.587 * green + 0.114 * blue) / 255

    dark, light = LOOKS["bar dark"].fill, LOOKS["bar"].fill
    assert dark is not None
    assert light is not None
    assert grey(light) - grey(dark) > 0.3


def test_pages_hold_every_work_once(job: Design) -> None:
    pages = days_pages(job)
    assert all(page.height <= 255.0 for page in pages)
    bars = sum(isinstance(mark, Polygon) and mark.layer in ("bar", "bar dark") for page in pages for mark in page.marks)
    assert bars - 2 * math.ceil(len(pages) / ABREAST) == sum(len(task.spells) for task in job.build.plan.tasks)


def test_equal_designs_have_equal_bars(job: Design) -> None:
    assert days_chart(job) == days_chart(job)


def test_days_off_are_marked() -> None:
    job = designed("block-wall-house/job")
    dates = job.build.plan.dates
    assert any((b - a) > datetime.timedelta(days=1) for a, b in itertools.pairwise(dates))
    assert any(text.text == "days off between" for text in chart(job).texts)


def test_no_line_runs_through_a_count_of_people(job: Design) -> None:
    """The line of a weekend ends where a count stands: a mask lies under each count, over the lines."""
    marks = chart(job).marks
    texts = [n for n, mark in enumerate(marks) if isinstance(mark, TextMark) and mark.anchor == "start"]
    counts = [n for n in texts if str(getattr(marks[n], "text", "")).isdigit()]
    assert counts
    for number in counts:
        text, mask = marks[number], marks[number - 1]
        assert isinstance(text, TextMark)
        assert isinstance(mask, Polygon)
        assert mask.layer == "mask"
        across, up = [x for x, _ in mask.points], [y for _, y in mask.points]
        width = text_width(text.text, text.size)
        assert min(across) < text.at[0]
        assert max(across) > text.at[0] + width
        assert min(up) < text.at[1] < max(up)


def test_no_count_of_people_lies_over_a_name(job: Design) -> None:
    """In low rows the count behind the first bar hid a letter of the work's name."""
    texts = [mark for mark in chart(job).texts if mark.size == chart(job).texts[-1].size and mark.anchor == "start"]
    boxes = [shapely.Polygon(text_box(mark)) for mark in texts]
    counts = [number for number, mark in enumerate(texts) if mark.text.isdigit()]
    assert counts
    over = [
        (texts[count].text, texts[other].text)
        for count in counts
        for other in range(len(texts))
        if other not in counts and boxes[count].intersection(boxes[other]).area > 0.2
    ]
    assert over == []


def test_no_work_is_no_picture() -> None:
    job = designed("block-wall-house/job")
    plan = dataclasses.replace(job.build.plan, tasks=(), chain=())
    bare = dataclasses.replace(job, build=dataclasses.replace(job.build, plan=plan))
    assert days_chart(bare) is None
    assert days_pages(bare) == ()
    assert order_of_work(bare)[1] == ()


def test_days_in_plain_words() -> None:
    plan = designed("block-wall-house/job").build.plan
    assert plan.doubt is not None
    wide = dataclasses.replace(plan.doubt, days_likely=6, days_bad=8, booked_likely=7, booked_bad=9)
    assert days_words(wide) == "likely 6 working days, 8 with bad luck"
    same = dataclasses.replace(plan.doubt, days_likely=1, days_bad=1)
    assert days_words(same) == "likely 1 working day, with bad luck as well"
    assert work_words(dataclasses.replace(plan, doubt=wide)) == (
        f"Likely 6 working days, 8 with bad luck, for a crew of {plan.crew}; 7 and 9 with days lost to weather."
    )
    assert work_words(dataclasses.replace(plan, doubt=None)) == f"{plan.days} working days for a crew of {plan.crew}."


def test_a_wait_names_what_waits(pumped: Design) -> None:
    """A cure holds some works and no other; hours are those of all people together, and are headed so."""
    plan = pumped.build.plan
    by_key = {task.key: task for task in plan.tasks}
    assert by_key["parge"].held == ("coat-1",)
    text = held_words(by_key["parge"], plan)
    number_of = numbers(plan)
    assert text.startswith(f"#{number_of['coat-1']} not before day")
    assert f"#{number_of['trench']} " not in text
    assert "what does not hang on it may go on" in text
    blocks = str(plain(order_of_work(pumped)[0]))
    assert "Person-hours today" in blocks
    assert text in blocks


def test_the_engineer_s_look_that_the_proposal_promises_holds_the_first_dig(job: Design) -> None:
    """What the customer reads, "before anyone digs", the crew must read too, in both tongues."""
    sound = tuple(finding for finding in job.findings if finding.id != "FTG-08")
    doubt = Finding(
        id="FTG-08", title="State of the wall", severity=Severity.CAUTION, where="house.walls.east", figure="brick",
        limit="sound", message="", advice="", source="common_practice",
    )  # fmt: skip
    told = str(plain(order_of_work(dataclasses.replace(job, findings=(*sound, doubt)))[0]))
    assert "licensed engineer" in meaning(doubt)
    assert told.index("Hold points") < told.index("Before any digging: east wall") < told.index(LOOKED_AT)
    assert LOOKED_AT not in str(plain(order_of_work(dataclasses.replace(job, findings=sound))[0]))
    spoken = Translator(frozenset({"east"}))
    assert spoken.say("Before any digging: east wall") == "Antes de excavar: muro east"
    assert "ingeniero" in spoken.say(LOOKED_AT)
    assert not spoken.missing


@pytest.mark.parametrize("example", ["soak-lot/job", "block-wall-house/job", "long-house/job"])
def test_the_bars_stand_two_abreast_on_paper(example: str) -> None:
    """A job of three days had one picture at half the page's width, and nothing beside or below it."""
    design = designed(example)
    pages = days_pages(design)
    assert len(design.build.plan.tasks) >= SEVERAL
    assert len(pages) % ABREAST == 0
    assert max(page.height for page in pages) < 1.35 * min(page.height for page in pages)
    for page, beside in zip(pages[::ABREAST], pages[1::ABREAST], strict=True):
        told = [sum(mark.text.startswith("sets the last hour") for mark in one.texts) for one in (page, beside)]
        assert told == [0, 1], "the key once for both"
