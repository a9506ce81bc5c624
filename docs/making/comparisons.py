"""A plugin for pytest that writes down each comparison with a published value, as it is made.

``python -m pytest -p docs.making.comparisons --comparisons out.json tests/published``: every ``pytest.approx`` of the
run notes what was expected, what came, and what was allowed. Without the option nothing changes.
"""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """One ``got == pytest.approx(expected)``: the pair that lies farthest apart, and how many there were."""

    expected: float
    got: float
    allowed: float  # difference allowed at that pair, in its own unit
    pairs: int


@dataclass(kw_only=True)
class Trial:
    """One test of the run."""

    file: str
    name: str
    case: str  # the parameters, empty for none
    line: int
    says: str  # its docstring
    outcome: str = "not run"
    why: str = ""  # of a skip
    comparisons: list[Comparison] = field(default_factory=list)


class Recorder:
    """Holds the trials of a run, and the one that is being made."""

    def __init__(self, to: Path) -> None:
        self.to = to
        self.trials: dict[str, Trial] = {}
        self.sources: dict[str, str] = {}
        self.now: Trial | None = None
        self.plain = pytest.approx

    def note(self, expected: object, got: object, approx: object) -> None:
        """Add a comparison to the trial of now; what is no number is left to the test."""
        if self.now is None:
            return
        try:
            wanted, had = (np.atleast_1d(np.asarray(_values(one), dtype=float)) for one in (expected, got))
            wanted, had = np.broadcast_arrays(wanted, had)
        except (TypeError, ValueError):
            return
        apart = np.abs(had - wanted)
        if not apart.size or not np.all(np.isfinite(apart)):
            return
        scale = np.where(wanted == 0, 1.0, np.abs(wanted))
        worst = int(np.argmax(apart / scale))
        one = float(wanted.flat[worst])
        allowed = _allowed(approx, one)
        told = Comparison(expected=one, got=float(had.flat[worst]), allowed=allowed, pairs=int(apart.size))
        self.now.comparisons.append(told)

    def approx(self, expected: Any, rel: Any = None, abs: Any = None, nan_ok: bool = False) -> Any:
        """``pytest.approx``, which tells the recorder when it is compared."""
        made = self.plain(expected, rel=rel, abs=abs, nan_ok=nan_ok)
        kind = type(made)
        recorder = self

        class Told(kind):  # type: ignore[misc,valid-type]
            __hash__ = None  # type: ignore[assignment]

            def __eq__(self, actual: object) -> bool:
                recorder.note(expected, actual, self)
                return bool(kind.__eq__(self, actual))

        made.__class__ = Told
        return made

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Any:
        """Open the trial of a test, and close it behind."""
        function = getattr(item, "function", None)
        module = getattr(item, "module", None)
        file = Path(item.location[0]).name
        self.sources.setdefault(file, getattr(module, "__doc__", None) or "")
        callspec = getattr(item, "callspec", None)
        self.now = self.trials[item.nodeid] = Trial(
            file=file, name=getattr(item, "originalname", item.name), case=callspec.id if callspec else "",
            line=(item.location[1] or 0) + 1, says=getattr(function, "__doc__", None) or "",
        )  # fmt: skip
        result = yield
        self.now = None
        return result

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Keep how a test came out."""
        trial = self.trials.get(report.nodeid)
        if trial is None or (report.when != "call" and report.passed):
            return
        trial.outcome = report.outcome
        if report.skipped and isinstance(report.longrepr, tuple):
            trial.why = report.longrepr[2].removeprefix("Skipped: ")

    def pytest_sessionstart(self) -> None:
        """Put the telling ``approx`` in the place of the plain one, before test modules are read."""
        pytest.approx = self.approx  # type: ignore[assignment]

    def pytest_sessionfinish(self) -> None:
        """Write the file."""
        pytest.approx = self.plain
        told = {"sources": self.sources, "trials": [asdict(one) for one in self.trials.values()]}
        self.to.parent.mkdir(parents=True, exist_ok=True)
        self.to.write_text(json.dumps(told, indent=1), encoding="utf-8")


def _values(given: object) -> object:
    return list(given.values()) if isinstance(given, dict) else given


def _allowed(approx: object, expected: float) -> float:
    rel, absolute = getattr(approx, "rel", None), getattr(approx, "abs", None)
    if rel is None and absolute is None:
        rel, absolute = 1e-6, 1e-12
    return max(0.0 if rel is None else float(rel) * math.fabs(expected), 0.0 if absolute is None else float(absolute))


def pytest_addoption(parser: pytest.Parser) -> None:
    """``--comparisons FILE``."""
    parser.addoption("--comparisons", type=Path, default=None, help="write each comparison to this JSON file")


def pytest_configure(config: pytest.Config) -> None:
    """Register the recorder where it was asked for."""
    to = config.getoption("--comparisons")
    if to is not None:
        config.pluginmanager.register(Recorder(to), "comparisons-recorder")
