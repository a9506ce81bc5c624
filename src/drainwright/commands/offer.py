"""The commands of the offer: options designed anew, and what a change of any input does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Annotated, Any, NoReturn

import typer

from drainwright.commands.shared import (
    AsJson,
    Exit,
    JobFile,
    app,
    designed,
    emit,
    hushed,
    options_sound,
    read,
    stages,
    wrong,
)


@app.command(epilog="Example: drainwright options examples/metric-basement/job.yaml")
def options(job: JobFile, as_json: AsJson = False) -> None:
    """Design the options of the offer, each as a whole job: what each costs more, and what it is good for."""
    from drainwright.console import counted
    from drainwright.offer import cheaper_basins
    from drainwright.offer import options as offered

    document = read(job, as_json)
    options_sound(document, as_json)
    base = designed(document, as_json)
    with stages(document, as_json), hushed(), counted("Designing the options", quiet=as_json) as told:
        found = offered(base, told)
    with stages(document, as_json), hushed(), counted("Trying other basins", quiet=as_json) as told:
        basins = cheaper_basins(base, told)
    if as_json:
        from drainwright.results import plain

        emit(
            {
                "standing": found.standing,
                "currency": base.build.price.currency,
                "packages": [
                    {
                        "key": one.key, "title": one.title, "words": one.words, "role": one.role, "holds": one.holds,
                        "changes": dict(one.changes), "total": plain(one.total), "sound": one.design.sound,
                        "days": one.design.build.plan.days, "buys": one.buys, "difference": plain(one.difference),
                    }
                    for one in found.every
                ],
                "refused": plain(found.refused),
                "cheaper_basins": plain(basins),
            }
        )  # fmt: skip
        return
    from drainwright.terminal_offer import show_options

    show_options(found, basins)


@app.command(
    epilog="Example: drainwright whatif examples/block-wall-house/job.yaml --set works.basin.second_pump=false"
)
def whatif(
    job: JobFile,
    put: Annotated[
        list[str] | None,
        typer.Option(
            "--set", help="a key of the job document and its value, like ground.texture=clay; may be repeated"
        ),
    ] = None,
    vary: Annotated[
        str | None, typer.Option("--sweep", help="one key at several values, like 'crew.size=2,3,4,5'")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Design the job with an input changed: what that does to checks, sizes, storm, order, days and price."""
    if bool(put) == bool(vary):
        _wrong("--set or --sweep: found both or none; expected one of them")
    document = read(job, as_json)
    if vary:
        key, values = _assigned("--sweep", vary)
        listed = _listed(values)
        if len(listed) > 30:
            _wrong(f"--sweep: found {len(listed)} values; expected 30 or fewer ('drainwright study' takes thousands)")
        from drainwright.console import counted
        from drainwright.offer import sweep

        base = designed(document, as_json)
        with stages(document, as_json), hushed(), counted("Designing", quiet=as_json) as told:
            swept = sweep(base, key, listed, told)
        if as_json:
            from drainwright.results import plain

            emit(
                {
                    "key": key,
                    "runs": [
                        {
                            "value": one.value, "why": one.why, "difference": plain(one.difference),
                            "sound": None if one.design is None else one.design.sound,
                        }
                        for one in swept
                    ],
                }
            )  # fmt: skip
        else:
            from drainwright.terminal_offer import show_sweep

            show_sweep(base, key, swept)
        if all(one.design is None for one in swept):
            raise typer.Exit(Exit.WRONG_INPUT)
        return
    changes = {}
    for text in put or ():
        key, value = _assigned("--set", text)
        if key in changes:
            _wrong(f"--set: found {key} twice; expected each key once")
        changes[key] = _value(value)
    from drainwright.offer import what_if

    base = designed(document, as_json)
    with stages(document, as_json), hushed(), _told_by_option(changes):
        _, changed = what_if(base, changes)
    if as_json:
        from drainwright.results import plain

        emit(plain(changed))
        return
    from drainwright.terminal_offer import show_difference

    show_difference(base, changes, changed)


@contextmanager
def _told_by_option(changes: Mapping[str, Any]) -> Iterator[None]:
    """Name the option in what is wrong with a value that it gave."""
    from dataclasses import replace

    from drainwright.errors import JobError

    try:
        yield
    except JobError as error:
        told = []
        for problem in error.problems:
            by = [key for key in changes if problem.where.startswith(key.replace('"', ""))] or list(changes)
            option = f"--set {by[0]}={changes[by[0]]}" if len(by) == 1 else "--set"
            told.append(replace(problem, file=option, line=None, column=None))
        raise JobError(tuple(told)) from None


def _assigned(option: str, text: str) -> tuple[str, str]:
    key, sign, value = text.partition("=")
    if not sign or not key.strip() or not value.strip():
        _wrong(f"{option}: found {text!r}; expected a key and a value, like ground.texture=clay")
    return key.strip(), value.strip()


def _listed(text: str) -> dict[str, Any]:
    """Values between commas; a comma inside quotes or brackets, or between digits, is part of a value."""
    import re

    parts = re.split(r",(?!\d{3}\b)(?![^\[\{]*[\]\}])", text)
    values = [part.strip() for part in parts if part.strip()]
    if not values:
        _wrong(f"--sweep: found {text!r}; expected values between commas")
    return {value: _value(value) for value in values}


def _value(text: str) -> Any:
    """A value as YAML reads it, so that true, 3 and [A, B] are what they look like; dates and units stay text."""
    from drainwright.errors import JobError
    from drainwright.job.loading import load

    try:
        return load(f"value: {text}\n", "value").record["value"]
    except JobError as error:
        first = error.problems[0]
        _wrong(f"{text!r}: found {first.found}; expected {first.expected}")


def _wrong(text: str) -> NoReturn:
    wrong(f"{text}. Nothing was computed.")
