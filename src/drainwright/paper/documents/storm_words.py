"""The storm test in plain words, what remains at risk, and what the works will not cure."""

from __future__ import annotations

import math
import re

import numpy as np

from drainwright.build.earth import Series
from drainwright.design import Design
from drainwright.findings.failure_words import SHOWS, Words, longer_words, over_grates
from drainwright.findings.model import Finding, Severity
from drainwright.findings.places import series
from drainwright.paper.documents.against_causes import bared_uncoated, bared_words
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Paragraph, Table
from drainwright.paper.documents.customer import meaning
from drainwright.paper.documents.say import Say, failing, joined
from drainwright.paper.documents.shell import FEW
from drainwright.paper.plan_marks import floor_underside
from drainwright.storm.model import StormCase

WAYS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
RISKS = ("STM", "LFT", "OUT", "FTG", "SIZ", "NET", "RAI", "SOI")  # findings that a customer should hear of

ASKED = "OUT-20"  # open questions have a list of their own, to tick
LIVE = "DIG-23"  # a line beside which people work
PAVED = "DIG-28"  # a surface that is cut and laid again
DAMP = "GWT-01"  # told in words of its own
_NONE_STANDS = "No water stands above the ground."
FILM = 0.001  # less than this nobody would see [m]
WORST = "STM-19"  # names the worst of the failures, and stands with that one
MINUTE = 60.0  # least time told of an alarm [s]
MOST = 10  # rows that a customer reads
_RANKS: tuple[tuple[str, frozenset[str]], ...] = (  # the most important first, weighed by hand; a title gathers them
    ("The storm itself", frozenset({"STM-01", "STM-19", "STM-30"})),
    ("A live line in the digging", frozenset({LIVE})),
    ("Paving to be cut and laid again", frozenset({PAVED})),
    ("", frozenset({"FTG-02"})),
    ("", frozenset({"FTG-10", "FTG-13", "GRD-10"})),
    (
        "If a pump, its float or its valve fails",
        frozenset({"STM-05", "STM-10", "STM-11", "STM-12", "STM-13", "STM-20"}),
    ),
    ("If the power goes", frozenset({"STM-06", "LFT-13"})),
    ("", frozenset({"STM-07"})),
    ("What nobody knows yet", frozenset({"SOI", "RAI-01", "SIZ-01"})),
    ("", frozenset({DAMP, "FTG-05", "FTG-08"})),
    ("", frozenset({"OUT"})),
    ("If leaves or roots close a grate or a line", frozenset({"STM-03", "STM-08", "STM-14", "STM-15"})),
    ("More water than was designed for", frozenset({"STM-16", "STM-17", "STM-18"})),
    ("", frozenset({"STM", "LFT"})),
    ("", frozenset({"FTG"})),
)
_COLUMNS = (
    Column(head="What", width=2), Column(head="What we found", width=4), Column(head="What it means for you", width=4),
)  # fmt: skip
_NOTHING_OPEN = Paragraph(
    text="No open point was found. Storms larger than the tested one, and things nobody could see, remain."
)


def storm_blocks(design: Design) -> tuple[Block, ...]:
    """What happens in the storm, with everything in order and with one thing broken at a time."""
    say = Say(design.job.units)
    storm = design.storm.storm
    rows = [_row(design, case, say) for case in design.storm.cases]
    columns = [
        Column(head="If", width=2.5), Column(head="Water outside, at the house, rises to", width=1.7, align="right"),
        Column(head="Inside", width=3), Column(head="Outside", width=3.8),
    ]  # fmt: skip
    if design.system.station is not None:
        wide = 0.9 if len(design.system.stations) == 1 else 1.4
        columns.append(Column(head="Pump starts", width=wide, align="right"))
    where = "over its rims, onto the lawn" if any(case.volume_lost > 0 for case in design.storm.cases) else ""
    words = (
        f"We ran the {storm.name} ({say.rain(storm.depth)} of rain) through the whole system, minute by minute: "
        "roofs, yard, "
        "ground, pipes"
        + (", basin and pump" if design.system.station is not None else "")
        + ". Then once more with one thing "
        "broken each time."
    )
    sound = design.storm.cases[0] if design.storm.cases else None
    spill = ""
    if sound is not None and sound.volume_lost > 0:
        spill = (
            f" With everything working, {say.volume(sound.volume_lost)} of {say.volume(sound.volume_in)} runs off "
            "above ground "
            f"{where}."
        )
    return (
        Heading(text="What a big storm does"),
        Paragraph(text=words + spill),
        *((Paragraph(text=rings),) if (rings := alarm_words(design)) else ()),
        Table(columns=tuple(columns), rows=tuple(rows), size=0.86),
        Paragraph(text=_against(design, say), style="soft"),
        Paragraph(text=f"The storm: {storm.source}.", style="soft"),
    )


