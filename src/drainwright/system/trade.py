"""Pipes, pumps and trade sizes as a job in US or SI units names them.

A pipe keeps the nominal size that it is sold by; a job in SI reads its DN beside it. Other goods sold by an inch size
give millimetres first. Pairs of nominal sizes: ISO 6708 and ASME B36.10M (from memory).
"""

from __future__ import annotations

from collections.abc import Callable

from drainwright.field.words import Units
from drainwright.quantities import parse, write
from drainwright.system.model import Pipe, PumpChoice, SizedRun

#: Nominal diameter in the metric series, by the nominal size in inches.
DN = {
    "1 in": 25, "1-1/4 in": 32, "1-1/2 in": 40, "2 in": 50, "2-1/2 in": 65, "3 in": 80, "4 in": 100, "5 in": 125,
    "6 in": 150, "8 in": 200, "10 in": 250, "12 in": 300,
}  # fmt: skip


def nominal_words(nominal: str, units: Units) -> str:
    """A pipe's nominal size.

    Parameters
    ----------
    nominal : str
        As the catalogue or a pump's sheet has it: ``"4 in"``.
    units : Units
        The job's.

    Returns
    -------
    str
        ``4 in``, and for SI ``4 in (DN 100)``. A size in a job's own words, which has no pair, stands as it is.
    """
    if units == "US" or nominal not in DN:
        return nominal
    return f"{nominal} (DN {DN[nominal]})"


def pipe_words(pipe: Pipe, units: Units) -> str:
    """A pipe by its nominal size and family: ``4 in (DN 100) D2729 perforated`` for a job in SI."""
    bored = " perforated" if pipe.perforated and "perforated" not in pipe.family else ""
    return f"{nominal_words(pipe.nominal, units)} {pipe.family}{bored}"


def fall_words(run: SizedRun, units: Units, shown: Callable[[float], str] | None = None) -> str:
    """The fall of a gravity run, by stretch where it changes on the way.

    Parameters
    ----------
    run : SizedRun
        The run.
    units : Units
        The job's.
    shown : callable, optional
        A grade as text; by default in per cent.

    Returns
    -------
    str
        ``2.94 %``; ``5.04 % for 16 ft 3 1/2 in, then 1.47 %``.
    """
    grades = [write(part.grade, "grade", units) if shown is None else shown(part.grade) for part in run.stretches]
    lengths = [f" for {write(part.length, 'length', units)}" for part in run.stretches[:-1]]
    return ", then ".join(a + b for a, b in zip(grades, [*lengths, ""], strict=True))


def size_words(inches: str, units: Units) -> str:
    """A size that goods are sold by: ``3/4 in``, and for SI ``19 mm (3/4 in)``."""
    if units == "US":
        return inches
    return f"{write(parse(inches.replace('-', ' '), 'length'), 'length', 'SI', 'mm')} ({inches})"


#: Who chose a pump, in words.
CHOSEN = {"job": "named in the job", "firm": "from the firm's list", "design": "generic, chosen by the design"}


def pump_words(pump: PumpChoice, units: Units) -> str:
    """A pump's name; a generic pump, named by horsepower, gives watts first for SI. A job's own names stand."""
    if units == "US" or pump.chosen_by != "design" or pump.label_power is None:
        return pump.name
    label, power, _ = pump.name.removeprefix("generic ").partition(" hp")
    label += power
    watts = write(pump.label_power, "power", "SI", "W")
    return pump.name.replace(label, f"{watts} ({label})", 1)


__all__ = ["CHOSEN", "DN", "fall_words", "nominal_words", "pipe_words", "pump_words", "size_words"]
