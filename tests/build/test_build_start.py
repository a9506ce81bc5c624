"""A start on a day that is not worked is told: in the plan, on the terminal and on the papers, in both languages."""

from __future__ import annotations

import datetime

import pytest

from drainwright.build.working_days import working_days
from drainwright.design import Design, design
from drainwright.job.firm import Crew
from drainwright.paper.documents.crew import crew_packet
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.proposal_terms import terms_blocks
from drainwright.terminal import show_design

from ..conftest import designed

SUNDAY = datetime.date(2026, 5, 3)


@pytest.mark.parametrize(
    ("crew", "first", "why"),
    [
        ({"start": SUNDAY}, datetime.date(2026, 5, 4), "a Sunday, which the crew does not work"),
        (
            {"start": datetime.date(2026, 5, 4), "holidays": (datetime.date(2026, 5, 4),)},
            datetime.date(2026, 5, 5),
            "a holiday of the crew",
        ),
        (
            {"start": datetime.date(2026, 5, 8), "rain_days": (datetime.date(2026, 5, 8),)},
            datetime.date(2026, 5, 11),
            "a day with rain in the forecast",
        ),
    ],
)
def test_a_start_that_is_not_worked_is_moved_and_says_why(
    crew: dict[str, object], first: datetime.date, why: str
) -> None:
    moved = working_days(Crew.model_validate(crew)).moved
    assert moved is not None
    assert (moved.asked, moved.first, moved.why) == (crew["start"], first, why)


def test_a_start_that_is_worked_is_not_moved() -> None:
    assert working_days(Crew.model_validate({"start": datetime.date(2026, 5, 4)})).moved is None
    assert working_days(Crew.model_validate({"start": SUNDAY, "week": ["Sun"]})).moved is None
    assert working_days(Crew()).moved is None


@pytest.fixture(scope="module")
def on_sunday() -> Design:
    job = designed("soak-lot/job").job
    return design(job.model_copy(update={"crew": job.crew.model_copy(update={"start": SUNDAY})}))


def test_terminal_and_papers_say_it(on_sunday: Design, capsys: pytest.CaptureFixture[str]) -> None:
    assert on_sunday.build.plan.dates[0] == datetime.date(2026, 5, 4)
    show_design(on_sunday, every=False)
    shown = " ".join(capsys.readouterr().out.split())
    assert "2026-05-04" in shown
    assert "set for 2026-05-03, a Sunday, which the crew does not work" in shown
    packet = crew_packet(on_sunday, {})
    assert any("start 4 May 2026" in part for part in packet.subject)
    words = "The start is set for 3 May 2026, a Sunday, which the crew does not work: work begins on 4 May 2026."
    assert words in repr(packet.blocks)
    assert "4 May 2026 (set for 3 May 2026, a Sunday, which the crew does not work)" in repr(packet.blocks)
    assert "4 May 2026 (set for 3 May 2026, a Sunday" in repr(terms_blocks(on_sunday))
    said = translator_of(on_sunday).say(words)
    assert said == (
        "El inicio está fijado para el 3 de mayo de 2026, domingo, que la cuadrilla no trabaja: el trabajo "
        "empieza el 4 de mayo de 2026."
    )
