"""What all printed tables share: the console, its tables, headings and lists."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import Literal

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

Units = Literal["US", "SI"]
WET = "wet, from the failure"
# columns whose words are never cut
LEAST = {"duty": len("discharge"), "case": len("discharge blocked"), WET: len("after 26.9 h")}


def new_console() -> Console:
    """A console of the terminal's width; of 124 letters where the output is not a terminal."""
    console = Console(highlight=False, soft_wrap=False)
    return console if console.is_terminal else Console(highlight=False, width=124, force_terminal=False)


def new_table(*columns: tuple[str, Literal["left", "right"]]) -> Table:
    """A table with columns, each with its head and its side."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, header_style="bold")
    for title, justify in columns:
        least = LEAST.get(title)
        table.add_column(Text(title), justify=justify, no_wrap=justify == "right", min_width=least)
    return table


def add_row(table: Table, *cells: str) -> None:
    """Add a row of plain texts."""
    table.add_row(*(Text(cell) for cell in cells))


def heading(console: Console, text: str) -> None:
    """Print a heading."""
    console.print()
    console.print(Text(text, style="bold underline"))


def bullets(console: Console, lines: Iterable[str]) -> None:
    """Print a list."""
    for line in lines:
        console.print(Padding(Text(f"- {line}"), (0, 0, 0, 2)))


@contextmanager
def busy(title: str, *, quiet: bool) -> Iterator[None]:
    """Say on a terminal what is being worked at, for as long as it is; nothing where there is none."""
    console = Console(stderr=True, highlight=False)
    if quiet or not console.is_terminal:
        yield
        return
    with console.status(Text(f"{title} ...")):
        yield


@contextmanager
def counted(title: str, *, quiet: bool, every: float = 10.0) -> Iterator[Callable[[int, int], None]]:
    """Give a function that tells how many of how many are done: a bar, or a plain line now and then. [s]"""
    if quiet:
        yield lambda done, total: None
        return
    console = Console(stderr=True, highlight=False)
    if not console.is_terminal:
        told = [time.monotonic()]

        def line(done: int, total: int) -> None:
            if done == total or time.monotonic() - told[0] >= every:
                told[0] = time.monotonic()
                console.print(Text(f"{title}: {done} of {total}"), soft_wrap=True)

        yield line
        return
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("{task.description}", markup=False), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True) as bar:
        task = bar.add_task(title, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)


__all__ = ["WET", "Units", "add_row", "bullets", "busy", "counted", "heading", "new_console", "new_table"]
