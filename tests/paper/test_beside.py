"""A second process makes a part of the papers: the same files, its errors told, nothing of it left behind."""

from __future__ import annotations

import multiprocessing
import os
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from drainwright.design import Design
from drainwright.paper import write_papers
from drainwright.paper.documents import beside as beside_module
from drainwright.paper.documents import writing
from drainwright.paper.documents.beside import BesideError, There, beside, may_fork

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="elsewhere all is made in one process")


@pytest.fixture(autouse=True)
def none_left() -> Iterator[None]:
    yield
    assert multiprocessing.active_children() == []


@pytest.fixture
def two(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two processes, on whatever cores and beside whatever threads this test runs."""
    monkeypatch.setattr(writing, "may_fork", lambda: True)


def test_two_processes_make_what_one_makes(pumped: Design, tmp_path: Path, two: None) -> None:
    told: list[tuple[str, float]] = []
    one = write_papers(pumped, tmp_path / "one", processes=1)
    both = write_papers(pumped, tmp_path / "both", lambda name, share: told.append((name, share)))
    assert [path.name for path in both] == [path.name for path in one]
    assert [path.name for path in both if path.read_bytes() != (tmp_path / "one" / path.name).read_bytes()] == []
    shares = [share for _, share in told]
    assert shares == sorted(shares)
    assert (shares[0], shares[-1]) == (0.0, 1.0)
    assert {path.name for path in both} <= {name for name, _ in told}


def test_what_breaks_down_there_is_told_here(
    pumped: Design, tmp_path: Path, two: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(design: Design) -> None:
        raise RuntimeError(f"no ink in {os.getpid()}")

    monkeypatch.setattr(writing, "_draw", broken)
    with pytest.raises(RuntimeError, match="no ink in") as caught:
        write_papers(pumped, tmp_path)
    assert str(os.getpid()) not in str(caught.value)
    assert "in broken" in "".join(caught.value.__notes__), "where it arose"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("stop", [KeyboardInterrupt, OSError])
def test_what_stops_this_process_ends_the_other(
    pumped: Design, tmp_path: Path, two: None, monkeypatch: pytest.MonkeyPatch, stop: type[BaseException]
) -> None:
    def stopped(design: Design) -> None:
        assert multiprocessing.active_children()
        raise stop("stopped")

    monkeypatch.setattr(writing, "options_of", stopped)
    with pytest.raises(stop):
        write_papers(pumped, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_one_process_where_two_are_not_safe(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    assert may_fork()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0})
    assert not may_fork()
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: {0, 1})
    monkeypatch.setattr(threading, "active_count", lambda: 2)
    assert not may_fork()
    monkeypatch.setattr(threading, "active_count", lambda: 1)
    for platform in ("win32", "darwin"):
        monkeypatch.setattr(beside_module.sys, "platform", platform)
        assert not may_fork()


def test_work_is_claimed_once() -> None:
    def work(there: There) -> None:
        there.offer(5)
        there.send("offered", None)
        there.send("claimed", sum(there.claim() for _ in range(9)))

    with beside(work) as other:
        other.come("offered").result()
        here = sum(other.claim() for _ in range(9))
        assert here + other.come("claimed").result() == 5


def test_an_error_that_cannot_be_sent_is_told_in_words() -> None:
    class OddError(Exception):
        """Of a class that the first process does not know."""

    def work(there: There) -> None:
        raise OddError("papers: a leaf")

    with beside(work) as other, pytest.raises(BesideError, match="OddError: papers: a leaf"):
        other.come("anything").result()


def test_an_end_without_a_word_is_told() -> None:
    with beside(lambda there: os._exit(0)) as other, pytest.raises(BesideError, match="without a word"):
        other.come("anything").result()


def test_nobody_waits_for_what_was_not_made() -> None:
    with beside(lambda there: there.send("one", 1)) as other:
        assert other.come("one").result() == 1
        with pytest.raises(BesideError, match="did not make this"):
            other.come("two").result()


def test_documents_are_not_set_there() -> None:
    def work(there: There) -> None:
        import typst

        there.send("pdf", typst.compile({"main.typ": b"Hi"}))  # type: ignore[call-overload]

    with beside(work) as other, pytest.raises(BaseException, match="which cannot"):
        other.come("pdf").result()
