"""What the command line prints of schemes: their figures side by side, and the words for and against."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from rich.padding import Padding
from rich.text import Text

from drainwright.console import add_row, bullets, heading, new_console, new_table
from drainwright.paper.schemes_rows import table_rows
from drainwright.schemes import SchemeSet
from drainwright.terminal_files import show_files


def show_schemes(found: SchemeSet, written: Sequence[Path], taken: tuple[str, Path | None] | None) -> None:
    """Print schemes side by side, what is missing, and what was written."""
    console = new_console()
    job = found.job
    console.print(Text(f"{job.title}  {job.number}".rstrip(), style="bold"))
    if job.demonstration:
        console.print(Text("An invented job with invented prices.", style="italic"))
    if found.schemes:
        heading(console, "Schemes side by side")
        table = new_table(("", "left"), *((scheme.key, "left") for scheme in found.schemes))
        for row in table_rows(found):
            cells = (
                Text(cell, style="bold red" if bad else "bold" if best else "")
                for cell, best, bad in zip(row.cells, row.best, row.bad, strict=True)
            )
            table.add_row(Text(row.name), *cells)
        console.print(table)
    for scheme in found.schemes:
        heading(console, f"{scheme.key}: {scheme.headline}")
        console.print(Padding(Text(scheme.summary), (0, 0, 0, 2)))
        if not scheme.works:
            console.print(
                Padding(Text(f"{scheme.fault[:1].upper()}{scheme.fault[1:]}.", style="bold red"), (0, 0, 0, 2))
            )
        for name, lines in (
            ("What would help", scheme.helps), ("For it", scheme.pros), ("Against it", scheme.cons),
            ("Ask first", scheme.asks),
        ):  # fmt: skip
            if lines:
                console.print(Padding(Text(f"{name}:"), (0, 0, 0, 2)))
                bullets(console, lines)
    if found.common:
        heading(console, "True of all of them")
        bullets(console, found.common)
    if found.missing:
        heading(console, "Not offered, and why")
        bullets(console, (f"{item.key}: {item.why}." for item in found.missing))
    if len(found.rankings) > 1:
        heading(console, "In order")
        table = new_table(("criterion", "left"), ("the best first", "left"))
        for ranking in found.rankings:
            add_row(table, ranking.criterion, "; ".join(" = ".join(place) for place in ranking.places))
        console.print(table)
    bullets(console, found.notes)
    console.print()
    console.print(Text(found.verdict, style="bold"))
    if found.how:
        console.print(Text(found.how + ("" if found.redraw else " --redraw lays all of it out anew.")))
    if written:
        show_files(written)
    if taken is not None:
        chosen = found.laid_out(taken[0])
        if chosen is not None and not chosen.works:
            warning = f"The scheme {taken[0]} does not work yet: {chosen.fault}."
            console.print(Text(warning, style="bold red"))
            bullets(console, chosen.helps)
        console.print(Text(f"Wrote the scheme {taken[0]} as {taken[1]}. Go on: drainwright design {taken[1]}"))


__all__ = ["show_schemes"]
