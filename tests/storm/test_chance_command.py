"""The command ``drainwright chance``."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.commands.chance import one_in

JOB = str(Path(__file__).resolve().parents[2] / "examples" / "metric-basement" / "job.yaml")


def test_told_in_words_and_as_json(tmp_path: Path) -> None:
    told = CliRunner().invoke(app, ["chance", JOB, "--samples", "8", "--out", str(tmp_path)])
    assert told.exit_code == 0, told.output
    assert told.output.startswith("Chance of water above the slab: 1 in ")
    assert "Left out:" in told.output
    assert "Least:" not in told.output  # no money without a cost
    data = json.loads((tmp_path / "chance.json").read_text(encoding="utf-8"))
    assert data["samples"] == 8
    assert data["losses"] is None
    assert (tmp_path / "chance.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "risk-chance.svg").read_text(encoding="utf-8").startswith("<svg")
    assert f"1 in {1.0 / data['per_year']:,.0f} a year" in told.output


@pytest.mark.parametrize(
    "wrong", [["--samples", "3"], ["--seed", "-1"], ["--wet-floor-cost", "dear"], ["--wet-floor-cost", "-5"]]
)
def test_wrong_options_are_refused(wrong: list[str]) -> None:
    told = CliRunner().invoke(app, ["chance", JOB, *wrong])
    assert told.exit_code == 2
    assert "expected" in told.output


def test_chances_as_people_say_them() -> None:
    assert [one_in(rate) for rate in (0.0, 0.04, 0.6, 1e-6)] == ["none", "1 in 25", "60%", "less than 1 in 10,000"]


def test_a_folder_that_is_a_file_is_refused_before_anything_is_computed(tmp_path: Path) -> None:
    file = tmp_path / "taken"
    file.write_text("a file", encoding="utf-8")
    for out in (file, file / "within"):
        told = CliRunner().invoke(app, ["chance", JOB, "--samples", "8", "--out", str(out)])
        assert told.exit_code == 2
        assert told.output == f"--out: found {file}, which is a file; expected a folder. Nothing was computed.\n"


def test_money_bears_its_currency_and_a_crawl_space_is_no_slab() -> None:
    crawl = JOB.replace("metric-basement", "sloping-lot")
    told = CliRunner().invoke(app, ["chance", crawl, "--samples", "8", "--wet-floor-cost", "8000"])
    assert told.exit_code == 0, told.output
    assert told.output.startswith("Chance of water above the crawl-space soil: ")
    assert "as drawn: about $0" in told.output
    assert "invented prices" in told.output


def test_a_band_without_width_is_told_once() -> None:
    from drainwright.commands.chance import _between
    from drainwright.storm.chances.model import Interval

    assert _between(Interval(low=0.0, high=0.0, middle=0.0)) == "none"
    assert _between(Interval(low=0.0, high=0.05, middle=0.01)) == "none to 1 in 20"
