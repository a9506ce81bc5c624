"""A thousand runs, with processes killed in the middle: here and on a cluster the same to the last digit, each once."""

from __future__ import annotations

import csv
import json
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from drainwright.studies import Study, StudyError, StudyResult, run_study
from drainwright.studies.journal import NAME, outcome_of
from drainwright.studies.one_run import one_run
from tests.studies.sample import storms

RUNS = 1000
pytestmark = pytest.mark.slow  # half a minute
Killing = Callable[[int, int], None]


def once_beyond(count: int, deed: Callable[[], None]) -> tuple[Killing, list[int]]:
    """A progress that does a deed when so many runs are done; and when it did."""
    did: list[int] = []

    def progress(done: int, total: int) -> None:
        if done >= count and not did:
            did.append(done)
            deed()

    return progress, did


def each_once(result: StudyResult, folder: Path) -> None:
    """Every run has one line in the journal and one row in the table, in order, and none failed."""
    lines = (folder / NAME).read_bytes().splitlines(keepends=True)
    told = Counter(one.key for line in lines if (one := outcome_of(line)) is not None)
    assert len(lines) == len(told) == RUNS
    assert set(told.values()) == {1}
    assert result.fresh == RUNS
    assert result.failed == 0
    with (folder / "results.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [int(row["run [-]"]) for row in rows] == list(range(1, RUNS + 1))
    assert [row["key"] for row in rows] == [run.key for run in result.study.runs]


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    return storms(tmp_path_factory.mktemp("study"), RUNS // 4)


@pytest.fixture(scope="module")
def local(study: Study, tmp_path_factory: pytest.TempPathFactory) -> tuple[StudyResult, Path, float, list[int]]:
    """The study run by two processes, one of which is killed."""

    def kill() -> None:
        pid = multiprocessing.active_children()[0].pid
        assert pid is not None
        os.kill(pid, signal.SIGKILL)

    folder = tmp_path_factory.mktemp("local")
    progress, did = once_beyond(300, kill)
    begun = time.monotonic()
    result = run_study(study, folder, workers=2, progress=progress)
    return result, folder, time.monotonic() - begun, did


def test_a_thousand_runs_here_with_a_killed_process(
    study: Study, local: tuple[StudyResult, Path, float, list[int]]
) -> None:
    result, folder, seconds, did = local
    assert did
    assert did[0] < RUNS - 100  # in the middle
    each_once(result, folder)
    print(f"{RUNS} runs by two processes, one killed: {seconds:.1f} s")
    for number in range(0, RUNS, 97):  # alone, in this process, in another order
        run = study.runs[-1 - number]
        assert one_run(study.kind, study.jobs[run.job], run) == result.outcomes[-1 - number]


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """A scheduler and two workers on loopback, on free ports, without dashboards."""
    pytest.importorskip("distributed")
    known = tmp_path / "scheduler.json"
    settings = {"DASK_DISTRIBUTED__SCHEDULER__WORK_STEALING": "True", "OPENBLAS_NUM_THREADS": "1"}
    begun: list[subprocess.Popen[bytes]] = []

    def begin(module: str, *words: str) -> None:
        command = [sys.executable, "-m", f"distributed.cli.{module}", "--no-dashboard", *words]
        with (tmp_path / f"{module}{len(begun)}.log").open("wb") as log:
            begun.append(subprocess.Popen(command, cwd=tmp_path, env=os.environ | settings, stdout=log, stderr=log))

    try:
        begin("dask_scheduler", "--host", "tcp://127.0.0.1", "--port", "0", "--scheduler-file", str(known))
        deadline = time.monotonic() + 60.0
        while not (known.exists() and known.stat().st_size):
            assert time.monotonic() < deadline, (tmp_path / "dask_scheduler0.log").read_text()
            time.sleep(0.05)
        for _ in range(2):
            begin(
                "dask_worker", "--scheduler-file", str(known), "--host", "127.0.0.1", "--nthreads", "1", "--no-nanny",
                "--local-directory", str(tmp_path),
            )  # fmt: skip
        yield json.loads(known.read_text())["address"], begun[1:]
    finally:
        for process in begun:
            process.kill()
        for process in begun:
            process.wait()


def test_a_thousand_runs_on_a_cluster_with_a_killed_worker_are_the_same(
    study: Study,
    local: tuple[StudyResult, Path, float, list[int]],
    cluster: tuple[str, list[subprocess.Popen[bytes]]],
    tmp_path: Path,
) -> None:
    address, workers = cluster
    progress, did = once_beyond(300, workers[0].kill)
    begun = time.monotonic()
    result = run_study(study, tmp_path / "out", where=address, progress=progress)
    print(f"{RUNS} runs on a cluster of two, one killed: {time.monotonic() - begun:.1f} s")
    assert did
    assert did[0] < RUNS - 100
    assert workers[0].wait(10) == -signal.SIGKILL
    assert workers[1].poll() is None
    each_once(result, tmp_path / "out")
    assert result.outcomes == local[0].outcomes  # every figure, to the last digit
    assert (tmp_path / "out/results.csv").read_bytes() == (local[1] / "results.csv").read_bytes()


def test_a_scheduler_that_does_not_answer_is_told(
    study: Study, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr("drainwright.studies.cluster.WAIT", 1)
    with pytest.raises(StudyError, match="no scheduler answers"):
        run_study(study, tmp_path, where="tcp://127.0.0.1:9")
