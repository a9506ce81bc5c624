"""Jobs are designed in worker processes: the same answers, and no job can take the app down."""

from __future__ import annotations

import asyncio
import gc
import json
import os
import signal
import time
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from drainwright.design import Design, design
from drainwright.job.reading import read_job
from drainwright.office.answers.asking import Answered, Broke, FileBeside, Question, Refused, TooLong
from drainwright.office.answers.worker import digest
from drainwright.office.answers.workers import Workers
from drainwright.office.plan.drawn import drawn, drawn_early, drawn_laid
from drainwright.office.store.editing import said

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def question(name: str = "sloping-lot", job: str = "a") -> Question:
    folder = EXAMPLES / name
    files = [path for path in sorted(folder.rglob("*")) if path.is_file() and path.name != "job.yaml"]
    beside = tuple(FileBeside(name=str(path.relative_to(folder)), content=path.read_bytes()) for path in files)
    return Question(job=job, text=(folder / "job.yaml").read_text(encoding="utf-8"), files=beside)


def total(design: Design) -> str:
    return f"{design.build.price.total} {len(design.findings)} {len(design.steps)}"


def process(design: Design) -> int:
    return os.getpid()


def searched(design: Design) -> tuple[int, int, int]:
    return gc.get_threshold()


def process_once(flag: str, design: Design) -> int:
    """Ends its own process the first time, as the machine does when memory runs out."""
    if not Path(flag).exists():
        Path(flag).touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return os.getpid()


def ends(design: Design) -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def sleeps(design: Design) -> None:
    time.sleep(60)


def divides(design: Design) -> float:
    return 1 / 0


@pytest.fixture(scope="module")
def workers() -> Iterator[Workers]:
    pool = Workers(count=1)
    yield pool
    pool.close()


def test_a_worker_seldom_looks_for_rings_in_what_stays(workers: Workers) -> None:
    reply = asyncio.run(workers.ask(question(), searched))
    assert isinstance(reply, Answered)
    assert reply.shown[0] > gc.get_threshold()[0]


def test_a_worker_answers_as_design_itself(workers: Workers) -> None:
    for name in ("sloping-lot", "block-wall-house"):  # the second has files beside it
        reply = asyncio.run(workers.ask(question(name), total))
        assert reply == Answered(shown=total(design(read_job(EXAMPLES / name / "job.yaml"))))


def test_a_worker_answers_early_and_goes_on_from_there(workers: Workers) -> None:
    asked = replace(question(), job="early")
    laid = asyncio.run(workers.ask_laid(asked, drawn_laid))
    early = asyncio.run(workers.ask_early(asked, drawn_early))
    whole = asyncio.run(workers.ask(asked, drawn))
    assert isinstance(laid, Answered)
    assert isinstance(early, Answered)
    assert isinstance(whole, Answered)
    assert (laid.shown.built, laid.shown.price) == (False, None)
    assert set(laid.shown.waiting) > set(early.shown.waiting)
    first = tuple(one for one in whole.shown.findings if one.id not in laid.shown.waiting)
    assert first  # grades and joins of pipes are judged by then
    assert laid.shown == replace(
        whole.shown, findings=first, price=None, currency="", built=False, storm_run=False, waiting=laid.shown.waiting
    )
    assert not early.shown.storm_run
    assert whole.shown.storm_run
    assert not whole.shown.waiting
    findings = tuple(one for one in whole.shown.findings if one.id not in early.shown.waiting)
    assert early.shown == replace(whole.shown, findings=findings, storm_run=False, waiting=early.shown.waiting)
    drafted = replace(asked, text=json.dumps(said(asked.text)), name="job.json", made=True)  # as the plan asks
    assert asyncio.run(workers.ask_early(drafted, drawn_early)) == early
    assert asyncio.run(workers.ask_laid(drafted, drawn_laid)) == laid
    bad = [replace(drafted, text=drafted.text.replace('"US"', '"feet"'), made=made) for made in (True, False)]
    plain, read = (asyncio.run(workers.ask_early(one, drawn_early)) for one in bad)
    assert isinstance(plain, Refused)
    assert isinstance(read, Refused)
    assert plain.problems == tuple(replace(one, line=None, column=None) for one in read.problems)
    wrong = replace(asked, text=asked.text.replace("units: US", "units: feet"))
    reply = asyncio.run(workers.ask_early(wrong, drawn_early))
    assert reply == asyncio.run(workers.ask(wrong, drawn))
    assert isinstance(reply, Refused)


def test_faults_come_back_with_their_lines(workers: Workers) -> None:
    asked = question()
    wrong = Question(job="a", text=asked.text.replace("units: US", "units: feet"))
    reply = asyncio.run(workers.ask(wrong, total))
    assert isinstance(reply, Refused)
    assert [(p.where, p.file) for p in reply.problems] == [("units", "job.yaml")]
    assert reply.problems[0].line == asked.text.splitlines().index("units: US") + 1


def test_a_fault_of_the_program_is_told_and_the_worker_goes_on(workers: Workers) -> None:
    first = asyncio.run(workers.ask(question(), process))
    assert asyncio.run(workers.ask(question(), divides)) == Broke(stage="", words="ZeroDivisionError: division by zero")
    assert asyncio.run(workers.ask(question(), process)) == first


def test_a_killed_worker_is_replaced(workers: Workers, tmp_path: Path) -> None:
    before = asyncio.run(workers.ask(question(), process))
    after = asyncio.run(workers.ask(question(), partial(process_once, str(tmp_path / "flag"))))
    assert isinstance(before, Answered)
    assert isinstance(after, Answered)
    assert before.shown != after.shown
    assert isinstance(asyncio.run(workers.ask(question(), ends)), Broke)
    assert isinstance(asyncio.run(workers.ask(question(), total)), Answered)


def test_a_question_that_takes_too_long_is_ended() -> None:
    pool = Workers(count=1, longest=3.0)
    try:
        asyncio.run(pool.ask(question(), total))  # the process is warm now
        assert asyncio.run(pool.ask(question(), sleeps)) == TooLong(seconds=3.0)
    finally:
        pool.close()


def test_states_of_one_job_go_to_the_same_worker_and_others_may_not() -> None:
    pool = Workers(count=2)
    try:
        asked = [asyncio.run(pool.ask(question(job=job), process)) for job in ("a", "a", "b", "c", "d", "b")]
    finally:
        pool.close()
    assert asked[0] == asked[1]
    assert asked[2] == asked[5]
    assert len({reply.shown for reply in asked if isinstance(reply, Answered)}) == 2


@pytest.mark.parametrize("name", ["../out.csv", "/etc/out.csv", "a/../../out.csv"])
def test_a_file_cannot_be_laid_elsewhere(workers: Workers, name: str) -> None:
    asked = question()
    reply = asyncio.run(
        workers.ask(Question(job="a", text=asked.text, files=(FileBeside(name=name, content=b"x"),)), total)
    )
    assert isinstance(reply, Refused)
    assert reply.problems[0].where == "files"


def test_the_digest_tells_every_part_apart() -> None:
    one = Question(job="a", text="ab", files=(FileBeside(name="c", content=b"d"),))
    others = [
        Question(job="a", text="a", files=(FileBeside(name="bc", content=b"d"),)),
        Question(job="a", text="ab", files=(FileBeside(name="cd", content=b""),)),
        Question(job="a", text="ab", name="job.json", files=(FileBeside(name="c", content=b"d"),)),
        Question(job="a", text="ab"),
    ]
    assert len({digest(q) for q in [one, *others]}) == 5
    assert digest(Question(job="b", text="ab", files=(FileBeside(name="c", content=b"d"),))) == digest(one)
