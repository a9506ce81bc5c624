"""The figures of a run: names with units, values in SI."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from drainwright.studies.model import Value

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.storm.model import StormTest
    from drainwright.storm.years.model import LongRun, YearTold

STORM = (  # name, unit; each stands once for every case
    ("highest at house", "m"),
    ("time to slab", "s"),
    ("undecided", "-"),
    ("pump starts", "-"),
    ("pump run time", "s"),
    ("volume in", "m3"),
    ("volume out", "m3"),
    ("volume lost", "m3"),
    ("balance error", "-"),
)
DESIGN = (
    ("price", "currency"),
    ("cost", "currency"),
    ("currency", "-"),
    ("findings that fail", "-"),
    ("fails", "-"),
    ("cautions", "-"),
    ("sound", "-"),
)
RAIN = (("rain depth", "m"),)
YEAR = (  # of a year of rain; those of the pumps also stand for each of several stations
    ("read", "-"),
    ("counts", "-"),
    ("floor reached", "-"),
    ("highest at house", "m"),
    ("highest over slab", "m"),
    ("time at slab", "s"),
    ("deepest pond", "m"),
    ("pond at", "-"),
    ("run off over rims", "m3"),
    ("pump starts", "-"),
    ("pump run time", "s"),
    ("pumped", "m3"),
    ("energy", "J"),
    ("worst balance", "-"),
)


def storm_figures(test: StormTest) -> dict[str, Value]:
    """Figures of a storm test: the rain's depth, then each figure for each case."""
    found: dict[str, Value] = {"rain depth [m]": float(test.storm.depth)}
    for case in test.cases:
        values: Sequence[Value] = (
            case.highest_at_house,
            case.time_to_slab,
            case.undecided,
            case.pump_starts,
            case.pump_seconds,
            case.volume_in,
            case.volume_out,
            case.volume_lost,
            case.balance_error,
        )
        for (name, unit), value in zip(STORM, values, strict=True):
            found[f"{name}: {case.key} [{unit}]"] = _plain(value)
    return found


def year_figures(run: LongRun, year: YearTold) -> dict[str, Value]:
    """Figures of one year of a long run.

    Parameters
    ----------
    run : LongRun
        The stretch of years.
    year : YearTold
        One of its years.

    Notes
    -----
    The floor is reached where water at the house stands at the slab or higher, as it is counted for return periods. The
    worst balance is that of the whole stretch.
    """
    over = None if year.highest is None else year.highest - run.slab_level
    wet = over >= 0.0 if over is not None else None if run.outcome("slab") is None else False
    values: Sequence[Value] = (
        year.share, year.counts, wet, year.highest, over, year.slab_seconds,
        year.pond, year.pond_at, year.spilled, year.starts, year.pump_seconds, year.pumped, year.energy,
        run.worst_balance,
    )  # fmt: skip
    found: dict[str, Value] = {"rain depth [m]": float(year.rain)}
    found |= {f"{name} [{unit}]": _plain(value) for (name, unit), value in zip(YEAR, values, strict=True)}
    if len(year.stations) > 1:
        for one in year.stations:
            found |= {
                f"pump starts: {one.name} [-]": _plain(one.starts),
                f"pump run time: {one.name} [s]": _plain(one.seconds),
                f"pumped: {one.name} [m3]": _plain(one.pumped),
                f"energy: {one.name} [J]": _plain(one.energy),
            }
    return found


def design_figures(design: Design) -> dict[str, Value]:
    """Figures of a whole design: price, findings, then those of its storm test."""
    from drainwright.findings.model import Severity

    price = design.build.price
    failing = [f"{one.id} {one.where}" for one in design.findings if one.severity is Severity.FAILS]
    values: Sequence[Value] = (
        str(price.total),
        str(price.cost),
        price.currency,
        len(failing),
        "; ".join(failing),
        sum(one.severity is Severity.CAUTION for one in design.findings),
        design.sound,
    )
    found = {f"{name} [{unit}]": value for (name, unit), value in zip(DESIGN, values, strict=True)}
    return {**found, **storm_figures(design.storm)}


def _plain(value: object) -> Value:
    """A value that JSON gives back as it was."""
    if value is None or isinstance(value, bool | int | str):
        return value
    return float(value)  # type: ignore[arg-type]  # a number of numpy


def names_of_kind(kind: str) -> tuple[str, ...]:
    """Names of the figures that a kind of run has, each once."""
    named = RAIN + STORM + (DESIGN if kind == "design" else YEAR)
    return tuple(dict.fromkeys(name for name, _ in named))


def kept(columns: Iterable[str], keep: Sequence[str]) -> list[str]:
    """The columns that are kept: those named, or of a figure that is named."""
    return [column for column in columns if not keep or bare(column) in keep or bare(column).split(": ")[0] in keep]


def bare(column: str) -> str:
    """A column's name without its unit."""
    return column.rpartition(" [")[0]


def columns_of(figures: Iterable[Mapping[str, Value]]) -> list[str]:
    """All columns, each in the place where it first comes."""
    found: dict[str, None] = {}
    for row in figures:
        found.update(dict.fromkeys(row))
    return list(found)


__all__ = ["bare", "columns_of", "design_figures", "kept", "names_of_kind", "storm_figures", "year_figures"]
