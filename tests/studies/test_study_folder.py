"""The folder of a study: the journal, the lock, going on, and the tables."""

from __future__ import annotations

import csv
import errno
import json
import os
import subprocess
import sys
import zlib
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from drainwright.studies import Outcome, Run, Study, StudyError, run_study
from drainwright.studies.journal import NAME, Journal, journal_in, line_of
from drainwright.studies.local import in_processes, killed
from drainwright.studies.model import version
from drainwright.studies.one_run import Batch, batches_of
from tests.studies.deeds import tell
from tests.studies.sample import storms

Outcomes = list[Outcome]


def faked(number: int, error: str = "") -> Outcome:
    return Outcome(key=f"k{number}", figures={} if error else {"x [m]": number / 3, "none [-]": None}, error=error)


@pytest.fixture
def small(tmp_path: Path) -> Study:
    return storms(tmp_path / "in", 2)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Runs done at once in this process, to see which are asked for; those of a 100-year storm fail."""
    asked: list[str] = []

    def do(batches: list[Batch], workers: int) -> Any:
        for batch in batches:
            found = []
            for run in batch.runs:
                asked.append(run.key)
                bad = run.rain["return_period"] == "100 yr"
                found.append(Outcome(key=run.key, error="no" if bad else "", figures={} if bad else {"x [m]": 0.1}))
            yield found

    monkeypatch.setattr("drainwright.studies.local.in_processes", do)
    return asked


def test_the_journal_gives_back_what_it_was_given_to_the_last_digit(tmp_path: Path) -> None:
    given = [faked(number) for number in range(20)] + [faked(20, "it broke: ÄÖ\n")]
    with journal_in(tmp_path) as journal:
        journal.add(given[:7])
        journal.add(given[7:])
    with journal_in(tmp_path) as journal:
        assert list(journal.found.values()) == given
        assert journal.dropped == 0


@pytest.mark.parametrize("cut", [1, 5, 60])
def test_a_torn_end_is_dropped_and_written_over(tmp_path: Path, cut: int) -> None:
    with journal_in(tmp_path) as journal:
        journal.add([faked(1), faked(2)])
    whole = (tmp_path / NAME).read_bytes()
    os.truncate(tmp_path / NAME, len(whole) - cut)
    with journal_in(tmp_path) as journal:
        assert list(journal.found) == ["k1"]
        assert journal.dropped == 1
        assert (tmp_path / NAME).read_bytes() == line_of(faked(1))
        journal.add([faked(2)])
    assert (tmp_path / NAME).read_bytes() == whole


def test_a_spoilt_line_is_not_believed(tmp_path: Path) -> None:
    first, second = line_of(faked(1)), line_of(faked(2))
    (tmp_path / NAME).write_bytes(first.replace(b"0.33", b"0.34") + second)
    with journal_in(tmp_path) as journal:
        assert list(journal.found) == ["k2"]
        assert journal.dropped == 1


def test_a_full_disk_leaves_what_was_there_whole(tmp_path: Path, small: Study, monkeypatch: pytest.MonkeyPatch) -> None:
    write, room = os.write, [600]

    def full(handle: int, data: bytes) -> int:
        if os.readlink(f"/proc/self/fd/{handle}").endswith(NAME):
            if room[0] <= 0:
                raise OSError(errno.ENOSPC, "No space left on device")
            data = data[: room[0]]
            room[0] -= len(data)
        return write(handle, data)

    def by_one(batches: list[Batch], workers: int) -> Any:
        for batch in batches:
            for run in batch.runs:
                yield [Outcome(key=run.key, figures={"x [m]": run.number / 7})]

    monkeypatch.setattr("drainwright.studies.local.in_processes", by_one)
    with monkeypatch.context() as patch:
        patch.setattr("drainwright.studies.journal.os.write", full)
        with pytest.raises(StudyError, match=r"No space left on device.*runs are kept"):
            run_study(small, tmp_path / "out", workers=1)
    kept = (tmp_path / "out" / NAME).read_bytes()
    assert kept.endswith(b"\n")
    assert 0 < kept.count(b"\n") < len(small.runs)
    result = run_study(small, tmp_path / "out", workers=1)
    assert result.fresh == len(small.runs) - kept.count(b"\n")
    assert [outcome.figures["x [m]"] for outcome in result.outcomes] == [run.number / 7 for run in small.runs]


def test_one_folder_takes_one_study_at_a_time(tmp_path: Path, small: Study, quick: list[str]) -> None:
    with journal_in(tmp_path / "out"), pytest.raises(StudyError, match="another study is at work in this folder"):
        run_study(small, tmp_path / "out", workers=1)
    assert not quick
    run_study(small, tmp_path / "out", workers=1)
    assert len(quick) == len(small.runs)


@pytest.mark.parametrize("which", ["program", "results", "first form"])
def test_figures_of_another_version_are_done_again_and_told(
    tmp_path: Path, small: Study, quick: list[str], monkeypatch: pytest.MonkeyPatch, which: str
) -> None:
    with monkeypatch.context() as patch:
        by = ("0.0", 2) if which == "program" else (version()[0], 0)
        patch.setattr("drainwright.studies.journal.version", lambda: by)
        with journal_in(tmp_path) as journal:
            journal.add([Outcome(key=run.key, figures={"x [m]": 9.0}) for run in small.runs[:3]])
    if which == "first form":
        lines = [json.loads(line[9:]) for line in (tmp_path / NAME).read_bytes().splitlines()]
        texts = [json.dumps({name: line[name] for name in ("key", "figures", "error")}).encode() for line in lines]
        (tmp_path / NAME).write_bytes(b"".join(b"%08x %s\n" % (zlib.crc32(text), text) for text in texts))
    result = run_study(small, tmp_path, workers=1)
    assert result.fresh == len(small.runs)
    assert 9.0 not in [one.figures.get("x [m]") for one in result.outcomes]
    assert result.notes == (
        "3 runs in the folder are of another version of Drainwright, whose figures may differ; they were left in the"
        " journal and are not in the tables.",
    )
    assert run_study(small, tmp_path, workers=1).fresh == 0


def test_runs_that_the_study_no_longer_has_are_told(tmp_path: Path, small: Study, quick: list[str]) -> None:
    run_study(small, tmp_path, workers=1)
    result = run_study(replace(small, runs=small.runs[:5]), tmp_path, workers=1)
    assert result.fresh == 0
    assert result.notes[0].startswith("3 runs in the folder are not in the study as it now stands")


def test_the_folder_of_another_study_is_left_as_it_is(tmp_path: Path, small: Study, quick: list[str]) -> None:
    run_study(small, tmp_path / "out", workers=1)
    before = {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()}
    with pytest.raises(StudyError, match=r"found the study 'Leaves and.*expected another folder for 'Other'"):
        run_study(replace(small, title="Other"), tmp_path / "out", workers=1)
    assert {path.name: path.read_bytes() for path in (tmp_path / "out").iterdir()} == before


def test_a_study_broken_off_has_its_folder_all_the_same(tmp_path: Path, small: Study, quick: list[str]) -> None:
    def broken(done: int, total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_study(small, tmp_path, workers=1, progress=broken)
    with pytest.raises(StudyError, match="found the study 'Leaves and power cuts'"):
        run_study(replace(small, title="Other"), tmp_path, workers=1)


@pytest.mark.parametrize("name", ["results.csv", "results.parquet", "study.json"])
def test_tables_that_no_study_wrote_are_not_written_over(
    tmp_path: Path, small: Study, quick: list[str], name: str
) -> None:
    (tmp_path / name).write_text("mine", encoding="utf-8")
    for _ in range(2):
        with pytest.raises(StudyError, match=f"found {name}, which no study put there"):
            run_study(small, tmp_path, workers=1)
    assert (tmp_path / name).read_text(encoding="utf-8") == "mine"
    assert not quick


def test_a_study_json_that_is_none_is_told(tmp_path: Path, small: Study, quick: list[str]) -> None:
    run_study(small, tmp_path, workers=1)
    (tmp_path / "study.json").write_text("[1", encoding="utf-8")
    with pytest.raises(StudyError, match=r"study\.json: found no study's"):
        run_study(small, tmp_path, workers=1)


def test_names_that_are_odd_come_back_from_both_tables(tmp_path: Path, small: Study, quick: list[str]) -> None:
    parquet = pytest.importorskip("pyarrow.parquet")
    odd = ["a,b;c", "quote \" and ' both", "line\nbreak", "ä 漢 [m]", "=1+1", " spaced ", ""]
    runs = tuple(
        replace(run, changes={"title": text}, key=f"k{run.number}") for run, text in zip(small.runs, odd, strict=False)
    )
    names = dict.fromkeys(small.jobs, 'his, "own" – job.yaml')
    result = run_study(replace(small, runs=runs, job_names=names), tmp_path, workers=1)
    with (tmp_path / "results.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["title"] for row in rows] == odd
    assert {row["job"] for row in rows} == {'his, "own" – job.yaml'}
    table = parquet.read_table(tmp_path / "results.parquet")
    assert table["title"].to_pylist() == odd
    assert len(result.outcomes) == len(odd)


def test_only_what_is_missing_is_done(tmp_path: Path, small: Study, quick: list[str]) -> None:
    part = replace(small, runs=small.runs[3:5])
    run_study(part, tmp_path, workers=1)
    result = run_study(small, tmp_path, workers=1)
    assert result.fresh == len(small.runs) - 2
    assert sorted(quick) == sorted(run.key for run in small.runs)
    assert run_study(small, tmp_path, workers=1).fresh == 0
    again = run_study(small, tmp_path, workers=1, again_failed=True)
    assert again.fresh == again.failed == 2  # the runs of the 100-year storm
    assert len(again.outcomes) == len(small.runs)


def test_a_run_that_kills_its_worker_fails_and_others_go_on(tmp_path: Path) -> None:
    changes: list[dict[str, Any]] = [{} for _ in range(60)]
    changes[17] = {"kills": "always"}
    changes[41] = {"kills": "once", "mark": str(tmp_path / "mark")}
    runs = [Run(number=n, job="j", changes=one, rain={}, key=f"k{n}") for n, one in enumerate(changes)]
    study = Study(
        title="S", kind="storm", jobs={"j": '{"units": "US"}'}, job_names={"j": "j"}, runs=tuple(runs), keep=()
    )
    batches = batches_of(study, runs, 7)
    found = [outcome for some in in_processes(batches, 2, tell) for outcome in some]
    assert sorted(one.key for one in found) == sorted(run.key for run in runs)  # each once
    assert [one.key for one in found if one.error] == ["k17"]
    assert {one.key: one.error for one in found}["k17"] == killed(replace(batches[0], runs=(runs[17],)))[0].error
    assert {one.figures["number [-]"] for one in found if not one.error} == set(range(60)) - {17}


def test_a_worker_of_another_version_is_refused(small: Study) -> None:
    from drainwright.studies.one_run import run_batch

    batch = Batch(version=("0", 0), kind="storm", jobs=small.jobs, runs=small.runs[:1])
    with pytest.raises(StudyError, match="holds version"):
        run_batch(batch)
    assert version() != ("0", 0)


def test_the_tables_say_the_same_in_the_order_of_the_runs(tmp_path: Path, small: Study, quick: list[str]) -> None:
    parquet = pytest.importorskip("pyarrow.parquet")
    result = run_study(replace(small, keep=()), tmp_path, workers=1)
    with (tmp_path / "results.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["run [-]"] for row in rows] == [str(run.number) for run in small.runs]
    assert [row["error"] for row in rows] == [outcome.error for outcome in result.outcomes]
    table = parquet.read_table(tmp_path / "results.parquet")
    assert table.column_names == list(rows[0])
    assert table.schema.field("x [m]").metadata == {b"unit": b"m"}
    assert table["x [m]"].to_pylist() == [float(row["x [m]"]) if row["x [m]"] else None for row in rows]
    about = json.loads((tmp_path / "study.json").read_text(encoding="utf-8"))
    assert about["seed"] == 7
    assert about["runs"] == len(small.runs)
    assert about["failed"] == 2


def test_without_the_extra_it_says_what_to_install(
    tmp_path: Path, small: Study, quick: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(StudyError, match=r"pip install 'drainwright\[studies\]'"):
        run_study(small, tmp_path, where="tcp://127.0.0.1:1")
    monkeypatch.setattr("drainwright.studies.tables.has_parquet", lambda: False)
    run_study(small, tmp_path, workers=1)
    assert not (tmp_path / "results.parquet").exists()
    assert "pyarrow" in json.loads((tmp_path / "study.json").read_text(encoding="utf-8"))["notes"][-1]


def test_dask_and_pyarrow_are_not_imported_before_they_are_used() -> None:
    code = (
        "import sys, drainwright.studies, drainwright.studies.cluster, drainwright.studies.tables, "
        "drainwright.studies.one_run, drainwright.studies.local\n"
        "print(sorted({'dask', 'distributed', 'pyarrow'} & set(sys.modules)))"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert out.strip() == "[]"


def test_the_journal_closes_its_file(tmp_path: Path) -> None:
    journal = Journal(tmp_path)
    journal.close()
    with pytest.raises(OSError, match="Bad file descriptor"):
        journal.close()
