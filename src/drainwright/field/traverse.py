"""The perimeter walk: legs and turns to corners, with the closure shared by the compass rule."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.errors import JobError, Problem
from drainwright.field.model import Plan, Traverse
from drainwright.field.words import Units, degrees, fine
from drainwright.job.survey import Perimeter
from drainwright.worksheet import Card, catalogued, place

TURN_BLUNDER = math.radians(
    20.0
)  # turns that miss a full circle by more are a blunder; common practice, no source [rad]
GAP_BLUNDER = 1 / 20  # a gap of more than this part of the perimeter is a blunder; common practice, no source [-]


@catalogued(
    Card(
        title="Latitude of a leg",
        symbol="lat",
        expression="length * cos(azimuth)",
        units={"length": "m", "azimuth": "rad", "result": "m"},
        source="bowditch",
    )
)
def latitude(length: float, azimuth: float) -> float:
    """Northing of a leg: length × cos(azimuth).

    Parameters
    ----------
    length : float
        Length of the leg. [m]
    azimuth : float
        Its direction, clockwise from north. [rad]

    Returns
    -------
    float
        Difference in north. [m]
    """
    return length * math.cos(azimuth)


@catalogued(
    Card(
        title="Departure of a leg",
        symbol="dep",
        expression="length * sin(azimuth)",
        units={"length": "m", "azimuth": "rad", "result": "m"},
        source="bowditch",
    )
)
def departure(length: float, azimuth: float) -> float:
    """Easting of a leg: length × sin(azimuth).

    Parameters
    ----------
    length : float
        Length of the leg. [m]
    azimuth : float
        Its direction, clockwise from north. [rad]

    Returns
    -------
    float
        Difference in east. [m]
    """
    return length * math.sin(azimuth)


@catalogued(
    Card(
        title="Compass rule",
        symbol="c",
        expression="-closure * length / perimeter",
        units={"closure": "m", "length": "m", "perimeter": "m", "result": "m"},
        source="bowditch",
    )
)
def compass_correction(closure: float, length: float, perimeter: float) -> float:
    """Correction to a leg's latitude or departure, in proportion to its length.

    Parameters
    ----------
    closure : float
        Sum of all latitudes, or of all departures. [m]
    length, perimeter : float
        Of the leg, and of all legs. [m]

    Returns
    -------
    float
        Correction to add. [m]
    """
    return -closure * length / perimeter


def sign_suspects(values: Sequence[float], target: float, tolerance: float) -> tuple[int, ...]:
    """Which values, with their sign reversed, would bring the sum to its target.

    Parameters
    ----------
    values : sequence of float
        Turns, latitudes or departures.
    target : float
        What they should add up to.
    tolerance : float
        How near is near enough, in the same unit.

    Returns
    -------
    tuple of int
        Positions of the suspects; empty where the sum is right, or where no single sign explains it.
    """
    total = math.fsum(values)
    if abs(total - target) <= tolerance:
        return ()
    return tuple(n for n, value in enumerate(values) if abs(total - 2.0 * value - target) <= tolerance)


def close_walk(
    start: Plan, azimuths: Sequence[float], lengths: Sequence[float], adjust: bool
) -> tuple[list[Plan], float, float]:
    """Walk round and back to the start.

    Parameters
    ----------
    start : Plan
        Where the walk begins. [m]
    azimuths, lengths : sequence of float
        Of each leg. [rad], [m]
    adjust : bool
        Share the gap among the legs by the compass rule.

    Returns
    -------
    tuple
        The far end of each leg; the gap at the end, east and north, before adjustment. [m]
    """
    easts = [departure(length, azimuth) for length, azimuth in zip(lengths, azimuths, strict=True)]
    norths = [latitude(length, azimuth) for length, azimuth in zip(lengths, azimuths, strict=True)]
    gap_east, gap_north, perimeter = math.fsum(easts), math.fsum(norths), math.fsum(lengths)
    if adjust:
        easts = [east + compass_correction(gap_east, n, perimeter) for east, n in zip(easts, lengths, strict=True)]
        norths = [north + compass_correction(gap_north, n, perimeter) for north, n in zip(norths, lengths, strict=True)]
    ends = [(start[0] + math.fsum(easts[: n + 1]), start[1] + math.fsum(norths[: n + 1])) for n in range(len(lengths))]
    return ends, gap_east, gap_north


def _check(perimeter: Perimeter) -> None:
    problems = []
    legs = perimeter.legs
    names = [perimeter.start] + [leg.to for leg in legs]
    if names[-1] != perimeter.start:
        problems.append(Problem(
            where=f"survey.perimeter.legs[{len(legs) - 1}].to", found=names[-1],
            expected=f"the start, {perimeter.start}", hint="The last side returns to where the walk began.",
        ))  # fmt: skip
    for n, name in enumerate(names[1:-1]):
        if name in names[: n + 1]:
            problems.append(Problem(
                where=f"survey.perimeter.legs[{n}].to", found=f"{name} again", expected="a corner not yet passed",
            ))  # fmt: skip
        if legs[n].turn is None:
            problems.append(Problem(
                where=f"survey.perimeter.legs[{n}].turn", found=f"no turn at corner {name}",
                expected="the turn to the next side, right positive", hint="A square corner is '90 deg' or '-90 deg'.",
            ))  # fmt: skip
    if problems:
        raise JobError(tuple(problems))


class WalkMissError(JobError):
    """A walk whose turns or whose gap show that a reading is wrong."""


def lay_walk(perimeter: Perimeter, lengths: Sequence[float], turns: Sequence[float]) -> list[Plan]:
    """Lay a walk out from its start at nought, turns balanced and the gap shared where the job asks for it.

    Parameters
    ----------
    perimeter : Perimeter
        Its bearing, and whether it is adjusted.
    lengths, turns : sequence of float
        Of each leg [m]; at each corner, the last only where it was measured [rad].

    Returns
    -------
    list of Plan
        The far end of each leg. [m]
    """
    turns = list(turns)
    if len(turns) == len(lengths):
        missed = math.fsum(turns) - math.copysign(2.0 * math.pi, math.fsum(turns))
        turns = [turn - (missed / len(turns) if perimeter.adjust else 0.0) for turn in turns[:-1]]
    azimuths = [perimeter.bearing + math.fsum(turns[:n]) for n in range(len(lengths))]
    return close_walk((0.0, 0.0), azimuths, lengths, perimeter.adjust)[0]


def _miss(found: str, expected: str, hint: str) -> WalkMissError:
    return WalkMissError((Problem(where="survey.perimeter", found=found, expected=expected, hint=hint),))


def _balanced_turns(perimeter: Perimeter) -> tuple[list[float], float | None]:
    """Turns at all corners but the last, balanced if the walk is to be adjusted; and their misclosure."""
    turns = [leg.turn for leg in perimeter.legs]
    given = [turn for turn in turns if turn is not None]
    if turns[-1] is None:
        return given, None
    circle = math.copysign(2.0 * math.pi, math.fsum(given))
    missed = math.fsum(given) - circle
    if abs(missed) > TURN_BLUNDER:
        suspects = {n for way in (-2.0 * math.pi, 2.0 * math.pi) for n in sign_suspects(given, way, math.radians(5.0))}
        corners = ", ".join(perimeter.legs[n].to for n in sorted(suspects))
        raise _miss(
            f"turns that add up to {degrees(math.fsum(given))}",
            "a full circle, 360° or -360°",
            f"The sign of the turn would explain it at: {corners}." if corners else "Check each turn and its sign.",
        )  # fmt: skip
    share = missed / len(given) if perimeter.adjust else 0.0
    return [turn - share for turn in given[:-1]], missed


def reduce_walk(
    perimeter: Perimeter, at: Plan, units: Units = "US"
) -> tuple[dict[str, Plan], Traverse, tuple[str, ...]]:
    """Reduce the perimeter walk to corners.

    Parameters
    ----------
    perimeter : Perimeter
        The walk; turns are right positive, the first side's bearing clockwise from north.
    at : Plan
        The starting corner. [m]
    units : {"US", "SI"}
        Of the notes.

    Returns
    -------
    tuple
        Corners by name [m]; the closure; what was assumed or could not be checked.

    Raises
    ------
    JobError
        If the walk does not end where it began by its names, a turn is missing (other than the last, which
        is only a check), or turns or gap miss so far that a reading must be wrong.

    Notes
    -----
    With all turns given, their misclosure from a full circle is first shared equally, then the gap by the
    compass rule. The closure reported is the gap after the turns are balanced.
    """
    _check(perimeter)
    notes = []
    turns, missed = _balanced_turns(perimeter)
    if missed is None:
        notes.append(f"The turn at {perimeter.start} was not measured: the angles of the walk are not checked.")
    azimuths = [perimeter.bearing]
    for turn in turns:
        azimuths.append(azimuths[-1] + turn)
    lengths = [leg.length for leg in perimeter.legs]
    with place("survey.perimeter"):
        ends, gap_east, gap_north = close_walk(at, azimuths, lengths, perimeter.adjust)
    total = math.fsum(lengths)
    gap = math.hypot(gap_east, gap_north)
    if gap > GAP_BLUNDER * total:
        raise _miss(
            f"a walk that misses its start by {fine(gap, units)} in {fine(total, units)}",
            "a gap of a few hundredths of the way round at most", _suspect(perimeter, azimuths, gap_east, gap_north),
        )  # fmt: skip
    if not perimeter.adjust and gap > 0.0:
        notes.append(f"The walk misses its start by {fine(gap, units)}, left unadjusted as the job asks.")
    corners = {perimeter.start: at}
    corners |= {leg.to: end for leg, end in zip(perimeter.legs[:-1], ends[:-1], strict=True)}
    walk = Traverse(
        perimeter=total,
        closure_east=gap_east,
        closure_north=gap_north,
        angular_misclosure=missed,
        adjusted=perimeter.adjust,
    )
    return corners, walk, tuple(notes)


def _suspect(perimeter: Perimeter, azimuths: Sequence[float], gap_east: float, gap_north: float) -> str:
    """The legs that lie in the direction of the gap: a wrong tape there would leave just such a gap."""
    gap = math.hypot(gap_east, gap_north)
    legs = []
    before = perimeter.start
    for leg, azimuth in zip(perimeter.legs, azimuths, strict=True):
        across = abs(gap_east * math.cos(azimuth) - gap_north * math.sin(azimuth)) / gap
        if across < math.sin(math.radians(10.0)):
            legs.append(f"{before}-{leg.to}")
        before = leg.to
    if legs:
        return f"The gap runs along {', '.join(legs)}: check their tapes, and the sign of every turn."
    return "Check the sign of every turn, and the tapes."


__all__ = [
    "WalkMissError", "close_walk", "compass_correction", "departure", "latitude", "lay_walk", "reduce_walk",
    "sign_suspects",
]  # fmt: skip
