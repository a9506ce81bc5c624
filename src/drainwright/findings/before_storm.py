"""The checks that look at no storm: what can be said of a design before its storm test has run."""

from __future__ import annotations

from typing import TYPE_CHECKING, NoReturn, cast

from drainwright.build.model import Build
from drainwright.field.model import Site
from drainwright.findings.model import Finding
from drainwright.findings.rules import Case, Rule
from drainwright.storm.model import StormTest
from drainwright.system.model import System
from drainwright.water.model import Inflows
from drainwright.water.moisture_model import MoistureSources

if TYPE_CHECKING:
    from collections.abc import Sequence


class _StormNotRunError(Exception):
    """A check looked at the storm test before it had run."""


class _NotRun:
    """Stands where the storm test will: whoever looks at anything of it is stopped."""

    def __getattr__(self, name: str) -> NoReturn:
        raise _StormNotRunError(name)


def judged_before_storm(
    rules: Sequence[Rule], site: Site, inflows: Inflows, system: System, build: Build, moisture: MoistureSources
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Run every check that looks at no storm.

    Parameters
    ----------
    rules : sequence of Rule
        All of them.
    site, inflows, system, build, moisture
        The job, carried through all but the storm test.

    Returns
    -------
    tuple of Finding
        As they stand in the whole design: none of them can come out otherwise there.
    tuple of str
        Ids of the checks that look at the storm, each as a whole: nothing is known of them yet.
    """
    storm = cast(StormTest, _NotRun())
    case = Case(site=site, inflows=inflows, system=system, storm=storm, build=build, moisture=moisture)
    found: list[Finding] = []
    waiting: list[str] = []
    for rule in rules:
        try:
            found += rule.judge(case)
        except _StormNotRunError:
            waiting.append(rule.id)
    return tuple(found), tuple(waiting)


__all__ = ["judged_before_storm"]
