"""The checklist that a crew takes to a service visit: what to look at and do, with room for what is read."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Notice,
    Paragraph,
    Table,
)
from drainwright.paper.documents.proof_form import WATER_AND_ELECTRICITY, form_spanish
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.shell import INVENTED, document
from drainwright.paper.documents.upkeep import upkeep
from drainwright.proving.service import expected_troubles

SAFE = (
    "The pump's breaker is off before a bolted lid comes off.",
    "A grate that is out is a hole: cover it or stand beside it.",
    "Wear gloves: needles and glass lie in silt.",
)


def service_checklist(design: Design) -> Document:
    """The blank checklist of a visit in English.

    Parameters
    ----------
    design : Design
        As designed, or as built.

    Returns
    -------
    Document
        The job's own care, and room for all that a record of visits asks.
    """
    blocks: tuple[Block, ...] = (
        *((Notice(tone="invented", title="Invented demonstration", text=INVENTED),)
          if design.job.demonstration else ()),
        WATER_AND_ELECTRICITY,
        Bullets(items=SAFE),
        Facts(items=(("Day", "____________________"), ("Done by", "____________________"))),
        *_found(design),
        *_readings(design),
        *_silt(design),
        Heading(text="To look at and to do"),
        Table(
            columns=(
                Column(head="What", width=5.2), Column(head="How often", width=1.8), Column(head="Done", width=0.7),
            ),
            rows=tuple((care.what, care.when, "☐") for care in upkeep(design)), size=0.95,
        ),
        Heading(text="What else was seen, and what was done"),
        *(Paragraph(text="_" * 78) for _ in range(4)),
    )  # fmt: skip
    return document(
        design.job, name="service-checklist", kind="Checklist for a service visit", title=design.job.title, size=11.0,
        blocks=blocks,
    )  # fmt: skip


def service_checklist_spanish(design: Design) -> Document:
    """The same in the crew's Spanish."""
    return form_spanish(design, service_checklist(design))


def _found(design: Design) -> tuple[Block, ...]:
    expected = expected_troubles(design)
    seen = (("roots", "Roots in the pipes"), ("sand", "Sand in the pipes"), ("leaves", "Leaves in the grates"))
    rows = tuple((text, "yes" if key in expected else "no", "☐") for key, text in seen)
    columns = (
        Column(head="Seen", width=4.0), Column(head="To be expected here", width=2.0), Column(head="Yes", width=1.0),
    )  # fmt: skip
    return (Heading(text="What was found"), Table(columns=columns, rows=rows, size=1.1, tall=True))


def _readings(design: Design) -> tuple[Block, ...]:
    say = Say(design.job.units)
    rows = tuple(
        (Cell(text=station.name, weight="semibold"), say.flow(station.operating_flow), "", "", "☐")
        for station in design.system.by_house
    )
    if not rows:
        return ()
    columns = (
        Column(head="Basin", width=1.2), Column(head="Flow when new", width=1.5),
        Column(head="Flow by drawdown", width=1.8), Column(head="Starts on the counter", width=2.0),
        Column(head="Alarm sounds", width=1.2),
    )  # fmt: skip
    return (Heading(text="Each pump"), Table(columns=columns, rows=rows, size=1.05, tall=True))


def _silt(design: Design) -> tuple[Block, ...]:
    rows = tuple(
        (Cell(text=inlet.name, weight="semibold"), "", "☐")
        for inlet in design.job.works.inlets
        if inlet.kind != "cleanout" and inlet.sump_depth > 0.0
    )
    if not rows:
        return ()
    columns = (
        Column(head="Inlet", width=1.2), Column(head="Silt found", width=2.4), Column(head="Emptied", width=1.0),
    )  # fmt: skip
    return (Heading(text="Silt in the sumps"), Table(columns=columns, rows=rows, size=1.05, tall=True))


__all__ = ["service_checklist", "service_checklist_spanish"]
