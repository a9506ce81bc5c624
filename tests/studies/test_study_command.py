"""``drainwright study`` on a study file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.console import counted
from tests.studies.sample import STORMS, written


def test_the_command_runs_a_study_and_goes_on_with_it(tmp_path: Path) -> None:
    path = written(tmp_path, STORMS.format(sample=1))
    words = ["study", str(path), "--out", str(tmp_path / "out"), "--workers", "1"]
    first = CliRunner().invoke(app, words)
    assert first.exit_code == 0, first.output
    assert "4 runs; 4 done now" in first.stdout
    assert "4 of 4" in first.stderr
    second = CliRunner().invoke(app, [*words, "--json"])
    told = json.loads(second.stdout)
    assert (told["ok"], told["runs"], told["fresh"], told["failed"]) == (True, 4, 0, 0)
    assert second.stderr == ""


def test_what_is_wrong_is_told_and_nothing_is_made(tmp_path: Path) -> None:
    path = written(tmp_path, "study: S\njobs: [job.yaml]\nkeep: [prise]\n")
    result = CliRunner().invoke(app, ["study", str(path), "--out", str(tmp_path / "out"), "--json"])
    assert result.exit_code == 2
    assert json.loads(result.stdout)["errors"][0]["line"] == 3
    assert not (tmp_path / "out").exists()
    path = written(tmp_path, "study: S\njobs: [job.yaml]\n")
    both = CliRunner().invoke(
        app, ["study", str(path), "--out", str(tmp_path / "out"), "--where", "tcp://x:1", "--workers", "2"]
    )
    assert both.exit_code == 2
    assert "expected one of them" in both.stderr


def test_a_folder_that_cannot_be_is_told_in_words(tmp_path: Path) -> None:
    path, taken = written(tmp_path, STORMS.format(sample=1)), tmp_path / "taken"
    taken.write_text("a file", encoding="utf-8")
    result = CliRunner().invoke(app, ["study", str(path), "--out", str(taken), "--quiet"])
    assert result.exit_code == 2
    assert result.stderr == f"{taken}: File exists; expected --out to be a folder that can be written\n"


@pytest.mark.parametrize(
    ("text", "said"),
    [(None, "expected a study file (.yaml or .json)"), ("", "expected a study: lines such as 'study: ...'")],
)
def test_a_file_that_is_no_study_is_not_told_to_become_a_job(tmp_path: Path, text: str | None, said: str) -> None:
    path = tmp_path / "none.yaml"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["study", str(path), "--out", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert said in result.stderr
    assert "schema_version" not in result.stderr


def test_progress_is_plain_lines_where_there_is_no_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    with counted("Storms", quiet=False) as tell:
        tell(0, 3)
        tell(3, 3)
    with counted("Storms", quiet=True) as tell:
        tell(3, 3)
    assert capsys.readouterr().err == "Storms: 3 of 3\n"
