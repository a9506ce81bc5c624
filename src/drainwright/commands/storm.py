"""The command that tells what a storm does with one thing broken at a time, and what would prevent it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from drainwright.commands.shared import AsJson, JobFile, app, designed, emit, read, stages, wrong

if TYPE_CHECKING:
    from drainwright.storm.model import StormCase


@app.command(epilog="Example: drainwright storm examples/metric-basement/job.yaml --case 'power out'")
def storm(
    job: JobFile,
    case: Annotated[
        str | None, typer.Option("--case", help="one case only: its key, like 'pump dead', or its words in the table")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Test the job with one thing broken at a time: when the floor gets wet, what would prevent it, and its cost.

    'drainwright papers' draws it: storm-failures.svg, storm-failures-phone.svg.
    """
    from drainwright.console import busy
    from drainwright.design import remedies
    from drainwright.errors import stage

    document = read(job, as_json)
    with busy("Running the storm with one thing broken at a time", quiet=as_json):
        result = designed(document, as_json)
    every = result.storm.every
    chosen = every if case is None else asked(case, every)
    with busy("Trying what would prevent it", quiet=as_json), stages(document, as_json), stage("remedies"):
        found = remedies(result, None if case is None else chosen[0].key)
    if as_json:
        from drainwright.results import plain

        emit({"cases": plain(chosen), "remedies": plain(found)})
        return
    from drainwright.terminal_storm import show_storm

    show_storm(result, chosen, found)


def asked(text: str, every: Sequence[StormCase]) -> tuple[StormCase, ...]:
    """The one case of that key or title, or the only one whose title begins so; refused with those there are."""
    wanted = " ".join(text.split()).casefold()
    same = [case for case in every if wanted in (case.key.casefold(), case.title.casefold())]
    same = same or [case for case in every if wanted and case.title.casefold().startswith(wanted)]
    if len(same) != 1:
        _no_such(text, same, every)
    return (same[0],)


def _no_such(text: str, same: Sequence[StormCase], every: Sequence[StormCase]) -> NoReturn:
    known = "\n".join(f"  {case.key}  ({case.title})" for case in every)
    which = "expected one of these" if not same else f"which {len(same)} begin with; expected one of these"
    wrong(f"--case: found {text!r}, {which}:\n{known}")
