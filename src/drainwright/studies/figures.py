"""The figures of a run: names with units, values in SI."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from drainwright.studies.model import Value

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.storm.model import StormTest

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
    """Names of the figures that a kind of run has."""
    return tuple(name for name, _ in (DESIGN if kind == "design" else ()) + RAIN + STORM)


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


__all__ = ["bare", "columns_of", "design_figures", "kept", "names_of_kind", "storm_figures"]
