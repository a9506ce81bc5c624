"""What a rod reading may have been meant to be, by the common slips of the eye and of the pen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise

from drainwright.field.level_network import RodReading
from drainwright.field.words import Units
from drainwright.quantities import write

FOOT, INCH = 0.3048, 0.0254  # exact by definition [m]
ANY = (0.2, 2.0)  # standard deviations of blunders that are none of the common ones; common practice, no source [m]
NEAR = 0.003  # how near a reading comes to what was meant: half an eighth of an inch, and the rod's own error [m]
COMMON = 0.6  # share of blunders that are of the common kinds; common practice, no source [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """One thing that may have been meant."""

    kind: str
    off: float  # reading less meant, as expected [m]
    spread: float  # standard deviation of that [m]
    share: float  # of all blunders, before looking [-]
    value: float | None  # meant; None: nothing in particular [m]
    text: str  # where it is not booked as a plain number


def say(value: float, units: Units) -> str:
    """A rod reading as it is booked."""
    return write(value, "length", units, "ft", 2) if units == "US" else write(value, "length", units, "m", 3)


def meanings(reading: RodReading, heights: Mapping[int, float], units: Units) -> list[Meant]:
    """What the reading may have been meant to be.

    Parameters
    ----------
    reading : RodReading
        As booked.
    heights : mapping
        Heights of instrument by set-up, about any datum: a shot may belong to a neighbouring set-up. [m]
    units : {"US", "SI"}
        In which the rod is read.

    Returns
    -------
    list of Meant
        The last means nothing in particular. Shares sum to 1: equal among the kinds, and within each.
    """
    booked = say(reading.value, units)
    kinds: dict[str, list[tuple[float, str]]] = {}

    def add(kind: str, off: float, text: str = "") -> None:
        if abs(off) > NEAR:
            kinds.setdefault(kind, []).append((off, text))

    for step in (FOOT, 0.1 * FOOT) if units == "US" else (1.0, 0.1):
        for signed in (step, -step):
            add("misread", signed)
    for text in _exchanged(booked.split()[0]):
        value = float(text) * (FOOT if units == "US" else 1.0)
        add("digits exchanged", reading.value - value)
    if units == "US" and reading.value > 0.0:
        for value, text in _inches(reading.value, booked):
            add("feet and inches", reading.value - value, text)
    add("sign", 2.0 * reading.value)
    if reading.column == "intermediate":
        here = heights.get(reading.set_up)
        for other, word in ((reading.set_up - 1, "before"), (reading.set_up + 1, "after")):
            if here is not None and other in heights:
                add("wrong set-up", heights[other] - here, f"read from the set-up {word}")
    found = [
        Meant(kind=kind, off=off, spread=NEAR, share=COMMON / len(kinds) / len(several), value=reading.value - off,
              text=text)
        for kind, several in kinds.items() for off, text in several
    ]  # fmt: skip
    found += [
        Meant(kind="misread", off=0.0, spread=spread, share=(1.0 - COMMON) / len(ANY), value=None, text="")
        for spread in ANY
    ]
    return found


def told(meant: Meant, reading: RodReading, units: Units) -> str:
    """What was meant instead of what is booked; empty where it is nothing in particular."""
    if meant.text or meant.value is None:
        return meant.text
    return f"{say(meant.value, units)} instead of {say(reading.value, units)}"


def _exchanged(text: str) -> Iterator[str]:
    """The number with two neighbouring digits exchanged."""
    spots = [n for n, letter in enumerate(text) if letter.isdigit()]
    for a, b in pairwise(spots):
        if text[a] != text[b]:
            letters = list(text)
            letters[a], letters[b] = letters[b], letters[a]
            yield "".join(letters)


def _inches(value: float, booked: str) -> Iterator[tuple[float, str]]:
    """Inches booked as tenths or hundredths of a foot, and the other way round."""
    number = round(value / FOOT, 2)
    feet, hundredths = int(number), round(number * 100) % 100
    inches = {hundredths} if 0 < hundredths < 12 else set()
    if hundredths % 10 == 0 and hundredths:
        inches.add(hundredths // 10)
    for several in sorted(inches):
        yield feet * FOOT + several * INCH, f"{feet} ft {several} in instead of {booked}"
    for several in range(1, 12):
        if abs(value - feet * FOOT - several * INCH) < 0.0055 * FOOT:
            for meant in dict.fromkeys((f"{feet}.{several}", f"{feet}.{several:02d}")):
                yield float(meant) * FOOT, f"{meant} ft instead of {feet} ft {several} in"


__all__ = ["Meant", "meanings", "say", "told"]
