"""The command for a size that is out of stock."""

from __future__ import annotations

from typing import Annotated

import typer

from drainwright.commands.shared import AsJson, Exit, JobFile, app, designed, emit, hushed, read, refuse


@app.command(epilog="Example: drainwright swap examples/block-wall-house/job.yaml --out-of-stock pipe.sch40-3in.20ft")
def swap(
    job: JobFile,
    out_of_stock: Annotated[
        str, typer.Option("--out-of-stock", help="key of a line of the order that cannot be had", show_default=False)
    ],
    as_json: AsJson = False,
) -> None:
    """Find what can stand in the place of a size that cannot be had: each choice is designed and checked anew."""
    from drainwright.console import counted
    from drainwright.errors import JobError
    from drainwright.offer.swap import swaps

    document = read(job, as_json)
    base = designed(document, as_json)
    try:
        with hushed(), counted("Designing", quiet=as_json) as told:
            found = swaps(base, out_of_stock, told)
    except JobError as error:
        refuse(error.problems, as_json)
    if as_json:
        from drainwright.results import plain

        emit(
            {
                "key": out_of_stock,
                "swaps": [
                    {
                        "words": one.words, "changes": dict(one.changes), "sound": one.sound, "why": one.why,
                        "difference": plain(one.difference),
                    }
                    for one in found
                ],
            }
        )  # fmt: skip
    else:
        from drainwright.terminal_offer import show_swaps

        show_swaps(base, out_of_stock, found)
    if not any(one.sound for one in found):
        raise typer.Exit(Exit.FAILS)


__all__ = ["swap"]
