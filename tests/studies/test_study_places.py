"""Many runs, with processes killed in the middle: here and on a cluster the same to the last digit, each once."""

from __future__ import annotations

import csv
import multiprocessing
import os
import signal
from collections import Counter
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest

from drainwright.studies import Run, Study, StudyResult, run_study
from drainwright.studies.journal import NAME, outcome_of
from drainwright.studies.local import in_processes
from drainwright.studies.one_run import one_run
from tests.studies.clusters import cluster
from tests.studies.deeds import tell
from tests.studies.sample import storms

RUNS = 60  # that are computed
MANY = 1000  # that only say their number
pytestmark = pytest.mark.slow
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
    told = Counter(one[0].key for line in lines if (one := outcome_of(line)) is not None)
    count = len(result.study.runs)
    assert len(lines) == len(told) == count
    assert set(told.values()) == {1}
    assert result.fresh == count
    assert result.failed == 0
    with (folder / "results.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [int(row["run [-]"]) for row in rows] == list(range(1, count + 1))
    assert [row["key"] for row in rows] == [run.key for run in result.study.runs]


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> Study:
    return storms(tmp_path_factory.mktemp("study"), RUNS // 4)


def kill_one() -> None:
    """Kill a worker of this machine."""
    pid = multiprocessing.active_children()[0].pid
    assert pid is not None
    os.kill(pid, signal.SIGKILL)


@pytest.fixture(scope="module")
def local(study: Study, tmp_path_factory: pytest.TempPathFactory) -> tuple[StudyResult, Path, list[int]]:
    """The study run by two processes, one of which is killed."""
    folder = tmp_path_factory.mktemp("local")
    progress, did = once_beyond(RUNS // 3, kill_one)
    return run_study(study, folder, workers=2, progress=progress), folder, did


def test_a_thousand_runs_with_a_killed_process_are_each_told_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    runs = tuple(Run(number=n, job="j", changes={"n": n}, rain={}, key=f"k{n}") for n in range(1, MANY + 1))
    many = Study(
        title="Many", kind="storm", jobs={"j": '{"units": "US"}'}, job_names={"j": "job.yaml"}, runs=runs, keep=()
    )
    monkeypatch.setattr("drainwright.studies.local.in_processes", partial(in_processes, work=tell))
    progress, did = once_beyond(MANY // 3, kill_one)
    result = run_study(many, tmp_path, workers=2, progress=progress)
    assert did
    assert did[0] < MANY - MANY // 10  # in the middle
    each_once(result, tmp_path)
    assert [one.figures["number [-]"] for one in result.outcomes] == [run.number for run in runs]


def test_what_is_computed_here_with_a_killed_process_is_what_a_run_alone_gives(
    study: Study, local: tuple[StudyResult, Path, list[int]]
) -> None:
    result, folder, did = local
    assert did
    assert did[0] < RUNS - RUNS // 10
    each_once(result, folder)
    for number in range(0, RUNS, 13):  # alone, in this process, in another order
        run = study.runs[-1 - number]
        assert one_run(study.kind, study.jobs[run.job], run) == result.outcomes[-1 - number]


def test_the_same_runs_on_a_cluster_with_a_killed_worker_are_the_same(
    study: Study,
    local: tuple[StudyResult, Path, list[int]],
    tmp_path: Path,
) -> None:
    pytest.importorskip("distributed")
    with cluster(tmp_path, 2) as made:
        progress, did = once_beyond(RUNS // 3, made.workers[0].kill)
        result = run_study(study, tmp_path / "out", where=made.address, progress=progress)
        assert made.workers[0].wait(10) == -signal.SIGKILL
        assert made.workers[1].poll() is None
    assert did
    assert did[0] < RUNS - RUNS // 10
    each_once(result, tmp_path / "out")
    assert result.outcomes == local[0].outcomes  # every figure, to the last digit
    assert (tmp_path / "out/results.csv").read_bytes() == (local[1] / "results.csv").read_bytes()
