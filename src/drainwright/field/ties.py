"""Points by tape: two or more distances from known points, or along a line and out from it.

Reckoned by sums, products, quotients and square roots alone, each of which every machine rounds alike: the browser in
the yard finds the same place to the last digit. Only the crossing angle goes through a library's arc sine.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.errors import InputError
from drainwright.field.model import Plan
from drainwright.worksheet import Card, catalogued

WEAK_ANGLE = math.radians(30.0)  # ties that cross flatter than this are weak; common practice, no source [rad]
ALIKE = 9.0  # fits whose sums of squares differ by less are alike: three standard errors, squared [-]
SMALLEST = 1e-12  # shorter arms give no direction [m], lesser determinants no position [-]
SLACK = 5.0  # ties may miss each other by this many standard errors of a tape before they are refused [-]


class TiesMissError(InputError):
    """Ties that cannot meet; ``gap`` is what is missing, or too much. [m]"""

    def __init__(self, gap: float, first: int, second: int) -> None:
        self.gap, self.first, self.second = gap, first, second
        super().__init__(f"ties {first} and {second} miss each other by {gap:.3f} m: expected distances that meet")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fix:
    """A place that fits the ties."""

    at: Plan
    residual: float  # root mean square of the tie residuals [m]
    standard_error: float  # of the position, from the tape's accuracy and the geometry [m]
    angle: float  # at which the best pair of ties crosses, 0 to a right angle [rad]
    misfit: float  # sum of squared residuals over the tape's variance [-]

    @property
    def weak(self) -> bool:
        """Whether no pair of ties crosses between 30° and 150°."""
        return self.angle < WEAK_ANGLE


@catalogued(
    Card(
        title="Point by two ties",
        symbol="x",
        expression="(base**2 + first**2 - second**2) / (2 * base)",
        units={"base": "m", "first": "m", "second": "m", "result": "m"},
        source="geometry",
    )
)
def distance_along_base(base: float, first: float, second: float) -> float:
    """How far along the line between two known points a point lies that is tied to both.

    Parameters
    ----------
    base : float
        Distance between the known points, above zero. [m]
    first, second : float
        Ties from the one where the line begins, and from the other. [m]

    Returns
    -------
    float
        Distance along the line, from its beginning. [m]
    """
    return (base * base + first * first - second * second) / (2.0 * base)


def _apart(a: Plan, b: Plan) -> float:
    east, north = b[0] - a[0], b[1] - a[1]
    return math.sqrt(east * east + north * north)


def _crossings(a: Plan, b: Plan, ra: float, rb: float) -> list[Plan]:
    """Where two circles meet; the nearest place to both where they just miss."""
    base = _apart(a, b)
    along = distance_along_base(base, ra, rb)
    ue, un = (b[0] - a[0]) / base, (b[1] - a[1]) / base
    square = ra * ra - along * along
    if square <= 0.0:  # they miss: between the near sides of the circles
        near = [(side_a * ra, base + side_b * rb) for side_a in (-1, 1) for side_b in (-1, 1)]
        p, q = min(near, key=lambda pair: abs(pair[0] - pair[1]))
        along, out = 0.5 * (p + q), 0.0
    else:
        out = math.sqrt(square)
    foot = (a[0] + along * ue, a[1] + along * un)
    sides = (out, -out) if out > 0.0 else (0.0,)
    return [(foot[0] - side * un, foot[1] + side * ue) for side in sides]


def _fit(start: Plan, anchors: Sequence[Plan], distances: Sequence[float]) -> Plan:
    """Least squares from a start, by Levenberg and Marquardt's damped Gauss-Newton steps."""

    def misfit(east: float, north: float) -> float:
        gaps = [_apart(anchor, (east, north)) - d for anchor, d in zip(anchors, distances, strict=True)]
        return math.fsum(gap * gap for gap in gaps)

    (east, north), damping, near = start, 1e-9, 1e-11 * (1.0 + max(distances))
    worst = misfit(east, north)
    for _ in range(100):
        ee = nn = damping
        en = pull_east = pull_north = 0.0
        for (e, n), distance in zip(anchors, distances, strict=True):
            reach = max(_apart((e, n), (east, north)), SMALLEST)
            slope_east, slope_north = (east - e) / reach, (north - n) / reach
            ee, en, nn = ee + slope_east * slope_east, en + slope_east * slope_north, nn + slope_north * slope_north
            pull_east -= slope_east * (reach - distance)
            pull_north -= slope_north * (reach - distance)
        determinant = ee * nn - en * en
        step_east = (pull_east * nn - pull_north * en) / determinant
        step_north = (pull_north * ee - pull_east * en) / determinant
        trial = misfit(east + step_east, north + step_north)
        if trial <= worst:
            east, north, worst, damping = east + step_east, north + step_north, trial, max(damping / 10.0, 1e-12)
            if _apart((0.0, 0.0), (step_east, step_north)) < near:
                break
        else:
            damping *= 10.0
            if damping > 1e9:
                break
    return east, north