def alarm_words(design: Design) -> str:
    """Where the alarm sounds and the drains fill in the design storm though nothing has failed; empty where not."""
    sound = design.storm.cases[0] if design.storm.cases else None
    if sound is None or sound.key != "sound":
        return ""
    say, told = Say(design.job.units), []
    for station in design.system.by_house:
        ran = sound.station(station.name)
        alarm = station.float_levels["alarm"]
        if ran is None or ran.highest <= alarm:
            continue
        over = time_over(sound.times, ran.level, alarm)
        drains = drains_filled(design, station.name)
        told.append(
            f"the alarm of {station.name} sounds, for about {say.time(max(over, MINUTE))}: water stands up to "
            f"{say.small(ran.highest - station.floor)} over its floor"
            + (f", and so high in {joined(series(drains))} too" if drains else "")
        )
    if not told:
        return ""
    storm = design.storm.storm.name
    return (
        f"In the {storm} with everything in order {'; '.join(told)}. That is as designed, as long as the pump is heard "
        "and the alarm falls silent after the rain."
    )


def drains_filled(design: Design, *stations: str) -> list[str]:
    """Footing drains into which water rises from their basin in the design storm though nothing has failed."""
    sound = design.storm.cases[0] if design.storm.cases else None
    levels = {} if sound is None or sound.key != "sound" else {one.name: one.highest for one in sound.stations}
    return [
        run.name
        for run in design.system.runs
        if run.duty == "footing drain"
        and run.lower in (stations or levels)
        and run.invert_lower < levels.get(run.lower, -math.inf)
    ]


def time_over(times: Series, levels: Series, limit: float) -> float:
    """For how long a level stands over a limit. [s]"""
    return float(np.sum(np.diff(times)[(levels[:-1] > limit) & (levels[1:] > limit)]))


def _row(design: Design, case: StormCase, say: Say) -> tuple[str | Cell, ...]:
    level = "none: the drain stays dry" if case.house_dry else "no drain or basin there"
    if case.highest_at_house is not None:
        level = say.level(case.highest_at_house)
    text = _inside_words(design, case, say)
    inside = Cell(text=text) if case.dry else Cell(text=text, weight="semibold", colour="#8f1d14")
    cells: tuple[str | Cell, ...] = (case.title, level, inside, _outside(design, case, say))
    starts = f"{case.pump_starts}"
    if len(case.stations) > 1:
        starts = ", ".join(f"{station.name}\u00a0{station.pump_starts}" for station in case.stations)
    return (*cells, starts) if design.system.station is not None else cells


def _inside_words(design: Design, case: StormCase, say: Say) -> str:
    """What comes of the floor."""
    under = floor_underside(design)
    if case.undecided:
        return f"Water does not reach the {under} within {say.time(case.ended)}, but still rises."
    if case.time_to_slab is not None:
        since = "after the failure" if case.failure_at else "after the rain begins"
        return f"Water reaches the {under} {say.time(case.time_to_slab)} {since}, and comes in."
    if case.highest_at_house is not None:
        room = case.slab_level - case.highest_at_house
        by = "hardly" if say.deep(room) == say.deep(0.0) else f"by {say.deep(room)}"
        return f"The floor stays dry, {by}."
    return "The floor stays dry." if case.house_dry else "Nothing of this system can back up at the house."


