"""A long run as tables for a spreadsheet, in the job's units, each named in its heading."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

import numpy as np

from drainwright.quantities import Kind, System, convert
from drainwright.storm.years.model import LongRun

Cell = str | float | bool | None
STYLES = {
    "rain": (Kind.LENGTH, {"US": "in", "SI": "mm"}, 3),
    "level": (Kind.LENGTH, {"US": "ft", "SI": "m"}, 3),
    "depth": (Kind.LENGTH, {"US": "in", "SI": "mm"}, 2),
    "water": (Kind.VOLUME, {"US": "gal", "SI": "L"}, 1),
}  # kind, unit by system, decimals


class _Units:
    """Headings and numbers in one system of units."""

    def __init__(self, units: System) -> None:
        self.units = units

    def named(self, what: str, style: str) -> str:
        """A heading: ``rain [in]``."""
        return f"{what} [{STYLES[style][1][self.units]}]"

    def number(self, value: float | None, style: str) -> float | None:
        """A number in the heading's unit; None stays."""
        kind, names, digits = STYLES[style]
        if value is None:
            return None
        return round(convert(value, kind, self.units, names[self.units]), digits)


def _hours(seconds: float) -> float:
    return round(seconds / 3600.0, 4)


def _table(heading: Sequence[str], rows: Sequence[Sequence[Cell]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(heading)
    writer.writerows([["" if cell is None else cell for cell in row] for row in rows])
    return text.getvalue().encode()


def years_table(found: LongRun, units: System) -> bytes:
    """A row for each year, with columns for each lift station, as CSV.

    Parameters
    ----------
    found : LongRun
    units : {"US", "SI"}
        The job's.
    """
    unit = _Units(units)
    heading = [
        "year", "share read", "counts", unit.named("rain", "rain"), unit.named("highest at the house", "level"),
        unit.named("deepest over a grate", "depth"), "grate", unit.named("over rims and away", "water"),
        "water at the slab [h]",
    ]  # fmt: skip
    for station in found.stations:
        heading += [f"{station.name} starts", f"{station.name} run time [h]"]
        heading += [unit.named(f"{station.name} pumped", "water"), f"{station.name} energy [kWh]"]
    rows: list[list[Cell]] = []
    for year in found.years:
        row: list[Cell] = [
            year.year, round(year.share, 4), "yes" if year.counts else "no", unit.number(year.rain, "rain"),
            unit.number(year.highest, "level"), unit.number(year.pond, "depth"), year.pond_at,
            unit.number(year.spilled, "water"), _hours(year.slab_seconds),
        ]  # fmt: skip
        for station in year.stations:
            energy = None if station.energy is None else round(station.energy / 3.6e6, 3)
            row += [round(station.starts, 1), _hours(station.seconds), unit.number(station.pumped, "water"), energy]
        rows.append(row)
    return _table(heading, rows)


def spells_table(found: LongRun, units: System) -> bytes:
    """A row for each wet spell, as CSV; made rain has no dates.

    Parameters
    ----------
    found : LongRun
    units : {"US", "SI"}
        The job's.
    """
    unit = _Units(units)
    heading = [
        "begins", "begins after [days]", "length [h]", unit.named("rain", "rain"),
        unit.named("most in a step", "rain"), unit.named("highest at the house", "level"),
        unit.named("deepest over a grate", "depth"), unit.named("over rims and away", "water"), "starts",
        "pumps run [h]", "water at the slab [h]",
    ]  # fmt: skip
    rows: list[list[Cell]] = []
    for one in found.spells:
        stamp = (found.begins + np.timedelta64(round(one.start), "s")).astype("datetime64[m]")
        rows.append([
            None if found.made else str(stamp).replace("T", " "), round(one.start / 86400.0, 4), _hours(one.seconds),
            unit.number(one.depth, "rain"), unit.number(one.peak, "rain"), unit.number(one.highest, "level"),
            unit.number(one.pond, "depth"), unit.number(one.spilled, "water"), round(one.starts, 1),
            _hours(one.pump_seconds), _hours(one.slab_seconds),
        ])  # fmt: skip
    return _table(heading, rows)


__all__ = ["spells_table", "years_table"]
