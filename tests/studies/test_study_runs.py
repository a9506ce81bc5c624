"""One run: the figures of the storm test and of the design, and what a change or a rain does to them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from drainwright.design import design
from drainwright.exchange.rain_record import read_rain_record
from drainwright.job.reading import read_job
from drainwright.studies import Study, read_study
from drainwright.studies.changes import changed_job
from drainwright.studies.figures import design_figures, storm_figures
from drainwright.studies.model import Outcome
from drainwright.studies.one_run import one_run
from drainwright.studies.rains import record_years
from drainwright.water.rain import rain_table
from drainwright.water.rain_process.model import FittedProcess, StormKind
from tests.studies.sample import EXAMPLES, written


def outcomes(study: Study) -> list[Outcome]:
    return [one_run(study.kind, study.jobs[run.job], run) for run in study.runs]


def test_a_run_without_changes_tells_what_the_design_tells(tmp_path: Path) -> None:
    whole = design(read_job(EXAMPLES / "metric-basement/job.yaml"))
    (storm,) = outcomes(read_study(written(tmp_path, "study: S\njobs: [job.yaml]\n")))
    assert storm.figures == storm_figures(whole.storm)
    (full,) = outcomes(read_study(written(tmp_path, "study: S\nkind: design\njobs: [job.yaml]\n")))
    assert full.figures == design_figures(whole)
    assert full.figures["price [currency]"] == str(whole.build.price.total)


def test_a_design_run_is_the_design_of_the_changed_job(tmp_path: Path) -> None:
    text = "study: S\nkind: design\njobs: [job.yaml]\nvary:\n  criteria.storm_return_period: [10 yr, 100 yr]\n"
    study = read_study(written(tmp_path, text))
    low, high = outcomes(study)
    told = design(changed_job(study.jobs[study.runs[1].job], study.runs[1].changes))
    assert high.figures == design_figures(told)
    assert low.figures != high.figures


def test_a_storm_run_keeps_the_system_and_changes_the_storm(tmp_path: Path) -> None:
    text = "study: S\njobs: [job.yaml]\nrain:\n  - return_period: 10 yr\n  - {return_period: 100 yr, duration: 2 h}\n"
    study = read_study(written(tmp_path, text))
    job = read_job(EXAMPLES / "metric-basement/job.yaml")
    year = 31557600.0
    for outcome, period, hours in zip(
        outcomes(study), (10.0, 100.0), (job.criteria.storm_duration / 3600.0, 2.0), strict=True
    ):
        wanted = rain_table(job.rain).depth(hours * 3600.0, period * year)
        assert outcome.figures["rain depth [m]"] == pytest.approx(wanted, rel=1e-12)


def test_what_goes_wrong_in_a_run_is_its_outcome(tmp_path: Path) -> None:
    study = read_study(written(tmp_path, "study: S\njobs: [job.yaml]\n"))
    run = replace(study.runs[0], rain={"return_period": "990 yr"})
    outcome = one_run("storm", study.jobs[run.job], run)
    assert not outcome.figures
    assert "which the rain table covers" in outcome.error
    run = replace(study.runs[0], changes={"works.nothing": 1})
    assert "no 'nothing' in the job" in one_run("storm", study.jobs[run.job], run).error


def rain_csv(path: Path) -> Path:
    """Two years at five minutes, each with a burst, the second heavier and longer."""
    times = np.arange("2001-01-01T00:05", "2003-01-01T00:00", 300, dtype="datetime64[s]")
    depths = np.zeros(len(times))
    depths[5000:5006] = 4.0
    depths[150000:150012] = 9.0
    rows = [f"{time},{depth}" for time, depth in zip(times, depths, strict=True)]
    path.write_text("time,rain (mm)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_a_year_of_a_record_is_a_storm_as_sharp_as_its_rain(tmp_path: Path) -> None:
    text = "study: S\njobs: [job.yaml]\nrain:\n  - {record: rain.csv, duration: 1 h}\n"
    path = written(tmp_path, text)
    record = read_rain_record(rain_csv(tmp_path / "rain.csv"))
    assert float(np.nansum(record.depths)) == pytest.approx((6 * 4 + 12 * 9) / 1000)
    study = read_study(path)
    assert [run.rain["source"] for run in study.runs] == ["rain.csv, 2001", "rain.csv, 2002"]
    first, second = outcomes(study)
    # all of a burst falls within the hour, and no factor for shorter steps can make more of it
    assert second.figures["rain depth [m]"] == pytest.approx(0.108, rel=1e-9)
    assert first.figures["rain depth [m]"] == pytest.approx(0.024, rel=1e-9)
    house = "highest at house: pump dead [m]"
    assert float(second.figures[house]) > float(first.figures[house])  # type: ignore[arg-type]
    only = record_years(tmp_path / "rain.csv", None, [2002])
    assert [year["source"] for year in only] == ["rain.csv, 2002"]


def test_a_record_keys_by_what_it_holds_and_not_by_where_it_lies(tmp_path: Path) -> None:
    text = "study: S\njobs: [job.yaml]\nrain:\n  - {record: rain.csv, years: [2001], duration: 1 h}\n"
    keys = []
    for name in ("a", "b"):
        path = written(tmp_path / name, text)
        rain_csv(path.parent / "rain.csv")
        keys.append(read_study(path).runs[0].key)
    assert keys[0] == keys[1]


def test_years_of_made_rain_are_those_of_their_seed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kind = StormKind(rate=3e-6, pace_shape=4.0, pace_time=1800.0, cells=0.5, storm_end=0.05, cell_depth=0.0005)
    process = FittedProcess(kinds=(kind,), misfit=(), assumed=(), notes=(), source="process")
    monkeypatch.setattr(
        "drainwright.water.rain_process.fit_process", lambda table, depth: process
    )  # the fit takes 10 s
    text = "study: S\njobs: [job.yaml]\nrain:\n  - {{made: {{seed: {}, years: 3}}, duration: 1 h}}\n"
    first, again, other = (read_study(written(tmp_path, text.format(seed))) for seed in (4, 4, 5))
    assert [run.rain["source"] for run in first.runs] == [f"made rain, seed 4, {year}" for year in (2001, 2002, 2003)]
    assert [run.key for run in first.runs] == [run.key for run in again.runs]
    assert not {run.key for run in first.runs} & {run.key for run in other.runs}
    depths = {outcome.figures["rain depth [m]"] for outcome in outcomes(first)}
    assert len(depths) == 3
