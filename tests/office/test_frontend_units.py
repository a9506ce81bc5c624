"""The front end's own tests, run by the node that builds it; and what they are held against, held against Python."""

from __future__ import annotations

import importlib.util
import json
import math
import re
import subprocess
import sys
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from .vectors.write import MAKERS, text_of

ROOT = Path(__file__).resolve().parents[2]
TESTS = sorted((ROOT / "frontend" / "tests").glob("*.test.ts"))

BY_LIBRARY = {"ties.json", "walks.json"}  # hold sines and arc sines, which another C library rounds otherwise


def alike(one: Any, other: Any) -> bool:
    """The same but for the last digits of floats."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, str) and isinstance(other, str) and one != other:
        try:
            return math.isclose(float(one), float(other), rel_tol=1e-13, abs_tol=1e-13)
        except ValueError:
            return False
    return bool(one == other)


def test_figures_are_told_from_each_other() -> None:
    assert alike({"a": ["0.1", None]}, {"a": ["0.10000000000000002", None]})
    assert not alike(["0.1"], ["0.1001"])
    assert not alike(["x"], ["y"])


def _hook() -> ModuleType:
    spec = importlib.util.spec_from_file_location("hatch_build", ROOT / "hatch_build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def bundled(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Node, and the folder of the bundled tests."""
    hook = _hook()
    frontend = hook.development(ROOT)
    out = tmp_path_factory.mktemp("node")
    esbuild = "node_modules/esbuild/bin/esbuild"
    hook.run_node(
        frontend, esbuild, *TESTS, "--bundle", "--platform=node", "--format=esm", "--log-level=warning",
        "--out-extension:.js=.mjs", f"--outdir={out}",
    )  # fmt: skip
    return hook._tools()[0], out


@pytest.mark.parametrize("path", TESTS, ids=lambda path: path.stem)
def test_front_end(path: Path, bundled: tuple[Path, Path]) -> None:
    node, folder = bundled
    script = folder / f"{path.stem}.mjs"
    done = subprocess.run([node, "--test", script], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-6000:] + done.stderr[-2000:]
    count = re.search(r"^# pass (\d+)$|^ℹ pass (\d+)$", done.stdout, re.MULTILINE)
    assert count is not None
    assert int(count[1] or count[2]) == len(re.findall(r"^test\(", path.read_text(encoding="utf-8"), re.MULTILINE))


@pytest.mark.parametrize("path", MAKERS, ids=lambda path: path.name)
def test_what_the_front_end_is_held_against_is_what_python_gives(path: Path) -> None:
    again = "run: python -m tests.office.vectors.write, then the front end's tests"
    made, kept = text_of(MAKERS[path]()), path.read_text(encoding="utf-8")
    if path.name in BY_LIBRARY:
        assert alike(json.loads(made), json.loads(kept)), again
    else:
        assert made == kept, again


def test_there_are_tests_of_the_front_end() -> None:
    assert {path.stem for path in TESTS} >= {
        "quantities.test",
        "level_book.test",
        "queue.test",
        "plan.test",
        "plan_steps.test",
    }


def test_npm_lock_has_hashes_and_no_registry() -> None:
    lock: dict[str, Any] = json.loads((ROOT / "frontend" / "package-lock.json").read_text(encoding="utf-8"))
    packages = {name: one for name, one in lock["packages"].items() if name}
    assert packages
    for name, one in packages.items():
        assert "resolved" not in one, name
        assert one["integrity"].startswith("sha512-"), name
    assert "omit-lockfile-registry-resolved=true" in (ROOT / "frontend" / ".npmrc").read_text(encoding="utf-8")


def test_types_of_the_front_end_hold() -> None:
    done = subprocess.run(
        [sys.executable, ROOT / "hatch_build.py", "types"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
