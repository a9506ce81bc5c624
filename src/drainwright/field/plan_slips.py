"""Which tape or turn the others contradict, and what was probably meant."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import JobError, Problem
from drainwright.field.model import Plan, Slip
from drainwright.field.plan_network import CHECKED, Adjustment, Frame, Measure
from drainwright.field.words import Units
from drainwright.quantities import write

FALSE_ALARM = 0.01  # chance that a clean survey is suspected, shared among its measures [-]
ALIKE = 6.0  # explanations whose sums of squares differ by less are rivals [-]
MEANS = 3.0  # what a slip of a common kind is ahead of one that means nothing: odds of about 4 [-]
FITS = 3.0  # standard errors within which a reading is what was meant [-]
MOST = 3  # slips sought in one survey
WEIGHED = 16  # measures left out in turn, the most suspect first
GROSS = 100.0  # misfit over freedom from which every measure is suspect [-]
SOUND = 3.0  # misfit over freedom above which a survey is not sound; common practice, no source [-]
NOTED = 3.0  # standard errors by which a tie misses the place it was solved from [-]
NEARBY = 10.0  # a trial whose misfit is more times the least is not looked at closely [-]
FEW = 8  # steps of a fit on trial, and suspects that are looked at closely
NEAR = 1e-5  # how far a fit on trial is carried [m]
FOOT, INCH = 0.3048, 0.0254  # exact by definition [m]
RIGHT = math.pi / 2.0
SIGHT = math.radians(30.0)  # a point that is no corner may be hooked by mistake within this of the line of sight [rad]

Restart = Callable[[str], Mapping[str, Plan] | None]  # places step by step without the measure at a path


def no_restart(_where: str) -> None:
    """No other beginning."""


class SlipError(JobError):
    """Measurements that cannot be used, with those that are likely wrong."""

    def __init__(self, problems: tuple[Problem, ...], slips: tuple[Slip, ...]) -> None:
        self.slips = slips
        super().__init__(problems)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reading:
    """What may have been meant by a reading."""

    kind: str
    value: float  # [m or rad]
    text: str


def _exchanged(text: str) -> Iterator[str]:
    """The text with two neighbouring digits exchanged; a point between them stays."""
    digits = [n for n, letter in enumerate(text) if letter.isdigit()]
    for a, b in pairwise(digits):
        if text[a] != text[b]:
            letters = list(text)
            letters[a], letters[b] = letters[b], letters[a]
            yield "".join(letters)


def _as_written(value: float, unit: float, decimals: int) -> str | None:
    """The decimal number of units that a length is, if it is one of so few decimals."""
    number = value / unit
    text = f"{number:.{decimals}f}"
    return text if abs(float(text) - number) < 1e-6 else None


def _lengths(value: float, units: Units) -> Iterator[_Reading]:
    steps = ((FOOT, "1 ft"), (10 * FOOT, "10 ft")) if units == "US" else ((1.0, "1 m"), (0.1, "0.1 m"), (10.0, "10 m"))
    for step, name in steps:
        yield _Reading(kind="misread", value=value + step, text=f"{name} more")
        yield _Reading(kind="misread", value=value - step, text=f"{name} less")
    name, unit, places = ("ft", FOOT, (1, 2)) if units == "US" else ("m", 1.0, (2, 3))
    written = next((text for n in places if (text := _as_written(value, unit, n)) is not None), None)
    if written is not None:
        for text in _exchanged(written):
            yield _Reading(kind="digits exchanged", value=float(text) * unit, text=f"{text} {name}")
    if units == "US":
        yield from _inches(value)


def _inches(value: float) -> Iterator[_Reading]:
    """Inches written as tenths or hundredths of a foot, tenths written as inches, feet with digits exchanged."""
    for decimals in (1, 2):
        text = _as_written(value, FOOT, decimals)
        if text is not None:
            feet, inches = text.split(".")
            if 0 < int(inches) < 12 and (decimals == 1 or inches[0] in "01"):
                yield _Reading(kind="feet and inches", value=int(feet) * FOOT + int(inches) * INCH,
                               text=f"{int(feet)} ft {int(inches)} in")  # fmt: skip
    eighths = round(value / INCH * 8.0)
    if abs(eighths / 8.0 * INCH - value) < 1e-6:
        whole, rest = divmod(eighths, 96)
        if rest % 8 == 0 and 0 < rest // 8 < 12:
            tenths = f"{whole}.{rest // 8}"
            yield _Reading(kind="feet and inches", value=float(tenths) * FOOT, text=f"{tenths} ft")
        for text in _exchanged(str(whole)):
            meant = int(text) * FOOT + rest * INCH / 8.0
            yield _Reading(kind="digits exchanged", value=meant, text=write(meant, "length", "US"))


def _turns(value: float) -> Iterator[_Reading]:
    for kind, turn in (("sign", -value), ("right angle", value + RIGHT), ("right angle", value - RIGHT)):
        wrapped = (turn + math.pi) % (2.0 * math.pi) - math.pi
        yield _Reading(kind=kind, value=wrapped, text=write(wrapped, "angle", "SI", "deg", 2))


def readings(measure: Measure, units: Units) -> tuple[_Reading, ...]:
    """What a measure may have been meant to be, by the common slips of the tape and of the pen."""
    if measure.kind == "turn":
        return tuple(_turns(measure.value))
    found = list(_lengths(abs(measure.value), units))
    if measure.value < 0.0:
        found = [_Reading(kind=one.kind, value=-one.value, text=f"-{one.text}") for one in found]
    if measure.kind in ("along", "offset") and measure.value != 0.0:
        found.append(_Reading(kind="sign", value=-measure.value, text=say(-measure.value, measure, units)))
    return tuple(found)


def say(value: float, measure: Measure, units: Units) -> str:
    """A value of the measure, as a person would write it."""
    if measure.kind == "turn":
        return write(value, "angle", "SI", "deg", 2)
    return write(value, "length", units, "ft" if units == "US" else "m", 2)


def name_of(measure: Measure) -> str:
    """A measure as a person would call it."""
    first, last = measure.ends[0], measure.ends[-1]
    if measure.kind == "turn":
        return f"the turn at {measure.ends[1]}"
    if measure.kind == "along":
        return f"the distance of {last} along {first}-{measure.ends[1]}"
    if measure.kind == "offset":
        return f"the offset of {last} from {first}-{measure.ends[1]}"
    return {"leg": f"the side {first}-{last}", "tie": f"the tie of {last} from {first}",
            "tape": f"the tape {first} to {last}"}[measure.kind]  # fmt: skip


def suspicious(shares: Sequence[float], ratios: Sequence[float]) -> bool:
    """Whether a standardised residual of a checked measure passes the ``threshold``.

    Parameters
    ----------
    shares, ratios : sequence of float
        Redundancy and standardised residual of each measure.
    """
    checked = [abs(ratio) for share, ratio in zip(shares, ratios, strict=True) if share > CHECKED]
    return bool(checked) and max(checked) > threshold(len(checked))


def threshold(count: int) -> float:
    """Standardised residual that one of so many sound measures passes with the chance ``FALSE_ALARM``.

    Parameters
    ----------
    count : int
        Measures that are checked, one or more.
    """
    return NormalDist().inv_cdf(1.0 - FALSE_ALARM / (2.0 * max(count, 1)))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class _Suspect:
    row: int
    fit: Adjustment  # of the others without it
    meant: float  # what the others say [m or rad]
    error: float  # standard error of measured less meant [m or rad]
    reading: _Reading | None
    off: float  # what is written in place of the reading less what the others say, in standard errors [-]

    @property
    def misfit(self) -> float:
        return self.fit.misfit

    @property
    def rank(self) -> float:
        """Misfit, less what a slip of a common kind is ahead, the more the nearer it comes."""
        return self.misfit - max(MEANS - self.off**2, 0.0)


def _without(frame: Frame, keep: NDArray[np.bool_], rows: Sequence[int], restart: Restart) -> dict[int, Adjustment]:
    """The fit without each of these measures, in a few steps.

    A tie of a point whose ties disagree from the first spoils the place that the fit begins at, and all that hangs
    from it: there it begins again, step by step without that tie.
    """
    begun = np.abs(frame.gaps(frame.start)) > NOTED * frame.errors
    spoilt = {one.ends[1] for one, bad in zip(frame.measures, begun, strict=True) if one.kind == "tie" and bad}
    fits = {}
    for row in rows:
        measure, without = frame.measures[row], keep.copy()
        without[row] = False
        fits[row] = frame.adjust(without, near=NEAR, steps=FEW)
        again = restart(measure.where) if measure.kind == "tie" and measure.ends[1] in spoilt else None
        if again is not None and fits[row].misfit > SOUND * fits[row].freedom:
            other = frame.adjust(without, frame.parameters(again), near=NEAR, steps=FEW)
            fits[row] = min(fits[row], other, key=lambda one: one.misfit)
    return fits


def _suspect(frame: Frame, row: int, alone: Adjustment, units: Units) -> _Suspect:
    """What the other measures say of one."""
    swing = (frame.slopes(alone.parameters)[row] / frame.errors[row]) @ alone.solve
    measure = frame.measures[row]
    error = measure.error * math.sqrt(1.0 + float(swing @ swing))
    meant = measure.value + float(alone.residuals[row])
    options = [one for one in readings(measure, units) if abs(apart(one.value, meant, measure)) <= FITS * error]
    if measure.kind in ("tie", "tape", "leg"):
        at = {name: (float(e), float(n)) for name, (e, n) in zip(frame.names, alone.places, strict=True)}
        corners = {end for one in frame.measures if one.kind in ("leg", "turn") for end in one.ends}
        options += _hooked(measure, meant, at, corners, FITS * error)
    best = min(options, key=lambda one: abs(apart(one.value, meant, measure)), default=None)
    off = FITS if best is None else abs(apart(best.value, meant, measure)) / error
    return _Suspect(row=row, fit=alone, meant=meant, error=error, reading=best, off=off)


def _hooked(
    measure: Measure, meant: float, at: Mapping[str, Plan], corners: Collection[str], within: float
) -> list[_Reading]:
    """Other points that the tape may have been hooked on, since from there the distance fits.

    A tape is hooked on a corner of the house, or on a point near the line of sight that is taped to anyway.
    """
    start, end = measure.ends
    ways = ((end, start),) if measure.kind == "tie" else ((end, start), (start, end))
    return [
        _Reading(
            kind="wrong corner", value=meant + math.dist(at[held], spot) - measure.value, text=f"{other} to {held}"
        )
        for held, missed in ways
        for other, spot in at.items()
        if other not in measure.ends and math.dist(spot, at[missed]) > within
        and (other in corners or _between(at[held], spot, at[missed]) <= SIGHT)
        and abs(math.dist(at[held], spot) - measure.value) <= within
    ]  # fmt: skip


def _between(eye: Plan, first: Plan, second: Plan) -> float:
    """Angle between two places as seen from a third. [rad]"""
    turn = math.atan2(first[1] - eye[1], first[0] - eye[0]) - math.atan2(second[1] - eye[1], second[0] - eye[0])
    return abs((turn + math.pi) % (2.0 * math.pi) - math.pi)


def apart(a: float, b: float, measure: Measure) -> float:
    """Difference of two values of the measure; of turns, the short way round. [m or rad]"""
    if measure.kind == "turn":
        return (a - b + math.pi) % (2.0 * math.pi) - math.pi
    return a - b


def find_slips(
    frame: Frame,
    fit: Adjustment,
    units: Units = "US",
    restart: Restart = no_restart,
) -> tuple[Slip, ...]:
    """Name the measures that the others contradict.

    Parameters
    ----------
    frame : Frame
        The network.
    fit : Adjustment
        It adjusted, all measures taking part.
    units : {"US", "SI"}
        Of the job, in which its readings were written.
    restart : callable
        Places, solved step by step, without the measure at a path; None where there is no such way.

    Returns
    -------
    tuple of Slip
        The strongest first. Data snooping: the standardised residuals are compared with ``threshold``; each
        suspect is left out in turn, and the one without which the others agree best is named. Those that
        explain nearly as much are its rivals. It is then left out, and the rest are looked at again.

    Notes
    -----
    After W. Baarda, A testing procedure for use in geodetic networks (1968), from memory.
    """
    keep = np.ones(len(frame.measures), dtype=bool)
    slips: list[Slip] = []
    while len(slips) < MOST:
        if not suspicious(list(fit.redundancy), list(fit.standardised)):
            break
        checked, size = fit.redundancy > CHECKED, np.abs(fit.standardised)
        most = WEIGHED if fit.misfit < GROSS * fit.freedom else len(size)
        rows = [int(row) for row in np.argsort(-size)[:most] if checked[row]]
        fits = _without(frame, keep, rows, restart)
        suspects = []
        least = min(one.misfit for one in fits.values())
        close = [row for row in rows if fits[row].misfit <= NEARBY * (least + ALIKE)]
        for row in sorted(close, key=lambda row: fits[row].misfit)[:FEW]:
            without = keep.copy()
            without[row] = False
            alone = frame.adjust(without, fits[row].parameters, near=NEAR)
            if alone.misfit > SOUND * alone.freedom:
                other = frame.adjust(without, fit.parameters, near=NEAR)
                alone = min(alone, other, key=lambda one: one.misfit)
            suspects.append(_suspect(frame, row, alone, units))
        suspects.sort(key=lambda one: one.rank)
        first, least = suspects[0], min(one.misfit for one in suspects)
        rivals = [one for one in suspects[1:] if one.misfit <= least + ALIKE]
        slips.append(_slip(frame, first, rivals, units))
        keep = keep.copy()
        keep[first.row] = False
        fit = first.fit
    return tuple(sorted(slips, key=lambda slip: -slip.strength))


def _slip(frame: Frame, first: _Suspect, rivals: list[_Suspect], units: Units) -> Slip:
    measure = frame.measures[first.row]
    off = apart(measure.value, first.meant, measure)
    reading, written = first.reading, say(measure.value, measure, units)
    name = name_of(measure)
    message = f"{name[0].upper()}{name[1:]} ({written}) is off by about {say(abs(off), measure, units)}"
    message += f": the others say {say(first.meant, measure, units)}."
    meant = ""
    if reading is not None and reading.kind == "wrong corner":
        meant = f"{reading.text} instead of {measure.ends[0]} to {measure.ends[-1]}"
        message += f" It fits {reading.text}: was the tape hooked there?"
    elif reading is not None:
        off_by = reading.text.split() if reading.kind == "misread" else []
        text = say(reading.value, measure, units) if off_by else reading.text
        meant = f"{text} instead of {written}"
        message += f" Perhaps {meant} ({reading.kind})."
    if rivals:
        named = ", ".join(name_of(frame.measures[one.row]) for one in rivals[:4])
        message += f" The survey cannot tell it from {named}{' and others' if len(rivals) > 4 else ''}: tape these too."
    return Slip(
        where=measure.where, kind="misread" if reading is None else reading.kind, size=off, meant=meant,
        strength=abs(off) / first.error, message=message,
        rivals=tuple(frame.measures[one.row].where for one in rivals),
    )  # fmt: skip


__all__ = [
    "ALIKE",
    "SOUND",
    "SlipError",
    "apart",
    "find_slips",
    "name_of",
    "readings",
    "say",
    "suspicious",
    "threshold",
]
