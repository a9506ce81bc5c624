"""What of the plan is adjusted together, how sure each point is of its place, and what nothing checks."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import PlanNetwork, PlanObservation, SitePoint, Slip
from drainwright.field.plan_network import CHECKED, Adjustment, Array, Frame, ellipse_of, measures_of
from drainwright.field.plan_slips import ALIKE, Restart, find_slips, no_restart, suspicious
from drainwright.field.traverse import lay_walk
from drainwright.field.words import Units
from drainwright.job.survey import Perimeter, Survey
from drainwright.worksheet import quiet

ENOUGH = 3  # ties that would check each other if they did not cross at right angles
SPARE = 0.5  # measures more than needed, which are whole numbers: above this there is one


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class AdjustedPlan:
    """The points once the plan is adjusted."""

    points: Mapping[str, SitePoint]
    network: PlanNetwork | None
    slips: tuple[Slip, ...]
    notes: tuple[str, ...]


def adjust_plan(
    survey: Survey,
    points: Mapping[str, SitePoint],
    units: Units = "US",
    without: str | None = None,
    restart: Restart = no_restart,
) -> AdjustedPlan:
    """Adjust walk, ties, tapes and offsets together, and give every point its error.

    Parameters
    ----------
    survey : Survey
        The measurements.
    points : mapping
        Every point of the survey, fixed step by step: the walk by the compass rule, then each point from those
        it leans on.
    units : {"US", "SI"}
        Of notes and slips.
    without : str, optional
        On trial: the path of a measurement that takes no part. No slips are sought then.
    restart : callable
        As of ``find_slips``.

    Returns
    -------
    AdjustedPlan
        Points, the network, likely slips, notes.

    Notes
    -----
    The datum is the walk's start and the bearing of its first side; points by coordinates do not move. Points
    along a line hang from it by two measures, the distance and the offset. Where nothing but its own closure
    checks the walk, its corners stay where the compass rule puts them. With ``adjust: false`` the corners stay
    as walked, ties and tapes do not move them, and the other points are adjusted from there; the slips are
    sought in the full adjustment all the same. Where nothing is redundant, places stay to the last digit.

    Standard errors are by propagation from the tape's and the turn's accuracy, not scaled by the misfit; of a
    compass-rule walk they are those of the compass rule.
    """
    measures = measures_of(survey)
    if not measures:
        return AdjustedPlan(points=points, network=None, slips=(), notes=())
    places = {name: (point.east, point.north) for name, point in points.items()}
    fixed = {point.name for point in survey.points if not point.ties and point.along is None}
    walk = survey.perimeter
    frame = Frame(measures, places, fixed, walk)
    keep = np.array([one.where != without for one in measures])
    full = fit = _other_sides(frame, keep, frame.adjust(keep))
    solve, loose = full.solve, full.loose
    spare = _spare(frame, full, fixed)
    notes = []
    if walk is not None and not (walk.adjust and _overlapped(walk, spare)):
        laid = Frame(measures, places, fixed, walk, hold_bearing=False)
        fit, solve, loose = _from_the_walk(laid, walk)
        spare = _spare(laid, fit, fixed | {name for name in laid.names if name in _corners(walk)})
    elif full.freedom:
        what = "Ties and tapes" if walk is None else "Walk, ties and tapes"
        notes.append(f"{what} are adjusted together by least squares, with {full.freedom} more than needed.")
    used = laid if fit is not full else frame
    adjusted = dict(points)
    for name in used.names:
        if name not in fixed:
            adjusted[name] = _placed(used, fit, points[name], spare.get(name, 0.0) > SPARE, solve, loose)
    network = PlanNetwork(
        observations=tuple(
            PlanObservation(where=one.where, kind=one.kind, ends=one.ends, measured=one.value, residual=float(residual),
                            standardised=float(ratio), redundancy=float(share))
            for one, residual, ratio, share in zip(
                measures, full.residuals, full.standardised, full.redundancy, strict=True)
        ),
        redundancy=full.freedom,
        variance_factor=full.misfit / full.freedom if full.freedom else None,
    )  # fmt: skip
    slips = find_slips(frame, full, units, restart) if without is None and full.freedom else ()
    return AdjustedPlan(
        points=adjusted, network=network, slips=slips, notes=(*notes, *_unchecked_notes(network, adjusted))
    )


def _other_sides(frame: Frame, keep: NDArray[np.bool_], fit: Adjustment) -> Adjustment:
    """The best fit with a doubtful tied point on the other side of a line between those it is tied to.

    The side was chosen when the corners were where the walk alone put them, perhaps a foot from their place.
    """
    for _ in range(2):
        if not suspicious(list(fit.redundancy), list(fit.standardised)):
            break
        worst = [frame.measures[row] for row in np.argsort(-np.abs(fit.standardised))[:6]]
        trials = [fit]
        for name in dict.fromkeys(one.ends[1] for one in worst if one.kind == "tie"):
            held = [one.ends[0] for one in frame.measures if one.kind == "tie" and one.ends[1] == name]
            for pair in combinations(held, 2):
                (first, second), at = (fit.places[frame.index[one]] for one in pair), fit.places[frame.index[name]]
                line = (second - first) / max(float(np.hypot(*(second - first))), 1e-9)
                start = fit.parameters.copy()
                start[frame.columns[name]] = first + 2.0 * ((at - first) @ line) * line - (at - first)
                trials.append(frame.adjust(keep, start))
        best = min(trials, key=lambda one: one.misfit)
        if best.misfit > fit.misfit - ALIKE:
            break
        fit = best
    return fit


def _corners(walk: Perimeter) -> list[str]:
    return [walk.start, *(leg.to for leg in walk.legs[:-1])]


def _spare(frame: Frame, fit: Adjustment, fixed: set[str]) -> dict[str, float]:
    """By point, how many measures more than needed there are among those that hang together with it."""
    group = {name: name for name in frame.names if name not in fixed}

    def root(name: str) -> str:
        while group[name] != name:
            name = group[name]
        return name

    loose = [[name for name in one.ends if name not in fixed] for one in frame.measures]
    for names in loose:
        for a, b in pairwise(names):
            group[root(a)] = root(b)
    spare: dict[str, float] = {}
    for names, share in zip(loose, fit.redundancy, strict=True):
        if names:
            spare[root(names[0])] = spare.get(root(names[0]), 0.0) + float(share)
    return {name: spare.get(root(name), 0.0) for name in group}


def _overlapped(walk: Perimeter, spare: Mapping[str, float]) -> bool:
    """Whether more than its own closure checks the walk: two legs close it, and a full circle of turns."""
    own = 2.0 if walk.legs[-1].turn is None else 3.0
    return spare[walk.legs[0].to] > own + SPARE


def _from_the_walk(frame: Frame, walk: Perimeter) -> tuple[Adjustment, Array, NDArray[np.bool_]]:
    """Corners where the walk puts them, the rest adjusted from there; how all that moves with the measures."""
    rows = {kind: [n for n, one in enumerate(frame.measures) if one.kind == kind] for kind in ("leg", "turn")}
    held = np.zeros(len(frame.start), dtype=bool)
    for leg in walk.legs[:-1]:
        held[frame.columns[leg.to]] = True
    keep = np.array([one.kind not in rows for one in frame.measures])
    fit = frame.adjust(keep, free=~held)
    solve = np.zeros_like(fit.solve)
    values = frame.values.copy()
    with quiet():
        for row in rows["leg"] + rows["turn"]:
            ends = []
            for sign in (1.0, -1.0):
                values[row] = frame.values[row] + sign * 1e-3 * frame.errors[row]
                ends.append(np.array(lay_walk(walk, list(values[rows["leg"]]), list(values[rows["turn"]]))[:-1]))
            values[row] = frame.values[row]
            for leg, move in zip(walk.legs[:-1], (ends[0] - ends[1]) / 2e-3, strict=True):
                solve[frame.columns[leg.to], row] = move
    slopes = frame.slopes(fit.parameters) / frame.errors[:, None]
    rest = np.eye(len(keep)) - slopes[:, held] @ solve[held]
    solve[~held] = fit.solve[~held] @ rest
    return fit, solve, fit.loose


def _placed(
    frame: Frame, fit: Adjustment, point: SitePoint, moved: bool, solve: Array, loose: NDArray[np.bool_]
) -> SitePoint:
    covariance = frame.covariance(point.name, solve, loose)
    error = None if covariance is None else math.sqrt(float(np.trace(covariance)))
    ellipse = ellipse_of(covariance) if covariance is not None and error else None
    point = replace(point, standard_error=error, ellipse=ellipse)
    if not moved:
        return point
    east, north = (float(value) for value in fit.places[frame.index[point.name]])
    ties = [fit.residuals[n] for n, one in enumerate(frame.measures) if one.kind == "tie" and one.ends[1] == point.name]
    residual = math.sqrt(sum(float(gap) ** 2 for gap in ties) / len(ties)) if ties else point.residual
    return replace(point, east=east, north=north, residual=residual)


def unchecked(network: PlanNetwork) -> tuple[str, ...]:
    """Points fixed by measures that nothing checks: a slip in one of them cannot show.

    Parameters
    ----------
    network : PlanNetwork
        The adjusted plan.

    Returns
    -------
    tuple of str
        Names of tied points and of points along a line, in the order of the survey.
    """
    own: dict[str, list[float]] = {}
    for one in network.observations:
        if one.kind in ("tie", "along", "offset"):
            own.setdefault(one.ends[-1], []).append(one.redundancy)
    return tuple(name for name, shares in own.items() if min(shares) < CHECKED)


def unchecked_ties(network: PlanNetwork) -> dict[str, tuple[str, ...]]:
    """Of points with three ties or more, the points from which a tie comes that nothing checks.

    Parameters
    ----------
    network : PlanNetwork
        The adjusted plan.

    Returns
    -------
    dict
        By name of the tied point; only points that ``unchecked`` names.
    """
    ties: dict[str, list[PlanObservation]] = {}
    for one in network.observations:
        if one.kind == "tie":
            ties.setdefault(one.ends[-1], []).append(one)
    bare = {
        name: tuple(one.ends[0] for one in several if one.redundancy < CHECKED)
        for name, several in ties.items() if len(several) >= ENOUGH
    }  # fmt: skip
    return {name: held for name, held in bare.items() if held}


def _unchecked_notes(network: PlanNetwork, points: Mapping[str, SitePoint]) -> Sequence[str]:
    bare, several = unchecked(network), unchecked_ties(network)
    tied = [name for name in bare if points[name].way == "ties" and name not in several]
    along = [name for name in bare if points[name].way == "along"]
    notes = []
    if tied:
        notes.append(f"Nothing checks the ties of {', '.join(tied)}: a third tie, or a tape to another point, would.")
    notes += [
        f"Nothing checks the tie of {name} from {' and '.join(held)}, across the others: one more from that side, or "
        "from right opposite, would."
        for name, held in several.items()
    ]
    if along:
        notes.append(f"Nothing checks the distance along a line, or out from it, of {', '.join(along)}.")
    return notes


__all__ = ["AdjustedPlan", "adjust_plan", "unchecked", "unchecked_ties"]
