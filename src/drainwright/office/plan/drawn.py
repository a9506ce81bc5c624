"""What a design shows on the plan: places, runs, ground, findings and the price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drainwright.findings import judge_before_storm
from drainwright.quantities import write

if TYPE_CHECKING:
    from drainwright.design import Begun, Design, Laid
    from drainwright.field.model import Plan
    from drainwright.findings.model import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPoint:
    """A surveyed point in place."""

    name: str
    at: Plan
    told: str  # the level, written


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnWall:
    """A wall line in place."""

    name: str
    start: Plan
    end: Plan
    outward: Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnRun:
    """A run as designed."""

    name: str
    duty: str
    route: tuple[Plan, ...]
    pipe: str
    grade: str
    length: str
    inverts: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnNode:
    """A place of the network as designed."""

    name: str
    kind: str
    at: Plan
    told: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLine:
    """A contour."""

    line: tuple[Plan, ...]
    told: str  # its level; empty where it is not written
    strong: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnArea:
    """Ground that drains to an inlet, as the shots show it."""

    to: str
    rings: tuple[tuple[Plan, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnPicture:
    """Where the picture under the plan lies."""

    width: int  # [pixels]
    height: int  # [pixels]
    corner: Plan  # upper left
    pixel: float  # [m]
    turn: float  # [rad]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnFinding:
    """A finding that is not ok."""

    id: str
    title: str
    severity: str
    where: str
    message: str
    advice: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """All of it. Lengths and coordinates in metres."""

    points: tuple[DrawnPoint, ...]
    outline: tuple[Plan, ...]
    walls: tuple[DrawnWall, ...]
    runs: tuple[DrawnRun, ...]
    nodes: tuple[DrawnNode, ...]
    roots: tuple[tuple[str, float], ...]  # of trees: radius of the root zone [m]
    drained: tuple[DrawnArea, ...]
    contours: tuple[DrawnLine, ...]
    picture: DrawnPicture | None
    findings: tuple[DrawnFinding, ...]
    price: float | None  # none: not reckoned yet
    currency: str
    built: bool  # whether digging and price are reckoned
    storm_run: bool  # where not, nothing here is proven
    waiting: tuple[str, ...] = ()  # ids of the checks that wait for what is not known yet


def drawn(design: Design) -> Drawn:
    """What the plan shows of a design.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Drawn
        Plain parts, fit to be sent.
    """
    return _drawn(design, design.findings, storm_run=True)


def drawn_early(begun: Begun) -> Drawn:
    """The same of a job whose storm test has not run: findings that look at no storm, and which checks wait for it.

    Parameters
    ----------
    begun : Begun
        The job, designed but for its storm.
    """
    findings, waiting = judge_before_storm(begun.site, begun.inflows, begun.system, begun.build, begun.moisture)
    return _drawn(begun, findings, storm_run=False, waiting=waiting)


def drawn_laid(laid: Laid) -> Drawn:
    """The same of a job that is laid out and graded, and no more: without a price, and with what looks at no digging.

    Parameters
    ----------
    laid : Laid
        The job, laid out.
    """
    findings, waiting = judge_before_storm(laid.site, laid.inflows, laid.system, None, laid.moisture)
    return _drawn(laid, findings, storm_run=False, waiting=waiting)


def _drawn(
    design: Design | Begun | Laid, findings: Sequence[Finding], *, storm_run: bool, waiting: tuple[str, ...] = ()
) -> Drawn:
    from drainwright.design import Laid

    job, site, system = design.job, design.site, design.system
    units = job.units
    terrain = site.terrain
    ft = "ft" if units == "US" else "m"

    def level(value: float) -> str:
        return write(value, "length", units, ft, 2)

    picture = site.backdrop
    return Drawn(
        points=tuple(
            DrawnPoint(
                name=point.name, at=(point.east, point.north), told="" if point.level is None else level(point.level),
            )
            for point in site.points.values()
            if point.way != "level only"
        ),
        outline=tuple(site.outline),
        walls=tuple(
            DrawnWall(name=wall.name, start=wall.start, end=wall.end, outward=wall.outward) for wall in site.walls
        ),
        runs=tuple(
            DrawnRun(
                name=run.name, duty=run.duty, route=tuple(run.route), pipe=run.pipe.key,
                grade=write(run.grade, "grade", units), length=write(run.length, "length", units, ft, 1),
                inverts=f"{level(run.invert_upper)} to {level(run.invert_lower)}",
            )
            for run in system.runs
        ),
        nodes=tuple(
            DrawnNode(
                name=node.name, kind=node.kind, at=node.at,
                told=f"rim {level(node.rim)}, lowest pipe {level(node.invert)}",
            )
            for node in system.nodes.values()
        ),
        roots=tuple((tree.tree.name, tree.root_radius) for tree in site.trees),
        drained=tuple(
            DrawnArea(to=area.to, rings=area.rings)
            for area in (terrain.drained if terrain else ())
            if area.kind == "inlet"
        ),
        contours=tuple(
            DrawnLine(line=line, told=level(contour.level) if contour.index else "", strong=contour.index)
            for contour in (terrain.contours if terrain else ())
            for line in contour.lines
        ),
        picture=None
        if picture is None
        else DrawnPicture(
            width=picture.width, height=picture.height, corner=picture.corner, pixel=picture.pixel, turn=picture.turn
        ),
        findings=tuple(
            DrawnFinding(
                id=one.id, title=one.title, severity=str(one.severity), where=one.where, message=one.message,
                advice=one.advice,
            )
            for one in findings
            if str(one.severity) != "ok"
        ),
        price=None if isinstance(design, Laid) else float(design.build.price.total),
        currency="" if isinstance(design, Laid) else design.build.price.currency,
        built=not isinstance(design, Laid),
        storm_run=storm_run,
        waiting=waiting,
    )  # fmt: skip


def picture_of(design: Design) -> str | None:
    """The picture under the plan as a data URI; None where there is none."""
    backdrop = design.job.survey.backdrop
    return None if backdrop is None else backdrop.picture


__all__ = ["Drawn", "drawn", "drawn_early", "drawn_laid", "picture_of"]
