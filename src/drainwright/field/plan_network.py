"""The plan as one network: legs, turns, ties, tapes and offsets adjusted together by least squares."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import Ellipse, Plan
from drainwright.job.survey import Perimeter, Survey

Array = NDArray[np.float64]
Kind = Literal["leg", "turn", "tie", "tape", "along", "offset"]

RANK = 1e-7  # singular values below this part of the greatest are none: 0.01 m of tape, 100 km of place [-]
CHECKED = 0.01  # a redundancy below this checks nothing [-]
LEAST = 1e-4  # a step is halved no further [-]
STEPS = 40  # Gauss-Newton steps at most


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One measurement of the plan network."""

    where: str  # path in the job
    kind: Kind
    ends: tuple[str, ...]  # two of a distance; before, at, after of a turn; first, second, point of an offset
    value: float  # [m or rad]
    error: float  # standard error [m or rad]


def measures_of(survey: Survey) -> tuple[Measure, ...]:
    """Every measurement that bears on the plan.

    Parameters
    ----------
    survey : Survey
        The measurements.

    Returns
    -------
    tuple of Measure
        Legs and turns of the walk, ties, distances along lines and out from them, tapes. A point on a line
        with no offset is held on it by eye, no surer than a tape: it counts as an offset of nothing.
    """
    tape, found = survey.tape_accuracy, []
    if survey.perimeter is not None:
        walk, legs = survey.perimeter, survey.perimeter.legs
        corners = [walk.start, *(leg.to for leg in legs), legs[0].to]
        for n, leg in enumerate(legs):
            where = f"survey.perimeter.legs[{n}]"
            found.append(Measure(where=where, kind="leg", ends=(corners[n], leg.to), value=leg.length, error=tape))
            if leg.turn is not None:
                found.append(Measure(where=f"{where}.turn", kind="turn", ends=(corners[n], leg.to, corners[n + 2]),
                                     value=leg.turn, error=survey.turn_accuracy))  # fmt: skip
    for n, point in enumerate(survey.points):
        where = f"survey.points[{n}]"
        for k, tie in enumerate(point.ties):
            ends = (tie.from_, point.name)
            found.append(Measure(where=f"{where}.ties[{k}]", kind="tie", ends=ends, value=tie.distance, error=tape))
        if point.along is not None:
            three = (*point.along, point.name)
            values: tuple[tuple[Kind, str, float], ...] = (
                ("along", "distance", point.distance or 0.0), ("offset", "offset", point.offset or 0.0),
            )  # fmt: skip
            found += [Measure(where=f"{where}.{key}", kind=kind, ends=three, value=value, error=tape)
                      for kind, key, value in values]  # fmt: skip
    found += [
        Measure(where=f"survey.tapes[{n}]", kind="tape", ends=(one.from_, one.to), value=one.distance, error=tape)
        for n, one in enumerate(survey.tapes)
    ]
    return tuple(found)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Adjustment:
    """The network adjusted. Arrays follow the measures of the frame; those left out are predicted."""

    places: Array  # shape (points, 2) [m]
    parameters: Array
    residuals: Array  # adjusted less measured [m or rad]
    redundancy: Array  # 0 (nothing checks it) to 1 [-]
    standardised: Array  # residual over its standard error [-]
    misfit: float  # sum of squared weighted residuals [-]
    freedom: int  # measures less unknowns that they fix
    solve: Array  # parameters against weighted measures: the pseudo-inverse of the design
    loose: NDArray[np.bool_]  # parameters that the measures do not fix


