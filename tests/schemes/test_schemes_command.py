"""The command: what it prints, what it writes, what it refuses."""

from __future__ import annotations

import dataclasses
import json
from pathlib import Path

import pytest
from scheme_lots import EXAMPLES, compared, lot
from typer.testing import CliRunner

import drainwright.schemes
from drainwright.cli import app
from drainwright.design import design
from drainwright.job import read_job

run = CliRunner()
SLOPE = str(EXAMPLES / "sloping-lot" / "job.yaml")


def test_schemes_are_printed_and_one_is_taken_with_its_comments(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    taken = tmp_path / "mine.yaml"
    result = run.invoke(
        app,
        ["schemes", SLOPE, "--redraw", "--to", str(tmp_path / "out"), "--take", "gravity", "--save", str(taken)],
    )
    assert result.exit_code == 0, result.output
    for text in ("All by gravity", "All pumped", "Not offered, and why", "In order", "schemes.pdf", "schemes.svg"):
        assert text in result.output
    assert (tmp_path / "out" / "schemes.pdf").read_bytes().startswith(b"%PDF")
    text = taken.read_text(encoding="utf-8")
    assert text.startswith("# A house on a slope with a wet crawl space.")
    assert "basin: none" in text
    designed = design(read_job(taken))
    monkeypatch.setattr(drainwright.schemes, "schemes", lambda job, redraw: compared("sloping-lot/job"))
    again = run.invoke(app, ["schemes", SLOPE, "--take", "gravity", "--redraw", "--save", str(taken)])
    assert again.exit_code == 2
    assert "exists already" in again.output
    forced = run.invoke(
        app, ["schemes", SLOPE, "--take", "pumped", "--redraw", "--save", str(taken), "--force", "--json"]
    )
    assert forced.exit_code == 0
    told = {item["key"]: item for item in json.loads(forced.output)["schemes"]}
    assert str(designed.build.price.total) == told["gravity"]["comparison"]["price"]
    assert "basin: none" not in taken.read_text(encoding="utf-8")


def test_the_command_has_help_with_an_example() -> None:
    result = run.invoke(app, ["schemes", "--help"])
    assert result.exit_code == 0
    assert "Example: drainwright" in result.output


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--take", "gravity"], "found one without the other"),
        (["--save", "x.yaml"], "found one without the other"),
        (["--take", "gravity", "--save", "x.json"], "expected .yaml"),
        (["--take", "moat", "--save", "x.yaml"], "found 'moat'; expected as-drawn"),
        (
            ["--take", "split", "--save", "x.yaml"],
            "Rain by gravity, ground water pumped: the footing drain reaches OUT",
        ),
        (["--take", "gravity", "--save", SLOPE, "--force"], "found the job itself"),
        (["--take", "as-drawn", "--save", "no/such/folder/x.yaml"], "No such file or directory"),
    ],
)
def test_wrong_options_are_refused_and_nothing_is_written(
    options: list[str], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = Path(SLOPE).read_bytes()
    monkeypatch.setattr(drainwright.schemes, "schemes", lambda job, redraw: compared("sloping-lot/job"))
    monkeypatch.chdir(tmp_path)
    result = run.invoke(app, ["schemes", SLOPE, *options])
    assert result.exit_code == 2
    assert said in result.output
    assert list(tmp_path.iterdir()) == []
    assert Path(SLOPE).read_bytes() == before


def test_a_kind_that_is_refused_may_be_taken_with_the_reason_said(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    found = compared("sloping-lot/job")
    kept = tuple(scheme for scheme in found.schemes if scheme.key != "pumped")
    bad = next(scheme for scheme in found.schemes if scheme.key == "pumped")
    bad = dataclasses.replace(bad, fault="MD1 falls only 0.50 %", helps=("Let MD1 start higher.",))
    given = dataclasses.replace(found, schemes=kept, refused=(bad,))
    monkeypatch.setattr(drainwright.schemes, "schemes", lambda job, redraw: given)
    taken = tmp_path / "mine.yaml"
    result = run.invoke(app, ["schemes", SLOPE, "--redraw", "--take", "pumped", "--save", str(taken)])
    assert result.exit_code == 0, result.output
    assert "The scheme pumped does not work yet: MD1 falls only 0.50 %." in result.output
    assert "Let MD1 start higher." in result.output
    assert read_job(taken).works.runs == bad.job.works.runs


def test_a_job_of_json_is_taken_as_json_and_a_wrong_one_is_refused(tmp_path: Path) -> None:
    path, taken = tmp_path / "job.json", tmp_path / "taken.json"
    path.write_text(json.dumps(lot(fall=0.05, water="96 ft")), encoding="utf-8")
    result = run.invoke(app, ["schemes", str(path), "--take", "gravity", "--save", str(taken)])
    assert result.exit_code == 0, result.output
    assert json.loads(taken.read_text(encoding="utf-8"))["works"]["basin"] == "none"
    broken = lot()
    broken["works"]["discharge"] = []
    path.write_text(json.dumps(broken), encoding="utf-8")
    wrong = run.invoke(app, ["schemes", str(path)])
    assert wrong.exit_code == 2
    assert "nothing was computed" in wrong.output
