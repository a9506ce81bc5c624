"""A cluster that is not there, that has no workers, or that goes in the middle: told, ended, and nothing lost."""

from __future__ import annotations

import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from drainwright.studies import Study, StudyError, run_study
from drainwright.studies.journal import journal_in
from tests.studies.clusters import cluster
from tests.studies.sample import STORMS, storms, written

pytest.importorskip("distributed")
GENEROUS = 120.0  # for a process to end that waits eight seconds for an answer [s]


def ended(folder: Path, address: str) -> subprocess.CompletedProcess[str]:
    """The study command, run at an address in a process of its own."""
    words = [str(written(folder, STORMS.format(sample=1))), "--to", str(folder / "out"), "--where", address]
    code = "from drainwright.cli import main; main()"
    return subprocess.run(
        [sys.executable, "-c", code, "study", *words], capture_output=True, text=True, timeout=GENEROUS, check=False
    )


def once_beyond(count: int, deed: Callable[[], None]) -> Callable[[int, int], None]:
    """A progress that does a deed once, when so many runs are done."""
    did: list[int] = []

    def progress(done: int, total: int) -> None:
        if done >= count and not did:
            did.append(done)
            deed()

    return progress


def goes_on(study: Study, folder: Path) -> None:
    """Something is kept, something is missing; here the missing is done, and each stands once."""
    with journal_in(folder) as journal:
        kept = dict(journal.found)
    assert 0 < len(kept) < len(study.runs)
    result = run_study(study, folder, workers=1)
    assert result.fresh == len(study.runs) - len(kept)
    assert result.failed == 0
    assert {one.key: one for one in result.outcomes}.items() >= kept.items()
    with journal_in(folder) as journal:
        assert journal.path.read_bytes().count(b"\n") == len(journal.found) == len(study.runs)


def test_where_nothing_listens_the_command_says_so_and_ends(tmp_path: Path) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))  # bound, and so nobody else's; not listening
        found = ended(tmp_path, f"tcp://127.0.0.1:{free.getsockname()[1]}")
    assert found.returncode == 2
    assert "no scheduler answers" in found.stderr
    assert "Traceback" not in found.stderr


def test_where_something_listens_and_never_speaks_the_command_ends_too(tmp_path: Path) -> None:
    with socket.create_server(("127.0.0.1", 0)) as mute:
        found = ended(tmp_path, f"tcp://127.0.0.1:{mute.getsockname()[1]}")
    assert found.returncode == 2
    assert "no scheduler answers" in found.stderr
    assert "Traceback" not in found.stderr


@pytest.mark.parametrize("address", ["nonsense", "odd://127.0.0.1:1", ""])
def test_an_address_that_is_none_is_told(tmp_path: Path, address: str) -> None:
    with pytest.raises(StudyError, match="no scheduler answers"):
        run_study(storms(tmp_path, 1), tmp_path / "out", where=address)


def test_a_scheduler_without_workers_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("drainwright.studies.cluster.WORKERS", 1.0)
    with cluster(tmp_path, 0) as made, pytest.raises(StudyError, match="the scheduler has no workers; start some"):
        run_study(storms(tmp_path, 1), tmp_path / "out", where=made.address)


@pytest.mark.slow
def test_a_scheduler_that_dies_in_the_middle_is_told_and_the_study_goes_on_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("drainwright.studies.cluster.ANSWER", 3.0)
    study = storms(tmp_path, 10)
    with cluster(tmp_path, 1) as made:
        assert made.scheduler is not None
        progress = once_beyond(8, made.scheduler.kill)
        with pytest.raises(StudyError, match=r"the scheduler was lost.*what is done is kept"):
            run_study(study, tmp_path / "out", where=made.address, progress=progress)
    goes_on(study, tmp_path / "out")


@pytest.mark.slow
def test_a_scheduler_that_stands_still_in_the_middle_is_told_and_the_study_goes_on_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("drainwright.studies.cluster.ANSWER", 2.0)
    monkeypatch.setattr("drainwright.studies.cluster.PAUSE", 0.5)
    study = storms(tmp_path, 10)
    with cluster(tmp_path, 1) as made:

        def stop() -> None:
            monkeypatch.setattr("drainwright.studies.cluster.WORKERS", 2.0)
            assert made.scheduler is not None
            made.scheduler.send_signal(signal.SIGSTOP)

        with pytest.raises(StudyError, match=r"the scheduler was lost.*what is done is kept"):
            run_study(study, tmp_path / "out", where=made.address, progress=once_beyond(8, stop))
    goes_on(study, tmp_path / "out")


@pytest.mark.slow
def test_workers_that_all_die_in_the_middle_are_told_and_the_study_goes_on_here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("drainwright.studies.cluster.PAUSE", 0.5)
    study = storms(tmp_path, 10)
    with cluster(tmp_path, 1) as made:

        def kill() -> None:
            monkeypatch.setattr("drainwright.studies.cluster.WORKERS", 2.0)
            made.workers[0].kill()

        with pytest.raises(StudyError, match=r"no workers any more; what is done is kept"):
            run_study(study, tmp_path / "out", where=made.address, progress=once_beyond(8, kill))
    goes_on(study, tmp_path / "out")
