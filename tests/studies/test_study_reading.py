"""A study file is read to runs; what is wrong is told with its line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from drainwright.errors import InputError, JobError
from drainwright.job.changes import changed_record
from drainwright.studies import read_study
from drainwright.studies.varying import latin_hypercube, range_of, rows_of
from tests.studies.sample import STORMS, storms, written


def problems(tmp_path: Path, text: str) -> list[str]:
    with pytest.raises(JobError) as caught:
        read_study(written(tmp_path, text))
    return [str(problem) for problem in caught.value.problems]


def test_runs_are_numbered_and_keyed_by_content(tmp_path: Path) -> None:
    here, there = storms(tmp_path / "a", 5), storms(tmp_path / "b", 5)
    assert [run.number for run in here.runs] == list(range(1, 21))
    assert [run.key for run in here.runs] == [run.key for run in there.runs]
    assert len({run.key for run in here.runs}) == 20
    other = read_study(written(tmp_path / "c", STORMS.format(sample=5), "block-wall-house/job.yaml"))
    assert not {run.key for run in here.runs} & {run.key for run in other.runs}


def test_a_key_hangs_on_the_version_of_the_results(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = storms(tmp_path, 1).runs[0].key
    monkeypatch.setattr("drainwright.studies.model.RESULTS", 99)
    assert storms(tmp_path, 1).runs[0].key != before


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("  works.basn.diameter: [24 in]", "Did you mean 'basin'"),
        ("  criteria.power_cut: [2 hours and more]", "study.yaml:5: vary.criteria.power_cut[0]: found"),
        ("  criteria.power_cut: 4 h to 2 h\nsample: 3", "the low end first"),
        ("  criteria.power_cut: 1 h to 2 day\nsample: 3", "both ends in one unit"),
        ("  criteria.power_cut: 1 h to 2 h", "but no 'sample'"),
        ("  criteria.power_cut: [1 h]\nsample: 4", "no range under 'vary'"),
        ("  criteria.power_cut: [1 h]\nkeep: [prise]", "found 'prise'"),
        ("  criteria.power_cut: [1 h]\nrains: []", "rain"),
        ("  criteria.power_cut: [1 h]\nrain:\n  - return_period: 25 pounds", "study.yaml:7"),
        ("  criteria.power_cut: [1 h]\nrain:\n  - record: none.csv", "no file 'none.csv'"),
        ("  criteria.power_cut: [1 h]\nrain:\n  - record: ../none.csv", "beside the job"),
    ],
)
def test_what_is_wrong_is_told_with_its_line(tmp_path: Path, line: str, said: str) -> None:
    told = problems(tmp_path, f"study: S\nkind: storm\njobs: [job.yaml]\nvary:\n{line}\n")
    assert any(said in one for one in told), told
    assert all("study.yaml:" in one for one in told), told


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("jobs: [job.yaml]\nvary:\n  criteria.power_cut: []", "found an empty list; expected at least 1 entry"),
        ("jobs: [job.yaml]\nvary:\n  criteria.power_cut: 2", "found 2; expected a list"),
        ("jobs: [job.yaml]\nvary:\n  criteria.power_cut:", "found nothing; expected a list"),
        ("jobs: [job.yaml]\nvary:\n  criteria.grate_clogging: [.nan]", "found nan; expected a finite number"),
        ("jobs: [job.yaml]\nvary:", "found nothing; expected a mapping"),
        ("jobs: [job.yaml]\nvary: [3]", "found 3; expected a mapping"),
        ("jobs: []", "found an empty list"),
        ("jobs: [job.yaml, ./job.yaml]", "jobs[1]: found the same job as 'job.yaml'"),
        ("jobs: [job.yaml]\nrain:\n  - {made: {seed: 1, years: 1001}}", "a number of 1000 or less"),
        ("jobs: [job.yaml]\nrain:\n  - {record: r.csv, duration: 1 h}", "'duration' only with a 'return_period'"),
        (
            "jobs: [job.yaml]\nvary:\n  criteria.power_cut: 1 h to 2 h\nsample: 100000000000",
            "a number of 1000000 or less",
        ),
    ],
)
def test_one_fault_is_one_problem(tmp_path: Path, text: str, said: str) -> None:
    (told,) = problems(tmp_path, f"study: S\n{text}\n")
    assert said in told


def test_rain_made_to_a_table_that_varies_is_refused(tmp_path: Path) -> None:
    text = "study: S\njobs: [job.yaml]\nvary:\n  - {rain.table: x}\nrain:\n  - {made: {seed: 1, years: 1}}\n"
    (told,) = problems(tmp_path, text)
    assert "rain made to the job's table, while 'rain.table' varies" in told


def test_a_job_that_is_wrong_names_its_own_file(tmp_path: Path) -> None:
    path = written(tmp_path, "study: S\njobs: [job.yaml, other.yaml]\n")
    (tmp_path / "other.yaml").write_text("schema_version: 1\ntitel: x\n", encoding="utf-8")
    with pytest.raises(JobError, match=r"other\.yaml:2"):
        read_study(path)


def test_rows_grids_and_samples() -> None:
    assert rows_of([{"a": 1}, {"b": 2}], None, 0) == [{"a": 1}, {"b": 2}]
    assert rows_of({"a": [1, 2], "b": ["x", "y"]}, None, 0) == [
        {"a": 1, "b": "x"}, {"a": 1, "b": "y"}, {"a": 2, "b": "x"}, {"a": 2, "b": "y"},
    ]  # fmt: skip
    assert len(rows_of({"a": [1, 2], "b": "0 to 1"}, 7, 0)) == 14
    assert rows_of({}, None, 0) == [{}]


def test_a_sample_holds_one_value_in_each_part_of_each_range() -> None:
    count = 50
    drawn = latin_hypercube(count, {"a": range_of("0 to 10"), "b": range_of("1 m to 100 m, logarithmic")}, 3)
    parts = np.floor(np.array([row["a"] for row in drawn]) / 10 * count)
    assert sorted(parts) == list(range(count))
    logs = np.log10([float(row["b"].split()[0]) for row in drawn]) / 2
    assert sorted(np.floor(logs * count)) == list(range(count))
    assert abs(np.corrcoef(parts, logs)[0, 1]) < 0.4
    assert latin_hypercube(count, {"a": range_of("0 to 10")}, 3) != latin_hypercube(
        count, {"a": range_of("0 to 10")}, 4
    )
    with pytest.raises(InputError, match="above zero"):
        range_of("0 to 10, logarithmic")


def test_keys_find_entries_by_name_or_number_and_keep_marks() -> None:
    record = {"works": {"runs": [{"name": "A", "pipe": "x"}]}, "ground": {"conductivity": "2 ft/day, measured"}}
    made = changed_record(record, {"works.runs.A.pipe": "y", "ground.conductivity.value": "3 ft/day"})
    assert made == {"works": {"runs": [{"name": "A", "pipe": "y"}]}, "ground": {"conductivity": "3 ft/day, measured"}}
    assert changed_record(record, {"works.runs[0].pipe": "y"})["works"]["runs"][0]["pipe"] == "y"
    assert record["works"]["runs"][0]["pipe"] == "x"  # type: ignore[index]
    for key in ("works.runs.B.pipe", "works.runs[1].pipe", "works.basin", "a..b", ""):
        with pytest.raises(JobError):
            changed_record(record, {key: "y"})
