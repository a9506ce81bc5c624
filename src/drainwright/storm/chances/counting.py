"""A chance a year from wet years counted in several sets of years that share what is uncertain of them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.storm.chances.model import Counted, Interval, Sample

TAIL = 0.05  # of a hundred beyond each end of a band nine times of ten [-]


def _variance(rest: Sample, groups: NDArray[np.int64]) -> tuple[float, int]:
    """Of a mean, by what is left of each group's sum; and how many groups there are."""
    _, place = np.unique(groups, return_inverse=True)
    sums = np.bincount(place.ravel(), weights=rest)
    return float(np.sum(sums**2)) / rest.size**2 * sums.size / (sums.size - 1), int(sums.size)


def counted(wet: Sample, shared: NDArray[np.int64] | None = None) -> Counted:
    """The chance a year, and its band, from sets of years.

    Parameters
    ----------
    wet : ndarray
        (sets, years) 1 where the year is wet, 0 where it is not, not a number where the year does not count. All years
        of a set share its inputs.
    shared : ndarray, optional
        (sets, years) which year of a record each is, where the sets share the years of one; left out, no two do.

    Returns
    -------
    Counted

    Raises
    ------
    InputError
        If there are fewer than two sets or, of a record, fewer than two years; or a value is neither 0 nor 1.

    Notes
    -----
    The exact band of a counted chance (Clopper and Pearson 1934) for as many years as would tell as much if they had
    nothing in common: the variance between the sets sets that number, with the t-law's wider ends for few sets (Korn
    and Graubard, Survey Methodology 24, 1998, from memory). Where sets share the years of a record, what the sets and
    what the years have in common are both counted (Cameron, Gelbach and Miller 2011, from memory). Where no year is
    wet, or all are, nothing tells how alike the years of a set are: each set, or year of the record, then counts once
    (1 - 0.05^(1/sets), about 3 over the sets), however alike its years.
    """
    from scipy.special import betaincinv
    from scipy.stats import norm, t

    known = np.isfinite(wet)
    values, sets = wet[known], np.nonzero(known)[0]
    if not np.isin(values, (0.0, 1.0)).all():
        raise InputError(f"wet: found {values[~np.isin(values, (0.0, 1.0))][0]!r}; expected 0 or 1")
    clusters = [np.asarray(sets, np.int64)] + ([] if shared is None else [shared[known]])
    fewest = min((np.unique(each).size for each in clusters), default=0)
    if fewest < 2:
        raise InputError(f"wet: found {fewest} sets or years that count; expected two or more")
    count, total = int(values.size), int(values.sum())
    chance = total / count
    if total in (0, count):
        bound = -math.expm1(math.log(TAIL) / fewest)
        ends = (0.0, bound) if total == 0 else (1.0 - bound, 1.0)
        alike = -math.expm1(math.log(TAIL) / count) if total == 0 else None
        band = Interval(low=ends[0], middle=chance, high=ends[1])
        return Counted(years=count, wet=total, sets=np.unique(sets).size, band=band, worth=float(fewest), alike=alike)
    rest = values - chance
    parts = [_variance(rest, each) for each in clusters]
    variance = max(part[0] for part in parts)
    if len(parts) == 2:
        variance = max(variance, parts[0][0] + parts[1][0] - float(np.sum(rest**2)) / count**2)
    widened = float((norm.isf(TAIL) / t.isf(TAIL, fewest - 1)) ** 2)
    worth = min(float(count), chance * (1.0 - chance) / max(variance, 1e-300) * widened)
    hits = chance * worth
    band = Interval(
        low=float(betaincinv(hits, worth - hits + 1.0, TAIL)), middle=chance,
        high=float(betaincinv(hits + 1.0, worth - hits, 1.0 - TAIL)),
    )  # fmt: skip
    return Counted(years=count, wet=total, sets=int(np.unique(sets).size), band=band, worth=worth, alike=None)


__all__ = ["TAIL", "counted"]
