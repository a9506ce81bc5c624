"""The command line: what it prints, what it tells the shell, what it never does."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app

from .conftest import EXAMPLES

run = CliRunner()
HOUSE = str(EXAMPLES / "block-wall-house" / "job.yaml")
WRONG = str(EXAMPLES / "wrong-choices" / "job.yaml")


@pytest.mark.parametrize("command", ["new", "check", "design", "answers", "papers", "schema"])
def test_each_command_has_help_with_an_example(command: str) -> None:
    result = run.invoke(app, [command, "--help"])
    assert result.exit_code == 0
    assert "Example: drainwright" in result.output


def test_new_writes_a_job_that_checks_and_designs(tmp_path: Path) -> None:
    for units in ("US", "SI"):
        path = tmp_path / f"{units}.yaml"
        assert run.invoke(app, ["new", str(path), "--units", units]).exit_code == 0
        assert run.invoke(app, ["check", str(path)]).exit_code == 0
        assert run.invoke(app, ["design", str(path)]).exit_code in (0, 1)


def test_new_never_overwrites(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text("mine", encoding="utf-8")
    result = run.invoke(app, ["new", str(path)])
    assert result.exit_code == 2
    assert path.read_text(encoding="utf-8") == "mine"


def test_new_says_when_the_folder_is_missing(tmp_path: Path) -> None:
    result = run.invoke(app, ["new", str(tmp_path / "no" / "job.yaml")])
    assert result.exit_code == 2
    assert "Nothing was written" in result.output


def test_design_exit_codes_tell_sound_from_failing() -> None:
    assert run.invoke(app, ["design", HOUSE]).exit_code == 0
    result = run.invoke(app, ["design", WRONG])
    assert result.exit_code == 1
    assert "LFT-03" in result.output


def test_missing_file_is_input_wrong() -> None:
    result = run.invoke(app, ["design", "no-such-job.yaml"])
    assert result.exit_code == 2
    assert "no-such-job.yaml" in result.output
    assert "Traceback" not in result.output


def test_wrong_input_as_json_has_one_shape(tmp_path: Path) -> None:
    path = tmp_path / "bad.yaml"
    path.write_text("schema_version: 1\ntitle: x\n", encoding="utf-8")
    result = run.invoke(app, ["check", str(path), "--json"])
    assert result.exit_code == 2
    data = json.loads(result.output)
    assert data["ok"] is False
    assert {"where", "found", "expected", "hint", "file", "line", "column"} == set(data["errors"][0])


def test_a_fault_that_only_the_survey_sees_has_its_line(tmp_path: Path) -> None:
    text = Path(HOUSE).read_text(encoding="utf-8").replace("distance: 17 ft 2 1/2 in", "distance: 2 ft 2 1/2 in")
    path = tmp_path / "tie.yaml"
    path.write_text(text, encoding="utf-8")
    result = run.invoke(app, ["check", str(path)])
    assert result.exit_code == 2
    line = next(i for i, row in enumerate(text.splitlines(), 1) if "name: W1" in row)
    assert f"{path}:{line}" in result.output.replace("\n", "")


def test_design_as_json_is_complete_and_finite() -> None:
    result = run.invoke(app, ["design", HOUSE, "--json"])
    data = json.loads(result.output)
    assert {"job", "site", "inflows", "system", "storm", "build", "findings", "answers", "worksheet"} <= set(data)
    assert "NaN" not in result.output
    assert "Infinity" not in result.output


def test_answers_can_be_asked_one_by_one() -> None:
    result = run.invoke(app, ["answers", HOUSE, "--number", "8"])
    assert result.exit_code == 0
    assert result.output.strip().startswith("8. Is the pump big enough")
    assert run.invoke(app, ["answers", HOUSE, "--number", "26"]).exit_code == 2


def test_schema_prints_the_published_schema() -> None:
    data = json.loads(run.invoke(app, ["schema"]).output)
    assert data["properties"]["schema_version"]


def test_papers_writes_the_folder(tmp_path: Path) -> None:
    result = run.invoke(app, ["papers", HOUSE, "--to", str(tmp_path / "papers"), "--json"])
    assert result.exit_code == 0
    data = json.loads(result.output)
    wanted = {
        "proposal.pdf",
        "crew-packet.pdf",
        "worksheet.pdf",
        "plan.svg",
        "drawing.dxf",
        "order.xlsx",
        "results.json",
    }
    assert wanted <= set(data["files"])
    assert all((tmp_path / "papers" / name).stat().st_size > 500 for name in data["files"])


def test_papers_into_a_file_is_refused(tmp_path: Path) -> None:
    blocker = tmp_path / "file"
    blocker.write_text("x", encoding="utf-8")
    result = run.invoke(app, ["papers", HOUSE, "--to", str(blocker)])
    assert result.exit_code == 2
    assert "Traceback" not in result.output


MALFORMED = sorted((Path(__file__).parent / "job" / "malformed").iterdir())


@pytest.mark.parametrize("path", MALFORMED, ids=lambda path: path.stem)
def test_each_malformed_job_is_refused_without_a_traceback(path: Path) -> None:
    result = run.invoke(app, ["design", str(path)])
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    assert "nothing was computed" in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)


def test_there_are_at_least_thirty_malformed_jobs() -> None:
    assert len(MALFORMED) >= 30
