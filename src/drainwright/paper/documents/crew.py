"""The crew's packet: risks, plan, days, cut sheets, basin, pick list, safe digging, checks. Large type, few words."""

from __future__ import annotations

from collections.abc import Mapping

from drainwright.build.model import Hole
from drainwright.build.trench import BASIN_BED, hole_across
from drainwright.build.wording import barrow_words
from drainwright.design import Design
from drainwright.paper.basin_notes import collar_size
from drainwright.paper.documents.backfill_paper import backfill_blocks
from drainwright.paper.documents.blocks import (
    Block,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Keep,
    Notice,
    Paragraph,
    PhotoBoxes,
    Row,
    Table,
)
from drainwright.paper.documents.crew_lists import cutting_blocks, tool_blocks
from drainwright.paper.documents.crew_order import order_of_work
from drainwright.paper.documents.crew_places import fitting_blocks, soak_blocks
from drainwright.paper.documents.cut_sheets import cut_sheets, setting_out_blocks
from drainwright.paper.documents.hazards import risk_sheet
from drainwright.paper.documents.locate_request import locate_request
from drainwright.paper.documents.riesgos import risk_sheet_spanish
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.documents.say import Say, day, joined, site_of
from drainwright.paper.documents.shaping_paper import shaping_levels
from drainwright.paper.documents.shell import Sheets, document, drawn, first_notices, plan_plate, plate
from drainwright.paper.pick import Pick, pick_list
from drainwright.paper.wording import FLOATS
from drainwright.system.model import LiftStation
from drainwright.system.trade import pump_words


def crew_packet(design: Design, sheets: Sheets) -> Document:
    """The crew lead's paper.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name; plan, profiles, trenches, basins with their holes, soakaways and wall are used.

    Returns
    -------
    Document
        What stops the job and the risk sheet stand first, before any work is named.
    """
    profiles = tuple(name for name in sheets if name.startswith("profiles"))
    plan, drawings = plan_plate(design, sheets, "Plan")
    days, bars = order_of_work(design)
    basins = tuple(name for name in sheets if name.startswith("basin"))
    soaks = tuple(name for name in sheets if name.startswith("soakaway"))
    trenches = tuple(name for name in sheets if name.startswith("trench"))
    holes = tuple(name for name in sheets if name.startswith(("holes", "assembly")))
    parts = tuple(name for name in sheets if name.startswith("plan-part"))
    used = (*parts, *profiles, *trenches, *basins, *holes, *soaks, "wall")
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        *_cover(design),
        *risk_sheet(design),
        *risk_sheet_spanish(design),
        *plan,
        *(page for name in parts for page in plate(name, sheets, whole=True)),
        *setting_out_blocks(design),
        *days,
        *cut_sheets(design),
        *fitting_blocks(design),
        *cutting_blocks(design),
        *_basin(design),
        *soak_blocks(design),
        *(page for name in (*profiles, *trenches) for page in plate(name, sheets, whole=True)),
        *(page for name in (*basins, *holes, *soaks) for page in plate(name, sheets, whole=True)),
        *plate("wall", sheets, whole=True),
        *_pick(design),
        *tool_blocks(design),
        *locate_request(design),
        *safe_dig_blocks(design),
        *backfill_blocks(design),
        *shaping_levels(design),
        *_checks(design),
    )
    crew = design.job.crew
    start = "start day not set" if crew.start is None else f"start {day(crew.start)}"
    return document(
        design.job, name="crew-packet", kind="Crew packet", title=design.job.title, size=12, blocks=blocks,
        subject=(f"{start}; {design.build.plan.days} days, crew of {design.build.plan.crew}",),
        drawings=(*drawings, *bars, *drawn(sheets, *used)),
    )  # fmt: skip


