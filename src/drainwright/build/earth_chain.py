"""The soil's whole way: dig, lift out, move, load, haul, tip; and stone and backfill the same way in."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from drainwright.build.crew_model import EarthChain, EarthLink
from drainwright.build.earth import SOILS
from drainwright.build.handling import (
    HandShares,
    Kit,
    Rates,
    barrow_rate,
    carry_rate,
    dig_hours,
    open_hours,
)
from drainwright.build.model import DigPlan, Trench
from drainwright.build.spoil import aside_way, wheeled_aside
from drainwright.build.stone import Bed
from drainwright.build.units import CUBIC_YARD, FOOT
from drainwright.field.model import Site
from drainwright.quantities import percent, write

STONE_WAY = 100.0 * FOOT  # way that the rate of stone has in it
#: The whole chain's rate over that of shallow digging: a third to a half on a deep hand dig, 0.6 in a bid. Two accounts
#: of the trade and no more: common practice, no source.
PRACTICE = (1 / 3, 0.6)


def move_hours(site: Site, dig: DigPlan, rates: Rates, kit: Kit) -> float:
    """Hours to wheel the soil that leaves. [h]"""
    return dig.haul_volume / CUBIC_YARD / carry_rate(site.job.property.access.barrow_distance, rates, kit)


def load_hours(dig: DigPlan, rates: Rates) -> float:
    """Hours to shovel up what leaves. [h]"""
    return dig.haul_volume / CUBIC_YARD / rates("load")


def aside_hours(dig: DigPlan, rates: Rates, kit: Kit, trenches: Sequence[Trench] | None = None) -> float:
    """Hours to shovel up and wheel soil one way between its trench and a heap out of reach. [h]

    Parameters
    ----------
    dig : DigPlan
        What goes back.
    rates : Rates
        The book's.
    kit : Kit
        Machines.
    trenches : Sequence of Trench, optional
        Those of which the soil is asked for; left out: all.

    Returns
    -------
    float
        As much again when it comes back. [h]
    """
    each = [
        (item, wheeled_aside(dig, [item]) / CUBIC_YARD) for item in (dig.trenches if trenches is None else trenches)
    ]
    return math.fsum(
        volume * (1 / rates("load") + 1 / carry_rate(item.heap_way, rates, kit)) for item, volume in each if volume > 0
    )


def stone_hours(stone: float, site: Site, rates: Rates, kit: Kit) -> float:
    """Hours to load, wheel and place stone; the book's rate has a way of 100 ft in it. [h]"""
    way = site.job.property.access.barrow_distance
    other = 1 / carry_rate(way, rates, kit) - 1 / barrow_rate(STONE_WAY, rates)
    return stone / CUBIC_YARD * max(0.0, 1 / rates("stone") + other)


def brought_hours(loose: float, site: Site, rates: Rates, kit: Kit) -> float:
    """Hours to load bought soil, wheel it in and place it in tamped layers; its volume loose. [h]"""
    way = carry_rate(site.job.property.access.barrow_distance, rates, kit)
    return loose / CUBIC_YARD * (1 / rates("load") + 1 / way + 1 / rates("backfill.clay"))


