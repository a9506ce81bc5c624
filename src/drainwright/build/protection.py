"""What keeps people safe in a trench: protection by depth and soil, spoil, ladder.

The rules are 29 CFR 1926.651 and .652 with Subpart P Appendix B, and two OSHA letters of 1995 on house
foundations. State plans and local codes come first; the competent person on site decides in the end.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from drainwright.build.model import Protection
from drainwright.build.units import FOOT, INCH
from drainwright.errors import InputError, require
from drainwright.job.values import Basis
from drainwright.worksheet import Card, catalogued, quiet

PROTECTION_DEPTH = 5.0 * FOOT  # 1926.652(a)(1)
LADDER_DEPTH = 4.0 * FOOT  # 1926.651(c)(2)
LADDER_FROM = LADDER_DEPTH - 0.5 * INCH  # what the papers, in whole inches, tell as 4 ft
ENGINEER_DEPTH = 20.0 * FOOT  # 1926.652(b), (c)
SPOIL_SETBACK = 2.0 * FOOT  # 1926.651(j)(2)
LETTERS_DEPTH = 7.5 * FOOT  # letter of 30 June 1995
LETTERS_WIDTH = 2.0 * FOOT  # letter of 30 June 1995
LADDER_REACH = 25.0 * FOOT  # way to a ladder: 1926.651(c)(2)
DOUBT = 0.5 * FOOT  # a depth that nobody measured may be more by so much: common practice, no source
UNSURE = (Basis.ASSUMED, Basis.STATED)

#: Steepest slope, horizontal over vertical, under 20 ft: Subpart P Appendix B, Table B-1.
SLOPES: Mapping[str, float] = MappingProxyType({"stable rock": 0.0, "A": 0.75, "B": 1.0, "C": 1.5})


@catalogued(
    Card(
        title="Depth by which a trench's protection is judged",
        symbol="D",
        expression="depth + doubt",
        units={"depth": "m", "doubt": "m", "result": "m"},
        source="osha_652",
    )
)
def judged_depth(depth: float, doubt: float) -> float:
    """Greatest depth with what it may be more.

    Parameters
    ----------
    depth : float
        Greatest depth as designed, zero or more. [m]
    doubt : float
        Half a foot where nobody measured what it is dug to, else zero (common practice, no source). [m]

    Returns
    -------
    float
        Depth. [m]

    Raises
    ------
    InputError
        If a value is not finite or below zero.

    Examples
    --------
    >>> judged_depth(1.5, 0.0)
    1.5
    """
    require("zero or more", np.greater_equal, depth=depth, doubt=doubt)
    return depth + doubt


@catalogued(
    Card(
        title="How far a side of a trench is sloped back",
        symbol="b",
        expression="depth * slope_run",
        units={"depth": "m", "slope_run": "-", "result": "m"},
        source="osha_652",
        trial={"slope_run": (0.0, 1.5)},
    )
)
def slope_back(depth: float, slope_run: float) -> float:
    """Reach of a side sloped back to the steepest slope of its soil type, measured at the top.

    Parameters
    ----------
    depth : float
        Zero or more. [m]
    slope_run : float
        Horizontal over vertical, by the soil's type: Subpart P Appendix B, Table B-1. [-]

    Returns
    -------
    float
        Out from the bottom's edge, on each side. [m]

    Raises
    ------
    InputError
        If a value is not finite or below zero.

    Examples
    --------
    >>> slope_back(2.0, 1.5)
    3.0
    """
    require("zero or more", np.greater_equal, depth=depth, slope_run=slope_run)
    return depth * slope_run


@catalogued(
    Card(
        title="Farthest way to a ladder in a trench",
        symbol="x",
        expression="length / (2 * ladders)",
        units={"length": "m", "ladders": "-", "result": "m"},
        source="osha_651",
        trial={"length": (0.5, 60.0), "ladders": (1.0, 5.0)},
    )
)
def ladder_way(length: float, ladders: float) -> float:
    """Way along a trench to the nearest of ladders that stand evenly in it; 25 ft at most by 1926.651(c)(2).

    Parameters
    ----------
    length : float
        Of the trench, zero or more. [m]
    ladders : float
        How many, above zero. [-]

    Returns
    -------
    float
        From its ends and from midway between two. [m]

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Examples
    --------
    >>> ladder_way(20.0, 2)
    5.0
    """
    require("zero or more", np.greater_equal, length=length)
    require("above zero", np.greater, ladders=ladders)
    return length / (2.0 * ladders)


def doubt_of(basis: Basis) -> float:
    """What is added to a depth for its mark. [m]"""
    return DOUBT if basis in UNSURE else 0.0


def ladders_for(length: float) -> int:
    """How many ladders keep one within 25 ft of everybody in a trench.

    Examples
    --------
    >>> [ladders_for(feet * FOOT) for feet in (3, 50, 51, 101)]
    [1, 1, 2, 3]
    """
    return max(1, math.ceil(length / (2 * LADDER_REACH) - 1e-9))


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """What one trench needs."""

    protection: Protection
    slope_run: float  # horizontal over vertical [-]
    spoil_setback: float  # [m]
    ladder: bool
    source: str  # key in drainwright.sources


def guard(
    *,
    depth: float,
    bottom_width: float,
    soil_type: str,
    by_house: bool,
    letters: bool,
    water: bool,
    basis: Basis = Basis.MEASURED,
) -> Guard:
    """Protection, slope, spoil set-back and ladder for one trench.

    Parameters
    ----------
    depth : float
        Greatest depth, zero or more. [m]
    bottom_width : float
        Clear width at the bottom, above zero. [m]
    soil_type : str
        ``"stable rock"``, ``"A"``, ``"B"`` or ``"C"``.
    by_house : bool
        Whether the trench is the excavation of a house foundation (the letters speak of no other).
    letters : bool
        Whether OSHA's 1995 letters on house foundations are followed here.
    water : bool
        Whether water stands or is expected in the trench: soil counts as type C, and the letters do not apply.
    basis : Basis
        Mark of the depth. Where it is assumed or stated, half a foot is added, and the letters do not apply.

    Returns
    -------
    Guard
        What the trench needs.

    Raises
    ------
    InputError
        If a value is not finite or out of range, or the soil type is not known.
    """
    require("zero or more", np.greater_equal, depth=depth)
    require("above zero", np.greater, bottom_width=bottom_width)
    if soil_type not in SLOPES:
        raise InputError(f"soil_type = {soil_type!r}: expected one of {', '.join(SLOPES)}")
    depth = judged_depth(depth, doubt_of(basis))
    letters = letters and basis not in UNSURE
    slack = 1e-9
    rock = soil_type == "stable rock"
    kind = "C" if water and not rock else soil_type
    setback, source = SPOIL_SETBACK, "osha_652"
    protection: Protection
    if depth > ENGINEER_DEPTH + slack:
        protection = "engineer"
    elif rock or depth < LADDER_DEPTH - slack:
        protection = "none"
    elif depth < PROTECTION_DEPTH - slack:
        protection = "competent person decides"
    elif by_house and letters and not water and depth < LETTERS_DEPTH - slack and bottom_width >= LETTERS_WIDTH - slack:
        protection, setback, source = "house-foundation letters", max(SPOIL_SETBACK, depth), "osha_1995_06"
    else:
        protection = "slope or shield"
    return Guard(
        protection=protection,
        slope_run=SLOPES[kind],
        spoil_setback=setback,
        ladder=depth >= LADDER_DEPTH - slack,
        source=source,
    )


def laddered(depth: float, basis: Basis) -> bool:
    """Whether a dig gets a ladder: from the depth that papers in whole inches tell as 4 ft, half an inch sooner.

    Parameters
    ----------
    depth : float
        Greatest depth, zero or more. [m]
    basis : Basis
        Its mark; half a foot is added where it is assumed or stated.
    """
    with quiet():
        judged = judged_depth(depth, doubt_of(basis))
    return judged >= LADDER_FROM - 1e-9


def shields_name(*, by_hand: bool) -> str:
    """What a set is ordered as: a crew without a machine cannot lift the common boxes."""
    return "trench shields set by hand: light panels or shores" if by_hand else "trench shields"


__all__ = [
    "DOUBT",
    "ENGINEER_DEPTH",
    "LADDER_DEPTH",
    "LADDER_FROM",
    "LADDER_REACH",
    "LETTERS_DEPTH",
    "LETTERS_WIDTH",
    "PROTECTION_DEPTH",
    "SLOPES",
    "SPOIL_SETBACK",
    "UNSURE",
    "Guard",
    "doubt_of",
    "guard",
    "judged_depth",
    "ladder_way",
    "laddered",
    "ladders_for",
    "shields_name",
    "slope_back",
]  # fmt: skip
