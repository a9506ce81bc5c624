"""All drawings of a job."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from drainwright.design import Design
from drainwright.paper.band_chart import band_draft
from drainwright.paper.curve_chart import pump_drafts
from drainwright.paper.drilling_sheet import drilling_drafts
from drainwright.paper.flow_net_chart import flow_net_drafts
from drainwright.paper.frame import Draft, finish
from drainwright.paper.outlet_detail import outlet_drafts
from drainwright.paper.overview import overview_drafts
from drainwright.paper.profile import profile_drafts
from drainwright.paper.pump_assembly import assembly_drafts
from drainwright.paper.section import basin_drafts
from drainwright.paper.sheet import Sheet
from drainwright.paper.soak_section import soak_drafts
from drainwright.paper.storm_chart import storm_draft
from drainwright.paper.storm_failures import failures_drafts
from drainwright.paper.storm_yard import yard_draft
from drainwright.paper.tongue import Speaker, speaking
from drainwright.paper.trench_section import trench_drafts
from drainwright.paper.wall_section import wall_draft
from drainwright.paper.water_picture import water_draft


def _some(draw: Callable[[Design], Draft | None]) -> Callable[[Design], list[Draft]]:
    def drafts(design: Design) -> list[Draft]:
        draft = draw(design)
        return [] if draft is None else [draft]

    return drafts


DETAILS: tuple[Callable[[Design], list[Draft]], ...] = (
    trench_drafts, basin_drafts, drilling_drafts, assembly_drafts, outlet_drafts, soak_drafts, _some(wall_draft),
)  # fmt: skip
PARTS: tuple[Callable[[Design], list[Draft]], ...] = (
    overview_drafts, profile_drafts, *DETAILS, flow_net_drafts, _some(water_draft),
    _some(storm_draft), _some(yard_draft), failures_drafts, pump_drafts, _some(band_draft),
)  # fmt: skip


def drawings(design: Design) -> Mapping[str, Sheet]:
    """Draw a job.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Mapping
        Sheets by name in the order of the set: ``plan`` (and ``plan-tables-1`` where its tables find no room),
        ``plan-part-1`` and so on where one sheet would be too coarse,
        ``ground`` (with its tables alike), ``profiles-1`` and so on,
        ``trench`` (and ``trench-2`` and so on), ``basin`` (and ``basin-2`` and so on),
        ``holes``, ``assembly``, ``outlet`` and ``soakaway`` alike, ``wall``,
        ``flow-net-1`` and so on, ``your-water``, ``storm``, ``storm-yard``,
        ``storm-failures`` (and so on), ``pump`` (and ``pump-2`` and so on), ``bands``; only those that apply.
        Equal designs give equal sheets.
    """
    drafts = [draft for part in PARTS for draft in part(design)]
    return MappingProxyType(
        {draft.name: finish(draft, design.job, number, len(drafts)) for number, draft in enumerate(drafts, start=1)}
    )


def details_said(design: Design, sheets: Mapping[str, Sheet], say: Speaker) -> Mapping[str, Sheet]:
    """The detail drawings in another tongue: drawn anew, so that its words have places of their own.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Mapping
        The set, whose numbers they keep; a sheet that only the longer tongue needs has that of the one before it.
    say : callable
        Says a text in that tongue.

    Returns
    -------
    Mapping
        Those from ``trench`` to ``wall`` by name; titles and descriptions are left for their paper to say.
    """
    found: dict[str, Sheet] = {}
    number = 0
    with speaking(say):
        for draft in (draft for part in DETAILS for draft in part(design)):
            number = sheets[draft.name].number if draft.name in sheets else number
            found[draft.name] = finish(draft, design.job, number, len(sheets))
    return found


__all__ = ["details_said", "drawings"]