def _judge(at: Plan, anchors: Sequence[Plan], distances: Sequence[float], tape: float) -> Fix:
    reaches = [_apart(anchor, at) for anchor in anchors]
    slopes = [
        ((at[0] - e) / max(reach, SMALLEST), (at[1] - n) / max(reach, SMALLEST))
        for (e, n), reach in zip(anchors, reaches, strict=True)
    ]
    squares = math.fsum((r - d) * (r - d) for r, d in zip(reaches, distances, strict=True))
    sine = max(abs(s[0] * t[1] - s[1] * t[0]) for s, t in itertools.combinations(slopes, 2))
    ee, nn = math.fsum(e * e for e, _ in slopes), math.fsum(n * n for _, n in slopes)
    en = math.fsum(e * n for e, n in slopes)
    determinant = ee * nn - en * en
    return Fix(
        at=at,
        residual=math.sqrt(squares / len(distances)),
        standard_error=tape * math.sqrt(len(distances) / determinant) if determinant > SMALLEST else math.inf,
        angle=math.asin(min(1.0, sine)),
        misfit=squares / (tape * tape),
    )


@catalogued(
    Card(
        title="Point by ties, least squares",
        symbol="P",
        expression="the place whose distances fit the ties with the least sum of squares; every fit that is as good",
        units={"anchors": "m", "distances": "m", "tape_accuracy": "m", "slack": "-", "result": "m"},
        source="least_squares",
        expression_kind="procedure",
    )
)
def fix_by_ties(
    anchors: Sequence[Plan], distances: Sequence[float], tape_accuracy: float, slack: float = SLACK
) -> tuple[Fix, ...]:
    """Find the place, or the places, that fit the ties.

    Parameters
    ----------
    anchors : sequence of Plan
        Known points, two or more. [m]
    distances : sequence of float
        Tape distance from each, above zero. [m]
    tape_accuracy : float
        Standard error of one tape distance, above zero. [m]
    slack : float
        Ties may miss each other by this many standard errors of a tape. [-]

    Returns
    -------
    tuple of Fix
        The best fit first. More than one where the ties leave a choice: two ties leave the two sides of
        the line between their points, and so do more ties from points all in one line.

    Raises
    ------
    TiesMissError
        If two circles miss each other by more than the tape's accuracy explains.
    InputError
        If all ties are from one place.

    Notes
    -----
    The standard error of the position is s sqrt(trace (AᵀA)⁻¹), with s the tape's accuracy and A the
    directions from the known points; for two ties that cross at an angle g it is s sqrt(2) / sin g. It
    leaves out the error of the known points themselves, which the plan network adds.
    """
    starts: list[Plan] = []
    for i, j in itertools.combinations(range(len(distances)), 2):
        base = _apart(anchors[i], anchors[j])
        if base == 0.0:
            continue
        gap = max(base - distances[i] - distances[j], abs(distances[i] - distances[j]) - base)
        if gap > slack * math.sqrt(2.0) * tape_accuracy:
            raise TiesMissError(gap, i, j)
        starts += _crossings(anchors[i], anchors[j], distances[i], distances[j])
    if not starts:
        raise InputError(f"anchors = {list(anchors)!r}: expected two different places or more")
    fixes: list[Fix] = []
    fits = [start if len(distances) == 2 else _fit(start, anchors, distances) for start in starts]
    for fix in sorted((_judge(at, anchors, distances, tape_accuracy) for at in fits), key=lambda fix: fix.misfit):
        apart = all(_apart(fix.at, other.at) > 2.0 * tape_accuracy for other in fixes)
        if apart and fix.misfit <= (fixes[0].misfit if fixes else fix.misfit) + ALIKE:
            fixes.append(fix)
    return tuple(fixes)


def on_line(first: Plan, second: Plan, distance: float, offset: float) -> Plan:
    """Place at a distance along a line and out from it.

    Parameters
    ----------
    first, second : Plan
        The line runs from the first towards the second. [m]
    distance : float
        From the first; may lie beyond either end. [m]
    offset : float
        To the left of the line positive. Walking a counter-clockwise outline the outside is on the right,
        so a point outside the house has a negative offset. [m]

    Returns
    -------
    Plan
        The place. [m]

    Raises
    ------
    InputError
        If the two points are one.
    """
    length = _apart(first, second)
    if length == 0.0:
        raise InputError(f"second = {second!r}: expected a place other than the first")
    ue, un = (second[0] - first[0]) / length, (second[1] - first[1]) / length
    return (first[0] + distance * ue - offset * un, first[1] + distance * un + offset * ue)


__all__ = ["WEAK_ANGLE", "Fix", "TiesMissError", "distance_along_base", "fix_by_ties", "on_line"]
