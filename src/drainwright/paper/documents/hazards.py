"""The two-minute risk sheet: what can hurt people on this job, here, and what is done about it."""

from __future__ import annotations

from drainwright.build.coating import coated_walls
from drainwright.build.earth import barrow_load
from drainwright.build.locates import ticket_days
from drainwright.build.model import DigPlan
from drainwright.build.open_days import nights_between, open_days, walls_open
from drainwright.build.protection import SLOPES, UNSURE
from drainwright.build.wording import BASIS_WORDS, barrow_words, guarded, lengths_rule
from drainwright.design import Design
from drainwright.findings.footing_room import FootingMargin, footing_margins
from drainwright.findings.model import Severity
from drainwright.paper.documents.blocks import Block, Cell, Column, Facts, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.say import Say, joined, site_of
from drainwright.quantities import height_beside
from drainwright.worksheet import quiet

BLANK = "____________________"
ALONG = "Live until its owner proves it dead; along inside, only by the owner's written word"
MANY_NIGHTS = 7  # a trench that is open longer takes rain and people in (common practice, no source)
MANY = 6  # names told of one thing; the safe-dig sheet has all
Row = tuple[str, str, str]  # hazard, here, do


def risk_sheet(design: Design) -> tuple[Block, ...]:
    """The risk sheet, read aloud before the first shovel: 400 words at most in either language, two minutes."""
    return (
        Heading(text="Two minutes before the first shovel", new_page=True),
        Paragraph(text="Read it aloud. Anyone may stop the work.", style="strong"),
        _table(risk_rows(design), 1.08),
    )


def emergency_sheet(design: Design) -> tuple[Block, ...]:
    """What everyone does in the first minutes of an emergency."""
    say = Say(design.job.units)
    return (
        Heading(text="If it goes wrong"),
        Paragraph(text="Everyone away first. Nobody goes in after anyone.", style="strong"),
        Table(
            columns=(Column(head="What", width=1.5), Column(head="What everyone does", width=6)),
            rows=tuple(
                (Cell(text=name, weight="semibold", size=1.06, colour="#8f1d14"), what)
                for name, what in emergencies(say, basin=design.system.station is not None)
            ),
            size=0.96,
        ),
        Facts(items=(("Competent person today", BLANK), ("First aid and extinguisher are at", BLANK))),
        Facts(items=(("Tell the rescuers", site_of(design.job) or BLANK),), columns=1),  # the whole address in a line
    )  # fmt: skip


def stop_notice() -> Notice:
    """When the digging stops until the design has changed."""
    return Notice(
        tone="caution", title="If the ground tells another story than the paper",
        text="Stop and call. Another footing depth, a line that is not on the sheet, water where none was drawn, "
        "a wall that moves: the design changes before the digging goes on.",
    )  # fmt: skip


def nights(design: Design) -> tuple[str, ...]:
    """What an open trench asks for each evening and morning (the look: 29 CFR 1926.651(k)(1), from memory)."""
    span = open_days(design.build.plan)
    if span is None or span[0] == span[1]:
        return ()
    nights = nights_between(design.build.plan, span)
    off = "" if design.build.plan.dates else " and those of days off"
    walls = walls_open(design.build.plan)
    shut = f", walls to {walls[1]}" if walls is not None and walls[1] < span[1] else ""
    told = [
        f"Open over {nights} night{'' if nights == 1 else 's'}{off} (days {span[0]} to {span[1]}{shut}). "
        "Evenings: edge fenced, holes covered, ladders out. Mornings and after rain: the "
        "competent person looks before anyone goes in."
    ]
    if nights > span[1] - span[0]:
        told.append(
            "Days off lie among them: somebody is named who looks at fence, covers and pump on each, and after rain."
        )
    if nights > MANY_NIGHTS:
        told.append("Dig, lay and fill run by run from the low end where the order lets you: less stands open.")
    return tuple(told)


def few(names: list[str], last: str = "and") -> str:
    """``a, b and c``; of many the first ones, and how many more."""
    return joined(names, last) if len(names) <= MANY else f"{', '.join(names[:MANY])} {last} {len(names) - MANY} more"


def risk_rows(design: Design) -> tuple[Row, ...]:
    """The rows of what kills at once, the worst first: what, how it stands here, what is done."""
    say = Say(design.job.units)
    return (
        _collapse(design, say), _lines(design), _electricity(design, say), *_confined(design, say),
        _undermining(design, say), *_fumes(design, say),
    )  # fmt: skip


