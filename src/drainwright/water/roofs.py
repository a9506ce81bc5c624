"""How much of a roof catches rain: its plan, half of a wall above it, rain that the wind drives on to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.errors import require
from drainwright.field.words import least_sure
from drainwright.job.model import Job
from drainwright.job.site import RoofArea
from drainwright.job.values import Basis
from drainwright.worksheet import Card, catalogued


@dataclass(frozen=True, slots=True, kw_only=True)
class RoofCatch:
    """What of a roof area catches rain."""

    area: float  # [m²]
    basis: Basis
    notes: tuple[str, ...] = ()


@catalogued(
    Card(
        title="Roof area with half of the wall above it",
        symbol="A",
        expression="plan + 0.5 * wall",
        units={"plan": "m²", "wall": "m²", "result": "m²"},
        source="ipc_side_walls",
    )
)
def area_with_wall(plan: float, wall: float) -> float:
    """Area that catches rain where a wall sheds on to a roof: its plan and half of the wall.

    Parameters
    ----------
    plan : float
        Of the roof, zero or more. [m²]
    wall : float
        That rises above it and sheds on to it, zero or more. [m²]

    Returns
    -------
    float
        Area. [m²]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, plan=plan, wall=wall)
    return plan + 0.5 * wall


@catalogued(
    Card(
        title="Roof area under wind-driven rain",
        symbol="A",
        expression="plan * (1 + 0.5 * slope) + 0.5 * wall",
        units={"plan": "m²", "slope": "m/m", "wall": "m²", "result": "m²"},
        source="en_12056_3",
    )
)
def area_in_wind(plan: float, slope: float, wall: float) -> float:
    """Area that catches rain falling two down for one along (26 degrees to the vertical), against the roof's face.

    Parameters
    ----------
    plan : float
        Of a roof that looks one way, zero or more. [m²]
    slope : float
        Rise over run, zero or more; the roof's face as seen from the wind is the plan times it. [m/m]
    wall : float
        That rises above the roof and sheds on to it, zero or more. [m²]

    Returns
    -------
    float
        The plan and half of the upright area of roof and wall. [m²]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    EN 12056-3: A = L (B + H/2) with L the length along the eaves, B the plan from eaves to ridge, H the rise. Of a roof
    with planes that look different ways the wind strikes some and spares others: with all of them struck, this is an
    upper bound.
    """
    require("zero or more", np.greater_equal, plan=plan, slope=slope, wall=wall)
    return plan * (1.0 + 0.5 * slope) + 0.5 * wall


def roof_catch(job: Job, roof: RoofArea) -> RoofCatch:
    """What of a roof catches rain, by the rule that the job's criteria choose.

    Returns
    -------
    RoofCatch
        Notes tell which slope or wall was not given and so not counted.
    """
    rule, plan, wall = job.criteria.roof_rule, roof.area.value, roof.wall_above
    bases, notes = [roof.area.basis], []
    if rule == "plan":
        if wall is not None and wall.value > 0.0:
            notes.append(
                f"Roof {roof.name}: a wall rises above it, and by the roof rule 'plan' its water is not counted."
                " Plumbing codes add half of the wall's area: see roof_rule in the criteria."
            )
        return RoofCatch(area=plan, basis=roof.area.basis, notes=tuple(notes))
    if wall is None:
        notes.append(f"Roof {roof.name}: no wall above it is entered, so none is counted.")
    else:
        bases.append(wall.basis)
    upright = wall.value if wall is not None else 0.0
    if rule == "half wall":
        area = area_with_wall(plan, upright)
    else:
        if roof.slope is None:
            notes.append(f"Roof {roof.name}: its slope is not entered, so rain that the wind drives on it is left out.")
        else:
            bases.append(roof.slope.basis)
        area = area_in_wind(plan, roof.slope.value if roof.slope is not None else 0.0, upright)
    return RoofCatch(area=area, basis=least_sure(*bases), notes=tuple(notes))


__all__ = ["RoofCatch", "area_in_wind", "area_with_wall", "roof_catch"]
