"""The gravity lines of a network, graded: what is asked, what was found, what could not be kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from drainwright.field.model import Site
from drainwright.field.words import Units
from drainwright.job.model import Job
from drainwright.kept import kept
from drainwright.system.flows import Gathered
from drainwright.system.grading.clash import clashes
from drainwright.system.grading.clash_words import worded
from drainwright.system.grading.model import Clash, Meeting
from drainwright.system.grading.site import meetings
from drainwright.system.grading.solve import GradedLine, Grading, GravityLine, grade_lines
from drainwright.system.grading.words import conflict, given_up, passed_under
from drainwright.system.network import Line, Network
from drainwright.system.sized import gravity_line

FAILED = ("outlet", "uphill", "junction", "flat", "bare")  # conflicts by which a gravity way out has not worked


@dataclass(frozen=True, slots=True, kw_only=True)
class Graded:
    """Gravity lines with the answer of the grading."""

    asked: Mapping[str, GravityLine]
    found: Mapping[str, GradedLine]
    relaxed: tuple[str, ...]  # in words
    kinds: frozenset[str]
    job: Job
    meetings: tuple[Meeting, ...] = ()
    gradings: tuple[tuple[tuple[str, ...], Grading], ...] = ()  # lines graded together, and their grading
    near: tuple[str, ...] = ()  # room to buried lines that was given up, or that costs depth, in words


def grade(site: Site, network: Network, flows: Gathered, lines: Sequence[Line]) -> Graded:
    """Grade lines of the network; an overflow later, for it leaves its place above the line that runs first."""
    asked = {
        line.name: gravity_line(site, network, line, sum(flows.lines[line.name].values()))
        for line in lines
    }  # fmt: skip
    main = [asked[line.name] for line in lines if line.duty != "overflow"]
    places = meetings(site, network)
    groups = [main] if main else []
    gradings: list[Grading] = [_least(group, places) for group in groups]
    tops = _tops(main, gradings[0]) if gradings else {}
    for line in lines:
        if line.duty == "overflow":
            asked[line.name] = replace(asked[line.name], above=tops.get(line.upper))
            groups.append([asked[line.name]])
            gradings.append(_least(groups[-1], places))
    found = {name: line for grading in gradings for name, line in grading.lines.items()}
    relaxed = [item for grading in gradings for item in grading.relaxed]
    units = site.job.units
    return Graded(
        asked=asked,
        found=found,
        relaxed=tuple(conflict(item, asked[item.line], found[item.line], units) for item in relaxed),
        kinds=frozenset(item.kind for item in relaxed),
        job=site.job,
        meetings=places,
        gradings=tuple(
            (tuple(line.name for line in group), grading) for group, grading in zip(groups, gradings, strict=True)
        ),
        near=(
            *(said for grading in gradings for said in given_up(grading.near, units)),
            *(said for line in lines for said in passed_under(asked[line.name], found[line.name], units)),
        ),
    )


def _least(lines: Sequence[GravityLine], places: Sequence[Meeting]) -> Grading:
    """Of least cost, as ``grade_lines`` gives it; kept, for most changes of a job leave it as it is."""
    return kept("grading", (tuple(lines), tuple(places)), lambda: grade_lines(lines, places))


def _tops(lines: Sequence[GravityLine], grading: Grading) -> dict[str, float]:
    """By place the highest inside top of what leaves it: water above that has filled its first way out [m]."""
    found: dict[str, float] = {}
    for line in lines:
        top = grading.lines[line.name].invert_upper + grading.lines[line.name].pipe.inside
        found[line.upper] = max(top, found.get(line.upper, top))
    return found


def clashes_of(graded: Graded, units: Units) -> tuple[Clash, ...]:
    """Which conditions stand in each other's way where a grading could not keep them all, in words; else none."""
    found: list[Clash] = []
    for names, grading in graded.gradings:
        lines = [graded.asked[name] for name in names]
        found += [
            worded(clash, lines, graded.meetings, units, graded.job)
            for clash in clashes(lines, graded.meetings, grading)
        ]
    return tuple(found)


__all__ = ["FAILED", "Graded", "clashes_of", "grade"]