class Frame:
    """Points, what of them is unknown, and the measures between them.

    Parameters
    ----------
    measures : sequence of Measure
        Between points of ``places``.
    places : mapping
        Approximate places by name; of fixed points their places. [m]
    fixed : collection of str
        Points given by coordinates.
    walk : Perimeter, optional
        Its start lies where ``at`` says, and its corners hang from the start.
    hold_bearing : bool
        Keep the first side on the walk's bearing.
    """

    def __init__(
        self,
        measures: Sequence[Measure],
        places: Mapping[str, Plan],
        fixed: Collection[str],
        walk: Perimeter | None = None,
        hold_bearing: bool = True,
    ) -> None:
        self.measures = tuple(measures)
        self.names = tuple(dict.fromkeys(name for one in measures for name in one.ends))
        if walk is not None and walk.at.name is not None:
            self.names = tuple(dict.fromkeys([*self.names, walk.at.name]))
        self.index = {name: n for n, name in enumerate(self.names)}
        corners = [] if walk is None else [leg.to for leg in walk.legs[:-1]]
        own = [name for name in self.names if name not in fixed and name not in corners]
        if walk is not None and walk.at.name != walk.start:
            own.remove(walk.start)
        held = corners[:1] if hold_bearing else []
        widths = dict.fromkeys(own, 2) | {name: 1 if name in held else 2 for name in corners}
        self.columns: dict[str, slice] = {}
        count = 0
        for name, width in widths.items():
            self.columns[name] = slice(count, count + width)
            count += width
        at = np.array([places[name] for name in self.names], dtype=np.float64).reshape(-1, 2)
        spread = np.zeros((len(self.names), 2, count))
        for name in own:
            spread[self.index[name], :, self.columns[name]] = np.eye(2)
        if walk is not None:
            first = self.index[walk.start]
            if walk.at.name is not None and walk.at.name != walk.start:
                spread[first] = spread[self.index[walk.at.name]]
            ahead = np.array([[math.sin(walk.bearing)], [math.cos(walk.bearing)]])
            for name in corners:
                spread[self.index[name]] += spread[first]
                spread[self.index[name], :, self.columns[name]] = ahead if name in held else np.eye(2)
        self.base = at.copy()
        self.base[np.any(spread != 0.0, axis=(1, 2))] = 0.0
        for name in corners:  # they hang from the start, which may be a point that does not move
            self.base[self.index[name]] = self.base[first]
        self.flat, self.spread = spread.reshape(-1, count), spread
        self.start = self.parameters(places)
        self.values = np.array([one.value for one in measures])
        self.errors = np.array([one.error for one in measures])
        ends = [[self.index[name] for name in one.ends] for one in measures]
        self.groups = {
            kinds: (np.array(rows, dtype=np.intp), np.array([ends[row] for row in rows], dtype=np.intp))
            for kinds in (("leg", "tie", "tape"), ("turn",), ("along",), ("offset",))
            if (rows := [n for n, one in enumerate(measures) if one.kind in kinds])
        }

    def parameters(self, places: Mapping[str, Plan]) -> Array:
        """The parameters whose places come nearest to these."""
        at = np.array([places[name] for name in self.names], dtype=np.float64).reshape(-1, 2)
        if not self.flat.size:
            return np.zeros(0)
        nearest: Array = np.linalg.lstsq(self.flat, (at - self.base).ravel(), rcond=None)[0].astype(np.float64)
        return nearest

    def places(self, parameters: Array) -> Array:
        """Places, shape (points, 2), of the parameters. [m]"""
        return self.base + (self.flat @ parameters).reshape(-1, 2)

    def gaps(self, parameters: Array) -> Array:
        """Residuals, predicted less measured. [m or rad]"""
        at = self.places(parameters)
        gaps = np.empty(len(self.measures))
        for kinds, (rows, ends) in self.groups.items():
            arm = at[ends[:, 1]] - at[ends[:, 0]]
            if kinds == ("turn",):
                ahead = at[ends[:, 2]] - at[ends[:, 1]]
                turn = np.arctan2(ahead[:, 0], ahead[:, 1]) - np.arctan2(arm[:, 0], arm[:, 1])
                gaps[rows] = (turn - self.values[rows] + math.pi) % (2.0 * math.pi) - math.pi
                continue
            reach = np.sqrt(_square(arm))
            if len(kinds) == 1:
                out = at[ends[:, 2]] - at[ends[:, 0]]
                if kinds == ("along",):
                    reach = (out[:, 0] * arm[:, 0] + out[:, 1] * arm[:, 1]) / reach
                else:
                    reach = (out[:, 1] * arm[:, 0] - out[:, 0] * arm[:, 1]) / reach
            gaps[rows] = reach - self.values[rows]
        return gaps

    def slopes(self, parameters: Array) -> Array:
        """How each residual moves with the parameters."""
        at = self.places(parameters)
        slopes = np.zeros((len(self.measures), len(self.names), 2))
        for kinds, (rows, ends) in self.groups.items():
            if kinds == ("turn",):
                back, ahead = at[ends[:, 1]] - at[ends[:, 0]], at[ends[:, 2]] - at[ends[:, 1]]
                for arm, sign, (tail, head) in ((ahead, 1.0, (1, 2)), (back, -1.0, (0, 1))):
                    swing = sign * np.stack([arm[:, 1], -arm[:, 0]], axis=1) / _square(arm)[:, None]
                    slopes[rows, ends[:, head]] += swing
                    slopes[rows, ends[:, tail]] += -swing
            elif len(kinds) == 3:
                arm = at[ends[:, 1]] - at[ends[:, 0]]
                reach = np.sqrt(_square(arm))
                slopes[rows, ends[:, 1]] += arm / reach[:, None]
                slopes[rows, ends[:, 0]] += -arm / reach[:, None]
            else:
                line, out = at[ends[:, 1]] - at[ends[:, 0]], at[ends[:, 2]] - at[ends[:, 0]]
                length = np.sqrt(_square(line))[:, None]
                along, left = line / length, np.stack([-line[:, 1], line[:, 0]], axis=1) / length
                axis, other, sign = (along, left, 1.0) if kinds == ("along",) else (left, along, -1.0)
                turned = sign * np.sum(out * other, axis=1)[:, None] / length * left
                slopes[rows, ends[:, 2]] += axis
                slopes[rows, ends[:, 1]] += turned
                slopes[rows, ends[:, 0]] += -axis - turned
        turned_all: Array = slopes.reshape(len(self.measures), -1) @ self.flat
        return turned_all

    def adjust(
        self,
        keep: NDArray[np.bool_] | None = None,
        parameters: Array | None = None,
        free: NDArray[np.bool_] | None = None,
        near: float = 1e-10,
        steps: int = STEPS,
    ) -> Adjustment:
        """Adjust by damped Gauss-Newton steps: a step that would fit worse is halved.

        Parameters
        ----------
        keep : array of bool, optional
            Measures that take part; the others are predicted only.
        parameters : array, optional
            Where to begin, in place of the approximate places.
        free : array of bool, optional
            Parameters that may move.
        near : float
            A step that moves no point by more is the last. [m]
        steps : int
            Steps at most.

        Returns
        -------
        Adjustment
            The places, and what the measures say of them.
        """  # fmt: skip
        used = np.ones(len(self.measures), dtype=bool) if keep is None else keep
        open_ = np.ones(len(self.start), dtype=bool) if free is None else free
        at = (self.start if parameters is None else parameters).copy()
        gaps = self.gaps(at)
        for _ in range(steps):
            weighted = (gaps / self.errors)[used]
            design = (self.slopes(at) / self.errors[:, None])[used][:, open_]
            step = np.linalg.lstsq(design, -weighted, rcond=RANK)[0] if design.size else np.zeros(open_.sum())
            before, now, share = float(weighted @ weighted), 0.0, 1.0
            while share > LEAST:
                trial = at.copy()
                trial[open_] += share * step
                moved = self.gaps(trial)
                now = float(np.sum((moved / self.errors)[used] ** 2))
                if now <= before * (1.0 + 1e-12) + 1e-18:
                    at, gaps = trial, moved
                    break
                share /= 2.0
            done = float(np.max(np.abs(step), initial=0.0)) * share < near or before - now < near**2 * before
            if share <= LEAST or done:
                break
        return self._judge(at, gaps, self.slopes(at), used, open_)

    def _judge(
        self, at: Array, gaps: Array, slopes: Array, used: NDArray[np.bool_], free: NDArray[np.bool_]
    ) -> Adjustment:
        design = (slopes / self.errors[:, None])[used][:, free]
        left, sizes, right = np.linalg.svd(design, full_matrices=True)
        rank = int(np.sum(sizes > RANK * sizes[0])) if sizes.size else 0
        left, basis = left[:, :rank], right[:rank]
        redundancy = np.zeros(len(gaps))
        redundancy[used] = np.maximum(1.0 - np.sum(left**2, axis=1), 0.0)
        weighted = gaps / self.errors
        checked = redundancy > CHECKED
        standardised = np.where(checked, weighted / np.sqrt(np.where(checked, redundancy, 1.0)), 0.0)
        solve = np.zeros((len(at), len(gaps)))
        solve[np.ix_(free, used)] = (basis.T / sizes[:rank]) @ left.T
        loose = np.zeros(len(at), dtype=bool)
        loose[free] = np.any(np.abs(right[rank:]) > 1e-6, axis=0)
        return Adjustment(
            places=self.places(at), parameters=at, residuals=gaps, redundancy=redundancy, standardised=standardised,
            misfit=float(weighted[used] @ weighted[used]), freedom=int(used.sum()) - rank, solve=solve, loose=loose,
        )  # fmt: skip

    def covariance(self, name: str, solve: Array, loose: NDArray[np.bool_]) -> Array | None:
        """Covariance of a point, east and north; None where the measures do not fix it. [m²]

        Parameters
        ----------
        name : str
            The point.
        solve : array
            How the parameters move with the weighted measures, each of standard error 1.
        loose : array of bool
            Parameters that are not fixed.
        """
        spread = self.spread[self.index[name]]
        if np.any(spread[:, loose] != 0.0):
            return None
        moves = spread @ solve
        both: Array = moves @ moves.T
        return both


def _square(arms: Array) -> Array:
    square: Array = np.maximum(np.sum(arms**2, axis=1), 1e-18)
    return square


def ellipse_of(covariance: Array) -> Ellipse:
    """Standard error ellipse of a covariance matrix.

    Parameters
    ----------
    covariance : array, shape (2, 2)
        East and north. [m²]

    Returns
    -------
    Ellipse
        Half axes and the bearing of the long one.
    """
    east, north, both = covariance[0, 0], covariance[1, 1], covariance[0, 1]
    middle, half = (east + north) / 2.0, math.hypot((north - east) / 2.0, both)
    return Ellipse(
        major=math.sqrt(middle + half),
        minor=math.sqrt(max(middle - half, 0.0)),
        bearing=0.5 * math.atan2(2.0 * both, north - east) % math.pi,
    )


__all__ = ["CHECKED", "Adjustment", "Frame", "Kind", "Measure", "ellipse_of", "measures_of"]
