"""A rain process from the statistics of a record: mean, variance, lag covariance and dry share at several steps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.exchange.rain_record import RainRecord
from drainwright.quantities import percent
from drainwright.water.rain_process.draws import Array
from drainwright.water.rain_process.model import YEAR, FittedProcess, StormKind
from drainwright.water.rain_process.moments import covariance, dry_share
from drainwright.worksheet import quiet

STEPS = (300.0, 900.0, 3600.0, 21600.0, 86400.0)  # at which the statistics are taken [s]
FEWEST_STEPS = 20000  # of a record [-]
# Mean length of a cell [s], shape of pace less one, storm end, more cells a storm, storms a year: guess and bounds.
_ROWS = (
    (1800.0, 120.0, 21600.0), (3.0, 0.3, 40.0), (0.08, 0.005, 0.9), (10.0, 0.1, 60.0), (100.0, 5.0, 1000.0),
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class StepStatistics:
    """Statistics of the rain of steps of one length."""

    step: float  # [s]
    mean: float  # [m]
    variance: float  # [m²]
    lag_one: float  # correlation of neighbours [-]
    dry: float  # share without rain [-]


def statistics(record: RainRecord, step: float, grain: float = 0.0, gaps_dry: bool = False) -> StepStatistics:
    """Statistics of a record in steps of one length, over those that were read throughout.

    Parameters
    ----------
    record : RainRecord
        Its time is cut into its own steps; what lies beside them goes to the step it falls in. Where only wet steps
        are listed, all others count as dry.
    step : float
        A whole number of the record's steps. [s]
    grain : float
        Rain of a step up to which it counts as dry. [m]
    gaps_dry : bool
        Take gaps for dry, as where a chart was read only while it rained.

    Returns
    -------
    StepStatistics
        The statistics.

    Raises
    ------
    InputError
        If the step is no whole number of the record's, or fewer than 100 pairs of neighbours were read.
    """
    many = round(step / record.step)
    if many < 1 or abs(many * record.step - step) > 1e-6 * step:
        raise InputError(f"step = {step:g} s: expected a whole number of the record's steps of {record.step:g} s")
    rain = _regular(record, gaps_dry)
    rain = rain[: len(rain) // many * many].reshape(-1, many).sum(axis=1)  # NaN where a part was not read
    pairs = np.stack([rain[:-1], rain[1:]])
    pairs = pairs[:, ~np.isnan(pairs).any(axis=0)]
    read = rain[~np.isnan(rain)]
    if pairs.shape[1] < 100:
        raise InputError(f"{record.name}: found {pairs.shape[1]} pairs of read steps of {step:g} s; expected 100")
    middle, variance = float(read.mean()), float(read.var())
    if variance <= 0.0:
        raise InputError(f"{record.name}: found the same rain in all steps; expected rain that comes and goes")
    together = float(np.mean((pairs[0] - middle) * (pairs[1] - middle)))
    return StepStatistics(
        step=step, mean=middle, variance=variance, lag_one=together / variance, dry=float(np.mean(read <= grain))
    )


def _regular(record: RainRecord, gaps_dry: bool) -> Array:
    """Rain of each of the record's own steps from the first stamp to the last; NaN where not read. [m]"""
    place = np.rint((record.times - record.times[0]) / np.timedelta64(1, "s") / record.step).astype(np.int64)
    rain = np.full(int(place[-1]) + 1, 0.0 if record.wet_only or gaps_dry else np.nan)
    rain[place] = 0.0
    np.add.at(rain, place, np.nan_to_num(record.depths) if gaps_dry else record.depths)
    return rain


def fit_to_record(record: RainRecord, grain: float = 0.0, *, gaps_dry: bool = False) -> FittedProcess:
    """Fit one kind of storm to the statistics of a record.

    Parameters
    ----------
    record : RainRecord
        At a step of one hour or less; its whole time is taken together, without seasons.
    grain : float
        Rain of a step up to which a step counts as dry: the gauge's own grain. [m]
    gaps_dry : bool
        Take gaps for dry.

    Returns
    -------
    FittedProcess
        Intensities of cells are exponential: second moments cannot tell a tail. Yearly depth is that of the record.

    Raises
    ------
    InputError
        If the record is too short or too coarse.

    Notes
    -----
    Least squares on the logarithms of variance and of wet share, and on lag-one correlation, at those of 5 min,
    15 min, 1, 6 and 24 h that are whole numbers of the record's steps.
    """
    if record.step > 3600.0 * (1 + 1e-9):
        raise InputError(f"{record.name}: found steps of {record.step / 3600:g} h; expected one hour or less")
    if record.span / record.step < FEWEST_STEPS:
        raise InputError(f"{record.name}: found {record.span / record.step:.0f} steps; expected {FEWEST_STEPS} or more")
    from scipy.optimize import least_squares

    seen = [
        statistics(record, step, grain, gaps_dry)
        for step in STEPS
        if step >= record.step * (1 - 1e-9) and abs(step / record.step - round(step / record.step)) < 1e-6
    ]
    finest = seen[0]
    yearly = finest.mean * YEAR / finest.step
    rows = np.array(_ROWS)

    def kind(place: Array) -> StormKind:
        length, shape, end, more, storms = (float(value) for value in np.exp(place))
        if abs(end - 1.0) < 1e-3:
            end = 0.999
        return StormKind(
            rate=storms / YEAR, pace_shape=1.0 + shape, pace_time=length * shape, cells=more * end, storm_end=end,
            cell_depth=yearly / storms / (1.0 + more),
        )  # fmt: skip

    def miss(place: Array) -> Array:
        kinds = (kind(place),)
        rest: list[float] = []
        for each in seen:
            variance = covariance(kinds, each.step)
            rest += [
                np.log(variance / each.variance),
                covariance(kinds, each.step, 1) / variance - each.lag_one,
                np.log((1.0 - dry_share(kinds, each.step)) / max(1.0 - each.dry, 1e-6)),
            ]
        return np.array(rest)

    with quiet():
        found = least_squares(miss, np.log(rows[:, 0]), bounds=(np.log(rows[:, 1]), np.log(rows[:, 2])))
        kinds = (kind(found.x),)
        told = tuple(_told(kinds, each) for each in seen)
    return FittedProcess(
        kinds=kinds, misfit=(), notes=told, source=record.name,
        assumed=("The same the whole year round: the record was taken as one season.",)
        + (("Gaps of the record taken for dry.",) if gaps_dry else ()),
    )  # fmt: skip


def _told(kinds: tuple[StormKind, ...], seen: StepStatistics) -> str:
    variance = covariance(kinds, seen.step)
    off = float(np.sqrt(variance / seen.variance)) - 1.0
    return (
        f"{seen.step / 60:g} min: standard deviation {percent(off, signed=True)} beside the record's,"
        f" correlation of neighbours {covariance(kinds, seen.step, 1) / variance:.2f} for {seen.lag_one:.2f},"
        f" wet share {percent(1.0 - dry_share(kinds, seen.step), 1)} for {percent(1.0 - seen.dry, 1)}."
    )


__all__ = ["STEPS", "StepStatistics", "fit_to_record", "statistics"]