def earth_chain(
    site: Site, dig: DigPlan, beds: Sequence[Bed], shares: Mapping[str, HandShares], rates: Rates, kit: Kit
) -> EarthChain | None:
    """Every link with its hours, and the whole chain against common practice.

    Parameters
    ----------
    site : Site
        Soil and ways.
    dig : DigPlan
        Volumes and loads.
    beds : Sequence of Bed
        Stone.
    shares : mapping of str to HandShares
        From ``hand_shares``.
    rates : Rates
        The book's.
    kit : Kit
        Machines.

    Returns
    -------
    EarthChain or None
        None where nothing is dug.
    """
    hours = [dig_hours(trench, shares[trench.name], site, rates, kit) for trench in dig.trenches]
    digging, lifting = math.fsum(item.dig for item in hours), math.fsum(item.lift for item in hours)
    bank = dig.bank_volume / CUBIC_YARD
    if digging <= 0 or bank <= 0:
        return None
    plain = math.fsum(open_hours(trench, site, rates) for trench in dig.trenches)
    loose, aside = dig.haul_volume / CUBIC_YARD, wheeled_aside(dig) / CUBIC_YARD
    way = site.job.property.access.barrow_distance
    soil = SOILS[site.job.ground.texture.value].digs
    stone, back = math.fsum(bed.stone for bed in beds) / CUBIC_YARD, dig.backfill_volume / CUBIC_YARD
    brought = 0.0 if dig.filling is None else dig.filling.brought
    wheel = rates.speed(carry_rate(way, rates, kit), "yd³")
    out = (
        EarthLink(
            name="dig", hours=digging,
            amount=f"{rates.amount(bank, 'yd³')} in the ground at {rates.speed(bank / digging, 'yd³')}/h",
        ),
        EarthLink(name="lift out", hours=lifting, amount="more, for what lies deeper than one throw"),
        EarthLink(
            name="move", hours=move_hours(site, dig, rates, kit),
            amount=f"{rates.amount(loose, 'yd³')} loose at {wheel}/h",
        ),
        EarthLink(name="load", hours=load_hours(dig, rates), amount=rates.at(loose, "load", " loose")),
        EarthLink(
            name="haul", hours=dig.trailer_loads * rates("haul"), amount=rates.at(float(dig.trailer_loads), "haul")
        ),
        EarthLink(name="tip", hours=dig.trailer_loads * rates("tip"), amount=rates.at(float(dig.trailer_loads), "tip")),
    )  # fmt: skip
    aside_out = aside_hours(dig, rates, kit)
    inward = (
        EarthLink(
            name="to a heap and back", hours=2 * aside_out,
            amount=f"{rates.amount(aside, 'yd³')} loose that may not lie beside its trench, "
            f"{write(aside_way(dig), 'length', site.job.units)} each way",
        ),
        EarthLink(
            name="stone in", hours=stone_hours(stone * CUBIC_YARD, site, rates, kit),
            amount=f"{rates.amount(stone, 'yd³')} loaded, wheeled and placed",
        ),
        EarthLink(
            name="bought soil in", hours=brought_hours(brought, site, rates, kit),
            amount=f"{rates.amount(brought / CUBIC_YARD, 'yd³')} loose loaded, wheeled and placed",
        ),
        EarthLink(
            name="backfill", hours=back / rates(f"backfill.{soil}"),
            amount=rates.at(back, f"backfill.{soil}", " loose"),
        ),
    )  # fmt: skip
    carried = loose / carry_rate(way, rates, kit) + loose / rates("load")
    carried += dig.trailer_loads * (rates("haul") + rates("tip"))
    leaves = loose / (1 + dig.swell)
    each = carried / leaves if leaves > 0 else 0.0
    open_, dug = plain / bank, (digging + lifting) / bank
    share, open_share = (open_ / (hours + each) if leaves > 0 else 0.0 for hours in (dug, open_))
    return EarthChain(
        out=tuple(link for link in out if link.hours > 0),
        back=tuple(link for link in inward if link.hours > 0),
        bank_volume=dig.bank_volume,
        dig_rate=CUBIC_YARD / dug,
        open_rate=CUBIC_YARD / open_,
        chain_rate=CUBIC_YARD / (dug + each) if leaves > 0 else 0.0,
        share=share,
        open_share=open_share,
        told=_told(share, open_share, site, dug / open_, kit),
    )


def _told(share: float, open_share: float, site: Site, slower: float, kit: Kit) -> str:
    """The chain against practice, and where it lies outside, why."""
    if share <= 0:
        return "No soil leaves, so that the chain ends beside the trench."
    low, high = PRACTICE
    text = (
        f"Soil that leaves goes through the whole chain at {percent(share)} of the rate of digging in open ground "
        f"(common practice: {100 * low:.0f} to {percent(high)}, two accounts and no more)."
    )
    if slower > 1.05:
        why = []
        if site.job.ground.roots != "none":
            why.append(f"{site.job.ground.roots} roots")
        if site.job.house.deck_overhead:
            why.append("a deck overhead")
        why.append("depth and buried lines" if why else "depth or buried lines")
        text += f" The digging itself takes {slower:.1f} times as long as in open ground, for {', '.join(why)}; "
        text += f"without that the share would be {percent(open_share)}."
    elif slower < 0.95 or kit.carrier:
        text += " A machine does part of it."
    far = site.job.property.access.barrow_distance
    if open_share > high:
        text += f" The way is short: {write(far, 'length', site.job.units)} by barrow." if far <= 20.0 else ""
    elif open_share < low and far > 50.0:
        text += f" The way is long: {write(far, 'length', site.job.units)} by barrow."
    return text


__all__ = ["PRACTICE", "aside_hours", "brought_hours", "earth_chain", "load_hours", "move_hours", "stone_hours"]
