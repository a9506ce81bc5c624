"""What the command line prints: tables for a person at a terminal. Computes nothing."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from drainwright.build.crossings import hand_dug
from drainwright.build.wording import barrow_words, money
from drainwright.findings.model import Severity
from drainwright.quantities import unit_label, write
from drainwright.system.trade import pipe_words, pump_words
from drainwright.water.model import Cause

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.exchange.rain_record import RainRecord
    from drainwright.field.ground_study import GroundStudy
    from drainwright.field.model import Site
    from drainwright.findings.model import Answer, Finding
    from drainwright.job.model import Job
    from drainwright.water.record_maxima import MaximaRow

Units = Literal["US", "SI"]
STYLE = {Severity.OK: "green", Severity.CAUTION: "yellow", Severity.FAILS: "bold red"}
SHORT = {"sound": "all working"}
WORD = {Severity.OK: "ok", Severity.CAUTION: "caution", Severity.FAILS: "FAILS"}


def _console() -> Console:
    console = Console(highlight=False, soft_wrap=False)
    return console if console.is_terminal else Console(highlight=False, width=124, force_terminal=False)


def _table(*columns: tuple[str, Literal["left", "right"]]) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, header_style="bold")
    for title, justify in columns:
        least = len("discharge") if title == "duty" else None  # no duty is cut in a word
        table.add_column(Text(title), justify=justify, no_wrap=title == "pipe", min_width=least)
    return table


def _row(table: Table, *cells: str) -> None:
    table.add_row(*(Text(cell) for cell in cells))


def _heading(console: Console, text: str) -> None:
    console.print()
    console.print(Text(text, style="bold underline"))


def _level(value: float, units: Units) -> str:
    return write(value, "length", units, "ft" if units == "US" else "m")


def _clock(seconds: float) -> str:
    if not math.isfinite(seconds):
        return "without end"
    return f"{seconds / 60:.1f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"


def show_check(job: Job, site: Site) -> None:
    """Print that a job reads, with how the survey closes and what was assumed."""
    console = _console()
    console.print(Text(f"{job.title}: the job document is in order.", style="bold"))
    units = job.units
    table = _table(("survey", "left"), ("figure", "right"), ("", "left"))
    if site.traverse is not None:
        note = "adjusted" if site.traverse.adjusted else "not adjusted"
        _row(
            table, "perimeter walk closes within", write(site.traverse.misclosure, "length", units, _small(units)), note
        )
    book = site.level_book
    if book is not None and book.misclosure is not None and book.allowable is not None:
        word = "within" if book.closes else "MORE THAN"
        limit, value = (
            write(level, "length", units, *(("ft", 3) if units == "US" else ("mm", 1)))
            for level in (book.allowable, book.misclosure)
        )
        _row(table, "level book misclosure", value, f"{word} the allowable {limit}")
    elif book is not None:
        _row(table, "level book misclosure", "-", "not closed on a benchmark: blunders cannot show")
    _row(table, "points with a level", str(sum(point.level is not None for point in site.points.values())), "")
    console.print(table)
    if site.notes:
        console.print(Text("Assumed or left open", style="bold"))
        _bullets(console, site.notes)


def show_rain(record: RainRecord, rows: Sequence[MaximaRow], units: Units) -> None:
    """Print what a rain record shows: its step, faults and gaps, and the largest rain of each duration."""
    console = _console()
    start, end = (str(time.astype("datetime64[D]")) for time in (record.times[0], record.times[-1]))
    heading = f"{record.name}: {len(record.times):,} rows of {_span(record.step)}, {start} to {end}"
    console.print(Text(heading, style="bold"))
    console.print(Text(f"Mean rain {_rain(record.yearly, units)} a year."))
    _bullets(console, record.notes)
    table = _table(
        ("duration", "right"), ("years", "right"), ("median of a year", "right"), ("10-yr, Gumbel", "right"),
        ("largest", "right"), ("that ended at", "left"), ("table, 2-yr", "right"), ("table, 10-yr", "right"),
    )  # fmt: skip
    for row in rows:
        median, ten, two_table, ten_table = (
            "-" if depth is None else _rain(depth, units)
            for depth in (row.median, row.ten_year, row.table_two_year, row.table_ten_year)
        )
        largest = _rain(row.largest, units)
        _row(table, _span(row.duration), str(row.years), median, ten, largest, row.largest_at, two_table, ten_table)
    console.print(table)
    text = "Median and Gumbel are of years read at least 80 %, raised by what whole steps of the clock miss."
    console.print(Text(text))


def _span(seconds: float) -> str:
    for unit, length in (("days", 86400.0), ("h", 3600.0)):
        if seconds >= length and (unit == "h" or seconds > length):
            return f"{seconds / length:g} {unit}"
    return f"{seconds / 60:g} min"


def show_ground(study: GroundStudy, units: Units, written: Sequence[Path]) -> None:
    """Print what some files say of the ground, and what was written."""
    from drainwright.paper.ground_sheet import remarks, spot_rows, summary

    console = _console()
    console.print(Text(f"Ground: {study.title}", style="bold"))
    table = _table(("", "left"), ("", "right"))
    table.show_header = False
    for words, figure in summary(study, units):
        _row(table, words, figure)
    console.print(table)
    if study.standing:
        _heading(console, "Low spots, full")
        table = _table(
            ("", "left"), ("deep", "right"), ("area", "right"), ("holds", "right"), ("spills at", "right"),
            ("bottom at", "left"), ("", "left"),
        )  # fmt: skip
        for cells, spot in zip(spot_rows(study, units), study.standing, strict=False):
            _row(table, *cells[:5], spot.name, "" if spot.sure else f"not sure: {spot.why_unsure}")
        console.print(table)
        rest = len(study.standing) - len(spot_rows(study, units))
        if rest > 0:
            console.print(Text(f"  and {rest} less deep (all in ground.geojson)"))
    _bullets(console, remarks(study, units))
    show_files(written)


def show_files(written: Sequence[Path]) -> None:
    """Print which files were written."""
    console = _console()
    for path in written:
        console.print(Text(f"  {path}  ({path.stat().st_size / 1000:,.0f} kB)"))


def _rain(depth: float, units: Units) -> str:
    return f"{depth / 0.0254:.2f} in" if units == "US" else f"{depth * 1000:.0f} mm"


def _small(units: Units) -> str:
    return "in" if units == "US" else "mm"


def _bullets(console: Console, lines: Iterable[str]) -> None:
    for line in lines:
        console.print(Padding(Text(f"- {line}"), (0, 0, 0, 2)))


def show_design(design: Design, *, every: bool) -> None:
    """Print a design: what the water does, what is built, what it costs, what was found."""
    console = _console()
    job = design.job
    console.print(Text(f"{job.title}  {job.number}".rstrip(), style="bold"))
    if job.demonstration:
        console.print(Text("An invented job with invented prices.", style="italic"))
    _show_water(console, design)
    _show_runs(console, design)
    _show_station(console, design)
    _show_storm(console, design)
    _show_build(console, design)
    _show_findings(console, design.findings, every)
    console.print()
    fails = sum(finding.severity is Severity.FAILS for finding in design.findings)
    cautions = sum(finding.severity is Severity.CAUTION for finding in design.findings)
    verdict = "Sound" if design.sound else f"Not sound: {fails} of the checks fail"
    style = STYLE[Severity.OK if design.sound else Severity.FAILS]
    console.print(Text(f"{verdict}; {cautions} cautions, {len(design.findings)} checks in all.", style=style))


def _show_water(console: Console, design: Design) -> None:
    units = design.job.units
    _heading(console, "Water at the design rain, by place and cause")
    table = _table(("enters at", "left"), *((cause.value, "right") for cause in Cause), ("rests on", "left"))
    entries = dict.fromkeys(item.entry for item in design.inflows.contributions)
    for entry in entries:
        cells = []
        for cause in Cause:
            flow = design.inflows.at(entry, cause)
            cells.append(write(flow, "flow", units) if flow > 0 else "-")
        marks = {item.basis.value for item in design.inflows.contributions if item.entry == entry}
        _row(table, entry, *cells, ", ".join(sorted(marks)))
    console.print(table)


def _show_runs(console: Console, design: Design) -> None:
    units = design.job.units
    _heading(console, "Runs")
    table = _table(
        ("run", "left"), ("duty", "left"), ("from - to", "left"), ("pipe", "left"),
        (f"length {'ft' if units == 'US' else 'm'}", "right"),
        ("fall", "right"), ("upper", "right"), ("lower", "right"), (f"flow {unit_label('flow', units)}", "right"),
        ("full", "right"), (f"speed {unit_label('speed', units)}", "right"),
    )  # fmt: skip
    station = design.system.station
    for run in design.system.runs:
        fall = "-" if run.pressure else write(run.grade, "grade", units)
        flow, full = run.flow, "-" if run.capacity <= 0 else _number(write(run.capacity, "flow", units))
        if run.pressure and station is not None:  # not what the rain brings: what the pump drives through it
            flow, full = station.operating_flow, "pumped"
        upper, lower = _bare(run.invert_upper, units), _bare(run.invert_lower, units)
        _row(
            table, run.name, run.duty, f"{run.upper} - {run.lower}", pipe_words(run.pipe, units),
            _bare(run.length, units), fall, upper, lower, _number(write(flow, "flow", units)), full,
            _number(write(run.velocity, "speed", units)),
        )  # fmt: skip
    console.print(table)
    console.print(Text(f"  upper and lower: inverts in {'ft' if units == 'US' else 'm'} above the job's datum"))
    if any(run.pressure for run in design.system.runs):
        console.print(Text("  flow: of the design rain; where it is pumped, what the pump delivers at its duty point"))
    for verdict in design.system.gravity:
        word = "reaches" if verdict.reaches else "does not reach"
        line = (
            f"gravity {word} {verdict.discharge} ({verdict.kind}, {verdict.lawful}): it needs "
            f"{_level(verdict.needed, units)} or lower there, the way out is at {_level(verdict.available, units)}"
        )
        console.print(Padding(Text(line), (0, 0, 0, 2)))
    _bullets(console, (*design.system.conflicts, *design.system.notes))


def _bare(value: float, units: Units) -> str:
    return _number(_level(value, units))


def _number(text: str) -> str:
    return text.rpartition(" ")[0]


def _show_station(console: Console, design: Design) -> None:
    station = design.system.station
    if station is None:
        return
    units = design.job.units
    _heading(console, "Lift station")
    table = _table(("", "left"), ("", "right"), ("", "left"))
    table.show_header = False
    inch = None if units == "US" else "mm"
    above = {name: write(level - station.floor, "length", units, inch) for name, level in _floats(station)}
    size = f"{write(station.inside_diameter, 'length', units, inch)} x {write(station.depth, 'length', units, inch)}"
    _row(table, "basin, inside diameter x depth", size, f"chosen by the {station.chosen_by}")
    _row(table, "floats above the basin's floor", ", ".join(f"{k} {v}" for k, v in above.items()), "")
    _row(table, "pump", pump_words(station.pump, units), f"chosen by the {station.pump.chosen_by}")
    head = write(station.operating_head, "length", units, "ft" if units == "US" else "m")
    _row(
        table,
        "duty point",
        f"{write(station.operating_flow, 'flow', units)} at {head}",
        "pump curve meets system curve",
    )
    _row(table, "peak inflow", write(station.inflow, "flow", units), "all causes at the design rain")
    _row(table, "starts", f"{station.starts * 3600:.1f} an hour", "at the worst inflow")
    _row(table, "speed in the discharge line", write(station.velocity, "speed", units), "")
    safety = station.uplift_safety
    _row(
        table,
        "uplift safety, empty",
        "no uplift" if math.isinf(safety) else f"{safety:.2f}",
        "how it is counted: worksheet",
    )
    joined = design.system.joined
    if joined is not None:
        _row(
            table, f"{joined.name}: load of capacity",
            f"{write(joined.load, 'flow', units)} of {write(joined.capacity, 'flow', units)}",
            "pumped and roof together",
        )  # fmt: skip
    console.print(table)


def _floats(station: object) -> Sequence[tuple[str, float]]:
    levels = [("off", "off"), ("on", "on"), ("second pump", "second_on"), ("alarm", "alarm")]
    return [(name, value) for name, field in levels if (value := getattr(station, field)) is not None]


def _show_storm(console: Console, design: Design) -> None:
    units = design.job.units
    storm = design.storm.storm
    floor = "crawl-space soil" if design.job.house.floor_kind == "crawl space" else "floor's underside"
    depth = write(storm.depth, "length", units, _small(units))
    _heading(console, f"Storm test: {storm.name}, {depth}")
    table = _table(
        ("case", "left"), ("highest at the house", "right"), (f"{floor} at", "right"), ("water there", "left"),
        ("pump starts", "right"), ("most in an hour", "right"), ("ran off overland", "right"), ("balance", "right"),
    )  # fmt: skip
    for case in design.storm.cases:
        highest = "no drain there" if case.highest_at_house is None else _level(case.highest_at_house, units)
        when = "never" if case.time_to_slab is None else f"after {_clock(case.time_to_slab)}"
        _row(
            table, SHORT.get(case.key, case.key), highest, _level(case.slab_level, units), when,
            str(case.pump_starts), str(case.starts_busiest_hour),
            write(case.volume_lost, "volume", units, "gal" if units == "US" else "L"), f"{abs(case.balance_error):.4%}",
        )  # fmt: skip
    console.print(table)


def _show_build(console: Console, design: Design) -> None:
    units = design.job.units
    dig, plan, price = design.build.dig, design.build.plan, design.build.price
    _heading(console, "Dig, days and price")
    table = _table(("", "left"), ("", "right"), ("", "left"))
    table.show_header = False
    deepest = max((trench.depth_greatest for trench in dig.trenches), default=0.0)
    _row(table, "earth in place", write(dig.bank_volume, "volume", units), f"deepest {_level(deepest, units)}")
    hauled = f"{dig.trailer_loads} trailer loads, {barrow_words(dig, design.job.equipment)} by barrow"
    _row(table, "hauled away, loose", write(dig.haul_volume, "volume", units), hauled)
    hand = hand_dug(dig.crossings)
    _row(table, "buried lines met", str(len(dig.crossings)), f"{_level(hand, units)} dug by hand beside them")
    _row(table, "work", f"{plan.hours:.0f} person-hours", f"{plan.days} days for a crew of {plan.crew}")
    band = " to ".join(money(amount, price.currency, 0) for amount in (price.low, price.high))
    note = f"{band}; margin {price.margin:.1%}, mark-up {price.markup:.1%}"
    _row(table, "price", money(price.total, price.currency), note)
    _row(table, "price book", price.book, "invented" if price.invented else "")
    console.print(table)


def _show_findings(console: Console, findings: Sequence[Finding], every: bool) -> None:
    _heading(console, "Findings")
    for severity in (Severity.FAILS, Severity.CAUTION, Severity.OK):
        chosen = [finding for finding in findings if finding.severity is severity]
        if severity is Severity.OK and not every:
            console.print(Text(f"  {len(chosen)} checks came out well (list them with --all)"))
            continue
        for finding in chosen:
            mark = Text(f"  {WORD[severity]:8}", style=STYLE[severity])
            console.print(mark + Text(f"{finding.id}  {finding.title}  [{finding.where}]"))
            body = finding.message
            if finding.figure or finding.limit:
                body += f" ({finding.figure}; limit {finding.limit})" if finding.limit else f" ({finding.figure})"
            console.print(Padding(Text(body), (0, 0, 0, 10)))
            if finding.advice:
                console.print(Padding(Text(f"Do: {finding.advice}"), (0, 0, 0, 10)))


def show_answers(answers: Sequence[Answer]) -> None:
    """Print questions with their answers."""
    console = _console()
    for answer in answers:
        console.print()
        console.print(Text(f"{answer.number}. {answer.question}", style="bold"))
        console.print(Padding(Text(answer.answer), (0, 0, 0, 3)))
        for label, text in (
            ("Rests on", answer.rests_on), ("Limit", answer.limit), ("Do", answer.do), ("Missing", answer.missing),
        ):  # fmt: skip
            if text:
                console.print(Padding(Text(f"{label}: {text}"), (0, 0, 0, 3)))


def show_papers(design: Design, folder: Path, written: Sequence[Path]) -> None:
    """Print which papers were written."""
    console = _console()
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
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(title, total=1.0)
        yield lambda name, done: bar.update(task, description=f"{title}: {name}", completed=done)


__all__ = [
    "progress", "show_answers", "show_check", "show_design", "show_files", "show_ground", "show_papers", "show_rain",
]  # fmt: skip
