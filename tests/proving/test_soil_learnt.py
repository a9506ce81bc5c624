"""A season at a job: from its counts to the entry of the next job on that street."""

from __future__ import annotations

import datetime
import json
import re
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.job.reading import job_of
from drainwright.job.season import read_season_text
from drainwright.job.writing import to_json
from drainwright.proving.season import ground_volumes
from drainwright.proving.soil_learnt import soil_learnt

from ..conftest import EXAMPLES


def record(design: Design, truth: float, days: int = 60) -> str:
    """Counts of a season at a design whose soil has another conductivity."""
    noise = np.random.default_rng(11)
    station = design.system.station
    assert station is not None
    rain = np.where(noise.random(days) < 0.3, noise.exponential(0.02, days), 0.0)
    plain = head(design) + "".join(f"  - [{day}, 0 mm, 1]\n" for day in dates(days))
    lot = soil_learnt(design, read_season_text(plain)).lot
    of = [np.array([one]) for one in (truth, design.site.job.ground.drainable_porosity.value if
                                      design.site.job.ground.drainable_porosity else 0.1, 0.3, 0.15)]  # fmt: skip
    volume = ground_volumes(lot, rain, *of)[:, 0]
    starts = np.diff(np.floor(np.cumsum(volume / station.band_volume)), prepend=0.0)
    listed = zip(dates(days), rain, starts, strict=True)
    return head(design) + "".join(f"  - [{day}, {1000 * depth:.2f} mm, {int(count)}]\n" for day, depth, count in listed)


def dates(days: int) -> list[str]:
    return [(datetime.date(2027, 2, 1) + datetime.timedelta(days=number)).isoformat() for number in range(days)]


def head(design: Design) -> str:
    return f"schema_version: 1\njob: {design.job.number}\nbasin: SUMP\ninvented: true\nreach: 6 m\ndays:\n"


def test_the_next_job_starts_from_what_was_learnt(metric: Design) -> None:
    truth = 4.0 * metric.inflows.conductivity
    found = soil_learnt(metric, read_season_text(record(metric, truth)))
    assert found.learnt.told
    assert found.learnt.low <= truth <= found.learnt.high
    low, middle, high = found.before
    assert low < middle < high
    assert found.learnt.high / found.learnt.low < high / low
    assert found.inflow is not None
    assert found.inflow[0] < found.inflow[1] < found.inflow[2]
    assert found.inflow[1] > 1.5 * found.inflow_before  # a soil four times as open brings more
    value = re.search(r"value: (.+)", found.entry)
    assert value
    job = json.loads(to_json(metric.job))
    entry = dict(re.findall(r"    (\w+): (.+)", found.entry))
    job["ground"]["conductivity"] = entry
    taken = job_of(job).ground.conductivity
    assert taken is not None
    assert taken.value == pytest.approx(found.learnt.middle, rel=5e-3)
    assert taken.low is not None
    assert taken.low < taken.value
    assert metric.job.number in taken.source


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("basin: SUMP", "basin: SAMP", "SUMP"),
        ("2027-02-03", "2027-02-05", "the day after"),
        ("2027-02-03, 0 mm, 1", "2027-02-03, 0 mm", "found 2 values"),
        ("2027-02-03, 0 mm, 1", "2027-02-03, 0 mm, 4999", "or fewer a day"),
        ("job: D-", "job: X-", "another job"),
    ],
)
def test_a_wrong_season_is_refused(metric: Design, old: str, new: str, says: str) -> None:
    text = head(metric) + "".join(f"  - [{day}, 0 mm, 1]\n" for day in dates(30))
    assert old in text
    with pytest.raises(JobError, match=says) as caught:
        soil_learnt(metric, read_season_text(text.replace(old, new, 1)))
    assert caught.value.problems[0].line


def test_the_command_gives_the_entry(tmp_path: Path, metric: Design) -> None:
    path = tmp_path / "season.yaml"
    path.write_text(record(metric, 4.0 * metric.inflows.conductivity), encoding="utf-8")
    job = str(EXAMPLES / "metric-basement" / "job.yaml")
    shown = CliRunner().invoke(app, ["season", job, str(path)])
    assert shown.exit_code == 0, shown.output
    assert "For the next job" in shown.output
    as_json = json.loads(CliRunner().invoke(app, ["season", job, str(path), "--json"]).stdout)
    assert as_json["told"]
    assert as_json["learnt"]["low"] < as_json["learnt"]["high"]