def _against(design: Design, say: Say) -> str:
    level = "" if not design.storm.cases else f", at {say.level(design.storm.cases[0].slab_level)}"
    words = Words(units=say.units, crawl=design.job.house.floor_kind == "crawl space")
    return f"{words.wet}{level}. {longer_words(design.storm.cases, words)}".rstrip()


def _outside(design: Design, case: StormCase, say: Say) -> str:
    """Where water stands, and how deep: over the grates, at the house's corners, and above the floor."""
    parts = []
    grates = [node for node in case.nodes.values() if design.system.nodes[node.node].kind == "inlet"]
    ponds = [(node.node, node.pond_depth) for node in grates if node.pond_depth >= SHOWS]
    over = over_grates(ponds, say.deep, " deep")
    spills = [
        f"{say.deep(node.pond_depth)} over {node.node}"
        for node in case.nodes.values()
        if node.pond_depth >= SHOWS and design.system.nodes[node.node].kind in ("basin", "junction")
    ]
    if over:
        parts.append(f"Water stands {joined(over)}.")
    if spills:
        parts.append(f"It comes out of the ground, {joined(spills)}.")
    if case.highest_at_house is not None:
        corners = [
            f"{say.deep(depth)} deep at the {name}" for name, depth in wet_corners(design, case.highest_at_house)
        ]
        if corners:
            parts.append(f"Along the house it stands {joined(corners)}.")
        gap = case.highest_at_house - case.slab_level
        if case.time_to_slab is not None and gap > 0:
            under = floor_underside(design)
            parts.append(
                f"Water outside would stand as high as {say.deep(gap)} above the {under} if none came in; it comes in."
            )
    film = any(node.pond_depth >= FILM for node in case.nodes.values())
    none = f"No water stands {say.small(SHOWS)} deep or more above the ground." if film else _NONE_STANDS
    return " ".join(parts) or none


def wet_corners(design: Design, level: float) -> list[tuple[str, float]]:
    """Corners of the house whose ground lies under a water level: where they lie, and how deep the water is. [m]"""
    site = design.site
    middle = [sum(place[axis] for place in site.outline) / len(site.outline) for axis in (0, 1)]
    turn = design.job.property.north
    known = {
        (round(point.east, 6), round(point.north, 6)): (name, point.level)
        for name, point in site.points.items()
        if point.level is not None
    }
    found = []
    for east, north in site.outline:
        name, ground = known.get((round(east, 6), round(north, 6)), ("", None))
        depth = level - (site.surface.level(east, north) if ground is None else ground)
        if depth >= SHOWS:
            angle = (math.atan2(east - middle[0], north - middle[1]) - turn) % (2 * math.pi)
            way = f"{WAYS[round(angle / (math.pi / 4)) % 8]} corner"
            found.append((f"{way} ({name})" if name else way, depth))
    return found


def storm_short(design: Design) -> tuple[Block, ...]:
    """The storm with everything in order, in a paragraph; with one thing broken it has a page of its own."""
    if not design.storm.cases:
        return ()
    say, storm, sound = Say(design.job.units), design.storm.storm, design.storm.cases[0]
    inside = _inside_words(design, sound, say)
    parts = [
        f"We ran the {storm.name} ({say.rain(storm.depth)} of rain) through the whole system, minute by minute.",
        f"With everything working: {inside[:1].lower()}{inside[1:]}", _outside(design, sound, say),
    ]  # fmt: skip
    if sound.volume_lost > 0:
        parts.append(f"{say.volume(sound.volume_lost)} of {say.volume(sound.volume_in)} runs off above ground.")
    parts += [alarm_words(design), _broken(design)]
    return (
        Heading(text="What a big storm does"),
        Paragraph(text=" ".join(filter(None, parts))),
        Paragraph(text=f"{_against(design, say)} The storm: {storm.source}.", style="soft"),
    )