def _cover(design: Design) -> tuple[Block, ...]:
    job, say = design.job, Say(design.job.units)
    access, crew = job.property.access, job.crew
    bench = job.survey.benchmark
    pumped = joined([station.name for station in design.system.by_house])
    items = [
        ("Place", site_of(job)),
        ("Customer", " ".join(text for text in (job.customer.name, job.customer.phone) if text.strip())),
        ("Start", "not set" if crew.start is None else day(crew.start)),
        ("Days and crew", f"{design.build.plan.days} days, {crew.size} people, {crew.hours_per_day:g} h a day"),
        ("Gate", "not measured" if access.gate_width is None else say.length(access.gate_width)),
        ("Machine", "gets in" if access.machine else "none gets in: by hand"),
        ("Barrow way", f"{say.length(access.barrow_distance)}: {barrow_words(design.build.dig, design.job.equipment)}"),
        (
            "Loads off the site",
            f"{design.build.dig.trailer_loads}, {say.mass(design.build.dig.load_mass)} at most each",
        ),
        ("Benchmark", f"{bench.name} {say.level(bench.elevation)} {bench.description}".strip()),
        (
            "Water leaves at",
            f"{design.system.discharge}" + (f", pumped from {pumped}" if pumped else ""),
        ),
        ("Digging", say.bulk(design.build.dig.bank_volume) + " in the ground"),
        ("Runs", ", ".join(run.name for run in design.system.runs)),
    ]
    parts = (
        ("risk sheet", True), ("plan and setting out", True), ("order of work", True), ("cut sheets", True),
        ("fittings by place", bool(design.system.fittings)), ("cutting list", bool(design.build.takeoff.cuts)),
        ("basin and holes", bool(design.system.stations)),
        ("soakaway", bool(design.system.soaks)), ("profiles and sections", True), ("pick list", True), ("tools", True),
        ("locate request", True), ("safe-dig sheet", True), ("quality checkpoints", True),
    )  # fmt: skip
    inside = [name for name, there in parts if there]
    return (
        Heading(text="The job at a glance"),
        Facts(items=tuple((name, text) for name, text in items if text.strip())),
        Paragraph(text=f"In this packet: {', '.join(inside)}.", style="soft"),
    )  # fmt: skip


def clock_face(hours: float) -> str:
    """A direction as a clock shows it: 10.12 is ``10:07``."""
    minutes = round(hours * 60) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def _basin(design: Design) -> tuple[Block, ...]:
    say = Say(design.job.units)
    holes: dict[str, list[Hole]] = {}
    for hole in design.build.takeoff.holes:
        holes.setdefault(hole.node, []).append(hole)
    blocks: list[Block] = []
    for station in design.system.by_house:
        levels = [
            ("Rim", station.rim),
            ("Lowest drain comes in", station.lowest_inlet),
            *((FLOATS[name].capitalize(), level) for name, level in station.float_levels.items()),
            ("Inside floor", station.floor),
        ]
        levels.sort(key=lambda item: -item[1])
        rows = tuple(
            (
                Cell(text=name, weight="semibold"),
                Cell(text=say.small(level - station.floor), weight="semibold"),
                say.small(station.rim - level),
                say.level(level),
                "",
            )
            for name, level in levels
        )
        columns = (
            Column(head="What", width=3), Column(head="Above the inside floor", width=2, align="right"),
            Column(head="Below the rim", width=2, align="right"),
            Column(head="Level", width=2, align="right"), Column(head="As set", width=2),
        )  # fmt: skip
        blocks += [
            Heading(text=f"Basin {station.name}", new_page=True),
            Facts(
                items=(
                    ("Wide inside", say.small(station.inside_diameter)),
                    ("Deep, rim to floor", say.small(station.depth)),
                    ("Hole to dig", f"{say.small(hole_across(station))} across, {say.small(BASIN_BED)} of stone below"),
                    ("Pump", pump_words(station.pump, say.units)),
                    ("Duty", f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)}"),
                    ("Line", f"{station.discharge_run} to {design.system.run(station.discharge_run).lower}"),
                    ("Relief hole", _relief(design, station, say)),
                    *((("Concrete round its foot", _collar(station, say)),) if station.collar > 0 else ()),
                ),
            ),
            Heading(text="Heights, with a tape from the basin's floor", level=2),
            Table(columns=columns, rows=rows, tall=True, size=1.0),
            *_start_up(station, say),
        ]
    if holes:
        blocks.append(
            Keep(
                blocks=(
                    *_holes(holes, say),
                    *(Paragraph(text=note, style="soft") for note in design.build.takeoff.notes),
                )
            )
        )
    return tuple(blocks)


