"""Named points: corners, coordinates, ties and offsets, solved in the order in which they lean on each other."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from drainwright.errors import InputError, JobError, Problem
from drainwright.field.model import Plan, PlanNetwork, SitePoint, Slip, Traverse
from drainwright.field.plan_adjust import AdjustedPlan, adjust_plan
from drainwright.field.plan_slips import SlipError
from drainwright.field.plan_walk import walk_slips
from drainwright.field.ties import Fix, TiesMissError, fix_by_ties, on_line
from drainwright.field.traverse import WalkMissError, reduce_walk
from drainwright.field.words import Units, fail, fine, least_sure, nearest
from drainwright.job.survey import Point, Survey
from drainwright.job.values import Basis, Place
from drainwright.worksheet import place, quiet

RESIDUAL_NOTED = 3.0  # standard errors of a tape: a worse fit is noted [-]
RESIDUAL_REFUSED = 20.0  # a worse fit is a wrong reading; common practice, no source [-]


def inside(outline: Sequence[Plan], at: Plan) -> bool:
    """Whether a place lies within an outline, by counting the sides that a ray to the east crosses."""
    crossed = False
    for (e1, n1), (e2, n2) in zip(outline, [*outline[1:], outline[0]], strict=True):
        if (n1 > at[1]) != (n2 > at[1]) and at[0] < e1 + (at[1] - n1) / (n2 - n1) * (e2 - e1):
            crossed = not crossed
    return crossed


class _CircleError(JobError):
    """Points that lean on each other in a circle."""

    def __init__(self, where: str, circle: str) -> None:
        super().__init__((Problem(
            where=where, found=f"points that lean on each other in a circle: {circle}",
            expected="points fixed from points already known", hint="Fix one of them by other measurements.",
        ),))  # fmt: skip


class _Solver:
    """Solves points on demand, so that each finds those it leans on."""

    def __init__(self, survey: Survey, outline: Sequence[Place], levels: Mapping[str, float], units: Units) -> None:
        self.survey, self.outline, self.levels, self.units = survey, outline, levels, units
        self.given = {point.name: (number, point) for number, point in reversed(tuple(enumerate(survey.points)))}
        self.corners = _corner_names(survey)
        self.solved: dict[str, SitePoint] = {}
        self.failed: dict[str, JobError] = {}
        self.under_way: list[str] = []
        self.traverse: Traverse | None = None
        self.notes: list[str] = []

    def solve(self, name: str, where: str) -> SitePoint:
        """The point of that name; ``where`` is the place in the job that asks for it."""
        if name in self.solved:
            return self.solved[name]
        if name in self.failed:
            raise self.failed[name]
        if name in self.under_way:
            circle = " > ".join([*self.under_way[self.under_way.index(name) :], name])
            raise _CircleError(where, circle)
        self.under_way.append(name)
        try:
            if name in self.given:
                self.solved[name] = self._point(*self.given[name])
            elif name in self.corners:
                self._walk()
            else:
                level_only = name in self.levels
                raise fail(
                    where, f"{name}, which has a level but no place in plan" if level_only else repr(name),
                    "the name of a surveyed point", nearest(name, [*self.given, *self.corners]),
                )  # fmt: skip
        except JobError as error:
            self.failed[name] = error
            raise
        finally:
            self.under_way.pop()
        return self.solved[name]

    def without(self, where: str) -> dict[str, Plan] | None:
        """Every place again, without the tie at a path; None where it is no tie, or none can be spared."""
        number, inner, tie = where.removeprefix("survey.points[").partition("].ties[")
        if not inner or len(self.survey.points[int(number)].ties) < 3:
            return None
        points, left = list(self.survey.points), int(tie.removesuffix("]"))
        ties = points[int(number)].ties
        points[int(number)] = points[int(number)].model_copy(update={"ties": (*ties[:left], *ties[left + 1 :])})
        survey = self.survey.model_copy(update={"points": tuple(points)})
        again = _Solver(survey, self.outline, self.levels, self.units)
        try:
            with quiet():
                names = _solve_all(again, mend=False)
        except JobError:
            return None
        return {name: (again.solved[name].east, again.solved[name].north) for name in names}

    def plan(self, name: str, where: str) -> Plan:
        point = self.solve(name, where)
        return (point.east, point.north)

    def place(self, spot: Place, where: str) -> Plan:
        if spot.name is not None:
            return self.plan(spot.name, where)
        assert spot.east is not None
        assert spot.north is not None
        return (spot.east, spot.north)

    def _walk(self) -> None:
        perimeter = self.survey.perimeter
        assert perimeter is not None
        corners, self.traverse, notes = reduce_walk(
            perimeter, self.place(perimeter.at, "survey.perimeter.at"), self.units
        )
        self.notes += notes
        for name, (east, north) in corners.items():
            if name in self.given:  # the start, where its own coordinates give it
                continue
            self.solved[name] = SitePoint(name=name, east=east, north=north, level=self.levels.get(name), way="corner")

    def _point(self, number: int, point: Point) -> SitePoint:
        where = f"survey.points[{number}]"
        level = self.levels.get(point.name, point.level)
        with place(f"survey.points.{point.name}"):
            if point.ties:
                return self._tied(where, point, level)
            if point.along is not None:
                ends = [self.solve(name, f"{where}.along[{n}]") for n, name in enumerate(point.along)]
                try:
                    east, north = on_line(
                        (ends[0].east, ends[0].north), (ends[1].east, ends[1].north),
                        point.distance or 0.0, point.offset or 0.0,
                    )  # fmt: skip
                except InputError:
                    raise fail(f"{where}.along", f"{' and '.join(point.along)}, at one place", "two places") from None
                return SitePoint(
                    name=point.name, east=east, north=north, level=level, way="along",
                    basis=least_sure(point.basis, *(end.basis for end in ends)),
                )  # fmt: skip
        return SitePoint(
            name=point.name, east=point.east or 0.0, north=point.north or 0.0, level=level, basis=point.basis,
        )  # fmt: skip

    def _tied(self, where: str, point: Point, level: float | None) -> SitePoint:
        names = [tie.from_ for tie in point.ties]
        known = [self.solve(name, f"{where}.ties[{n}].from") for n, name in enumerate(names)]
        anchors = [(anchor.east, anchor.north) for anchor in known]
        tape = self.survey.tape_accuracy
        distances = [tie.distance for tie in point.ties]
        try:
            try:
                fixes = fix_by_ties(anchors, distances, tape)
            except TiesMissError:
                if len(distances) == 2:
                    raise
                fixes = fix_by_ties(anchors, distances, tape, math.inf)  # the network tells which is wrong
        except TiesMissError as miss:
            pair = f"{names[miss.first]} and {names[miss.second]}"
            raise fail(f"{where}.ties", f"ties from {pair} that miss each other by {fine(miss.gap, self.units)}",
                       "ties that meet", f"Check the tapes from {pair}, and the corners held.") from None  # fmt: skip
        except InputError:
            raise fail(f"{where}.ties", "ties all from one place", "ties from two different places") from None
        fix = fixes[0] if len(fixes) == 1 else self._choose(where, point, anchors, fixes)
        if fix.residual > RESIDUAL_NOTED * tape:
            self.notes.append(f"The ties of {point.name} disagree by {fine(fix.residual, self.units)}.")
        if fix.weak:
            angle = f"{math.degrees(fix.angle):.0f}°"
            self.notes.append(f"The ties of {point.name} cross at a poor angle ({angle}): add one from the side.")
        return SitePoint(
            name=point.name, east=fix.at[0], north=fix.at[1], level=level, way="ties", residual=fix.residual,
            weak=fix.weak,
            basis=least_sure(point.basis, *(anchor.basis for anchor in known)),
        )  # fmt: skip

    def _choose(self, where: str, point: Point, anchors: Sequence[Plan], fixes: Sequence[Fix]) -> Fix:
        """Of fits that are alike, the one on the side that the job says, or the only one outside the house."""
        (ae, an), (be, bn) = anchors[0], max(anchors, key=lambda anchor: math.dist(anchors[0], anchor))

        def left(at: Plan) -> float:
            return (be - ae) * (at[1] - an) - (bn - an) * (at[0] - ae)

        if point.side is not None:
            side = left(self.place(point.side, f"{where}.side"))
            chosen = [fix for fix in fixes if left(fix.at) * side > 0.0]
            if len(chosen) == 1:
                return chosen[0]
            raise fail(f"{where}.side", "a place that does not settle the side",
                       "a place clearly to one side of the line between the tied points")  # fmt: skip
        try:
            outline = [self.place(spot, f"house.outline[{n}]") for n, spot in enumerate(self.outline)]
        except _CircleError:
            outline = []  # the outline leans on this very point
        if outline:
            outside = [fix for fix in fixes if not inside(outline, fix.at)]
            if len(outside) == 1:
                return outside[0]
        raise fail(f"{where}.ties", "ties that fit on either side of the line between their points",
                   "a 'side', or a third tie", "Give 'side': any place on the same side as the point.")  # fmt: skip


def _corner_names(survey: Survey) -> tuple[str, ...]:
    """Corners that the walk fixes; its start is a point of its own where ``at`` says so."""
    walk = survey.perimeter
    if walk is None:
        return ()
    start = () if walk.at.name == walk.start else (walk.start,)
    return (*start, *(leg.to for leg in walk.legs[:-1]))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class FixedPoints:
    """The points of a survey, and how well they are known."""

    points: Mapping[str, SitePoint]  # those with a level but no place in plan last (their east and north are NaN)
    traverse: Traverse | None
    network: PlanNetwork | None
    slips: tuple[Slip, ...]
    notes: tuple[str, ...]


def fix_points(
    survey: Survey, outline: Sequence[Place], levels: Mapping[str, float], units: Units = "US"
) -> FixedPoints:
    """Fix every point of the survey.

    Parameters
    ----------
    survey : Survey
        The measurements.
    outline : sequence of Place
        The house outline, which settles the side of a point by two ties where the job does not.
    levels : mapping
        Adjusted levels by name; they outrank a point's own ``level``. [m]
    units : {"US", "SI"}
        Of the notes.

    Returns
    -------
    FixedPoints
        Points by name, the walk's closure, the plan network, likely slips, notes.

    Raises
    ------
    JobError
        Names every point that cannot be fixed. It is a ``SlipError`` where the other measurements tell which
        one is likely wrong.
    """
    solver = _Solver(survey, outline, levels, units)
    names = _solve_all(solver)
    adjusted = adjust_plan(survey, {name: solver.solved[name] for name in names}, units, restart=solver.without)
    _refuse_misfits(survey, adjusted, units)
    points = dict(adjusted.points)
    for name, level in levels.items():
        if name not in points:
            points[name] = SitePoint(
                name=name, east=math.nan, north=math.nan, level=level, way="level only", basis=Basis.MEASURED
            )
    return FixedPoints(points=points, traverse=solver.traverse, network=adjusted.network, slips=adjusted.slips,
                       notes=(*(slip.message for slip in adjusted.slips), *solver.notes, *adjusted.notes))  # fmt: skip


def _solve_all(solver: _Solver, mend: bool = True) -> list[str]:
    """Solve every point step by step; the names, in the order of the survey. A walk that misses is mended on trial."""
    survey = solver.survey
    problems: list[Problem] = []
    names = [(name, "survey.perimeter") for name in solver.corners]
    for number, point in enumerate(survey.points):
        if point.name in solver.corners or solver.given[point.name][0] != number:
            problems.append(Problem(where=f"survey.points[{number}].name", found=f"{point.name} a second time",
                                    expected="a name of its own"))  # fmt: skip
        else:
            names.append((point.name, f"survey.points[{number}]"))
    asked = [
        (name, f"survey.tapes[{n}].{end}")
        for n, one in enumerate(survey.tapes)
        for end, name in (("from", one.from_), ("to", one.to))
    ]
    for name, where in [*names, *asked]:
        try:
            solver.solve(name, where)
        except WalkMissError as error:
            slips = (
                walk_slips(survey, lambda mended, left_out: _trial(solver, mended, left_out), solver.units)
                if mend
                else ()
            )
            mend = False  # once is enough: every corner fails alike
            if slips:
                told = [replace(one, where=slips[0].where, hint=slips[0].message) for one in error.problems]
                raise SlipError(tuple(told), slips) from None
            problems += [problem for problem in error.problems if problem not in problems]
        except JobError as error:
            problems += [problem for problem in error.problems if problem not in problems]
    problems += [
        Problem(where=f"survey.tapes[{n}].to", found=f"{one.to} again", expected="two different points")
        for n, one in enumerate(survey.tapes) if one.from_ == one.to
    ]  # fmt: skip
    if problems:
        raise JobError(tuple(problems))
    return [name for name, _ in names]


def _trial(solver: _Solver, mended: Survey, left_out: str) -> AdjustedPlan:
    """The plan of a survey whose walk is mended on trial, the mended measurement left out of the adjustment."""
    again = _Solver(mended, solver.outline, solver.levels, solver.units)
    return adjust_plan(
        mended, {name: again.solved[name] for name in _solve_all(again, mend=False)}, solver.units, without=left_out
    )


def _refuse_misfits(survey: Survey, adjusted: AdjustedPlan, units: Units) -> None:
    """Refuse points whose ties disagree grossly, and name the measurement that is likely wrong."""
    tape = survey.tape_accuracy
    gross = {
        number: residual for number, point in enumerate(survey.points)
        if (residual := adjusted.points[point.name].residual) is not None and residual > RESIDUAL_REFUSED * tape
    }  # fmt: skip
    expected = f"agreement within a few times {fine(tape, units)}"
    if gross and adjusted.slips:
        lead, _, more = adjusted.slips[0].message.partition(". ")
        parted = ", ".join(f"{survey.points[number].name} by {fine(gap, units)}" for number, gap in gross.items())
        problem = Problem(
            where=adjusted.slips[0].where, found=lead[0].lower() + lead[1:].rstrip("."), expected=expected,
            hint=f"{more} With it ties disagree (root mean square): {parted}.".strip(),
        )  # fmt: skip
        raise SlipError((problem,), adjusted.slips)
    problems = [
        Problem(
            where=f"survey.points[{number}].ties", expected=expected,
            found=f"ties of {survey.points[number].name} that disagree by {fine(gap, units)} (root mean square)",
            hint="Check each tape, and the corner it was held on.",
        )
        for number, gap in gross.items()
    ]  # fmt: skip
    if problems:
        raise SlipError(tuple(problems), adjusted.slips)


__all__ = ["FixedPoints", "fix_points", "inside"]
