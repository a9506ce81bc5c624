"""What a study says on the screen, and its results in the units of the job."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.errors import JobError
from drainwright.studies import read_study
from drainwright.studies.answers import YEARS, answers_of, in_job_units, rounded
from drainwright.studies.model import Outcome, Run, Study, StudyResult, Value
from tests.studies.sample import EXAMPLES, written


def result_of(*figures: dict[str, Value]) -> StudyResult:
    """A study of one setting, run by run."""
    runs = tuple(
        Run(number=n, job="j", changes={"criteria.power_cut": f"{n}.123456789 h"}, rain={}, key=str(n))
        for n in range(1, len(figures) + 1)
    )
    study = Study(
        title="By hand", kind="storm", jobs={"j": '{"units": "US"}'}, job_names={"j": "job.yaml"}, runs=runs, keep=()
    )
    outcomes = tuple(Outcome(key=run.key, figures=found) for run, found in zip(runs, figures, strict=True))
    return StudyResult(study=study, outcomes=outcomes, fresh=len(runs), begun="", ended="")


def storm(level: float | None, time: float | None, *, rising: bool = False) -> dict[str, Value]:
    """Figures of the power cut in one storm."""
    return {
        "highest at house: power out [m]": level,
        "time to slab: power out [s]": time,
        "undecided: power out [-]": rising,
    }


def test_runs_that_wet_the_floor_are_counted_with_the_soonest_and_its_settings() -> None:
    """The soonest stands with the level of its own run, though another run stood higher."""
    found = answers_of(result_of(storm(30.1, 7200.0), storm(30.0, 3600.0), storm(29.0, None, rising=True), {}))
    (one,) = found
    assert (one.case, one.runs, one.wet, one.rising, one.soonest) == ("power out", 3, 2, 1, 3600.0)
    assert (one.worst, one.highest) == ("criteria.power_cut = 2.12 h", 30.0)
    assert (one.best, one.lowest) == ("criteria.power_cut = 3.12 h", 29.0)


def test_years_in_which_the_floor_was_reached_are_counted() -> None:
    years: list[dict[str, Value]] = [
        {"floor reached [-]": wet, "highest at house [m]": level} for wet, level in ((True, 30.2), (False, 29.4))
    ]
    (one,) = answers_of(result_of(*years))
    assert (one.case, one.runs, one.wet, one.soonest) == (YEARS, 2, 1, None)
    assert (one.highest, one.lowest) == (30.2, 29.4)


def test_columns_stand_in_the_units_of_the_job_with_sensible_digits() -> None:
    """30.48 m are 100 ft, 1 m³ is 264.17 gal (NIST SP 811, appendix B.8, from memory), 3.6 MJ a kilowatt hour."""
    assert in_job_units("highest at house: sound [m]", [30.48, None], "US") == (
        "highest at house: sound [ft]", ["100.00", ""],
    )  # fmt: skip
    assert in_job_units("rain depth [m]", [0.0254], "US") == ("rain depth [in]", ["1.00"])
    assert in_job_units("pumped [m3]", [1.0], "US") == ("pumped [gal]", ["264"])
    assert in_job_units("pumped [m3]", [1.0], "SI") == ("pumped [L]", ["1000"])
    assert in_job_units("time to slab: sound [s]", [5400.0], "SI") == ("time to slab: sound [min]", ["90.0"])
    assert in_job_units("energy [J]", [7.2e6], "US") == ("energy [kWh]", ["2.0"])
    assert in_job_units("sound [-]", [True, False], "US") == ("sound", ["yes", "no"])
    assert rounded("1.123456789 h") == "1.12 h"


def test_the_example_study_answers_on_the_screen(tmp_path: Path) -> None:
    text = (EXAMPLES / "leaves-study.yaml").read_text(encoding="utf-8").replace("metric-basement/job.yaml", "job.yaml")
    path = written(tmp_path, text.replace("sample: 3", "sample: 1"), job="metric-basement/job.yaml")
    words = ["study", str(path), "--to", str(tmp_path / "out"), "--workers", "1", "--quiet"]
    said = CliRunner().invoke(app, words).stdout
    assert "4 runs; 4 done now." in said
    assert "floor wet in" in said
    rows = list(csv.DictReader((tmp_path / "out" / "results-job-units.csv").read_text(encoding="utf-8").splitlines()))
    exact = list(csv.DictReader((tmp_path / "out" / "results.csv").read_text(encoding="utf-8").splitlines()))
    assert len(rows) == len(exact) == 4
    assert "key" not in rows[0]
    wet = sum(bool(row["time to slab: power out [min]"]) for row in rows)
    assert any(line.split()[:5] == ["power", "out", str(wet), "of", "4"] for line in said.splitlines())
    for row, one in zip(rows, exact, strict=True):
        level = "highest at house: sound [m]"
        assert float(row[level]) == pytest.approx(float(one[level]), abs=0.0006)
    told = json.loads(CliRunner().invoke(app, [*words, "--json"]).stdout)
    assert next(each for each in told["answers"] if each["case"] == "power out")["wet"] == wet


def test_the_example_study_reads_where_it_stands() -> None:
    assert len(read_study(EXAMPLES / "leaves-study.yaml").runs) == 12


@pytest.mark.parametrize(("key", "unit"), [("return_period", "yr"), ("duration", "h")])
def test_a_bare_number_is_told_its_unit_and_not_to_stand_in_quotes(tmp_path: Path, key: str, unit: str) -> None:
    given = {"return_period": "25 yr", "duration": "1 h"} | {key: 25}
    path = written(tmp_path, f"study: S\njobs: [job.yaml]\nrain:\n  - {json.dumps(given)}\n")
    with pytest.raises(JobError) as error:
        read_study(path)
    assert f"like '25 {unit}'" in str(error.value)
    assert "quotes" not in str(error.value)