def more_rows(design: Design) -> tuple[Row, ...]:
    """The rows of what hurts by and by: each reads them for himself."""
    say = Say(design.job.units)
    return (_heat(design, say), _dust(design, say), _lifting(design, say))


def more_hazards(design: Design) -> tuple[Block, ...]:
    """What else can hurt here, under the risk sheet and not read aloud with it."""
    return (Heading(text="Each reads for himself: heat, dust, loads", level=2), _table(more_rows(design), 0.92))


def _table(rows: tuple[Row, ...], size: float) -> Table:
    columns = (Column(head="What", width=1.5), Column(head="Here", width=3.3), Column(head="We do", width=4.5))
    cells = tuple((Cell(text=name, weight="semibold", size=size - 0.02), here, do) for name, here, do in rows)
    return Table(columns=columns, rows=cells, size=size)


def _collapse(design: Design, say: Say) -> Row:
    dig = design.build.dig
    soil = design.job.ground.osha_type
    deepest = max(dig.trenches, key=lambda item: item.depth_greatest, default=None)
    if deepest is None:
        return ("Collapse", "No trench is dug.", "Look again if that changes.")
    as_c = ", counted as C where water stands" if _counted_c(design) else ""
    here = (
        f"Deepest: {deepest.name}, {say.dug(deepest.depth_greatest)}. Soil type {soil.value} "
        f"({BASIS_WORDS[soil.basis]}){as_c}."
    )
    letters = [item.name for item in dig.trenches if item.protection == "house-foundation letters"]
    setback = max(item.spoil_setback for item in dig.trenches)
    guards = _guards(dig)
    do = [f"Nobody enters {few(names, 'or')} unless {how}." for how, names in guards.items()]
    if letters:
        do.append(f"{few(letters)}: only while every condition of OSHA's 1995 letters holds.")
    do.append(f"Spoil and stone {say.length(setback)} back or more.")
    do.append("Rain, cracks, bulges, seeping: out until the competent person has looked again.")
    ladders = [item.name for item in dig.trenches if item.ladder]
    if ladders:
        do.append(f"Ladder in {few(ladders)}.")
    return ("Trench falls in", here, " ".join(do))


def _counted_c(design: Design) -> bool:
    """Whether a dig is held to the slopes of type C though its soil is of a better type."""
    kind = design.job.ground.osha_type.value
    return SLOPES[kind] < SLOPES["C"] and any(item.slope_run >= SLOPES["C"] for item in design.build.dig.trenches)


def _guards(dig: DigPlan) -> dict[str, list[str]]:
    """What each guarded trench must be before anyone enters, as the safe-dig sheet has it; the trenches by it."""
    found: dict[str, list[str]] = {}
    for item in dig.trenches:
        if item.protection == "engineer":
            how = "an engineer's design guards it"
        elif item.protection != "slope or shield":
            continue
        elif item.bars:
            how = (
                f"the {joined(list(item.bars))} is moved or dead, or shoring designed round it stands"
                if item.held
                else "its planned shoring stands (safe-dig sheet)"
            )
        else:
            how = guarded(item)
        found.setdefault(how, []).append(item.name)
    return found


def tight_footings(design: Design) -> list[tuple[str, FootingMargin]]:
    """Footing drains whose trench ends hardly over a footing's bottom, each with where."""
    drains = [run for run in design.system.runs if run.duty == "footing drain"]
    return [(run.name, item) for run in drains for item in footing_margins(design.site, run) if item.tight]


def test_holes_of(design: Design) -> dict[str, float]:
    """Corners at which the footing's bottom was never measured and a trench ends hardly over it.

    Each with the level at which the footing's bottom may lie at most, by the lowest trench beside it. [m]
    """
    found: dict[str, float] = {}
    for _, item in tight_footings(design):
        if item.wall.wall.footing_bottom.basis in UNSURE:
            found[item.corner] = min(item.trench, found.get(item.corner, item.trench))
    return found


def holes_first(design: Design) -> str:
    """Where a test hole comes first, for the footing's bottom there was never measured; empty where none does."""
    corners = list(test_holes_of(design))
    return f"Test hole first at {few(corners)}, to the footing's bottom." if corners else ""


