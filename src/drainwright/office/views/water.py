"""Where the water comes from, and how much."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.office.views.drawings import of_kind
from drainwright.office.views.model import Figure, Shown
from drainwright.office.views.picking import part, shown, step_at
from drainwright.paper.documents.blocks import Block, Column, Heading, Table
from drainwright.paper.documents.cause_words import cause_words
from drainwright.paper.documents.governing import inflow_rows
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.site_water import causes_part, groundwater_part, water_part
from drainwright.water.model import Band, Cause

NAMES = {Cause.ROOF: "From the roofs", Cause.YARD: "From the yards", Cause.GROUND: "Out of the ground"}
WINGS = ("GWT", "MOI", "RAI", "SIZ", "SOI", "GRD")


def water(design: Design) -> Shown:
    """The page of the water."""
    return shown(
        design, says=(cause_words(design),), figures=_figures(design), wings=WINGS,
        drawings=of_kind(design, "water"),
        blocks=(*_entries(design), *causes_part(design), *water_part(design), *groundwater_part(design)),
    )  # fmt: skip


def _figures(design: Design) -> list[Figure]:
    say, inflows = Say(design.job.units), design.inflows
    found = []
    flows = inflows.by_cause()
    if inflows.total is not None:
        found.append(
            Figure(
                what="All water in the design rain", value=say.flow(sum(flows.values())),
                band=_band(inflows.total, say), why=_widest(design), at=part("Rain and runoff"),
            )
        )  # fmt: skip
    for cause, flow in flows.items():
        if flow <= 0.0:
            continue
        alone = [one for one in inflows.contributions if one.cause is cause]
        formula = "water.ground.drain_inflow" if cause is Cause.GROUND else "water.runoff.rational_flow"
        at = step_at(design, formula, alone[0].flow, otherwise="Runs" if cause is Cause.GROUND else "Rain and runoff")
        found.append(
            Figure(
                what=NAMES[cause], value=say.flow(flow),
                band=_band(inflows.bands[cause], say) if cause in inflows.bands else "",
                why=", ".join(sorted({one.basis.value for one in alone})), at=at,
            )
        )  # fmt: skip
    return found


def _band(band: Band, say: Say) -> str:
    return f"{say.flow(band.low)} to {say.flow(band.high)}"


def _widest(design: Design) -> str:
    """What makes the band of all flows wide."""
    first = design.inflows.ranges[0] if design.inflows.ranges else None
    return "" if first is None else f"most of the doubt is the {first.name}’s ({first.basis.value})"


def _entries(design: Design) -> tuple[Block, ...]:
    columns = (
        Column(head="From", width=2.5), Column(head="To"), Column(head="Rain", width=3.0),
        Column(head="Flow", align="right"),
    )  # fmt: skip
    return (Heading(text="Each source, and where it enters"), Table(columns=columns, rows=inflow_rows(design)))


__all__ = ["water"]
