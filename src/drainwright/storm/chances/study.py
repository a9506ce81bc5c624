"""The chance of a job, what drives it, and what a measurement or a remedy would change."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.field.model import Site
from drainwright.job.values import Basis
from drainwright.sources import cite
from drainwright.storm.chances.inputs import events_of, uncertain_inputs
from drainwright.storm.chances.model import Chance, Choice, Driver, Interval, Sample, Uncertain, Worth
from drainwright.storm.chances.reasons import reasons
from drainwright.storm.chances.sampling import drawn_inputs, drivers, interval, mean_band, values_of
from drainwright.storm.chances.truth import YEAR, Base, Change, Truth
from drainwright.storm.chances.worth import after_test, perfect_information, sample_information
from drainwright.storm.chances.yearly import CAUSES, Outage, yearly_rates
from drainwright.storm.failures.changes import Fitting, battery, bigger_pump, charge_of, second_pump, with_battery
from drainwright.storm.failures.failure import Failure
from drainwright.storm.failures.prevention import battery_drive
from drainwright.storm.failures.remedy import Remedy
from drainwright.storm.failures.running import Setup
from drainwright.system.model import LiftStation, System
from drainwright.water.model import Inflows

SAMPLES, SEED = 128, 1979
YEARS = 30
SHUFFLES = 10
ENDLESS = 1e9  # of a power cut that does not end [s]
AS_DRAWN = "as drawn"
Progress = Callable[[int, int], None]
EVENTS = ("cuts", "cut length", "cut with storm", "failures", "unnoticed", "season")  # not of the plant itself
LEFT_OUT = (
    "Left out: voids of the stone; mains with several stations, of which only the house's pump fails; a blocked or "
    "frozen way out; a float that sticks; snow, a rising stream or sewer beyond the tailwater given; cracks and leaks "
    "of the house itself; rain on a storm's heels; storms smaller than the table's commonest. Ground water is taken "
    "high in every storm, which makes the chance too great; the same clogging, roots and wear through all years.",
    "Inputs count as independent of each other. Ranges marked assumed are common practice without a source: the chance "
    "is as good as they are.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """A way to build: the change of the plant, and the remedy it is (none: as drawn)."""

    key: str
    change: Change | None = None
    remedy: Remedy | None = None


def options_of(site: Site, inflows: Inflows, system: System) -> tuple[Option, ...]:
    """As drawn; with a battery that runs the pump through half of the criteria's power cut; a second; a bigger pump.

    Those that the station at the house can have.
    """
    found = [Option(key=AS_DRAWN)]
    station = system.station
    if station is None:
        return tuple(found)
    setup = Truth(Base.of(site, inflows, system), {}).setup
    drive, seconds = battery_drive(site, station), 0.5 * site.job.criteria.power_cut
    if drive is not None and setup.network.plant.stations.battery[setup.network.stations.index(station.name)] <= 0.0:
        charge = charge_of(seconds, drive[0], drive[1])
        note = f"runs the pump for {seconds / 3600.0:.1f} h; {drive[2]}"
        found.append(
            Option(
                key="battery", remedy=battery(station, charge, note),
                change=lambda one: with_battery(one, _own(one, station.name), seconds),
            )
        )  # fmt: skip
    for kind, make in (("second pump", second_pump), ("bigger pump", bigger_pump)):
        fitting = make(setup, station)
        if fitting is None:
            continue

        def change(one: Setup, make: Callable[[Setup, LiftStation], Fitting | None] = make) -> Setup:
            again = make(one, _own(one, station.name))
            return one if again is None else again.change(one, Failure(key="", title=""))[0]

        found.append(Option(key=kind, remedy=fitting.remedy, change=change))
    return tuple(found)


def _own(setup: Setup, name: str) -> LiftStation:
    return next(station for station in setup.system.stations if station.name == name)


def chance(
    site: Site,
    inflows: Inflows,
    system: System,
    samples: int = SAMPLES,
    seed: int = SEED,
    wet_floor_cost: float | None = None,
    prices: Mapping[str, float] | None = None,
    with_drivers: bool = True,
    progress: Progress | None = None,
) -> Chance:
    """The chance a year of water at or above the slab, by design storms.

    Parameters
    ----------
    site, inflows, system
        As designed.
    samples : int
        Truths that are drawn, 8 or more.
    seed : int
        The same seed gives the same digits.
    wet_floor_cost : float, optional
        What one wet floor costs. Left out: no money is reckoned.
    prices : mapping, optional
        Of each option by its key. Left out: no remedy is tried. Those without a price are tried, and not compared in
        money. "as drawn" costs nothing more.
    with_drivers : bool
        Whether to tell the shares of the inputs.
    progress : callable, optional
        Told how many plants are done, of how many.

    Raises
    ------
    InputError
        If there are fewer than 8 samples, the rain table has a single return period, or a cost is not above zero.
    """
    if samples < 8:
        raise InputError(f"samples = {samples!r}: expected 8 or more")
    if len(inflows.rain.return_periods) < 2:
        raise InputError("rain table: found one return period; expected two or more, to tell how often storms come")
    if wet_floor_cost is not None and not (math.isfinite(wet_floor_cost) and wet_floor_cost > 0.0):
        raise InputError(f"wet_floor_cost = {wet_floor_cost!r}: expected above zero")
    base = Base.of(site, inflows, system)
    uncertain = uncertain_inputs(site, inflows, system)
    drawn = drawn_inputs(uncertain, samples, seed)
    options = () if prices is None else options_of(site, inflows, system)[1:]
    done, of = 0.0, samples * (1 + len(options) + with_drivers)

    def tick(plants: float = 1.0) -> None:
        nonlocal done
        done += plants
        if progress is not None:
            progress(min(round(done), of), of)

    rates = _rates(base, uncertain, drawn, None, tick)
    yearly = -np.expm1(-rates.sum(axis=1))
    others = [-np.expm1(-_rates(base, uncertain, drawn, one.change, tick).sum(axis=1)) for one in options]
    choices = tuple(
        _choice(option, other, (prices or {}).get(option.key), seed)
        for option, other in zip(options, others, strict=True)
    )
    means = dict(zip(CAUSES, rates.mean(axis=0).tolist(), strict=True))
    chief = max(range(len(CAUSES)), key=lambda place: means[CAUSES[place]])
    losses, best, compared = None, None, None
    if wet_floor_cost is not None:
        compared, names = _losses(choices, others, yearly, wet_floor_cost)
        losses = dict(zip(names, compared.mean(axis=0).tolist(), strict=True))
        best = min(losses, key=lambda key: losses[key])
    told: tuple[tuple[Driver, ...], ...] = ((), ())
    if with_drivers:
        count = 1 << max(6, round(math.log2(samples)) - 1)
        told = _drivers(base, uncertain, count, seed, lambda share: tick(share * samples))
    low, high = inflows.rain.return_periods[0] / YEAR, inflows.rain.return_periods[-1] / YEAR
    return Chance(
        per_year=float(yearly.mean()),
        sampling=mean_band(yearly, seed),
        inputs=interval(yearly),
        over_10_years=float((1.0 - (1.0 - yearly) ** 10).mean()),
        over_30_years=float((1.0 - (1.0 - yearly) ** YEARS).mean()),
        by_cause=means,
        cause_bands={cause: mean_band(-np.expm1(-rates[:, place]), seed) for place, cause in enumerate(CAUSES)},
        rarer=1.0 / high,
        method=f"design storms of {low:g} to {high:g} years by how often they come, with power cuts and pump failures "
        "at their rates",
        samples=samples,
        runs=base.runs,
        seed=seed,
        uncertain=uncertain,
        drivers=told[0],
        wet_drivers=told[1],
        worth=_worth(uncertain, drawn, yearly, compared, seed),
        reasons=reasons(uncertain, drawn, rates[:, chief]),
        choices=choices,
        best=best,
        losses=losses,
        notes=_notes(inflows, uncertain, rates, base),
        at_house=bool(base.network.house.size),
    )


def _rates(
    base: Base, uncertain: Sequence[Uncertain], drawn: Sample, change: Change | None, tick: Callable[[], None]
) -> Sample:  # fmt: skip
    """(samples, causes) [1/year]"""
    periods = base.inflows.rain.return_periods
    found = np.zeros((len(drawn), len(CAUSES)))
    for row, numbers in enumerate(drawn):
        values = dict(zip((item.key for item in uncertain), numbers.tolist(), strict=True))
        truth = Truth(base, values, change)

        def reach(period: float | None, outage: Outage | None, truth: Truth = truth) -> float:
            dead = outage is not None and outage[0] == "dead"
            cut = (outage[1], ENDLESS) if outage is not None and not dead else None
            return truth.slab_at(period, cut, dead)

        told = yearly_rates(reach, events_of(values), periods[0] / YEAR, periods[-1] / YEAR, base.duration)
        found[row] = [told[cause] for cause in CAUSES]
        tick()
    return found


def _choice(option: Option, yearly: Sample, price: float | None, seed: int) -> Choice:
    remedy = option.remedy
    assert remedy is not None
    band = mean_band(yearly, seed)
    return Choice(
        key=option.key, title=remedy.title, size=remedy.size, where=remedy.where, note=remedy.note,
        per_year=band.middle, sampling=band, price=price,
    )  # fmt: skip


def _losses(
    choices: Sequence[Choice], others: Sequence[Sample], yearly: Sample, cost: float
) -> tuple[Sample, list[str]]:  # fmt: skip
    """(samples, options) price and wet floors of 30 years, not discounted; and the options."""
    names, columns = [AS_DRAWN], [YEARS * cost * yearly]
    for choice, other in zip(choices, others, strict=True):
        if choice.price is not None:
            names.append(choice.key)
            columns.append(choice.price + YEARS * cost * other)
    return np.column_stack(columns), names


def _worth(
    uncertain: Sequence[Uncertain], drawn: Sample, yearly: Sample, losses: Sample | None, seed: int
) -> tuple[Worth, ...]:
    """Of each input that a visit could measure, the one that narrows the chance most first."""
    if float(np.ptp(yearly)) <= 0.0:
        return ()
    before = interval(yearly)
    found = []
    for place, item in enumerate(uncertain):
        if not item.test or item.test_spread <= 0.0:
            continue
        column = np.log(drawn[:, place]) if item.law == "lognormal" else drawn[:, place]
        ends, share = after_test(column, yearly, item.test_spread, seed)
        money = (None, None) if losses is None else (
            perfect_information(column, losses), sample_information(column, losses, item.test_spread, seed)
        )  # fmt: skip
        if share <= _by_chance(column, yearly, item.test_spread, seed):
            ends, share = np.array([before.low, before.middle, before.high]), 0.0
        low, middle, high = (float(end) for end in ends)
        found.append(
            Worth(
                key=item.key, name=item.name, test=item.test, before=before,
                after=Interval(low=low, middle=middle, high=high), narrowing=share, perfect=money[0], sample=money[1],
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda worth: -worth.narrowing))


def _by_chance(column: Sample, yearly: Sample, noise: float, seed: int) -> float:
    """The most that a test of something that does not matter seems to narrow, in ten shuffles of the sample."""
    generator = np.random.default_rng(seed)
    return max(after_test(generator.permutation(column), yearly, noise, seed)[1] for _ in range(SHUFFLES))


def _drivers(
    base: Base, uncertain: Sequence[Uncertain], count: int, seed: int, tick: Callable[[float], None]
) -> tuple[tuple[Driver, ...], ...]:  # fmt: skip
    """Of the highest water in a storm of the table in which the power goes, and of whether it reaches the slab."""
    periods = base.inflows.rain.return_periods
    low, high = periods[0] / YEAR, periods[-1] / YEAR
    plant = [item for item in uncertain if item.key not in EVENTS]
    mean = next((item.middle for item in uncertain if item.key == "cut length"), 0.0)
    pumped = bool(base.system.stations)
    names = [*((item.key, item.name) for item in plant), ("storm", "how great the storm is")]
    if pumped:
        names += [("cut start", "when in the storm the power goes"), ("cut length", "how long it stays out")]

    def figures(unit: Sample) -> Sample:
        drawn = np.column_stack([values_of(item, unit[:, place]) for place, item in enumerate(plant)])
        found = np.zeros((len(unit), 2))
        for row, numbers in enumerate(drawn):
            values = dict(zip((item.key for item in plant), numbers.tolist(), strict=True))
            period = _nearest(low / max(1.0 - unit[row, len(plant)], 1e-9), low, high)
            cut = None
            if pumped:
                start, left = unit[row, -2] * base.duration, max(1.0 - unit[row, -1], 1e-12)
                cut = (float(start), float(start - mean * math.log(left)))
            told = Truth(base, values).run(period, cut)
            found[row] = told.over, float(math.isfinite(told.slab_at))
            tick(1.0 / (count * (len(names) + 2)))
        return found

    return drivers(names, figures, count, seed)


GRID = 25  # storms of the drivers are taken at so many return periods, evenly in their logarithm


def _nearest(period: float, low: float, high: float) -> float:
    grid = np.geomspace(low, high, GRID)
    return float(grid[int(np.argmin(np.abs(np.log(grid / min(max(period, low), high)))))])


def _notes(inflows: Inflows, uncertain: Sequence[Uncertain], rates: Sample, base: Base) -> tuple[str, ...]:
    periods = inflows.rain.return_periods
    notes = [
        f"Storms rarer than once in {periods[-1] / YEAR:g} years count as that storm: they come "
        f"{YEAR / periods[-1]:.2g} times a year, and may do more."
    ]
    if not base.system.stations:
        notes.append("No pump: power cuts and pump failures do not bear on it.")
    if base.network.house.size and not rates.any():
        notes.append("No sample reached the slab; the chance is not nothing, but beyond what is told here.")
    if np.any(rates[:, 0] >= YEAR / periods[0] * (1.0 - 1e-9)):
        notes.append(
            f"In some samples already the storm of {periods[0] / YEAR:g} years wets the floor; how often smaller ones "
            "do is not known, so that the chance there is at least so much."
        )
    assumed = [item.name for item in uncertain if item.basis is Basis.ASSUMED]
    if assumed:
        notes.append(f"Assumed ranges: {', '.join(assumed)}.")
    return (*notes, *LEFT_OUT)


def sources_of() -> str:
    """What the reasons, the shares and the worth of tests are reckoned after."""
    ways = ", ".join(cite(key) for key in ("spearman", "saltelli_2010", "strong_2014", "raiffa_schlaifer"))
    return f"Reasons, shares and the worth of tests after {ways}."


__all__ = ["AS_DRAWN", "SAMPLES", "SEED", "Option", "chance", "options_of", "sources_of"]
