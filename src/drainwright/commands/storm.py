"""The command that tells what a storm does with one thing broken at a time, and what would prevent it."""

from __future__ import annotations

from typing import Annotated

import typer

from drainwright.commands.shared import AsJson, Exit, JobFile, app, designed, emit, read, stages


@app.command(epilog="Example: drainwright storm examples/metric-basement/job.yaml --case 'power out'")
def storm(
    job: JobFile,
    case: Annotated[str | None, typer.Option("--case", help="one case only, by its key, like 'pump dead'")] = None,
    as_json: AsJson = False,
) -> None:
    """Test the job with one thing broken at a time: when the floor gets wet, what would prevent it, and its cost."""
    from drainwright.design import remedies
    from drainwright.errors import stage

    document = read(job, as_json)
    result = designed(document, as_json)
    keys = [one.key for one in result.storm.every]
    if case is not None and case not in keys:
        typer.echo(f"--case: found {case!r}; expected one of: {', '.join(keys)}", err=True)
        raise typer.Exit(Exit.WRONG_INPUT)
    with stages(document, as_json), stage("remedies"):
        found = remedies(result, case)
    chosen = [one for one in result.storm.every if case in (None, one.key)]
    if as_json:
        from drainwright.results import plain

        emit({"cases": plain(chosen), "remedies": plain(found)})
        return
    from drainwright.terminal_storm import show_storm

    show_storm(result, chosen, found)
