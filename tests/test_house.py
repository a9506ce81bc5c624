"""The house keeps its order: imports point one way, nothing of this machine or of a registry is committed."""

from __future__ import annotations

import ast
import re
import subprocess
from fnmatch import fnmatch
from itertools import pairwise
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "src" / "drainwright"
TESTS = ROOT / "tests"

# Data flows down this list; a module may import from its own wing and from those above it.
ORDER = (
    {"errors", "quantities", "sources"},
    {"worksheet", "exchange", "kept"},
    {"job", "hydraulics"},
    {"field"},
    {"water"},
    {"system"},
    {"storm"},
    {"build"},
    {"findings"},
    {"design"},
    {"schemes"},
    {"studies"},
    {"offer", "learning", "proving"},
    {"results", "paper"},
    {"console"},
    {
        "terminal", "terminal_answers", "terminal_book", "terminal_files", "terminal_schemes", "terminal_offer",
        "terminal_storm", "terminal_years", "terminal_chance", "terminal_study", "terminal_check", "terminal_proof",
    },
    {"office"},
    {"commands"},
    {"cli"},
)  # fmt: skip
HEAVY = {
    "numba", "scipy", "shapely", "skfem", "typst", "ezdxf", "xlsxwriter", "segno", "rich", "rasterio", "laspy",
    "pyarrow", "dask", "distributed", "fastapi", "starlette", "uvicorn", "sqlalchemy", "alembic", "psycopg", "jinja2",
    "argon2", "PIL", "multipart", "pebble",
}  # fmt: skip


def wing(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def rank(name: str) -> int:
    return next(i for i, names in enumerate(ORDER) if name in names)


def guarded(tree: ast.Module) -> set[ast.AST]:
    """Nodes under ``if TYPE_CHECKING``: they import nothing when the program runs."""
    blocks = [n for n in ast.walk(tree) if isinstance(n, ast.If) and "TYPE_CHECKING" in ast.dump(n.test)]
    return {inner for block in blocks for inner in ast.walk(block)}


MODULES = sorted(path for path in SOURCE.rglob("*.py") if path != SOURCE / "__init__.py")


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(SOURCE)))
def test_imports_point_one_way(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skip = guarded(tree)
    here = wing(path)
    for node in ast.walk(tree):
        if node in skip or not isinstance(node, ast.ImportFrom) or not (node.module or "").startswith("drainwright."):
            continue
        there = (node.module or "").split(".")[1]
        assert rank(there) <= rank(here), f"{path.name} imports {node.module}, which lies further down"
        if here == "hydraulics":
            assert there != "job", "hydraulics knows no job"
        if here in {"field", "water", "system", "storm", "build", "findings"}:
            assert there not in {"paper", "terminal", "cli"}


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(SOURCE)))
def test_modules_stay_readable(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 420


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(SOURCE)))
def test_per_cent_is_written_by_one_function(path: Path) -> None:
    """``percent`` has a space before its sign, as all quantities have before their unit."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    specs = [node.format_spec for node in ast.walk(tree) if isinstance(node, ast.FormattedValue) and node.format_spec]
    assert not [ast.unparse(spec) for spec in specs if ast.unparse(spec).rstrip("'\"").endswith("%")]
    texts = [node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    assert not [text for text in texts if re.search(r"\d%(?![\w(])", text)]
    joined = [node.values for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)]
    after = [two for values in joined for one, two in pairwise(values) if isinstance(one, ast.FormattedValue)]
    assert not [ast.unparse(two) for two in after if isinstance(two, ast.Constant) and str(two.value).startswith("%")]


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys, drainwright.cli\n"
        "try: drainwright.cli.app(['--help'])\n"
        "except SystemExit: pass\n"
        f"print('HEAVY', sorted({HEAVY | {'numpy', 'pydantic', 'ruamel'}!r} & set(sys.modules)))"
    )
    python = ROOT / ".venv" / "bin" / "python"
    import sys

    runner = str(python) if python.exists() else sys.executable
    out = subprocess.run([runner, "-c", code], capture_output=True, text=True, check=True).stdout
    assert "HEAVY []" in out


def test_lock_file_has_hashes_and_no_addresses() -> None:
    text = (ROOT / "requirements" / "dev.txt").read_text(encoding="utf-8")
    assert "://" not in text
    assert "--index-url" not in text
    assert "--find-links" not in text
    pins = [line for line in text.splitlines() if "==" in line and not line.startswith((" ", "#"))]
    assert len(pins) > 30
    assert text.count("--hash=sha256:") >= len(pins)


def test_every_file_of_tests_is_collected(pytestconfig: pytest.Config) -> None:
    """A folder named ``build`` is passed over by pytest's usual list: its eleven hundred tests ran for nobody."""
    passed_over = pytestconfig.getini("norecursedirs")
    folders = {part for path in TESTS.rglob("test_*.py") for part in path.relative_to(TESTS).parts[:-1]}
    assert "build" in folders
    assert not [name for name in sorted(folders) for pattern in passed_over if fnmatch(name, pattern)]