def _undermining(design: Design, say: Say) -> Row:
    inside = [f"{item.item} at wall {item.wall}" for item in design.build.dig.wedges if item.inside]
    below = [
        f"{finding.where.rsplit('.', 1)[-1]} ({finding.figure})"
        for finding in design.findings
        if finding.id == "FTG-02" and finding.severity is Severity.FAILS
    ]
    lowest = min(design.site.walls, key=lambda wall: wall.footing_bottom, default=None)
    here = [] if lowest is None else [f"Lowest footing bottom: wall {lowest.name}, {say.level(lowest.footing_bottom)}."]
    tight = tight_footings(design)
    if inside:
        here.append(f"INSIDE the bearing wedge: {few(inside)}.")
    elif not tight:
        here.append("Nothing dug inside a bearing wedge.")
    if below:
        here.append(f"BELOW the footing: {few(list(dict.fromkeys(below)))}.")
    holes = holes_first(design)
    if tight:
        run, least = min(tight, key=lambda one: one[1].margin)
        here.append(f"{run} at {least.corner}: {height_beside(max(least.margin, 0.0), say.small)} it.")
    opened = [wall.name for wall in design.site.walls if wall.wall.open_and_coat]
    do = "Never dig below a footing. A wall moves or cracks: out of trench and house, call the engineer."
    if opened:
        panel = design.build.dig.wall_panel
        first = (
            f"Wall: {lengths_rule(say.length(panel))}. "
            if panel > 0
            else f"Shallow and sound: {few(opened)} may be opened whole, no longer than the work needs. "
        )
        do = first + do
    if holes:
        do = f"{holes} {do}"
    return ("House undermined", " ".join(here), do)


def _lines(design: Design) -> Row:
    dig = design.build.dig
    met = list(dict.fromkeys(f"{item.utility} ({item.kind})" for item in dig.crossings))
    here = f"None of {len(design.site.utilities)} known lines is met."
    if met:
        marks = "–".join(dict.fromkeys((dig.crossings[0].mark, dig.crossings[-1].mark)))
        here = f"{len(met)} in the way, {marks}: {few(met)}."
    if dig.unlocated:
        here += f" NOT LOCATED: {', '.join(dig.unlocated)}."
    along = list(dict.fromkeys(name for item in dig.trenches for name in item.bars))
    if along:
        here += f" LIVE ALONG INSIDE: {few(along)}."
    dead = "Live until its owner proves it dead" if not along else ALONG
    hand = "By hand in the red lengths; expose before crossing." if met else "A line turns up: stop, call the office."
    do = f"Answered ticket on site, {_while_it_holds(design)}. {hand} {dead}. Shutoffs: safe-dig sheet."
    return ("Buried lines", here, do)


def _while_it_holds(design: Design) -> str:
    last = ticket_days(design.job, design.build.plan.dates).last
    life = design.job.rules.ticket_life.value
    if last is not None:
        return f"until {last.isoformat()} and no longer"
    days = design.build.plan.days
    over = f"; the work takes {days}: renew it before they are over" if days > life else ""
    return f"within its {life} working days{over}"


def _electricity(design: Design, say: Say) -> Row:
    stations = design.system.by_house
    if not stations:
        deepest = max((item.depth_greatest for item in design.build.dig.trenches), default=0.0)
        return (
            "Power tools in the wet",
            f"No pump is fitted. Tools and dewatering, down to {say.dug(deepest)}, still are electric.",
            "Ground-fault protection on every cord, tested today. No cord joints in trench or puddle. Nobody touches "
            "water that a cord may reach until power is off, switched from a dry place.",
        )
    where = joined([f"{station.name}, {say.deep(station.depth)} deep" for station in stations])
    return (
        "Power and water",
        f"Pump in {where}.",
        "Ground-fault protection on every cord, tested today. Unplug the pump before reaching in. Nobody touches water "
        "that a cord may reach until power is off, switched from a dry place. Wiring: licensed electrician only.",
    )


def _fumes(design: Design, say: Say) -> tuple[Row, ...]:
    with quiet():
        coats = [item for item in coated_walls(design.site) if item.wall.wall.coating.kind != "none"]
    kinds: list[str] = list(dict.fromkeys(item.wall.wall.coating.kind for item in coats))
    told = [f"{joined(kinds)}, {say.area(sum(item.area for item in coats))}"] if coats else []
    if any(run.pipe.family.startswith(("Schedule", "D2729", "D3034")) for run in design.system.runs):
        told.append(f"primer and cement, {len(design.system.fittings or ())} fittings")
    if not told:
        return ()
    here = "; ".join(told)
    return (
        (
            "Fumes, fire",
            f"{here[:1].upper()}{here[1:]}.",
            "They sink into a trench: air moving, lids on, no flame, no smoking, gloves. Dizzy: everyone out. "
            "The can's sheet rules.",
        ),
    )


