"""The tutorial is true: each command in it runs, and prints what the page shows."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from typer.testing import CliRunner

from drainwright.cli import app

DOCS = Path(__file__).resolve().parents[1] / "docs"
PAGE = (DOCS / "tutorial.md").read_text(encoding="utf-8")
SHOWN = re.findall(r"^```console\n\$ drainwright (.*?)\n(.*?)```$", PAGE, flags=re.M | re.S)


def squeezed(text: str) -> list[str]:
    return [" ".join(line.split()) for line in text.splitlines() if line.strip()]


def test_the_page_has_commands() -> None:
    assert len(SHOWN) >= 6


@pytest.mark.parametrize(("command", "shown"), SHOWN, ids=[command for command, _ in SHOWN])
def test_a_command_of_the_tutorial_prints_what_it_shows(
    command: str, shown: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every line that the page shows is printed, in that order; ``...`` stands for lines between."""
    shutil.copy(DOCS / "tutorial" / "job.yaml", tmp_path)
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(app, shlex.split(command))
    assert result.exit_code == 0, result.output
    printed = iter(squeezed(result.output))
    for line in squeezed(shown):
        assert line == "..." or line in printed, f"not printed, or not in its place: {line}"


def test_papers_of_the_tutorial_are_there(tmp_path: Path) -> None:
    shutil.copy(DOCS / "tutorial" / "job.yaml", tmp_path)
    result = CliRunner().invoke(app, ["papers", str(tmp_path / "job.yaml"), "--to", str(tmp_path / "papers")])
    assert result.exit_code == 0, result.output
    named = {"water-analysis.pdf", "proposal.pdf", "crew-packet.pdf", "crew-packet-es.pdf", "worksheet.pdf",
             "permit-set.pdf", "drawings.pdf", "drawing.dxf", "order.xlsx", "order.csv"}  # fmt: skip
    assert named <= {path.name for path in (tmp_path / "papers").iterdir()}
