"""What the command line prints of a finished job: what passes, what does not, what cannot be told. Computes nothing."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rich.console import Console
from rich.text import Text

from drainwright.console import add_row, bullets, heading, new_console, new_table

if TYPE_CHECKING:
    from drainwright.job.proof import Proof
    from drainwright.proving.as_built import AsBuilt
    from drainwright.proving.model import Proven, Verdict

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
            bullets(console, [f"{'fits' if one.fits else 'does not fit'}: {one.said}" for one in basin.reasons])
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


__all__ = ["show_proof"]
