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
