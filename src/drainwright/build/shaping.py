"""Shaped ground as work: fill that is bought or comes out of the digging, what settles, finishes, and its hours."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from drainwright.build.backfill import SETTLES
from drainwright.build.earth import SOILS, UNFIT
from drainwright.build.handling import Kit, Rates, carry_rate
from drainwright.build.model import DigPlan, ShapedEarth
from drainwright.build.parts import YARD
from drainwright.build.schedule import Work
from drainwright.build.trench import Cut
from drainwright.build.units import CUBIC_YARD, INCH, SQUARE_FOOT
from drainwright.field.model import Site

# Common practice, no source.
TOPSOIL = 4.0 * INCH  # stripped under grass, laid aside and put back over the fill
ASIDE = 10.0  # way of what is laid aside or comes out of the digging [m]
LAID = {"mulch": 3.0 * INCH, "stone": 2.0 * INCH}  # thickness of what is laid instead of grass


@dataclass(frozen=True, slots=True, kw_only=True)
class Suitable:
    """Whether what is dug may become fill against a house, and why not."""

    fit: bool
    why: str


def suitable(site: Site) -> Suitable:
    """Clayey soil that does not swell may be fill at a wall; sand and loam let water down beside it."""
    ground = site.job.ground
    if ground.expansive:
        return Suitable(fit=False, why="the soil here swells when wet")
    if SOILS[ground.texture.value].digs != "clay":
        return Suitable(fit=False, why=f"{ground.texture.value} lets water down beside the wall")
    return Suitable(fit=True, why="clayey, and not told to swell")


def shaped_earth(site: Site, digs: Sequence[Cut], left: float) -> ShapedEarth | None:
    """The earth of all shaped strips, and what of it the digging gives.

    Parameters
    ----------
    site : Site
        With its strips.
    digs : Sequence of Cut
        From ``trench.cuts``.
    left : float
        Bank soil of the digs that is fit to go back and finds no room there. [m³]

    Returns
    -------
    ShapedEarth or None
        None where nothing is shaped. Volumes are in place: tamped fill is taken to fill the room that its soil had in
        the bank. Fill is left higher by half an inch a foot, and over a refilled dig by as much of the dig's depth.
    """
    if not site.shaped:
        return None
    from shapely import Polygon, union_all

    strips = union_all([Polygon(strip.outline) for strip in site.shaped])
    over = union_all([cut.area for cut in digs]).intersection(strips).area if digs else 0.0
    sinks = math.fsum(
        cut.area.intersection(strips).area * SETTLES * float((cut.ground - cut.bottom).mean())
        for cut in digs
        if cut.kind in ("run", "wall")
    )
    fill = math.fsum(strip.fill for strip in site.shaped)
    cut_down = math.fsum(strip.cut for strip in site.shaped)
    settles = SETTLES * fill + sinks
    spare = left + cut_down * (1 - UNFIT) if suitable(site).fit else 0.0
    return ShapedEarth(
        fill=fill, settles=settles, cut=cut_down, reused=min(fill + settles, spare), over_digs=over,
        area=math.fsum(strip.area for strip in site.shaped),
    )  # fmt: skip


def shaping_work(site: Site, dig: DigPlan, rates: Rates, kit: Kit) -> Iterable[Work]:
    """Strip the topsoil, bring the fill, place it in tamped lifts, grade it by stakes, lay sod, mulch or stone."""
    earth = dig.shaped
    if earth is None:
        return
    job = site.job
    soil, clay = SOILS[job.ground.texture.value], SOILS["clay"]
    grass = math.fsum(strip.area for strip in site.shaped if strip.strip.finish in ("seed", "sod back"))
    top = max(0.0, grass - earth.over_digs) * TOPSOIL / CUBIC_YARD
    dug = earth.cut / CUBIC_YARD + top
    aside = (top + earth.reused / CUBIC_YARD) * (1 + soil.swell)
    brought = earth.bought / CUBIC_YARD * (1 + clay.swell)
    near, far = carry_rate(ASIDE, rates, kit), carry_rate(job.property.access.barrow_distance, rates, kit)
    area = earth.area / SQUARE_FOOT
    hours = dug / rates(f"dig.{soil.digs}") * rates(f"roots.{job.ground.roots}")
    hours += aside * (1 / rates("load") + 1 / near + 1 / rates(f"backfill.{soil.digs}"))
    hours += brought * (1 / rates("load") + 1 / far + 1 / rates("backfill.clay")) + area / rates("shape")
    yield Work(
        key="shape",
        title="Shape the ground: topsoil aside, fill in tamped lifts, grade it off the house",
        hours=hours,
        quantity=f"{rates.amount(brought + aside, 'yd³')} loose placed, {rates.at(area, 'shape')}",
        hold="levels at the wall and at the edge read at every stake before topsoil goes back",
        after=("backfill", f"backfill{YARD}", "haul"),
    )
    sod = math.fsum(strip.area for strip in site.shaped if strip.strip.finish == "sod back") / SQUARE_FOOT
    laid = math.fsum(strip.area * LAID.get(strip.strip.finish, 0.0) for strip in site.shaped) / CUBIC_YARD
    told = ([rates.at(sod, "sod")] if sod > 0 else []) + ([rates.at(laid, "stone")] if laid > 0 else [])
    yield Work(
        key="lay-finish",
        title="Lay sod, mulch or stone on the shaped ground",
        hours=sod / rates("sod") + laid / rates("stone"),
        quantity=", ".join(told),
        after=("shape",),
    )


__all__ = ["LAID", "TOPSOIL", "Suitable", "shaped_earth", "shaping_work", "suitable"]