def _broken(design: Design) -> str:
    """What came of the runs with one thing broken each."""
    rest = design.storm.cases[1:]
    if not rest:
        return ""
    wet = [case for case in rest if case.time_to_slab is not None or case.undecided]
    under, runs = floor_underside(design), "Then we ran it once more for each thing that can break"
    if not wet:
        return f"{runs}: no water reached the {under}."
    still = ", or still rises at the end" if any(case.undecided for case in wet) else ""
    return f"{runs}: in {len(wet)} of these {len(rest)} runs water reaches the {under}{still}."


def risk_blocks(design: Design) -> tuple[Block, ...]:
    """What stays open, grouped, the most important first and ten rows at most; and what no drain cures."""
    say = Say(design.job.units)
    groups = _risk_groups(design)
    fails = sum(group[0].severity is Severity.FAILS for _, group, _ in groups)
    shown, rest = groups[: max(MOST, fails)], groups[max(MOST, fails) :]
    rows = tuple(
        (Cell(text=title, weight="semibold"), _found(group, say, design), words) for title, group, words in shown
    )
    more: tuple[Block, ...] = ()
    if rest:
        names = joined([f"{title[:1].lower()}{title[1:]}" for title, _, _ in rest])
        one = len(rest) == 1
        text = (
            f"{len(rest)} smaller point{'' if one else 's'} stay{'s' if one else ''} open: {names}. The answers paper "
            "has all of them."
        )
        more = (Paragraph(text=text, style="soft"),)
    return (
        Heading(text="What remains at risk"),
        *((Table(columns=_COLUMNS, rows=rows, size=0.86, tight=True), *more) if rows else (_NOTHING_OPEN,)),
        Heading(text="What this will not cure"),
        Bullets(items=_not_cured(design)),
    )


def open_points(design: Design) -> tuple[Block, ...]:
    """Every finding that stays open, in full, for the answers paper."""
    say = Say(design.job.units)
    by_meaning: dict[tuple[str, str], list[Finding]] = {}
    for finding in _open(design):
        by_meaning.setdefault((finding.title, _meaning(design, finding)), []).append(finding)
    rows = tuple(
        (Cell(text=title, weight="semibold"), _found(group, say, design), words)
        for (title, words), group in by_meaning.items()
    )
    shown: Block = Table(columns=_COLUMNS, rows=rows, size=0.86, tight=True) if rows else _NOTHING_OPEN
    return (Heading(text="All points that stay open"), shown)


def _open(design: Design) -> list[Finding]:
    told = len(failing(design.findings)) > FEW  # those that fail have a table of their own
    return [
        finding
        for finding in design.findings
        if finding.severity is Severity.CAUTION or (finding.severity is Severity.FAILS and not told)
        if (finding.id.split("-")[0] in RISKS and finding.id != "FTG-09") or finding.id in (DAMP, LIVE, PAVED)
        if finding.severity is Severity.FAILS or finding.id != ASKED
    ]


def _meaning(design: Design, finding: Finding) -> str:
    return _damp(design, finding) if finding.id == DAMP else meaning(finding, design)


def _risk_groups(design: Design) -> list[tuple[str, list[Finding], str]]:
    """Title, findings and what they mean, the most important first."""
    groups: dict[tuple[int, str], list[Finding]] = {}
    every = _open(design)
    for finding in every:
        if finding.severity is Severity.FAILS:
            groups.setdefault((-1, finding.title), []).append(finding)
            continue
        of = _failure_of(finding, every)
        rank = next((rank for rank, (_, ids) in enumerate(_RANKS) if of.id in ids), None)
        if rank is None:
            rank = next((n for n, (_, ids) in enumerate(_RANKS) if of.id.split("-")[0] in ids), len(_RANKS))
        title = _RANKS[rank][0] if rank < len(_RANKS) else ""
        groups.setdefault((rank, title or ("Damp floor" if of.id == DAMP else of.title)), []).append(finding)
    order = sorted(groups.items(), key=lambda pair: min(pair[0][0], *(99 * (one.id != WORST) for one in pair[1])))
    return [
        (title, group, " ".join(dict.fromkeys(part for one in group for part in _sentences(_meaning(design, one)))))
        for (_, title), group in order
    ]


