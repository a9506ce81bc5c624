"""What the command line prints: tables for a person at a terminal. Computes nothing."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from drainwright.build.crossings import hand_dug
from drainwright.build.wording import barrow_words, money, money_band
from drainwright.console import WET, Units, add_row, bullets, heading, new_console, new_table
from drainwright.findings.failure_words import Words, longer_words, ran_off_words, wet_words
from drainwright.findings.gravity_words import lack_words, verdict_words
from drainwright.findings.model import Severity
from drainwright.findings.offer import brief_percent
from drainwright.findings.pump_words import carried_words
from drainwright.quantities import height_beside, percent, unit_label, write
from drainwright.system.model import LiftStation
from drainwright.system.trade import CHOSEN, pipe_words, pump_words
from drainwright.water.model import Cause
from drainwright.water.moisture import share_words
from drainwright.water.moisture_words import NO_TEST

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.findings.model import Finding

STYLE = {Severity.OK: "green", Severity.CAUTION: "yellow", Severity.FAILS: "bold red"}
SHORT = {"sound": "all working"}
WORD = {Severity.OK: "ok", Severity.CAUTION: "caution", Severity.FAILS: "FAILS"}


def _level(value: float, units: Units) -> str:
    return write(value, "length", units, "ft" if units == "US" else "m")


def _clock(seconds: float) -> str:
    if not math.isfinite(seconds):
        return "without end"
    return f"{seconds / 60:.1f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"


def show_design(design: Design, *, every: bool) -> None:
    """Print a design: what the water does, what is built, what it costs, what was found."""
    console = new_console()
    job = design.job
    console.print(Text(f"{job.title}  {job.number}".rstrip(), style="bold"))
    if job.demonstration:
        console.print(Text("An invented job with invented prices.", style="italic"))
    _show_moisture(console, design)
    _show_water(console, design)
    _show_runs(console, design)
    _show_stations(console, design)
    _show_soaks(console, design)
    _show_storm(console, design)
    _show_build(console, design)
    _show_findings(console, design.findings, every)
    console.print()
    fails = sum(finding.severity is Severity.FAILS for finding in design.findings)
    cautions = sum(finding.severity is Severity.CAUTION for finding in design.findings)
    verdict = "Sound" if design.sound else f"Not sound: {fails} of the checks fail"
    style = STYLE[Severity.OK if design.sound else Severity.FAILS]
    console.print(Text(f"{verdict}; {cautions} cautions, {len(design.findings)} checks in all.", style=style))


def _show_moisture(console: Console, design: Design) -> None:
    found = design.moisture
    heading(console, "Where the moisture comes from")
    console.print(Padding(Text(found.verdict), (0, 0, 0, 2)))
    table = new_table(("cause", "left"), ("rank", "right"), ("most for it", "left"), ("most against it", "left"))
    for item in found.causes[:3]:
        told, against = (
            side[0].text.partition(' ("')[0] if side else "-" for side in (item.evidence_for, item.evidence_against)
        )
        add_row(table, item.cause.value, share_words(item.share), told, against)
    if found.causes:
        console.print(table)
    if found.next_test is not None:
        console.print(Padding(Text(f"Next test: {found.next_test.test} (answer 4 says how)."), (0, 0, 0, 2)))
    elif found.causes:
        console.print(Padding(Text(f"{NO_TEST}."), (0, 0, 0, 2)))


def _show_water(console: Console, design: Design) -> None:
    units = design.job.units
    heading(console, "Water at the design rain, by place and cause")
    table = new_table(("enters at", "left"), *((cause.value, "right") for cause in Cause), ("rests on", "left"))
    entries = dict.fromkeys(item.entry for item in design.inflows.contributions)
    for entry in entries:
        cells = []
        for cause in Cause:
            flow = design.inflows.at(entry, cause)
            cells.append(write(flow, "flow", units) if flow > 0 else "-")
        marks = {item.basis.value for item in design.inflows.contributions if item.entry == entry}
        add_row(table, entry, *cells, ", ".join(sorted(marks)))
    console.print(table)


def _show_runs(console: Console, design: Design) -> None:
    units = design.job.units
    heading(console, "Runs")
    table = new_table(
        ("run", "left"), ("duty", "left"), ("from - to", "left"), ("pipe", "left"),
        (f"length {'ft' if units == 'US' else 'm'}", "right"),
        ("fall", "right"), ("upper", "right"), ("lower", "right"), (f"flow {unit_label('flow', units)}", "right"),
        ("full", "right"), (f"speed {unit_label('speed', units)}", "right"),
    )  # fmt: skip
    for run in design.system.runs:
        fall = "-" if run.pressure else ", ".join(write(part.grade, "grade", units) for part in run.stretches)
        flow, full = run.flow, "-" if run.capacity <= 0 else _number(write(run.capacity, "flow", units))
        if run.pressure:  # not what the rain brings: what the pump drives through it
            flow, full = design.system.pumped_flow(run), "pumped"
        upper, lower = _bare(run.invert_upper, units), _bare(run.invert_lower, units)
        add_row(
            table, run.name, run.duty, f"{run.upper} - {run.lower}", pipe_words(run.pipe, units),
            _bare(run.length, units), fall, upper, lower, _number(write(flow, "flow", units)), full,
            _number(write(run.velocity, "speed", units)),
        )  # fmt: skip
    console.print(table)
    console.print(Text(f"  upper and lower: inverts in {'ft' if units == 'US' else 'm'} above the job's datum"))
    if any(run.pressure for run in design.system.runs):
        console.print(Text("  flow: of the design rain; where it is pumped, what the pump delivers at its duty point"))
    for verdict in design.system.gravity:
        those, falls = verdict_words(design.system, design.inflows, verdict, units)
        line = f"gravity {'reaches' if verdict.reaches else 'does not reach'} {verdict.discharge} ({verdict.kind}, "
        line += f"{verdict.lawful}){those}: it needs {_level(verdict.needed, units)} or lower there, the way out is at "
        why = lack_words(verdict, units)
        line += f"{_level(verdict.available, units)}{why and f': {why}'}{falls and f'; {falls}'}"
        console.print(Padding(Text(line), (0, 0, 0, 2)))
    for line in _room(design):
        console.print(Padding(Text(line), (0, 0, 0, 2)))
    bullets(console, (*design.system.conflicts, *design.system.notes))


def _room(design: Design) -> Iterator[str]:
    """Where the water stands nearest to the top, and how far the grading is proven."""
    inch = None if design.job.units == "US" else "mm"
    if design.system.water:
        name, water = min(design.system.water.items(), key=lambda item: item[1].freeboard)
        room = height_beside(-water.freeboard, lambda value: write(value, "length", design.job.units, inch), "OVER")
        yield f"water stands highest at {name}: {room} its rim or the ground, at the design flow"
    if design.system.gradings:
        gap = max(grading.gap for grading in design.system.gradings)
        gave = sum(len(grading.relaxed) for grading in design.system.gradings)
        more = f"; {gave} conditions gave way" if gave else ""
        yield f"falls and sizes: least cost proven, gap {percent(gap, 2)}{more}"


def _bare(value: float, units: Units) -> str:
    return _number(_level(value, units))


def _number(text: str) -> str:
    return text.rpartition(" ")[0]


def _show_stations(console: Console, design: Design) -> None:
    for station in design.system.by_house:
        _show_station(console, design, station)


def _basin_chosen(design: Design, station: LiftStation) -> str:
    """By whom: the job may name one of the two sizes."""
    basin = design.job.works.basin_named(station.name)
    named = [name for name in ("diameter", "depth") if basin is not None and getattr(basin, name) is not None]
    if station.chosen_by == "design" and len(named) == 1:
        other = "depth" if named == ["diameter"] else "diameter"
        return f"{named[0]} named in the job, {other} chosen by the design"
    return f"chosen by the {station.chosen_by}"


def _show_station(console: Console, design: Design, station: LiftStation) -> None:
    units = design.job.units
    heading(console, "Lift station" if len(design.system.stations) == 1 else f"Lift station {station.name}")
    table = new_table(("", "left"), ("", "right"), ("", "left"))
    table.show_header = False
    inch = None if units == "US" else "mm"
    above = {name: write(level - station.floor, "length", units, inch) for name, level in station.float_levels.items()}
    size = f"{write(station.inside_diameter, 'length', units, inch)} x {write(station.depth, 'length', units, inch)}"
    add_row(table, "basin, inside diameter x depth", size, _basin_chosen(design, station))
    add_row(table, "floats above the basin's floor", ", ".join(f"{k} {v}" for k, v in above.items()), "")
    add_row(table, "pump", pump_words(station.pump, units), CHOSEN[station.pump.chosen_by])
    head = write(station.operating_head, "length", units, "ft" if units == "US" else "m")
    add_row(
        table,
        "duty point",
        f"{write(station.operating_flow, 'flow', units)} at {head}",
        "pump curve meets system curve",
    )
    add_row(table, "peak inflow", write(station.inflow, "flow", units), "all causes; ground water at its likely flow")
    add_row(table, "starts", f"{station.starts * 3600:.1f} an hour", "at the worst inflow")
    if station.flow_alone is not None and len(design.system.stations) > 1:
        add_row(table, "alone in the line it shares", write(station.flow_alone, "flow", units), "the others at rest")
    if (study := station.study) is not None and station.reaches:
        worn = f"with {percent(study.wear)} of its head gone"
        add_row(table, "worn pump", write(study.worn_flow, "flow", units), worn)
        season = study.season
        high = f" at the high end of its range, likely {write(season.likely, 'flow', units)}" if season.ranged else ""
        brought = f"ground water {write(season.inflow, 'flow', units)}{high}"
        power = "" if season.energy is None else f"; {season.energy / 3.6e6:.0f} kWh in {season.days:.0f} days"
        runs = f"runs {_clock(season.run_time)} a day, {season.starts:.0f} starts"
        add_row(table, "wet season without rain", runs, f"{brought}{power}")
        if study.storms and any(roof.led for roof in study.storms[0].roofs):
            add_row(table, "downspouts it carries", "", carried_words(study.storms, worn=False))
    add_row(table, "speed in the discharge line", write(station.velocity, "speed", units), "")
    safety = station.uplift_safety
    add_row(
        table,
        "uplift safety, empty",
        "no uplift" if math.isinf(safety) else f"{safety:.2f}",
        "how it is counted: worksheet",
    )
    joined = design.system.joined
    if joined is not None and station is design.system.stations[-1]:
        add_row(
            table, f"{joined.name}: load of capacity",
            f"{write(joined.load, 'flow', units)} of {write(joined.capacity, 'flow', units)}",
            "pumped and roof together",
        )  # fmt: skip
    console.print(table)


def _show_soaks(console: Console, design: Design) -> None:
    units = design.job.units
    inch = None if units == "US" else "mm"
    for soak in design.system.soaks:
        heading(console, f"Soakaway {soak.name}: {soak.kind}")
        table = new_table(("", "left"), ("", "right"), ("", "left"))
        table.show_header = False
        sides = (
            [soak.length, soak.width, soak.depth] if soak.kind == "infiltration trench" else [soak.width, soak.depth]
        )
        size = " x ".join(write(side, "length", units, inch) for side in sides)
        add_row(table, "size, stone below the pipe", size, f"chosen by the {soak.chosen_by}")
        stands = f"{write(soak.fullest, 'length', units, inch)} of {write(soak.depth, 'length', units, inch)}"
        add_row(table, "fullest", stands, f"in the rain of {_clock(soak.critical)}, the worst for it")
        add_row(table, "half empty after", _clock(soak.half_empty), f"wanted {_clock(soak.half_empty_limit)} or less")
        add_row(table, "bottom silted shut", write(soak.silted, "length", units, inch), "would stand in it")
        add_row(table, "what it cannot take", soak.overflow or "the lowest grate", "")
        console.print(table)


def _show_storm(console: Console, design: Design) -> None:
    units, cases = design.job.units, design.storm.cases
    words = Words(units=units, crawl=design.job.house.floor_kind == "crawl space")
    heading(console, f"Storm test: {words.storm(design.storm.storm)}")
    table = new_table(
        ("case", "left"), ("outside", "right"), (WET, "left"), ("starts", "right"), ("most/h", "right"),
        ("ran off", "right"),
    )  # fmt: skip
    for case in cases:
        none = "dry" if case.house_dry else "no drain"
        highest = none if case.highest_at_house is None else words.level(case.highest_at_house)
        add_row(
            table, SHORT.get(case.key, case.key), highest, wet_words(case, words), str(case.pump_starts),
            str(case.starts_busiest_hour), words.volume(case.volume_lost),
        )  # fmt: skip
    console.print(table)
    outside = "Outside: the highest water at the house, outside its walls. "
    lost = max(abs(case.balance_error) for case in cases)
    kept = f" Water made or lost by the arithmetic: {percent(lost, 4)} at most."
    console.print(Padding(Text(f"{outside}{words.wet}, {words.level(cases[0].slab_level)}.{kept}"), (0, 0, 0, 2)))
    more = [longer_words(cases, words), ran_off_words(cases, words, basin=design.system.station is not None)]
    if said := " ".join(text for text in more if text):
        console.print(Padding(Text(said), (0, 0, 0, 2)))


def _show_build(console: Console, design: Design) -> None:
    units = design.job.units
    dig, plan, price = design.build.dig, design.build.plan, design.build.price
    heading(console, "Dig, days and price")
    table = new_table(("", "left"), ("", "right"), ("", "left"))
    table.show_header = False
    deepest = max((trench.depth_greatest for trench in dig.trenches), default=0.0)
    add_row(table, "earth in place", write(dig.bank_volume, "volume", units), f"deepest {_level(deepest, units)}")
    hauled = f"{dig.trailer_loads} trailer loads, {barrow_words(dig, design.job.equipment)} by barrow"
    add_row(table, "hauled away, loose", write(dig.haul_volume, "volume", units), hauled)
    hand = hand_dug(dig.crossings)
    add_row(table, "buried lines met", str(len(dig.crossings)), f"{_level(hand, units)} dug by hand beside them")
    add_row(table, "work", f"{plan.hours:.0f} person-hours", f"{plan.days} days for a crew of {plan.crew}")
    if plan.rock is not None:
        add_row(
            table, "with the rock allowed for", f"{plan.rock.hours:.0f} person-hours more", f"{plan.rock.days} days"
        )
    if plan.dates:
        moved = "" if plan.moved is None else f"set for {plan.moved.asked.isoformat()}, {plan.moved.why}"
        add_row(table, "first day", plan.dates[0].isoformat(), moved)
    band = money_band(price.low, price.high, price.currency)
    note = f"{band}; margin {brief_percent(price.margin)}, mark-up {brief_percent(price.markup)}"
    add_row(table, "price", money(price.total, price.currency), note)
    add_row(table, "price book", price.book, "invented" if price.invented else "")
    console.print(table)


def _show_findings(console: Console, findings: Sequence[Finding], every: bool) -> None:
    heading(console, "Findings")
    for severity in (Severity.FAILS, Severity.CAUTION, Severity.OK):
        chosen = [finding for finding in findings if finding.severity is severity]
        if severity is Severity.OK and not every:
            console.print(Text(f"  {len(chosen)} checks came out well (list them with --all)"))
            continue
        for finding, alike in _together(chosen):
            mark = Text(f"  {WORD[severity]:8}", style=STYLE[severity])
            console.print(mark + Text(f"{finding.id}  {finding.title}  [{finding.where}]"))
            body = finding.message
            if finding.figure or finding.limit:
                body += f" ({finding.figure}; limit {finding.limit})" if finding.limit else f" ({finding.figure})"
            console.print(Padding(Text(body), (0, 0, 0, 10)))
            if finding.advice:
                console.print(Padding(Text(f"Do: {finding.advice}"), (0, 0, 0, 10)))
            if alike:
                others = "; ".join(f"{one.where} ({one.figure})" if one.figure else one.where for one in alike)
                console.print(Padding(Text(f"also: {others}"), (0, 0, 0, 10)))


def _together(findings: Sequence[Finding]) -> list[tuple[Finding, list[Finding]]]:
    """Each finding with the later ones that say the same of another place, but for names and numbers."""
    found: dict[tuple[str, ...], tuple[Finding, list[Finding]]] = {}
    for finding in findings:
        key = (finding.id, finding.severity.value, _bones(finding, finding.message), _bones(finding, finding.advice))
        if key in found:
            found[key][1].append(finding)
        else:
            found[key] = (finding, [])
    return list(found.values())


def _bones(finding: Finding, text: str) -> str:
    """A text without the name of its place and without its numbers."""
    name = finding.where.rpartition(".")[2].partition("[")[0]
    bare = re.sub(rf"\b{re.escape(name)}\b", "_", text) if name else text
    return re.sub(r"\d[\d,./]*( \d+/\d+)?( (ft|in|m|mm)\b( \d[\d/]*( \d+/\d+)?( in)?)?)?", "#", bare)


def show_papers(design: Design, folder: Path, written: Sequence[Path]) -> None:
    """Print which papers were written."""
    console = new_console()
    for path in written:
        console.print(Text(f"  {path.relative_to(folder)}  ({path.stat().st_size / 1000:,.0f} kB)"))
    state = "sound" if design.sound else "NOT sound: read the findings before anything is built"
    console.print(Text(f"{len(written)} papers in {folder}. The design is {state}."))


@contextmanager
def progress(title: str, *, quiet: bool) -> Iterator[Callable[[str, float], None]]:
    """Give a function that moves a progress bar: the paper's name and the fraction done, 0 to 1."""
    if quiet:
        yield lambda name, done: None
        return
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeElapsedColumn(),
    )
    bar = Progress(*columns, console=Console(stderr=True), transient=True)
    task = bar.add_task(title, total=1.0)

    def move(name: str, done: float) -> None:
        bar.start()  # not before: it has a thread, and the papers fork before they have any
        bar.update(task, description=f"{title}: {name}", completed=done)

    try:
        yield move
    finally:
        if bar.live.is_started:
            bar.stop()


__all__ = ["progress", "show_design", "show_papers"]
