"""What the command line prints of a finished job: what passes, what does not, what cannot be told. Computes nothing."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from drainwright.console import Units, add_row, bullets, heading, new_console, new_table
from drainwright.proving.street import LOTS, entry_text
from drainwright.proving.words import Words, oddities

if TYPE_CHECKING:
    from drainwright.job.proof import Proof
    from drainwright.job.season import Season
    from drainwright.job.service import Service
    from drainwright.proving.as_built import AsBuilt
    from drainwright.proving.model import Proven, Verdict
    from drainwright.proving.service import PumpDrift, Serviced
    from drainwright.proving.soil_learnt import SoilLearnt

WORDS: dict[Verdict, str] = {"pass": "pass", "not": "NOT", "cannot tell": "cannot tell", "not done": "not done"}


def show_proof(found: Proven, job: str, proof: Proof, built: AsBuilt | None, written: Sequence[Path]) -> None:
    """Print the rows of a proof, and the reasons of a pump's wrong flow.

    Parameters
    ----------
    found : Proven
        All rows.
    job : str
        The job's number.
    proof : Proof
        The record, for its day.
    built : AsBuilt or None
        The job worked out anew as it was measured.
    written : sequence of Path
        Papers that were written.
    """
    console = new_console()
    console.print(Text(f"Job {job}, measured {proof.on.isoformat()}", style="bold"))
    if proof.invented:
        console.print(Text("The measurements are invented: an example."))
    table = new_table(("where", "left"), ("what", "left"), ("found", "left"), ("wanted", "left"), ("verdict", "left"))
    for row in found.rows:
        if not row.where.startswith("Photo "):
            add_row(table, row.where, row.what, row.found, row.wanted, WORDS[row.verdict])
    console.print(table)
    photos = [row for row in found.rows if row.where.startswith("Photo ")]
    if photos:
        taken = sum(row.verdict == "pass" for row in photos)
        console.print(Text(f"Photographs of checkpoints: {taken} of {len(photos)}."))
    said = [f"{row.where}, {row.what}: {row.said}" for row in found.rows if row.said and row.verdict != "pass"]
    if said:
        heading(console, "What to look at")
        bullets(console, said)
    for basin in found.basins:
        if basin.reasons:
            heading(console, f"{basin.name}: what may stand behind its flow, the likeliest first")
            bullets(console, [f"{one.reads}: {one.said}" for one in basin.reasons])
    if built is not None:
        _show_built(console, built)
    bullets(console, found.notes)
    counts = ", ".join(f"{found.count(verdict)} {word}" for verdict, word in WORDS.items())
    console.print(Text(f"{counts}. {'May be signed off.' if found.whole else 'Not to be signed off yet.'}"))
    for path in written:
        console.print(Text(f"Wrote {path}"))


def _show_built(console: Console, built: AsBuilt) -> None:
    heading(console, "As built, worked out anew")
    told = built.difference
    bullets(
        console,
        [f"{one.where}, {one.what}: {f'designed {one.designed}, built ' if one.designed else ''}{one.built}"
         for one in built.moved] or ["nothing was measured that is far off the design"],
    )  # fmt: skip
    bullets(console, [f"now {one.severity.value}: {one.message}" for one in told.arisen])
    bullets(
        console,
        [
            f"{two.title} ({two.id}), {two.where}: {one.severity.value} -> {two.severity.value}, {two.figure}"
            for one, two in built.regraded
        ],
    )
    bullets(console, [f"no longer {one.severity.value}: {one.title} ({one.id}), {one.where}" for one in told.settled])
    bullets(console, [f"{one.title}: {one.before or 'none'} -> {one.after or 'none'}" for one in told.storm])
    if built.unmeasured:
        console.print(Text(f"Taken as designed, not measured: {', '.join(built.unmeasured)}."))


def show_service(found: Serviced, service: Service, units: Units, cares: Sequence[tuple[str, str]]) -> None:
    """Print what the visits show, and the checklist of the next one.

    Parameters
    ----------
    found : Serviced
        What they show.
    service : Service
        The record.
    units : str
        US or SI.
    cares : sequence of (str, str)
        When, and what to look at or do.
    """
    console = new_console()
    title = f"Job {service.job}, in service since {service.in_service}, {len(service.visits)} visits"
    console.print(Text(title, style="bold"))
    if service.invented:
        console.print(Text("The visits are invented: an example."))
    due = found.interval
    console.print(Text(f"Next visit by {due.next}: every {due.months} months ({'; '.join(due.why)})."))
    bullets(console, [_drifts(one, units) for one in found.pumps])
    bullets(
        console,
        [f"{one.basin}: {one.starts:,} starts, {one.a_day:.0f} a day; its switch is worn out {_by(one.worn_out)}"
         for one in found.switches],
    )  # fmt: skip
    bullets(
        console,
        [f"{one.inlet}: empty its sump {'NOW, it is overdue' if one.overdue else _by(one.due)}" for one in found.silt],
    )
    heading(console, "Checklist")
    bullets(console, [f"{when}: {what}" for when, what in cares])


def _drifts(one: PumpDrift, units: Units) -> str:
    words = Words(units)
    if one.last is None or one.band is None or one.slope is None:
        return f"{one.basin}: {one.readings} readings of its flow; three or more tell a drift"
    yearly = f"{words.flow(abs(one.slope))} a year {'less' if one.slope < 0 else 'more'}"
    dates = f"comes down to {words.flow(one.limit)}, what the design asks, {_by(one.likely)}"
    span = f"earliest {_by(one.earliest)}, latest {_by(one.latest)}"
    rough = "; the readings scatter more than they should" if one.rough else ""
    return f"{one.basin}: {words.flow_band(one.last, one.band)} at the last visit, {yearly}; {dates} ({span}){rough}"


def show_season(found: SoilLearnt, season: Season, units: Units, taken: Path | None = None) -> None:
    """Print the conductivity that a season tells, and the entry for the next job.

    Parameters
    ----------
    found : SoilLearnt
        What it tells.
    season : Season
        The record.
    units : str
        US or SI.
    taken : Path, optional
        The next job's file that the entry was put into.
    """
    console = new_console()
    learnt = found.learnt
    console.print(Text(f"Job {season.job}, basin {season.basin}, {len(season.days)} days", style="bold"))
    if season.invented:
        console.print(Text("The counts are invented: an example."))
    words = Words(units)
    low, middle, high = map(words.conductivity, found.before)
    console.print(Text(f"Taken before: {middle} ({low} to {high}, nine times of ten)."))
    low, middle, high = map(words.conductivity, (learnt.low, learnt.middle, learnt.high))
    if learnt.odd or learnt.edge:  # no figure that somebody would copy
        console.print(Text("By the season: nothing that may be used."))
    else:
        console.print(Text(f"By the season: {middle} ({low} to {high} in 95 of 100, as the model goes)."))
    if found.inflow is not None and not (learnt.odd or learnt.edge):
        least, likely, most = (words.flow(value) for value in found.inflow)
        was = words.flow(found.inflow_before)
        console.print(
            Text(f"Ground water to the basin by the design: {was}; with this soil {likely} ({least} to {most}).")
        )
    if found.assumed:
        console.print(Text(f"Assumed: {'; '.join(found.assumed)}."))
    if odd := oddities(found.left_out, learnt.rough):
        console.print(Text(odd))
    if learnt.odd:
        console.print(Text("So many days fit no soil: look at counts, days and gauge. Not learnt."))
    elif learnt.edge:
        console.print(
            Text("It lies at the end of what was thought possible: look at counts, area and reach. Not learnt.")
        )
    elif not learnt.told:
        console.print(Text("The season tells too little: the next job starts from what it would have without it."))
    else:
        heading(console, "For the next job on the same street and soil")
        console.print(
            Text(f"Wider by a factor of {LOTS:g} each way, for another lot's soil is not this one's (no source).")
        )
        console.print(Text(entry_text(found.entry)))
    if taken is not None:
        console.print(Text(f"Put into {taken}."))


def _by(day: datetime.date | None) -> str:
    return "at no date that can be told" if day is None else f"about {day.isoformat()}"


__all__ = ["show_proof", "show_season", "show_service"]
