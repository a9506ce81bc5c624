"""Tests in forks of one process, which has loaded what a fault cannot touch, and which lines each test file reaches.

A fork loads the package with the fault, and all that imports it by any way, anew: what those remember from before would
hide the fault. Nothing is designed before the fork. The copy's compiled files are named by the digest of their text, so
that two texts of one second and one length are not mistaken for each other.
"""

from __future__ import annotations

import ast
import compileall
import importlib
import json
import os
import py_compile
import resource
import signal
import sys
import traceback
from collections.abc import Callable, Generator
from dataclasses import dataclass
from pathlib import Path

import pytest

NOTHING_RUN, BROKEN = 5, 70  # pytest's code, and that of a fork which fails beside it
MEMORY = 8 << 30  # a fault may fill a list for ever [bytes]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestFile:
    """A file of tests, what it takes, and the lines of the package that it runs."""

    path: str
    seconds: float  # of a processor, without a fault and with coverage
    lines: dict[str, frozenset[int]]  # by the path of the module within the checkout


class Clock:
    """Ends the process in a test that takes too long: a fault may make it run for ever."""

    def __init__(self, most: int) -> None:
        self.most = most  # processor time, since a busy machine is no fault [s]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self) -> Generator[None, object, object]:
        signal.setitimer(signal.ITIMER_PROF, self.most)
        return (yield)


def modules(source: Path) -> dict[str, Path]:
    """Modules by name."""
    names = {path.relative_to(source).with_suffix(""): path for path in sorted(source.rglob("*.py"))}
    return {".".join(name.parts).removesuffix(".__init__"): path for name, path in names.items()}


def parted(package: str, known: dict[str, Path]) -> tuple[set[str], set[str]]:
    """Modules of a package with all that import one, directly or not, at once or later, and what else those read."""
    reads: dict[str, set[str]] = {}
    for name, path in known.items():
        called: set[str] = set()
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                called |= {alias.name for alias in node.names}
            elif isinstance(node, ast.ImportFrom):
                if node.level:
                    raise ValueError(f"{path}:{node.lineno}: a relative import, which is not followed")
                called |= {node.module or "", *(f"{node.module}.{alias.name}" for alias in node.names)}
        parts = [one.split(".") for one in (*called, name)]
        reads[name] = {".".join(one[:most]) for one in parts for most in range(1, len(one) + 1)} & known.keys()
    found = {name for name in known if name == package or name.startswith(f"{package}.")}
    while more := {name for name, read in reads.items() if name not in found and read & found}:
        found |= more
    return found, set().union(*(reads[name] for name in found)) - found


def enter(folder: Path, package: str) -> set[str]:
    """Work in a copy of a checkout from here on, with all loaded that a fault of the package cannot touch.

    Returns
    -------
    set of str
        The modules that are left to be loaded in each fork.
    """
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    os.environ["PYTHONPATH"] = str(folder / "src")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # a fork has no threads of its parent's
    os.chdir(folder)
    sys.path[:0] = [str(folder / "src"), str(folder)]
    compileall.compile_dir("src", quiet=2, invalidation_mode=py_compile.PycInvalidationMode.CHECKED_HASH)
    known = modules(folder / "src")
    left, others = parted(package, known)
    for name in sorted(others):
        importlib.import_module(name)
    if astray := left & sys.modules.keys():
        raise RuntimeError(f"loaded although it imports {package}: {sorted(astray)}")
    return left


def forked(work: Callable[[], int], *, quiet: bool = True) -> int:
    """What work returns when it is done in a fork; below nothing, the signal that ended it."""
    pid = os.fork()
    if pid:
        return os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    code = BROKEN
    try:
        if quiet:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        code = work()
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stderr.flush()
        os._exit(code)


def run(tests: list[str], most: int) -> int:
    """Run test files in this process, each when it is its turn, until one fails; pytest's code."""
    os.dup2(1, 2)
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    usual = ["-x", "-q", "-p", "no:cacheprovider", "--assert=plain", "-m", "not slow"]
    for test in tests:
        signal.setitimer(signal.ITIMER_PROF, most)  # loading may not end either
        code = int(pytest.main([*usual, test], plugins=[Clock(most)]))
        if code not in (0, NOTHING_RUN):
            return code
    return 0


def passes(tests: list[str], most: int) -> bool:
    """Whether the tests pass in a fork in which no test takes longer than so many seconds of a processor."""
    code = forked(lambda: run(tests, most)) if tests else 0
    if code == BROKEN:
        raise RuntimeError("the tests could not be run")
    return code == 0


def reached(tests: list[str], left: set[str], package: str, told: Path) -> list[TestFile]:
    """Run each file of tests alone, under coverage, the quickest first in what is returned.

    A line that runs while modules are loaded counts as reached by every file.

    Raises
    ------
    RuntimeError
        If tests fail before any fault is planted.
    """
    import coverage

    root = Path.cwd()
    held = root / "src" / package.replace(".", "/")

    def watched(work: Callable[[], int], into: Path) -> int:
        before = resource.getrusage(resource.RUSAGE_SELF).ru_utime
        watch = coverage.Coverage(data_file=None, include=[f"{held}/*", f"{held}.py"], config_file=False)
        watch.set_option("run:disable_warnings", ["module-not-measured", "no-data-collected", "already-imported"])
        watch.start()
        code = work()
        watch.stop()
        data = watch.get_data()
        lines = {str(Path(one).relative_to(root)): data.lines(one) for one in data.measured_files()}
        into.write_text(json.dumps([resource.getrusage(resource.RUSAGE_SELF).ru_utime - before, lines]))
        return code

    def load() -> int:
        for name in sorted(left):
            importlib.import_module(name)
        return 0

    def each() -> int:
        watched(load, told / "loading")
        for number, test in enumerate(tests):
            code = forked(lambda test=test, number=number: watched(lambda: run([test], 10_000), told / str(number)))
            if code:
                print(f"{test} fails ({code}) before any fault is planted", file=sys.stderr)
                return 1
        return 0

    if forked(each):
        raise RuntimeError("the tests fail before any fault is planted")
    _, loading = json.loads((told / "loading").read_text())
    found = []
    for number, test in enumerate(tests):
        seconds, lines = json.loads((told / str(number)).read_text())
        both = {one: frozenset([*lines.get(one, ()), *loading.get(one, ())]) for one in {*lines, *loading}}
        found.append(TestFile(path=test, seconds=seconds, lines=both))
    return sorted(found, key=lambda one: one.seconds)


def statement(text: str, line: int) -> frozenset[int]:
    """The lines of the least statement that a line is in; of one that holds others only its head."""
    found = frozenset([line])
    least = None
    for node in ast.walk(ast.parse(text)):
        if not isinstance(node, ast.stmt) or not node.lineno <= line <= (node.end_lineno or node.lineno):
            continue
        size = (node.end_lineno or node.lineno) - node.lineno
        if least is None or size <= least:
            body = getattr(node, "body", None)
            first = min([node.lineno, *(one.lineno for one in getattr(node, "decorator_list", ()))])
            last = max(body[0].lineno - 1, line) if body else node.end_lineno or node.lineno
            least, found = size, frozenset(range(first, last + 1))
    return found
