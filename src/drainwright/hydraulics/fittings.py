"""Losses of plastic fittings: loss coefficient K and equivalent length in diameters, by kind.

Published tables for one elbow differ by a factor of two (1½ in: 0.6 to 2.4 m): treat that as the real
uncertainty of any one fitting. Where a table gives only a length ratio, K is 0.03 times it, the ratio that
the IRC's own rows imply (0.90 for 30, 1.80 for 60, 0.42 for 14).
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued

K_PER_LENGTH_RATIO = 0.03  # K over L/d, implied by IRC 2018 Table A.2.2 [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """The losses of one kind of fitting."""

    kind: str
    title: str
    loss_coefficient: float  # K, on the velocity head of its pipe [-]
    length_ratio: float  # equivalent length in inside diameters [-]
    source: str  # key of the source registry
    basis: str  # how the figures stand: "K and L/d seen", "L/d seen, K = 0.03 L/d", "from memory"


_BOTH, _LENGTH, _MEMORY = "K and L/d seen", "L/d seen, K = 0.03 L/d", "from memory"

_ROWS = (
    ("ell90", "90° elbow", 0.90, 30.0, "irc_a2", _BOTH),
    ("ell45", "45° elbow", 0.42, 14.0, "irc_a2", _BOTH),
    ("sweep90", "90° long sweep, R/d 1", 0.48, 16.0, "irc_a2", _BOTH),
    ("return_bend", "close return bend", 2.00, 67.0, "irc_a2", _BOTH),
    ("tee_branch", "tee, through the branch", 1.80, 60.0, "irc_a2", _BOTH),
    ("tee_run", "tee, straight through", 0.60, 20.0, "mpca", _LENGTH),
    ("gate_valve", "gate valve, open", 0.24, 8.0, "mpca", _LENGTH),
    ("butterfly_valve", "butterfly valve, open", 1.35, 45.0, "mpca", _LENGTH),
    ("angle_valve", "angle valve, open", 4.50, 150.0, "mpca", _LENGTH),
    ("globe_valve", "globe valve, open", 10.20, 340.0, "mpca", _LENGTH),
    ("swing_check", "swing check valve", 3.00, 100.0, "mpca", _LENGTH),
    ("ball_valve", "ball valve, full bore, open", 0.09, 3.0, "crane_410", _MEMORY),
    ("union", "union or coupling", 0.06, 2.0, "common_practice", "common practice, no source"),
    ("wye", "wye, through the branch", 1.80, 60.0, "common_practice", "taken as a tee branch, no source"),
    ("entrance_sharp", "entrance, sharp edge", 0.50, 17.0, "hydraulics_text", _MEMORY),
    ("entrance_projecting", "entrance, pipe projecting", 0.80, 27.0, "hydraulics_text", _MEMORY),
    ("entrance_bell", "entrance, bell mouth", 0.03, 1.0, "ttu_3305", "K seen, L/d = K / 0.03"),
    ("exit", "exit into still water or air", 1.00, 33.0, "ttu_3305", "K seen, L/d = K / 0.03"),
)

FITTINGS: Mapping[str, Fitting] = MappingProxyType(
    {
        kind: Fitting(kind=kind, title=title, loss_coefficient=k, length_ratio=ratio, source=source, basis=basis)
        for kind, title, k, ratio, source, basis in _ROWS
    }
)


def fitting(kind: str) -> Fitting:
    """The losses of a kind of fitting.

    Parameters
    ----------
    kind : str
        A key of ``FITTINGS``.

    Raises
    ------
    InputError
        If there is no such kind; the error offers the nearest one.

    Examples
    --------
    >>> fitting("ell90").loss_coefficient
    0.9
    """
    if kind in FITTINGS:
        return FITTINGS[kind]
    near = difflib.get_close_matches(kind, FITTINGS, n=1)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise InputError(f"kind = {kind!r}: expected one of {', '.join(FITTINGS)}{hint}")


def _expand(kinds: Iterable[str] | Mapping[str, int]) -> list[tuple[Fitting, int]]:
    if isinstance(kinds, Mapping):
        for kind, count in kinds.items():
            if count < 0:
                raise InputError(f"kinds[{kind!r}] = {count!r}: expected a count, zero or more")
        return [(fitting(kind), count) for kind, count in kinds.items()]
    return [(fitting(kind), 1) for kind in kinds]


@catalogued(
    Card(
        title="Sum of loss coefficients",
        symbol="ΣK",
        expression="the sum of count times K over the fittings",
        units={"kinds": "-", "result": "-"},
        source="irc_a2",
        expression_kind="procedure",
    )
)
def total_loss_coefficient(kinds: Iterable[str] | Mapping[str, int]) -> float:
    """Sum of K over fittings, given one by one or as counts by kind.

    Raises
    ------
    InputError
        If a kind is unknown or a count below zero.

    Examples
    --------
    >>> round(total_loss_coefficient({"ell90": 3, "swing_check": 1, "exit": 1}), 2)
    6.7
    """
    return sum(count * item.loss_coefficient for item, count in _expand(kinds))


@catalogued(
    Card(
        title="Sum of equivalent lengths, in diameters",
        symbol="ΣL/d",
        expression="the sum of count times L/d over the fittings",
        units={"kinds": "-", "result": "-"},
        source="mpca",
        expression_kind="procedure",
    )
)
def total_length_ratio(kinds: Iterable[str] | Mapping[str, int]) -> float:
    """Sum of L/d over fittings, given one by one or as counts by kind.

    Raises
    ------
    InputError
        If a kind is unknown or a count below zero.

    Examples
    --------
    >>> total_length_ratio(["ell90", "ell45", "swing_check"])
    144.0
    """
    return sum(count * item.length_ratio for item, count in _expand(kinds))


@catalogued(
    Card(
        title="Loss coefficient of a sudden widening, on the velocity head behind it",
        symbol="K",
        expression="((behind / before) ** 2 - 1) ** 2",
        units={"before": "m", "behind": "m", "result": "-"},
        source="idelchik",
        trial={"before": (0.03, 0.05), "behind": (0.05, 0.1)},
    )
)
def widening_loss_coefficient(before: Floats, behind: Floats) -> Floats:
    """Loss where a pipe widens at once: (1 - A₁/A₂)² on the velocity head before it, told on that behind it.

    Parameters
    ----------
    before, behind : Floats
        Inside diameters, above zero, the second no smaller. [m]

    Returns
    -------
    Floats
        Coefficient. [-]

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Notes
    -----
    For turbulent flow (Re ≥ 3 300 before the widening): all of the velocity that is lost, (v₁ - v₂)²/2g. A long taper
    loses less; a bushing of the trade is no taper.

    Examples
    --------
    >>> round(widening_loss_coefficient(0.0409, 0.0779), 2)
    6.9
    """
    require("above zero", np.greater, before=before, behind=behind)
    require("zero or more", np.greater_equal, behind_less_before=np.asarray(behind) - before)
    return tidy(((np.asarray(behind) / before) ** 2 - 1.0) ** 2)


@catalogued(
    Card(
        title="Loss coefficient of a sudden narrowing, on the velocity head behind it",
        symbol="K",
        expression="0.5 * (1 - (behind / before) ** 2) ** 0.75",
        units={"before": "m", "behind": "m", "result": "-"},
        source="idelchik",
        trial={"before": (0.05, 0.1), "behind": (0.03, 0.05)},
    )
)
def narrowing_loss_coefficient(before: Floats, behind: Floats) -> Floats:
    """Loss where a pipe narrows at once: 0.5 (1 - A₂/A₁)^0.75 on the velocity head behind it.

    Parameters
    ----------
    before, behind : Floats
        Inside diameters, above zero, the second no larger. [m]

    Returns
    -------
    Floats
        Coefficient. [-]

    Raises
    ------
    InputError
        If a value is not finite or out of range.

    Examples
    --------
    >>> round(narrowing_loss_coefficient(0.0525, 0.0409), 3)
    0.248
    """
    require("above zero", np.greater, before=before, behind=behind)
    require("zero or more", np.greater_equal, before_less_behind=np.asarray(before) - behind)
    return tidy(0.5 * (1.0 - (np.asarray(behind) / before) ** 2) ** 0.75)