def _collar(station: LiftStation, say: Say) -> str:
    wide, tall = (say.small(size) for size in collar_size(station))
    return f"{say.mass(station.collar)}: {wide} wide, {tall} high all round, from the underside up"


def _relief(design: Design, station: LiftStation, say: Say) -> str:
    basin = design.job.works.basin_named(station.name)
    if basin is None:
        return "as the pump's sheet says"
    if basin.relief_hole is None:
        return "none"
    size = say.drill(basin.relief_hole)
    return f"{size}, {basin.relief_hole_place}, aimed down"


def _holes(holes: Mapping[str, list[Hole]], say: Say) -> tuple[Block, ...]:
    rows = [
        (
            Cell(text=hole.node, weight="semibold"),
            hole.run,
            say.saw(hole.diameter),
            say.small(hole.outside),
            say.small(hole.height),
            clock_face(hole.clock),
            "☐",
        )
        for node in holes
        for hole in sorted(holes[node], key=lambda item: item.height)
    ]
    if not rows:
        return ()
    columns = (
        Column(head="In", width=1.4), Column(head="Run", width=1.2), Column(head="Hole size", width=1.6, align="right"),
        Column(head="Pipe outside", width=1.6, align="right"),
        Column(head="Centre above floor", width=2, align="right"), Column(head="Clock", width=1.2, align="right"),
        Column(head="Cut"),
    )  # fmt: skip
    return (
        Heading(text="Holes in basins", level=2),
        Table(columns=columns, rows=tuple(rows), size=1.0),
        Paragraph(
            text="Clock: seen from above, 12:00 is up on the plan. Measure twice, from the inside floor.", style="soft"
        ),
    )


def _start_up(station: LiftStation, say: Say) -> tuple[Block, ...]:
    heights = {name: level - station.floor for name, level in station.float_levels.items()}
    rows = (
        ("Flow, by drawdown and clock", say.flow(station.operating_flow), ""),
        ("Starts at", say.small(heights["on"]), ""),
        ("Stops at", say.small(heights["off"]), ""),
        ("Alarm sounds at", say.small(heights["alarm"]), ""),
        ("Comes back through the check valve", "nothing", ""),
    )
    return (
        Heading(text="Start-up readings", level=2),
        Table(
            columns=(Column(head="Reading", width=4), Column(head="Wanted", width=2, align="right"),
            Column(head="Found", width=2)),
            rows=rows, size=1.0,
        ),
    )  # fmt: skip


def _pick(design: Design) -> tuple[Block, ...]:
    groups: dict[int, list[Pick]] = {}
    for pick in pick_list(design):
        groups.setdefault(pick.day, []).append(pick)
    columns = (
        Column(head=""), Column(head="Kind", width=1.3), Column(head="Thing", width=4.6),
        Column(head="Amount", width=2.5, align="right"), Column(head="For", width=2.4),
    )  # fmt: skip
    rows: list[Row] = []
    for number, picks in groups.items():
        title = "Before the first day" if number == 0 else f"For day {number}"
        rows.append((Cell(text=title, weight="semibold", colour="#0e3f5f", span=len(columns)),))
        rows += [
            ("☐", pick.category, pick.description, f"{round(pick.quantity, 2):,g} {pick.unit}", pick.where or "–")
            for pick in picks
        ]
    return (Heading(text="Pick list", new_page=True), Table(columns=columns, rows=tuple(rows)))


