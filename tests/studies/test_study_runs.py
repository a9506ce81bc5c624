"""One run: the figures of the storm test and of the design, and what a change or a rain does to them."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import design
from drainwright.errors import InputError
from drainwright.job.changes import changed_job
from drainwright.job.reading import read_job
from drainwright.studies import Study, read_study
from drainwright.studies.figures import design_figures, storm_figures
from drainwright.studies.model import Outcome
from drainwright.studies.one_run import batches_of, one_run, run_batch, year_runs
from drainwright.studies.rains import record_years
from drainwright.water.rain import rain_table
from drainwright.water.rain_process.model import FittedProcess, StormKind
from tests.studies.sample import EXAMPLES, written


def outcomes(study: Study) -> list[Outcome]:
    return [outcome for batch in batches_of(study, study.runs, 10) for outcome in run_batch(batch)]


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


def rain_csv(path: Path, years: int = 2) -> Path:
    """Years at five minutes, the first two with a burst each, the second heavier and longer."""
    times = np.arange("2001-01-01T00:05", f"{2001 + years}-01-01T00:00", 300, dtype="datetime64[s]")
    depths = np.zeros(len(times))
    depths[5000:5006] = 4.0
    depths[150000:150012] = 9.0
    rows = [f"{time},{depth}" for time, depth in zip(times, depths, strict=True)]
    path.write_text("time,rain (mm)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def as_the_command_tells(found: Sequence[Outcome], job: Path, out: Path, *words: str) -> None:
    """The figures of a study's years are those of ``drainwright years``, to the last digit."""
    told = CliRunner().invoke(app, ["years", str(job), *words, "--to", str(out), "--quiet"])
    assert told.exit_code == 0, told.output
    run = json.loads((out / "years.json").read_text(encoding="utf-8"))
    assert len(run["years"]) == len(found)
    for year, outcome in zip(run["years"], found, strict=True):
        figures = outcome.figures
        assert not outcome.error
        names = {"rain": "rain depth [m]", "highest": "highest at house [m]", "slab_seconds": "time at slab [s]"}
        names |= {"pond": "deepest pond [m]", "pond_at": "pond at [-]", "spilled": "run off over rims [m3]"}
        for name, column in (names | {"share": "read [-]", "counts": "counts [-]"}).items():
            assert figures[column] == year[name], column
        for name, column in (
            ("starts", "pump starts [-]"), ("seconds", "pump run time [s]"), ("pumped", "pumped [m3]"),
            ("energy", "energy [J]"),
        ):  # fmt: skip
            assert figures[column] == sum(station[name] for station in year["stations"]), column
        assert figures["floor reached [-]"] == (year["highest"] >= run["slab_level"])
        assert figures["worst balance [-]"] == run["worst_balance"]


def test_years_of_a_record_give_what_the_years_command_gives(tmp_path: Path) -> None:
    path = written(tmp_path, "study: S\njobs: [job.yaml]\nrain:\n  - {record: rain.csv}\n")
    rain_csv(tmp_path / "rain.csv")
    study = read_study(path)
    assert [run.rain["source"] for run in study.runs] == ["rain.csv, 2001", "rain.csv, 2002"]
    found = outcomes(study)
    assert found[0].figures["rain depth [m]"] == pytest.approx(0.024, rel=1e-9)
    assert found[1].figures["rain depth [m]"] == pytest.approx(0.108, rel=1e-9)
    assert float(found[1].figures["pump run time [s]"]) > float(found[0].figures["pump run time [s]"])  # type: ignore[arg-type]
    as_the_command_tells(found, tmp_path / "job.yaml", tmp_path / "out", "--rain", str(tmp_path / "rain.csv"))
    stretch = study.rains[study.runs[0].rain["stretch"]]
    second = year_runs(study.jobs[study.runs[1].job], study.runs[1:], stretch)
    assert second == found[1:]  # asked for alone, as when a study goes on: the year before is stepped all the same


def test_a_year_asked_for_by_itself_is_what_the_command_gives_of_a_record_of_that_year(tmp_path: Path) -> None:
    text = "study: S\njobs: [job.yaml]\nrain:\n  - {record: rain.csv, years: [2002]}\n"
    path = written(tmp_path, text)
    lines = rain_csv(tmp_path / "rain.csv").read_text(encoding="utf-8").splitlines()
    study = read_study(path)
    (stretch,) = study.rains.values()
    assert stretch.depths.size == 12  # that year's rain and no more
    after = lines.index(next(line for line in lines if line.startswith("2002-01-01T00:05")))
    (tmp_path / "only.csv").write_text("\n".join([lines[0], *lines[after:]]) + "\n", encoding="utf-8")
    as_the_command_tells(outcomes(study), tmp_path / "job.yaml", tmp_path / "out", "--rain", str(tmp_path / "only.csv"))


def test_named_years_that_follow_on_each_other_are_one_stretch(tmp_path: Path) -> None:
    record = rain_csv(tmp_path / "rain.csv", years=5)
    stretches = record_years(record, None, [2005, 2001, 2002])
    assert [[year["year"] for year in stretch.years] for stretch in stretches] == [[2001, 2002], [2005]]
    with pytest.raises(InputError, match="found no 2009"):
        record_years(record, None, [2009])


def test_a_record_keys_by_what_it_holds_and_not_by_where_it_lies(tmp_path: Path) -> None:
    text = "study: S\njobs: [job.yaml]\nrain:\n  - {record: rain.csv, years: [2001]}\n"
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
        "drainwright.water.rain_process.fit_process", lambda table, depth, **told: process
    )  # the fit takes 10 s
    text = "study: S\njobs: [job.yaml]\nrain:\n  - {{made: {{seed: {}, years: 3}}}}\n"
    first, again, other = (read_study(written(tmp_path, text.format(seed))) for seed in (4, 4, 5))
    assert [run.rain["source"] for run in first.runs] == [f"made rain, seed 4, year {year}" for year in (1, 2, 3)]
    assert [run.key for run in first.runs] == [run.key for run in again.runs]
    assert not {run.key for run in first.runs} & {run.key for run in other.runs}
    found = outcomes(first)
    assert len({outcome.figures["rain depth [m]"] for outcome in found}) == 3
    as_the_command_tells(found, tmp_path / "job.yaml", tmp_path / "out", "--made", "3", "--seed", "4")