def _dust(design: Design, say: Say) -> Row:
    with quiet():
        face = sum(item.area for item in coated_walls(design.site))
    told = [f"{say.area(face)} of wall to clean"] if face > 0 else []
    sawn = [item for item in design.build.dig.paved if not item.lifted]
    if sawn:
        edge, hard = sum(item.edge for item in sawn), sum(item.taken for item in sawn)
        told.append(f"{say.length(edge)} of paving to saw, {say.area(hard)} to break out")
    stone = sum(zone.bought for zone in design.build.takeoff.stone)
    told += [f"{say.bulk(stone)} of stone to tip"] if stone > 0 else []
    here = "; ".join(told) or "block or concrete to cut or drill"
    return (
        "Silica dust",
        f"{here[:1].upper()}{here[1:]}.",
        "Cut wet or with vacuum; mask that fits. Never dry-sweep. Eyes covered.",
    )


def _confined(design: Design, say: Say) -> tuple[Row, ...]:
    stations = design.system.by_house
    if not stations:
        return ()
    here = "; ".join(
        f"{station.name}: {say.deep(station.depth)} deep, {say.small(station.inside_diameter)} wide"
        for station in stations
    )
    return (
        (
            "Basin", f"{here}.",
            "Confined space: bad air has no smell. Nobody goes in, head or body, not even to help. Lid on, or guarded.",
        ),
    )  # fmt: skip


def _lifting(design: Design, say: Say) -> Row:
    dig = design.build.dig
    kit = design.job.equipment
    spoil = barrow_load(kit.barrow, dig.haul_mass / dig.haul_volume) if dig.haul_volume > 0 else kit.barrow
    here = f"{barrow_words(dig, kit)}. {say.mass(dig.haul_mass)} of spoil hauled."
    return (
        "Backs, barrows, trailers",
        here,
        f"{say.heap(spoil)} of spoil a barrow, never heaped. Two people to a bag or basin. Trailer: "
        f"{say.mass(dig.load_mass)} at most.",
    )


def _heat(design: Design, say: Say) -> Row:
    plan, crew = design.build.plan, design.job.crew
    return (
        "Heat, cold, lightning",
        f"{plan.days} days of {crew.hours_per_day:g} h outside: see today's forecast.",
        "Water, shade, rest by the clock; new people slower. Thunder: out of the trench, away from metal and trees, "
        f"indoors. Confused or collapsed: {call_for_help(say)}, shade, cool with water.",
    )


def call_for_help(say: Say) -> str:
    """Whom to call: 911 where the job is in the United States' units."""
    return "call 911" if say.us else "call the emergency number"


def emergencies(say: Say, *, basin: bool) -> tuple[tuple[str, str], ...]:
    """The first minutes of each emergency. No line of it sends anyone into danger, or has an unskilled person dig."""
    call = call_for_help(say)
    call_ = f"{call[0].upper()}{call[1:]}"
    items = (
        (
            "Trench collapse",
            "Everyone out and away from the edge. Nobody goes in, and nobody digs, by hand or machine. "
            f"{call_}: say that it is a trench collapse, how many are under it and how deep. Engines off; keep people "
            "and machines back. Wait for trained rescue.",
        ),
        (
            "Gas: smell, hiss, a hit pipe",
            "Leave at once, upwind. No flame, no switch, no engine started or stopped, no valve turned, no phone until "
            f"well away. Call people out of the house. From afar {call}, then the gas company. Nobody goes back until "
            "they say so.",
        ),
        (
            "Hit cable",
            "Touch neither the tool, the machine, the cable nor anyone who does. Everyone far away, in small steps. On "
            f"a machine: stay on it, unless it burns. {call_} and the power company. Nobody goes back until they say "
            "that it is dead.",
        ),
        (
            "Someone shocked, or live water",
            f"Nobody touches them or the water until the power is known to be off. {call_}.",
        ),
    )
    if not basin:
        return items
    down = (
        f"Nobody enters to help; bad air takes the helper too. {call_}: say that it is a confined space. Wait for "
        "trained rescue."
    )
    return (*items, ("Someone down in the basin", down))


__all__ = [
    "call_for_help",
    "emergencies",
    "emergency_sheet",
    "more_hazards",
    "more_rows",
    "nights",
    "risk_rows",
    "risk_sheet",
    "stop_notice",
]
