"""A remedy as a change of the job document, so that whoever prices it designs the same job."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from drainwright.field.model import Site
from drainwright.job.works import Basin
from drainwright.storm.failures.prevention import battery_drive
from drainwright.storm.failures.remedy import Remedy
from drainwright.system.model import System


def as_change(remedy: Remedy, site: Site, system: System) -> Mapping[str, Any] | None:
    """The values by dotted key that build a remedy into the job.

    Parameters
    ----------
    remedy : Remedy
        With its basin and size.
    site, system : Site, System
        The job's site and design.

    Returns
    -------
    mapping or None
        None where the job document has no such change: of another kind than a second pump or a battery, or at a basin
        that the design has placed.
    """
    place, station = basin_key(site, remedy.where), system.station_named(remedy.where)
    if place is None or station is None:
        return None
    if remedy.kind == "second pump":
        return {f"{place}.second_pump": True}
    drive = battery_drive(site, station)
    if remedy.kind != "battery" or drive is None:
        return None
    unit = {"capacity": f"{remedy.size:.0f} Ah", "current": f"{drive[0]:.1f} A", "usable": f"{drive[1]:g}"}
    return {f"{place}.battery": unit}


def basin_key(site: Site, name: str) -> str | None:
    """Where a basin stands in the job document; None where the design placed it."""
    works = site.job.works
    if isinstance(works.basin, Basin) and works.basin.name == name:
        return "works.basin"
    return next((f"works.more_basins.{name}" for basin in works.more_basins if basin.name == name), None)


__all__ = ["as_change", "basin_key"]
