"""Which profiles a permit set shows, and what it tells of the runs whose profiles it leaves out."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Paragraph, Table
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.shell import Sheets

MANY = 6  # so many sheets of profiles are all shown
PROFILE = "profiles"  # how their names begin
TITLE = "Profile "  # how the title of a run's part begins


def left_out(design: Design, sheets: Sheets) -> tuple[str, ...]:
    """Sheets of profiles that a large job's permit set leaves to the drawing set.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name.

    Returns
    -------
    tuple of str
        None where there are few. A sheet stays where one of its runs lies beside a footing, is pumped, meets a buried
        line, runs full or changes its grade.
    """
    profiles = [name for name in sheets if name.startswith(PROFILE)]
    if len(profiles) <= MANY:
        return ()
    met = {item.run for item in design.build.dig.crossings}
    shown = {
        run.name for run in design.system.runs
        if run.walls or run.pressure or run.surcharged or run.name in met
        or run.duty in ("footing drain", "discharge line", "overflow") or run.flattest < run.grade - 1e-4
    }  # fmt: skip
    return tuple(name for name in profiles if not shown & set(_runs_on(name, sheets)))


def _runs_on(name: str, sheets: Sheets) -> list[str]:
    return [part.title.removeprefix(TITLE) for part in sheets[name][0].scaled if part.title.startswith(TITLE)]


def profiles_in_short(design: Design, sheets: Sheets) -> tuple[Block, ...]:
    """Levels, cuts and covers of the runs whose profiles are left out; nothing where none is."""
    names = {run for name in left_out(design, sheets) for run in _runs_on(name, sheets)}
    if not names:
        return ()
    say = Say(design.job.units)
    rows = tuple(
        (
            Cell(text=run.name, weight="semibold"), f"{run.upper} to {run.lower}", say.length(run.length),
            say.level(run.invert_upper), say.level(run.invert_lower), say.dug(max(item.cut for item in run.stations)),
            say.small(min(item.cover for item in run.stations)),
        )
        for run in design.system.runs
        if run.name in names
    )  # fmt: skip
    columns = (
        Column(head="Run", width=0.8), Column(head="From, to", width=1.8),
        *(Column(head=head, width=1.4, align="right") for head in
          ("Length", "Upper invert", "Lower invert", "Deepest cut", "Least cover")),
    )  # fmt: skip
    return (
        Heading(text="Runs without a profile here", level=2),
        Paragraph(
            text="Each falls evenly, lies away from the footings, meets no buried line that is entered and does not "
            "run full at the design flow. The drawing set has their profiles.",
            style="soft",
        ),
        Table(columns=columns, rows=rows, size=0.8, tight=True),
    )


__all__ = ["left_out", "profiles_in_short"]
