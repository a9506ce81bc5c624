"""The command for many runs: study."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from drainwright.commands.shared import AsJson, Exit, app, emit, refuse, wrong


@app.command(epilog="Example: drainwright study storms.yaml --to storms-out")
def study(
    file: Annotated[Path, typer.Argument(help="the study (YAML or JSON)", show_default=False)],
    out: Annotated[Path, typer.Option("--to", help="folder for results; a study begun there is gone on with")],
    where: Annotated[str | None, typer.Option(help="a dask.distributed scheduler, like tcp://host:8786")] = None,
    workers: Annotated[int | None, typer.Option(min=1, help="processes of this machine; default: all")] = None,
    again_failed: Annotated[bool, typer.Option("--again-failed", help="do runs that failed once more")] = False,
    quiet: Annotated[bool, typer.Option("--quiet", help="no progress")] = False,
    as_json: AsJson = False,
) -> None:
    """Run a job many times, changed and under other rain, here or on a cluster; results as tables."""
    from drainwright.console import counted
    from drainwright.errors import InputError, JobError
    from drainwright.studies import StudyError, read_study, run_study
    from drainwright.studies.tables import about

    try:
        read = read_study(file)
    except JobError as error:
        refuse(error.problems, as_json)
    try:
        with counted(read.title, quiet=quiet or as_json) as progress:
            result = run_study(read, out, where, workers, again_failed=again_failed, progress=progress)
    except (StudyError, InputError, OSError) as error:
        words = str(error)
        if isinstance(error, OSError):
            words = (
                f"{error.filename or out}: {error.strerror or error}; expected --to to be a folder that can be written"
            )
        wrong(words)
    except KeyboardInterrupt:
        typer.echo(f"Stopped; what is done is kept in {out}. The same command goes on from there.", err=True)
        raise typer.Exit(Exit.STOPPED) from None
    told = about(result)
    if as_json:
        from drainwright.results import plain
        from drainwright.studies.answers import answers_of

        emit({"ok": True, "folder": str(out), "fresh": result.fresh, **told, "answers": plain(answers_of(result))})
    else:
        from drainwright.terminal_study import show_study

        show_study(result, out, told["notes"])
    raise typer.Exit(Exit.FAILS if result.failed else Exit.SOUND)