def _checks(design: Design) -> tuple[Block, ...]:
    say = Say(design.job.units)
    rows: list[tuple[str, str, str, str]] = []
    panel = design.build.dig.wall_panel
    opened = (
        f"odd lengths filled first; {say.length(panel)} each at most"
        if panel > 0
        else "may be opened whole; no crack, no bow"
    )
    for wall in design.site.walls:
        if wall.wall.open_and_coat:
            coat = wall.wall.coating
            rows.append((f"Wall {wall.name}: footing seen, wall clean", opened, "", ""))
            if coat.kind != "none":
                rows.append(
                    (
                        f"Wall {wall.name}: {coat.kind}",
                        f"{coat.coats} coats, dry, no gaps, to the footing's top",
                        "",
                        "",
                    )
                )
    for run in design.system.runs:
        ends = f"{say.level(run.invert_upper)} to {say.level(run.invert_lower)}"
        rows.append((f"Run {run.name}: bed and pipe, before cover", f"inverts {ends}", "", ""))
        if run.stone_width > 0:
            wrap = "fabric lapped over" if run.fabric else "no fabric"
            rows.append((f"Run {run.name}: stone", f"{say.small(run.stone_over)} over the pipe, {wrap}", "", ""))
    for station in design.system.by_house:
        named = f" {station.name}" if len(design.system.stations) > 1 else ""
        rows.append((f"Basin{named} level, holes tight, lid fits", "bubble in the middle both ways", "", ""))
        wide, tall = collar_size(station)
        if station.collar > 0:
            size = f"{say.small(wide)} wide, {say.small(tall)} high all round, set before the fill"
            rows.append((f"Basin{named}: collar round its foot", size, "", ""))
    for soak in design.system.soaks:
        levels = f"bottom {say.level(soak.bottom)}, level and loose; stone to {say.level(soak.top)}"
        rows.append((f"Soakaway {soak.name}, before its fabric is closed", levels, "", ""))
    for run in design.system.runs:
        many = sum(place.fitted and place.run == run.name for place in design.system.cleanouts)
        if many:
            rows.append((f"Run {run.name}: cleanouts", f"{many}, plugs at the ground, capped", "", ""))
    for fall in design.system.outfalls:
        if fall.apron_built > 0:
            size = f"{say.small(fall.apron_built)} long, {say.small(fall.apron_width)} wide at its far end"
            stone = f", stone {say.small(fall.stone)} or larger" if fall.stone > 0 else ""
            rows.append((f"Outlet {fall.name}: apron of stone on fabric", size + stone, "", ""))
    rows.append(("Outlet runs free", "water seen there", "", ""))
    rows.append(("Ground falls away from the house", "no pond after the hose test", "", ""))
    columns = (
        Column(head="Look at", width=4), Column(head="Wanted", width=3.4), Column(head="Found", width=2),
        Column(head="Photo no.", width=1.1),
    )  # fmt: skip
    captions = [f"Wall {wall.name}: open, coated, boarded" for wall in design.site.walls if wall.wall.open_and_coat]
    captions += [f"Run {run.name} with rod or level on the pipe" for run in design.system.runs]
    several = len(design.system.stations) > 1
    captions += [
        f"Basin{f' {station.name}' if several else ''} before the lid, with a tape in it"
        for station in design.system.by_house
    ]
    captions += ["Outlet running", "Yard, the same view as before the work"]
    return (
        Heading(text="Quality checkpoints", new_page=True),
        Notice(
            tone="plain",
            title="What is covered up cannot be shown later",
            text="Read, write and photograph before backfill.",
        ),
        Table(columns=columns, rows=tuple(rows), tall=True),
        Heading(text="Photographs", new_page=True),
        PhotoBoxes(captions=tuple(captions)),
    )


__all__ = ["clock_face", "crew_packet"]
