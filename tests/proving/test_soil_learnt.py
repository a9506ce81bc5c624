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
from drainwright.design import Design, begin
from drainwright.errors import JobError
from drainwright.job.loading import load
from drainwright.job.reading import job_of, read_job
from drainwright.job.season import read_season, read_season_text
from drainwright.job.writing import to_json
from drainwright.proving.season import ground_volumes
from drainwright.proving.soil_learnt import soil_learnt
from drainwright.proving.street import entry_text, next_range
from drainwright.water.input_ranges import conductivity_spread

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
    job = json.loads(to_json(metric.job))
    job["ground"]["conductivity"] = found.entry
    taken = job_of(job).ground.conductivity
    assert taken is not None
    assert taken.value == pytest.approx(found.learnt.middle, rel=5e-3)
    assert metric.job.number in taken.source
    typed = re.findall(r"    (\w+): (.+)", entry_text(found.entry))
    assert dict(typed) == found.entry


def test_a_number_with_a_colon_is_typed_in_quotes() -> None:
    """A job numbered "7: rear #2" gave lines that no reader takes."""
    entry = {"value": "1 m/day", "source": "pump counts of job 7: rear #2, 2027, on the same street"}
    assert load(entry_text(entry), "next.yaml").record == {"ground": {"conductivity": entry}}


def test_another_lot_is_less_well_known_than_this_one(metric: Design) -> None:
    """Nine times of ten: the season's doubt and a factor of two between lots, as squares of logarithms."""
    learnt = soil_learnt(metric, read_season_text(record(metric, 4.0 * metric.inflows.conductivity))).learnt
    low, middle, high = next_range(learnt)
    nine = 1.6449 * learnt.spread
    assert np.log(high / middle) == pytest.approx(np.log(middle / low))
    assert np.log(high / middle) ** 2 == pytest.approx(nine**2 + np.log(2.0) ** 2, rel=1e-3)


def test_the_next_quote_on_that_street_starts_from_it(tmp_path: Path, metric: Design) -> None:
    """From the counts by the command into another job's file, and from there into its flows and its own season."""
    counts, following = tmp_path / "season.yaml", tmp_path / "next.yaml"
    counts.write_text(record(metric, 4.0 * metric.inflows.conductivity), encoding="utf-8")
    before = (EXAMPLES / "sloping-lot" / "job.yaml").read_text("utf-8")
    kept = re.sub(r"(?m)^  conductivity: .*\n", "", before)  # measured there, it would outrank the street
    assert kept != before
    kept = kept.replace("\nrain:", "\n# Rain of the place.\nrain:")
    following.write_text(kept, encoding="utf-8")
    job = str(EXAMPLES / "metric-basement" / "job.yaml")
    shown = CliRunner().invoke(app, ["season", job, str(counts), "--into", str(following)])
    assert shown.exit_code == 0, shown.output
    assert "next.yaml" in shown.output.replace("\n", "")
    found = soil_learnt(metric, read_season(counts))
    taken = read_job(following)
    assert taken.ground.conductivity is not None
    assert taken.ground.conductivity.value == pytest.approx(found.learnt.middle, rel=5e-3)
    comments = [line for line in kept.splitlines() if line.strip().startswith("#")]
    written = following.read_text("utf-8").splitlines()
    assert [line for line in written if line.strip().startswith("#")] == comments
    start, end = (next(n for n, line in enumerate(written) if line.startswith(key)) for key in ("ground:", "rain:"))
    entry = next(n for n, line in enumerate(written) if line.startswith("  conductivity:"))
    assert not any(line.startswith("#") for line in written[start:entry]), "not under a comment of what follows"
    assert start < entry < end
    began = begin(taken)
    assert began.inflows.conductivity == pytest.approx(found.learnt.middle, rel=5e-3)
    spread = conductivity_spread(began.site, began.inflows)
    assert (spread.low, spread.high) == pytest.approx(next_range(found.learnt)[::2], rel=5e-3)


HOLES = (
    "  hole_tests:\n    - {name: pit, kind: auger hole, diameter: 4 in, hole_depth: 4 ft, water_depth: 2 ft,\n"
    "       readings: [{time: 0 s, depth: 3.5 ft}, {time: 30 s, depth: 3.3 ft}]}\n"
)


@pytest.mark.parametrize("measured", [r"\g<0>", HOLES], ids=["conductivity", "holes"])
def test_what_was_measured_on_a_lot_outranks_the_street(tmp_path: Path, metric: Design, measured: str) -> None:
    counts, following = tmp_path / "season.yaml", tmp_path / "next.yaml"
    counts.write_text(record(metric, 4.0 * metric.inflows.conductivity), encoding="utf-8")
    before = (EXAMPLES / "sloping-lot" / "job.yaml").read_text("utf-8")
    before = re.sub(r"(?m)^  conductivity: .*\n", measured, before)
    following.write_text(before, encoding="utf-8")
    job = str(EXAMPLES / "metric-basement" / "job.yaml")
    shown = CliRunner().invoke(app, ["season", job, str(counts), "--into", str(following)])
    assert shown.exit_code == 2
    assert "outranks the street" in shown.output.replace("\n", " ")
    assert following.read_text("utf-8") == before
    dry = head(metric) + "".join(f"  - [{day}, 0 mm, {int(at % 9 == 0)}]\n" for at, day in enumerate(dates(40)))
    counts.write_text(dry, encoding="utf-8")
    shown = CliRunner().invoke(app, ["season", job, str(counts), "--into", str(following)])
    assert shown.exit_code == 2
    assert "teaches nothing" in shown.output
    assert following.read_text("utf-8") == before


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
