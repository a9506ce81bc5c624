"""A soil's conductivity out of a season's pump counts and rain: a posterior on a grid, with its band.

The water table beside a drain stands h over it, over a layer that reaches d below it. In a reach L on each side

    B S L dh/dt = c r L - K h (2 d + h) / (2 L)

with rain r, the share c of it that comes to the water, drainable porosity S and the shape B of the table (a quarter of
an ellipse). The basin gets both sides of all drains, and the share a of the rain on what is led to it directly. K, S, c
and the first height are on a grid, a is integrated out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import Array

DAY = 86400.0  # [s]
SHAPE = np.pi / 4.0  # of the table's storage beside a box of its height; a quarter of an ellipse [-]
STEPS = 6  # of a day
NINE_OF_TEN = 1.6449  # standard deviations that hold 90 of 100 on both sides [-]
POROSITY_SPREAD = 0.3  # standard deviation of its logarithm; common practice, no source [-]
RECHARGED = (0.3, 0.6)  # middle of the share of rain that comes to the water, and the deviation of its logit; no source
DIRECT = (0.85, 0.10)  # middle and deviation of the share that runs off at once; common practice, no source [-]
FIRST = 0.35  # deviation of the logarithm of the first height; common practice, no source [-]
COUNTED, SCALE = 0.6, 0.08  # errors of a day: starts of the pump, and a share of its volume; no source [-]
SURE = 0.95  # of the stated band [-]
SCATTER = 0.99  # days that scatter more than so many sound seasons would widen the band, and it is told [-]
UNKNOWNS = 5  # conductivity, porosity, the two shares of the rain, the first height [-]
FAR = 4.0  # errors from which on a day is left out as noted wrongly; one sound day in 16,000 by the normal law [-]
MOST_OUT = 0.1  # of the days: where more are left out the season is another world's; common practice, no source [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """What is known of the drains that a basin gets its water from."""

    length: float  # of the drains together [m]
    reach: float  # on each side [m]
    below: float  # of the water-bearing layer under the drain [m]
    direct: float  # area that is led to the basin directly [m²]


@dataclass(frozen=True, slots=True, kw_only=True)
class Learnt:
    """What a season tells of the conductivity. [m/s]"""

    middle: float  # median of the posterior
    low: float  # ends of the band that holds ``SURE``
    high: float
    spread: float  # standard deviation of its natural logarithm [-]
    prior: float  # the same before the season [-]
    edge: bool  # the posterior stands at the end of the grid: the season contradicts what was taken before
    rough: bool  # the days scatter more than their errors allow, and the band was widened by it
    left_out: tuple[int, ...]  # days that fit no soil, by their place among the days
    days: int  # that there were

    @property
    def odd(self) -> bool:
        """Whether so many days fit no soil that it is not their notes alone."""
        return len(self.left_out) > MOST_OUT * self.days

    @property
    def told(self) -> bool:
        """Whether the season tells anything: the spread is at most two thirds of what it was."""
        return self.spread <= 2.0 / 3.0 * self.prior and not self.edge and not self.odd


def volumes_of(starts: Sequence[float], band: float, pump: float) -> Array:
    """Water that a pump lifted each day: each start lifts the band and what comes in meanwhile. [m³]

    Parameters
    ----------
    starts : sequence of float
        Of each day. [-]
    band : float
        Volume between its floats, above zero. [m³]
    pump : float
        Its flow, above zero. [m³/s]

    Notes
    -----
    V = n band / (1 - V / (pump day)), the smaller root. More starts than it can make in a day raise ``InputError``.
    """
    require("above zero", np.greater, band=band, pump=pump)
    lifted = np.asarray(starts, float) * band
    most = pump * DAY
    inside = 1.0 - 4.0 * lifted / most
    if np.any(inside < 0.0):
        day = int(np.argmax(inside < 0.0))
        raise InputError(f"starts: found {starts[day]} on day {day + 1}; expected {most / 4 / band:.0f} or fewer a day")
    return np.asarray(most / 2.0 * (1.0 - np.sqrt(inside)))


def ground_volumes(lot: Lot, rain: Array, conductivity: Array, porosity: Array, share: Array, height: Array) -> Array:
    """Ground water into the basin each day, for many soils at once.

    Parameters
    ----------
    lot : Lot
        The drains.
    rain : ndarray
        Of each day, shape (days,). [m]
    conductivity, porosity, share, height : ndarray
        Of one shape (n,): K [m/s], S [-], c [-], first height [m].

    Returns
    -------
    ndarray
        Shape (days, n). [m³]
    """
    found = np.empty((len(rain), len(conductivity)))
    step = DAY / STEPS
    h = np.array(height, float)
    drains = conductivity / (2.0 * lot.reach)
    room = SHAPE * porosity * lot.reach
    for day, depth in enumerate(rain):
        comes = share * depth / DAY * lot.reach
        out = np.zeros_like(h)
        for _ in range(STEPS):  # implicit in the outflow: room (h' - h) = step (comes - drains h' (2 d + h'))
            a, b = step * drains, room + 2.0 * step * drains * lot.below
            new = 2.0 * (room * h + step * comes) / (b + np.sqrt(b**2 + 4.0 * a * (room * h + step * comes)))
            out += step * drains * new * (2.0 * lot.below + new)
            h = new
        found[day] = 2.0 * lot.length * out
    return found


def learn_conductivity(
    lot: Lot,
    rain: Sequence[float],
    starts: Sequence[float],
    *,
    band: float,
    pump: float,
    before: tuple[float, float, float],
    porosity: float,
) -> Learnt:
    """The posterior of a soil's conductivity after a season.

    Parameters
    ----------
    lot : Lot
        The drains.
    rain, starts : sequence of float
        Of each day: rain [m], starts of the pump [-]; twenty days or more.
    band, pump : float
        Volume between the floats [m³] and the pump's flow [m³/s].
    before : (float, float, float)
        Low, middle and high of what was taken before: nine times of ten it lies between; lognormal. [m/s]
    porosity : float
        Drainable, as taken; lognormal about it. [-]

    Returns
    -------
    Learnt
        With its band.

    Raises
    ------
    InputError
        If a value cannot be used, the days are fewer than twenty, or no water came.

    Notes
    -----
    Where the days that are kept scatter more about the best soil than their errors would in ``SCATTER`` of seasons, the
    band is wider by the root of that over what is usual, as logarithms.
    """
    depth = np.asarray(rain, float)
    require("zero or more", np.greater_equal, rain=depth, starts=np.asarray(starts, float), direct=lot.direct)
    require("above zero", np.greater, length=lot.length, reach=lot.reach, below=lot.below, porosity=porosity)
    low, middle, high = before
    if not 0.0 < low < middle < high:
        raise InputError(f"before = {before!r}: expected low, middle and high in order, above zero")
    if len(depth) < 20 or len(depth) != len(starts):
        raise InputError(f"days: found {len(depth)} of rain and {len(starts)} of starts; expected 20 or more, as many")
    volumes = volumes_of(starts, band, pump)
    if not volumes.sum() > 0.0:
        raise InputError("starts: found none at all; expected a season in which water came")
    from scipy.stats import chi2

    deviation = np.log(high / low) / (2.0 * NINE_OF_TEN)
    points = np.linspace(-3.0, 3.0, 61)
    few = np.linspace(-2.0, 2.0, 7)
    k, s, c, f = (axis.ravel() for axis in np.meshgrid(points, few, few, few, indexing="ij"))
    conductivity = middle * np.exp(deviation * k)
    soil = porosity * np.exp(POROSITY_SPREAD * s)
    logit = np.log(RECHARGED[0] / (1.0 - RECHARGED[0])) + RECHARGED[1] * c
    share = 1.0 / (1.0 + np.exp(-logit))
    flow = max(float(volumes[:3].mean()), 0.2 * band) / DAY / (2.0 * lot.length)  # of one side, for the first height
    over = 2.0 * lot.reach * flow / conductivity
    height = (np.sqrt(lot.below**2 + over) - lot.below) * np.exp(FIRST * f)
    ground = ground_volumes(lot, depth, conductivity, soil, share, height)
    error = np.hypot(COUNTED * band, SCALE * volumes)
    rest = (volumes[:, None] - ground) / error[:, None] - (lot.direct * DIRECT[0] * depth / error)[:, None]
    along = lot.direct * depth / error  # the share a, integrated: its own deviation lies along this
    believed = k**2 + s**2 + c**2 + f**2
    out = _outliers(rest, along, believed)
    rest, along = rest[~out], along[~out]
    squares = np.sum(rest**2, axis=0)
    whole = float(along @ along)
    if whole > 0.0:
        squares -= (along @ rest) ** 2 * DIRECT[1] ** 2 / (1.0 + DIRECT[1] ** 2 * whole)
    free = max(len(rest) - UNKNOWNS, 1)
    least = float(squares[np.argmin(squares + believed)])
    rough = least > float(chi2.ppf(SCATTER, free))
    widened = float(np.sqrt(least / free)) if rough else 1.0
    log = -0.5 * (squares + believed)
    weight = np.exp(log - log.max())
    marginal = weight.reshape(len(points), -1).sum(axis=1)
    marginal /= marginal.sum()
    ladder = np.cumsum(marginal) - 0.5 * marginal
    mean = float(marginal @ points)
    spread = max(float(np.sqrt(marginal @ (points - mean) ** 2)), (points[1] - points[0]) / 12**0.5)

    half_way = float(np.interp(0.5, ladder, points))

    def at(part: float) -> float:
        return float(middle * np.exp(deviation * (half_way + widened * (np.interp(part, ladder, points) - half_way))))

    half = 0.5 * (points[1] - points[0]) * deviation  # of the grid: a truth between two points is not shut out
    return Learnt(
        middle=at(0.5), low=at((1 - SURE) / 2) * float(np.exp(-half)), high=at((1 + SURE) / 2) * float(np.exp(half)),
        spread=widened * spread * float(deviation), prior=float(deviation), rough=rough,
        edge=bool(marginal[:3].sum() > 0.2 or marginal[-3:].sum() > 0.2),
        left_out=tuple(int(day) for day in np.flatnonzero(out)), days=len(depth),
    )  # fmt: skip


def _outliers(rest: Array, along: Array, believed: Array) -> NDArray[np.bool_]:
    """Days that no soil of the grid explains: a count noted wrongly, a cut, rain that fell beside the gauge.

    Parameters
    ----------
    rest : ndarray
        What is left of each day at each point of the grid, in its errors, at the middle of the direct share, (days, n).
    along : ndarray
        How each day moves with the direct share, in its errors, (days,).
    believed : ndarray
        Squares of what was believed before, (n,).

    Returns
    -------
    ndarray of bool
        Shape (days,). Judged at the point that fits best where no day counts for more than ``FAR`` errors, so that
        one bad day does not pull the soil to itself and hide.
    """
    clipped = np.minimum(rest**2, FAR**2).sum(axis=0) + believed
    best = rest[:, int(np.argmin(clipped))]
    shares = np.linspace(-3.0, 3.0, 25) * DIRECT[1]
    tried = best[:, None] - along[:, None] * shares
    nearest = tried[:, int(np.argmin(np.minimum(tried**2, FAR**2).sum(axis=0) + (shares / DIRECT[1]) ** 2))]
    return np.asarray(np.abs(nearest) > FAR)


__all__ = ["SURE", "Learnt", "Lot", "ground_volumes", "learn_conductivity", "volumes_of"]