def _failure_of(finding: Finding, every: list[Finding]) -> Finding:
    """Of what is said of the worst failure, that failure's own finding; else itself."""
    case = finding.message.partition(" in: ")[2] if finding.id == WORST else ""
    own = (one for one in every if one.title[:3] == "If " and case.startswith(one.message.rpartition(": ")[0] + ". "))
    return next(own, finding)


def _sentences(text: str) -> list[str]:
    return re.split(r"(?<=\.) (?=[A-Z])", text)


def _damp(design: Design, finding: Finding) -> str:
    """What no drain stops: damp that the soil draws up; or water at mid-house, out of the drains' reach."""
    if "stays damp" not in finding.message:
        return (
            "The floor may stay wet in its middle: it takes drains along the opposite wall or under the floor, which "
            "are not in this price."
        )
    remedy = "a membrane or coarse stone under the floor"
    if design.job.house.floor_kind == "crawl space":
        remedy = "a sealed cover over the crawl space's soil"
    return f"The floor may stay damp: the soil draws water up so high; it takes {remedy}, which is not in this price."


def _found(group: list[Finding], say: Say, design: Design) -> str:
    """What was found: the first of each check in full, the rest by place; failures of one outcome in one sentence."""
    worst = [finding.message for finding in group if finding.id == WORST]
    if 0 < len(worst) < len(group):
        return " ".join([_found([finding for finding in group if finding.id != WORST], say, design), *worst])
    outcomes: dict[str, list[str]] = {}
    for finding in group:
        if finding.title.startswith("If "):
            case, _, end = finding.message.rpartition(": ")
            at = [station.name for station in design.system.stations if station.name in case.replace(":", " ").split()]
            head = finding.title[3:] + (f" (at {joined(at)})" if at and len(design.system.stations) > 1 else "")
            outcomes.setdefault(end, []).append(head)
    if sum(map(len, outcomes.values())) == len(group) > 1:
        told = [f"If {joined(heads, 'or')}: {end}" for end, heads in outcomes.items()]
        return " ".join(told)
    by_check: dict[str, list[Finding]] = {}
    for finding in group:
        by_check.setdefault(finding.id, []).append(finding)
    return " ".join(_same_check(found, say) for found in by_check.values())


def _same_check(group: list[Finding], say: Say) -> str:
    messages = list(dict.fromkeys(finding.message for finding in group))
    if len(messages) < 3:
        return " ".join(messages)
    others = ", ".join(dict.fromkeys(say.place(finding.where) for finding in group[1:]))
    return f"{messages[0]} Likewise: {others}."


def _not_cured(design: Design) -> tuple[str, ...]:
    coated = [wall.name for wall in design.site.walls if wall.wall.open_and_coat]
    bared = bared_uncoated(design)
    others = [wall.name for wall in design.site.walls if not wall.wall.open_and_coat and wall.name not in bared]
    drained = any(run.duty == "footing drain" for run in design.system.runs)
    away = ", away from the drained walls" if drained else ": no wall is drained here"
    items = [
        "Condensation, humid air, and leaks of water pipes, heating, sewer or roof.",
        f"Water that rises through the floor itself{away}.",
        "Floods: water that comes over the ground from elsewhere, and storms beyond the one tested.",
        "Damage that is already there: finishes, salts, mould, settlement, bowed or cracked walls.",
    ]
    if others and coated:
        items.append(f"Water through walls that are not opened: {', '.join(others)}.")
    if bared and coated:
        items.append(f"Water through {bared_words(bared)} but which is not coated.")
    if design.system.station is not None:
        items.append(
            "A pump without power, worn out, switched off or blocked: it needs the tests and the yearly visit."
        )
    return tuple(items)


__all__ = ["open_points", "risk_blocks", "storm_blocks", "storm_short"]
