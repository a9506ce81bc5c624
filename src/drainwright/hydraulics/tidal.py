"""How far a tide reaches into the ground: its damping and its lag, for a saturated layer of even thickness."""

from __future__ import annotations

import numpy as np

from drainwright.errors import Floats, require
from drainwright.hydraulics.arrays import tidy
from drainwright.worksheet import Card, catalogued


@catalogued(
    Card(
        title="Share of a tide left in the ground water, Jacob and Ferris",
        symbol="A/A_0",
        expression="exp(-distance * sqrt(pi * storage / (period * transmissivity)))",
        units={"distance": "m", "transmissivity": "m²/s", "storage": "-", "period": "s", "result": "-"},
        source="ferris",
    )
)
def tidal_share(distance: Floats, transmissivity: Floats, storage: Floats, period: Floats) -> Floats:
    """Amplitude of the ground water as a share of the tide's: exp(-x √(π S / t0 T)).

    Parameters
    ----------
    distance : Floats
        From the bank, zero or more. [m]
    transmissivity : Floats
        Conductivity times saturated thickness, above zero. [m²/s]
    storage : Floats
        Drainable porosity where the water table is free, above zero. [-]
    period : Floats
        From one high water to the next, above zero. [s]

    Returns
    -------
    Floats
        1 at the bank, falling inland. [-]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    For amplitudes that are small beside the saturated thickness, and a bank that reaches the layer's bottom.

    Examples
    --------
    >>> round(tidal_share(750.0, 900.0 / 86400, 0.002, 43200.0), 3)
    0.061
    """
    require("zero or more", np.greater_equal, distance=distance)
    require("above zero", np.greater, transmissivity=transmissivity, storage=storage, period=period)
    ratio = np.pi * np.asarray(storage) / (np.asarray(period) * transmissivity)
    return tidy(np.exp(-np.asarray(distance) * np.sqrt(ratio)))


@catalogued(
    Card(
        title="Lag of the ground water behind a tide, Jacob and Ferris",
        symbol="t_L",
        expression="distance * sqrt(period * storage / (4 * pi * transmissivity))",
        units={"distance": "m", "transmissivity": "m²/s", "storage": "-", "period": "s", "result": "s"},
        source="ferris",
    )
)
def tidal_lag(distance: Floats, transmissivity: Floats, storage: Floats, period: Floats) -> Floats:
    """Time by which high ground water follows high water: x √(t0 S / 4 π T).

    Parameters
    ----------
    distance : Floats
        From the bank, zero or more. [m]
    transmissivity : Floats
        Conductivity times saturated thickness, above zero. [m²/s]
    storage : Floats
        Drainable porosity where the water table is free, above zero. [-]
    period : Floats
        From one high water to the next, above zero. [s]

    Returns
    -------
    Floats
        Lag. [s]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(tidal_lag(750.0, 900.0 / 86400, 0.002, 43200.0) / 3600, 2)
    5.35
    """
    require("zero or more", np.greater_equal, distance=distance)
    require("above zero", np.greater, transmissivity=transmissivity, storage=storage, period=period)
    ratio = np.asarray(period) * storage / (4.0 * np.pi * np.asarray(transmissivity))
    return tidy(np.asarray(distance) * np.sqrt(ratio))


__all__ = ["tidal_lag", "tidal_share"]
