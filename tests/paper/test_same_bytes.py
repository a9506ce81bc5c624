"""The same job makes the same bytes: on another clock, in another language, with another hash seed and home folder."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PLACES = (
    {"TZ": "UTC", "LANG": "C.UTF-8", "LC_ALL": "C.UTF-8", "PYTHONHASHSEED": "1"},
    {"TZ": "Pacific/Kiritimati", "LANG": "de_DE.UTF-8", "LC_ALL": "C", "PYTHONHASHSEED": "77"},
)
KINDS = {".pdf", ".svg", ".dxf", ".xlsx", ".csv", ".json", ".ics"}


def papers(folder: Path, home: Path, place: dict[str, str]) -> dict[str, bytes]:
    """All papers of the pumped example, made by a process of its own."""
    home.mkdir()
    code = "from drainwright.cli import main; main()"
    job = ROOT / "examples" / "block-wall-house" / "job.yaml"
    kept = {key: value for key, value in os.environ.items() if key in ("PATH", "OPENBLAS_NUM_THREADS")}
    subprocess.run(
        [sys.executable, "-c", code, "papers", str(job), "--to", str(folder)], cwd=home, check=True,
        env=kept | place | {"HOME": str(home), "PYTHONPATH": str(ROOT / "src")}, capture_output=True,
    )  # fmt: skip
    return {path.name: path.read_bytes() for path in folder.iterdir()}


@pytest.mark.slow
def test_two_processes_that_share_nothing_make_the_same_files(tmp_path: Path) -> None:
    one, other = (
        papers(tmp_path / f"papers-{number}", tmp_path / f"home-{number}", place) for number, place in enumerate(PLACES)
    )
    assert {Path(name).suffix for name in one} == KINDS
    assert one.keys() == other.keys()
    assert [name for name in one if one[name] != other[name]] == []
