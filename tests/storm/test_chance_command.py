"""The command ``drainwright chance``."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.findings.chance_words import one_in

JOB = str(Path(__file__).resolve().parents[2] / "examples" / "metric-basement" / "job.yaml")


def test_told_in_words_and_as_json(tmp_path: Path) -> None:
    told = CliRunner().invoke(app, ["chance", JOB, "--samples", "8", "--to", str(tmp_path)])
    assert told.exit_code == 0, told.output
    first = told.output.splitlines()[1]
    assert first.startswith("Chance of water at the floor in any one year: about 1 in ")
    assert "Left out:" in told.output
    assert "Least over" not in told.output  # no money without a cost
    assert "8 samples are few" in told.output
    assert "`storm` runs the" in told.output
    assert "a battery unit of " in told.output
    assert "Main reasons for a power cut in a storm" in told.output
    assert "share of the variance" not in told.output
    assert "$0" not in told.output
    assert not [one for one in re.findall(r"(\d+)%", told.output) if int(one) > 100]
    data = json.loads((tmp_path / "chance.json").read_text(encoding="utf-8"))
    assert data["samples"] == 8
    assert data["losses"] is None
    assert (tmp_path / "chance.pdf").read_bytes().startswith(b"%PDF")
    assert (tmp_path / "risk-chance.svg").read_text(encoding="utf-8").startswith("<svg")
    assert (tmp_path / "risk-basis.svg").read_text(encoding="utf-8").startswith("<svg")
    assert one_in(data["per_year"]) in first
    assert {choice["key"] for choice in data["choices"]} == {"battery", "second pump", "bigger pump"}
    assert all(choice["price"] is None or choice["price"] > 0.0 for choice in data["choices"])


@pytest.mark.parametrize(
    "wrong", [["--samples", "3"], ["--seed", "-1"], ["--wet-floor-cost", "dear"], ["--wet-floor-cost", "-5"]]
)
def test_wrong_options_are_refused(wrong: list[str]) -> None:
    told = CliRunner().invoke(app, ["chance", JOB, *wrong])
    assert told.exit_code == 2
    assert "expected" in told.output


def test_chances_as_people_say_them() -> None:
    assert [one_in(rate) for rate in (0.0, 0.04, 0.6, 1e-6)] == ["none", "1 in 25", "60 %", "less than 1 in 10,000"]
    assert [one_in(rate) for rate in (1 / 402, 1 / 5447, 1.3)] == ["1 in 400", "1 in 5,400", "100 %"]


def test_a_folder_that_is_a_file_is_refused_before_anything_is_computed(tmp_path: Path) -> None:
    file = tmp_path / "taken"
    file.write_text("a file", encoding="utf-8")
    for out in (file, file / "within"):
        told = CliRunner().invoke(app, ["chance", JOB, "--samples", "8", "--to", str(out)])
        assert told.exit_code == 2
        assert told.output == f"--to: found {file}, which is a file; expected a folder. Nothing was computed.\n"


def test_money_bears_its_currency_and_a_crawl_space_is_no_slab() -> None:
    crawl = JOB.replace("metric-basement", "sloping-lot")
    told = CliRunner().invoke(app, ["chance", crawl, "--samples", "8", "--wet-floor-cost", "8000"])
    assert told.exit_code == 0, told.output
    assert "Chance of water at the crawl-space soil" in told.output
    assert "$0" not in told.output


def test_a_band_without_width_is_told_once() -> None:
    from drainwright.findings.chance_words import between
    from drainwright.storm.chances.model import Interval

    assert between(Interval(low=0.0, high=0.0, middle=0.0)) == "next to none"
    assert between(Interval(low=0.0, high=0.05, middle=0.01)) == "next to none to 1 in 20"
