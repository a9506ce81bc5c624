"""The greatest values that the job of a house lot may hold: beyond them a value is a slip of the pen.

They are wide on purpose (common practice, no source), and there so that a slip is told where it was made.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from decimal import Decimal
from typing import NamedTuple

from drainwright.quantities import QuantityError, parse
from drainwright.quantities.units import ABOUT, Kind

YEAR = 31557600.0  # s
LOT = 2000.0  # side of the square that holds everything of a job [m]
RISE = 300.0  # from the middle of all levels of a job to any of them [m]


class Most(NamedTuple):
    """A greatest value, either way from zero where the kind has a sign."""

    value: float  # SI
    text: str  # as errors say it
    noun: str = ""  # what errors call the value; left out: as its kind is called


MOST: Mapping[str, Most] = {
    "length": Most(1000.0, "3,280 ft (1 km)"),  # a side, a tape, a sight, a way for the barrow
    "size": Most(100.0, "328 ft (100 m)"),  # a depth, a width, a thickness, a head of water
    "position": Most(10_000.0, "32,800 ft (10 km)", "a level or a coordinate"),
    "offset": Most(100.0, "328 ft (100 m)", "an offset from a level"),
    "rod": Most(7.62, "25 ft (7.62 m)", "a rod reading"),  # the longest telescoping rods
    "accuracy": Most(1.0, "3.3 ft (1 m)", "a standard error of a length"),
    "rain": Most(10.0, "390 in (10,000 mm)", "a depth of rain"),
    "area": Most(1e5, "1,076,000 ft2 (100,000 m2)"),
    "round": Most(2.0, "70 ft3 (2 m3)", "one round of a barrow"),
    "load": Most(40.0, "52 yd3 (40 m3)", "the volume of a trailer"),
    "payload": Most(40_000.0, "88,000 lb (40,000 kg)", "the payload of a trailer"),
    "flow": Most(1.0, "15,850 gpm (1,000 L/s)"),
    "intensity": Most(1.0 / 3600.0, "39 in/h (1,000 mm/h)"),
    "conductivity": Most(0.1, "28,300 ft/day (0.1 m/s)", "a conductivity of soil"),
    "speed": Most(20.0, "65 ft/s (20 m/s)"),
    "grade": Most(2.0, "200 %"),
    "turn": Most(0.7853981633974483, "45 deg", "a standard error of an angle"),
    "angle": Most(2.0 * 6.283185307179586, "720 deg"),
    "period": Most(1000.0 * YEAR, "1,000 yr"),
    "span": Most(60.0 * 86400.0, "60 days", "a time of rain or of a failure"),
    "storm": Most(10.0 * 86400.0, "10 days", "the duration of a storm"),
    "mass": Most(1e6, "2,200,000 lb (1,000,000 kg)"),
    "density": Most(10_000.0, "624 pcf (10,000 kg/m3)"),
    "power": Most(100_000.0, "134 hp (100 kW)"),
    "fraction": Most(1.0, "100 %"),
    "current": Most(1000.0, "1,000 A"),
    "charge": Most(100_000.0, "100,000 Ah"),
    "rate": Most(1.0, "3,600 /h"),
}

_PLAIN = re.compile(r"([-+]?)([0-9]+(?:\.[0-9]+)?)(\s*[A-Za-z'\"]+)")


def bounded(number: float, written: object, kind: str, most: str) -> float:
    """The number, if it is not beyond the greatest of ``MOST``.

    Parameters
    ----------
    number : float
        SI value.
    written : object
        As it stands in the document.
    kind : str
        Kind of quantity.
    most : str
        Key of ``MOST``.

    Returns
    -------
    float
        The number.

    Raises
    ------
    QuantityError
        If it is beyond; says the greatest, and for a rod reading what was probably meant.
    """
    limit = MOST[most]
    if abs(number) > limit.value:
        found = repr(written) if len(str(written)) <= 48 else f"{str(written)[:45]!r}..."
        noun = limit.noun or ABOUT[Kind(kind)].phrase
        raise QuantityError(found, f"{noun} of at most {limit.text}", _rod_hint(str(written)) if most == "rod" else "")
    return number


def _rod_hint(written: str) -> str:
    """For a reading whose point has slipped, the reading with the point moved back."""
    known = "a rod is no longer than 25 ft"
    match = _PLAIN.fullmatch(written.strip())
    if match:
        for places in range(1, 4):
            meant = f"{match[1]}{Decimal(match[2]).scaleb(-places):f}{match[3]}"
            if abs(parse(meant, "length")) <= MOST["rod"].value:
                return f"{known}: was {meant} meant?"
    return known


__all__ = ["LOT", "MOST", "RISE", "Most", "bounded"]
