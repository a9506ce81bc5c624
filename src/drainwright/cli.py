"""The command line: a thin door to the same functions that everything else calls.

Exit codes: 0 sound, 1 the design has findings that fail, 2 the input is wrong.
"""

from __future__ import annotations

import gc
import os
import sys
from typing import Annotated

import typer

from drainwright.commands import (  # noqa: F401  (they register theirs)
    books,
    chance,
    contract,
    firm,
    job,
    offer,
    office,
    proof,
    records,
    schemes,
    serve,
    storm,
    study,
    swap,
    years,
)
from drainwright.commands.shared import DEBUG, JSON_ASKED, Exit, app


@app.callback(invoke_without_command=True)
def _version(
    version: Annotated[bool, typer.Option("--version", help="print the version and stop")] = False,
) -> None:
    JSON_ASKED.set(False)
    if version:
        from drainwright import __version__

        typer.echo(__version__)
        raise typer.Exit


def main() -> None:
    """Run the command line.

    The linear algebra under numpy gets one thread: a job's matrices are small, and on a busy machine its threads wait
    for each other far longer than they work. ``OPENBLAS_NUM_THREADS`` in the environment outranks that. Memory is
    looked through for rings less often than usual: modules and records fill it at the start, and stay.
    """
    gc.set_threshold(50_000, 20, 20)
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        app()
    except OSError as error:  # a full disk under the output or under the compiled code; a pipe that closes is none
        if os.environ.get(DEBUG) == "1":
            raise
        place, what = error.filename or "the output", error.strerror or error
        typer.echo(f"{place}: found '{what}'; expected a place that can be written. Nothing is whole.", err=True)
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what is left in the buffer has nowhere to go
        sys.exit(Exit.WRONG_INPUT)


if __name__ == "__main__":
    main()
