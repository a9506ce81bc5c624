"""``drainwright study`` on a study file."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.console import counted
from drainwright.studies.journal import NAME, outcome_of
from tests.studies.sample import STORMS, written


def test_the_command_runs_a_study_and_goes_on_with_it(tmp_path: Path) -> None:
    path = written(tmp_path, STORMS.format(sample=1))
    words = ["study", str(path), "--to", str(tmp_path / "out"), "--workers", "1"]
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
    result = CliRunner().invoke(app, ["study", str(path), "--to", str(tmp_path / "out"), "--json"])
    assert result.exit_code == 2
    assert json.loads(result.stdout)["errors"][0]["line"] == 3
    assert not (tmp_path / "out").exists()
    path = written(tmp_path, "study: S\njobs: [job.yaml]\n")
    both = CliRunner().invoke(
        app, ["study", str(path), "--to", str(tmp_path / "out"), "--where", "tcp://x:1", "--workers", "2"]
    )
    assert both.exit_code == 2
    assert "expected one of them" in both.stderr


def test_a_folder_that_cannot_be_is_told_in_words(tmp_path: Path) -> None:
    path, taken = written(tmp_path, STORMS.format(sample=1)), tmp_path / "taken"
    taken.write_text("a file", encoding="utf-8")
    result = CliRunner().invoke(app, ["study", str(path), "--to", str(taken), "--quiet"])
    assert result.exit_code == 2
    assert result.stderr == f"{taken}: File exists; expected --to to be a folder that can be written\n"


def begun(path: Path, out: Path) -> subprocess.Popen[str]:
    """The command on a study, by itself in a session of its own."""
    words = ["study", str(path), "--to", str(out), "--workers", "1"]
    return subprocess.Popen(
        [sys.executable, "-c", "from drainwright.cli import main; main()", *words],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
    )  # fmt: skip


def lines_in(out: Path) -> list[bytes]:
    journal = out / NAME
    return journal.read_bytes().splitlines() if journal.exists() else []


@pytest.mark.slow
def test_two_on_one_folder_and_a_kill_lose_nothing_and_count_nothing_twice(tmp_path: Path) -> None:
    path, out = written(tmp_path, STORMS.format(sample=15)), tmp_path / "out"
    first = begun(path, out)
    try:
        deadline = time.monotonic() + 300.0
        while len(lines_in(out)) < 5:
            assert first.poll() is None
            assert time.monotonic() < deadline
            time.sleep(0.05)
        second = begun(path, out)
        _, said = second.communicate(timeout=120)
        assert second.returncode == 2
        assert "another study is at work in this folder" in said
        assert first.poll() is None
    finally:
        first.kill()  # SIGKILL: its worker must end by itself
        first.communicate(timeout=60)
    kept = lines_in(out)
    assert 5 <= len(kept) < 60
    result = CliRunner().invoke(app, ["study", str(path), "--to", str(out), "--workers", "2", "--json"])
    told = json.loads(result.stdout)
    whole = sum(outcome_of(line + b"\n") is not None for line in kept)
    assert (told["runs"], told["fresh"], told["failed"]) == (60, 60 - whole, 0)
    keys = [one[0].key for line in lines_in(out) if (one := outcome_of(line + b"\n"))]
    assert len(keys) == len(set(keys)) == 60


def test_a_folder_that_takes_no_files_is_told(tmp_path: Path) -> None:
    path = written(tmp_path, STORMS.format(sample=1))
    if not Path("/proc/self").is_dir():
        pytest.skip("no folder here that even root cannot write")
    result = CliRunner().invoke(app, ["study", str(path), "--to", "/proc/self", "--quiet"])
    assert result.exit_code == 2
    assert "expected --to to be a folder that can be written" in result.stderr


@pytest.mark.parametrize(
    ("text", "said"),
    [(None, "expected a study file (.yaml or .json)"), ("", "expected a study: lines such as 'study: ...'")],
)
def test_a_file_that_is_no_study_is_not_told_to_become_a_job(tmp_path: Path, text: str | None, said: str) -> None:
    path = tmp_path / "none.yaml"
    if text is not None:
        path.write_text(text, encoding="utf-8")
    result = CliRunner().invoke(app, ["study", str(path), "--to", str(tmp_path / "out")])
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
