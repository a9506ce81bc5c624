"""Open water near the house, which holds the ground water at its level; a tide reaches in damped and late."""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.field.model import Site
from drainwright.field.places import resolve_level
from drainwright.field.words import fine
from drainwright.hydraulics.tidal import tidal_lag, tidal_share
from drainwright.job.values import Basis
from drainwright.quantities import percent, write
from drainwright.worksheet import place

HOUR = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenLevel:
    """Open water with what its level does to the ground at the house."""

    kind: str  # "tide", "canal", "pond", "stream"
    distance: float  # from the house to its bank [m]
    level: float  # mean, or the ordinary high level [m]
    high: float  # for the design: the level, and for a tide the amplitude that is left at the house on top [m]
    share: float  # of the tide's amplitude that is left at the house; 0 without a tide [-]
    lag: float  # of the tide at the house; 0 without a tide [s]
    basis: Basis


def open_level(site: Site, conductivity: float, porosity: float, bottom: float) -> OpenLevel | None:
    """The open water of a job.

    Parameters
    ----------
    site : Site
        The surveyed site.
    conductivity : float
        Of the soil, above zero. [m/s]
    porosity : float
        Drainable, above zero. [-]
    bottom : float
        Level of the water-bearing layer's bottom. [m]

    Returns
    -------
    OpenLevel or None
        None where the job names none.

    Raises
    ------
    JobError
        If its level rests on something that is not known.
    """
    water = site.job.ground.open_water
    if water is None:
        return None
    level = resolve_level(site, water.level.value, None, "ground.open_water.level")
    share, lag = 0.0, 0.0
    thickness = level - bottom
    if water.tidal_range > 0.0 and thickness > 0.0:
        with place("ground", "tide"):
            share = float(tidal_share(water.distance, conductivity * thickness, porosity, water.period))
            lag = float(tidal_lag(water.distance, conductivity * thickness, porosity, water.period))
    return OpenLevel(
        kind=water.kind,
        distance=water.distance,
        level=level,
        high=level + share * water.tidal_range / 2.0,
        share=share,
        lag=lag,
        basis=water.level.basis,
    )


def water_name(kind: str) -> str:
    """How a kind of open water is called in a sentence."""
    return "tidal water" if kind == "tide" else kind


def open_water_notes(site: Site, water: OpenLevel, table: float | None) -> list[str]:
    """What the open water means, in words.

    Parameters
    ----------
    site : Site
        The surveyed site.
    water : OpenLevel
        As ``open_level`` gives it.
    table : float or None
        The water table that was found; None: nobody found it. [m]

    Returns
    -------
    list of str
        A sentence on the level that counts, and one on the tide.
    """
    units = site.job.units
    name = water_name(water.kind)
    distance, level = write(water.distance, "length", units), fine(water.high, units)
    if table is None:
        notes = [
            f"Nobody has found the water table: the {name}, {distance} from the house, is taken to hold it at {level}."
        ]
    elif water.high >= table:
        notes = [
            f"The {name}, {distance} from the house, stands at {level}, no lower than the water table that was"
            " found: a drain that reaches so far draws on it without end."
        ]
    else:
        notes = [
            f"The {name}, {distance} from the house, stands at {level}, lower than the water table: it does not"
            " feed the drains."
        ]
    tide = site.job.ground.open_water
    if tide is not None and tide.tidal_range > 0.0:
        felt = "less than 1 %"
        if water.share >= 0.01:
            felt = f"{percent(water.share)}, {water.lag / HOUR:.1f} h after the bank"
        whole = fine(tide.tidal_range, units)
        notes.append(f"Of the tide's {whole} the ground at the house feels {felt} (Jacob and Ferris).")
    return notes


__all__ = ["OpenLevel", "open_level", "open_water_notes", "water_name"]
