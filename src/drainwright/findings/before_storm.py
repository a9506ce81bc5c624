"""The checks that look at no storm, or at no price either: what can be said of a design before all of it is known."""

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


class _NotKnownError(Exception):
    """A check looked at the storm test before it had run, or at the digging before it was reckoned."""


class _NotKnown:
    """Stands where the storm test or the build side will: whoever looks at anything of it is stopped."""

    def __getattr__(self, name: str) -> NoReturn:
        raise _NotKnownError(name)


def judged_before_storm(
    rules: Sequence[Rule], site: Site, inflows: Inflows, system: System, build: Build | None, moisture: MoistureSources
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Run every check that looks at no storm.

    Parameters
    ----------
    rules : sequence of Rule
        All of them.
    site, inflows, system, build, moisture
        The job, carried through all but the storm test; ``build`` is None where nothing is reckoned of it either.

    Returns
    -------
    tuple of Finding
        As they stand in the whole design: none of them can come out otherwise there.
    tuple of str
        Ids of the checks that look at what is not there, each as a whole: nothing is known of them yet.
    """
    storm = cast(StormTest, _NotKnown())
    built = cast(Build, _NotKnown()) if build is None else build
    case = Case(site=site, inflows=inflows, system=system, storm=storm, build=built, moisture=moisture)
    found: list[Finding] = []
    waiting: list[str] = []
    for rule in rules:
        try:
            found += rule.judge(case)
        except _NotKnownError:
            waiting.append(rule.id)
    return tuple(found), tuple(waiting)


__all__ = ["judged_before_storm"]
