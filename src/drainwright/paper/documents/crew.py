"""The crew's packet: risks, plan, days, cut sheets, basin, pick list, safe digging, checks. Large type, few words."""

from __future__ import annotations

from collections.abc import Callable

from drainwright.build.model import CrewPlan
from drainwright.build.wording import barrow_words
from drainwright.design import Design
from drainwright.findings.places import counted, series
from drainwright.paper.documents.against_causes import by_itself
from drainwright.paper.documents.backfill_paper import backfill_blocks
from drainwright.paper.documents.blocks import Block, Bullets, Document, Facts, Heading, Keep, Paragraph
from drainwright.paper.documents.crew_basin import basin_blocks
from drainwright.paper.documents.crew_checks import check_blocks
from drainwright.paper.documents.crew_lists import cutting_blocks, pick_blocks, tool_blocks
from drainwright.paper.documents.crew_order import order_of_work
from drainwright.paper.documents.crew_places import fitting_blocks, soak_blocks
from drainwright.paper.documents.cut_sheets import cut_sheets, setting_out_blocks
from drainwright.paper.documents.day_words import start_words
from drainwright.paper.documents.hazards import emergency_sheet, more_hazards, nights, risk_sheet, stop_notice
from drainwright.paper.documents.locate_request import locate_request
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.documents.say import Say, day, joined, site_of
from drainwright.paper.documents.shaping_paper import shaping_levels
from drainwright.paper.documents.shell import Sheets, document, drawn, first_notices, plan_plate, plate
from drainwright.paper.documents.slips import crew_slips

#: Sheets to build from; profiles are in the drawing set.
DETAILS = ("trench", "basin", "holes", "assembly", "outlet", "soakaway", "wall")


def crew_packet(design: Design, sheets: Sheets) -> Document:
    """The crew lead's paper.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name; the plan and the details are used.

    Returns
    -------
    Document
        What stops the job stands first, then what to do in an emergency and the risk sheet, before any work is named.
    """
    from drainwright.paper.documents.crew_spanish import spanish_risk_sheet

    return assemble(design, sheets, first_stops(design), read_too=spanish_risk_sheet(design))


def first_stops(design: Design) -> tuple[Block, ...]:
    """What must be settled before any work, for the crew."""
    return (*first_notices(design), *crew_slips(design))


def assemble(
    design: Design,
    sheets: Sheets,
    stops: tuple[Block, ...],
    *,
    read_too: tuple[Block, ...] = (),
    told: Callable[[str], str] = str,
    drawn_of: Design | None = None,
) -> Document:
    """The packet of its parts.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name.
    stops : tuple of Block
        What stands first.
    read_too : tuple of Block
        What is read after the risk sheet.
    told : callable
        Says a text of a drawing that is made here in the packet's language.
    drawn_of : Design, optional
        The design as the other papers have it, whose plan is drawn once, where ``design`` is a copy for its words.

    Returns
    -------
    Document
        In the order in which it is used on the site.
    """
    plan, drawings = plan_plate(drawn_of or design, sheets, "Plan")
    days, bars = order_of_work(design, told)
    parts = tuple(name for name in sheets if name.startswith("plan-part"))
    shown = tuple(name for name in sheets if name.startswith(DETAILS))
    blocks: tuple[Block, ...] = (
        *stops,
        *_cover(design),
        Keep(blocks=emergency_sheet(design)),
        *risk_sheet(design),
        *more_hazards(design),
        *read_too,
        *days,
        *plan,
        *(page for name in parts for page in plate(name, sheets, whole=True)),
        *setting_out_blocks(design),
        stop_notice(),
        *((Bullets(items=nights(design)),) if nights(design) else ()),
        *cut_sheets(design),
        *fitting_blocks(design),
        *cutting_blocks(design),
        *basin_blocks(design),
        *soak_blocks(design),
        *(page for name in shown for page in plate(name, sheets, whole=True)),
        *pick_blocks(design),
        *tool_blocks(design),
        *safe_dig_blocks(design),
        *backfill_blocks(design),
        *shaping_levels(design),
        *locate_request(design),
        *check_blocks(design),
    )
    crew = design.job.crew
    worked = design.build.plan
    first = crew.start if worked.moved is None else worked.moved.first
    start = "start day not set" if first is None else f"start {day(first)}"
    return document(
        design.job, name="crew-packet", kind="Crew packet", title=design.job.title, size=10.5, blocks=blocks,
        subject=(f"{start}; {worked.days} days, crew of {worked.crew}",),
        drawings=(*drawings, *bars, *drawn(sheets, *parts, *shown)),
    )  # fmt: skip


def _with_rock(plan: CrewPlan) -> tuple[tuple[str, str], ...]:
    return () if plan.rock is None else (("With the rock allowed for", counted(plan.rock.days, "day")),)


def _machine(design: Design) -> str:
    """What a machine digs, and where it does not reach."""
    access = design.job.property.access
    if not design.job.equipment.excavator:
        return "gets in, but digging is planned by hand" if access.machine else "none gets in: by hand"
    return f"small excavator; by hand: {', '.join(access.by_hand)}" if access.by_hand else "small excavator"


def _cover(design: Design) -> tuple[Block, ...]:
    job, say = design.job, Say(design.job.units)
    access, crew = job.property.access, job.crew
    bench = job.survey.benchmark
    pumped = joined([station.name for station in design.system.by_house])
    ends, falls = by_itself(design)
    items = [
        ("Place", site_of(job)),
        ("Customer", ", ".join(text for text in (job.customer.name, job.customer.phone) if text.strip())),
        ("Start", start_words(design.build.plan, crew.start, "not set")),
        ("Days and crew", f"{design.build.plan.days} days, {crew.size} people, {crew.hours_per_day:g} h a day"),
        *_with_rock(design.build.plan),
        ("Gate", "not measured" if access.gate_width is None else say.length(access.gate_width)),
        ("Machine", _machine(design)),
        ("Barrow way", f"{say.length(access.barrow_distance)}: {barrow_words(design.build.dig, design.job.equipment)}"),
        (
            "Loads off the site",
            f"{design.build.dig.trailer_loads}, {say.mass(design.build.dig.load_mass)} at most each",
        ),
        (
            "Benchmark",
            ", ".join(text for text in (bench.name, say.level(bench.elevation), bench.description) if text.strip()),
        ),
        (
            "Water leaves at",
            ", ".join(ends) + (f", pumped from {pumped}" if pumped else ""),
        ),
        *([("By its own weight at", ", ".join(falls))] if falls else []),
        ("Digging", say.bulk(design.build.dig.bank_volume) + " in the ground"),
        ("Runs", ", ".join(series([run.name for run in design.system.runs]))),
    ]
    parts = (
        ("if it goes wrong", True), ("risk sheet", True), ("order of work", True),
        ("plan and setting out", True), ("cut sheets", True),
        ("fittings by place", bool(design.system.fittings)), ("cutting list", bool(design.build.takeoff.cuts)),
        ("basin and holes", bool(design.system.stations)), ("soakaway", bool(design.system.soaks)),
        ("sections", True), ("pick list", True), ("tools", True), ("safe-dig sheet", True), ("locate request", True),
        ("quality checkpoints", True),
    )  # fmt: skip
    inside = [name for name, there in parts if there]
    return (
        Heading(text="The job at a glance"),
        Facts(items=tuple((name, text) for name, text in items if text.strip())),
        Paragraph(text=f"In this packet: {', '.join(inside)}.", style="soft"),
    )  # fmt: skip


__all__ = ["assemble", "crew_packet", "first_stops"]
