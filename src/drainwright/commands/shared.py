"""What the commands share: the application, exit codes, reading, refusing, writing."""

from __future__ import annotations

import json
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from contextvars import ContextVar
from enum import IntEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.errors import Problem
    from drainwright.job.reading import Document


class Exit(IntEnum):
    """What the command tells the shell."""

    SOUND = 0
    FAILS = 1
    WRONG_INPUT = 2
    STOPPED = 130  # by Ctrl-C, as shells count it


_AS_BEFORE = {"out": "to"}  # other names by which an option is taken, without being told in the help

#: What the parser of the arguments raises: an unknown command or option, one too many, a missing or a wrong one.
_MISUSE: type[Exception] = typer.BadParameter.__mro__[1]


class Commands(typer.core.TyperGroup):
    """The commands; with ``--json`` among the arguments what their parser refuses is told as JSON, too."""

    def make_context(self, info_name: str | None, args: list[str], *rest: Any, **more: Any) -> Any:
        """As the base does, and keep whether JSON is asked for: what is refused may stand before that option."""
        asked = "--json" in args
        with _refusing(asked):
            context = super().make_context(info_name, args, *rest, **more)
        context.meta["drainwright.json"] = asked
        return context

    def invoke(self, ctx: Any) -> Any:
        """As the base does."""
        with _refusing(ctx.meta["drainwright.json"]):
            return super().invoke(ctx)


@contextmanager
def _refusing(as_json: bool) -> Iterator[None]:
    try:
        yield
    except _MISUSE as error:
        if not as_json:
            raise
        JSON_ASKED.set(True)
        wrong(_misused(error))


def _misused(error: Any) -> str:
    """What the parser says, in the form of a job's faults: which option, what of it."""
    where = getattr(error, "option_name", None)
    if where is None and (param := getattr(error, "param", None)) is not None:
        where = param.opts[0]
    context = getattr(error, "ctx", None)
    told = error.format_message().rstrip(".")
    help_ = f"{context.command_path} --help" if context is not None else "drainwright --help"
    return f"{where or 'command'}: found {told[:1].lower()}{told[1:]}; expected what '{help_}' lists"


app = typer.Typer(
    name="drainwright",
    cls=Commands,
    context_settings={"token_normalize_func": lambda name: _AS_BEFORE.get(name, name)},
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    help="From one visit's measurements to a drainage job: designed, tested, safe to dig, priced, drawn, handed over.",
    epilog="Exit codes: 0 done; 1 a check fails (design, papers); 2 input wrong. Start with: drainwright new job.yaml",
)

DEBUG = "DRAINWRIGHT_DEBUG"  # set to 1, a stage that breaks down shows where

JobFile = Annotated[Path, typer.Argument(help="the job document (YAML or JSON)", show_default=False)]
JSON_ASKED: ContextVar[bool] = ContextVar("json_asked", default=False)  # of the command that runs


def _asked(value: bool) -> bool:
    JSON_ASKED.set(value)
    return value


AsJson = Annotated[bool, typer.Option("--json", help="print JSON instead of tables", is_eager=True, callback=_asked)]


def emit(data: Any) -> None:
    """Print data as JSON."""
    json.dump(data, sys.stdout, ensure_ascii=False, indent=2, allow_nan=False)
    sys.stdout.write("\n")


def refuse(problems: tuple[Problem, ...], as_json: bool) -> NoReturn:
    """Print what is wrong with the input, all of it, and stop."""
    import dataclasses

    if as_json:
        told = [dataclasses.asdict(problem) for problem in problems]
        for one in told:
            del one["later"]  # for the office alone: whether a name may still come
        emit({"ok": False, "errors": told})
    else:
        for problem in problems:
            typer.echo(str(problem), err=True)
        many = "1 problem" if len(problems) == 1 else f"{len(problems)} problems"
        typer.echo(f"{many}; nothing was computed.", err=True)
    raise typer.Exit(Exit.WRONG_INPUT)


_SAID = re.compile(r"(?:(?P<where>[^:]+): )?found (?P<found>.*?); expected (?P<expected>.*)", re.DOTALL)


def wrong(text: str) -> NoReturn:
    """Say what is wrong with an option, or with what it names, and stop: as JSON where the command was asked for that.

    Parameters
    ----------
    text : str
        ``--units: found 'UK'; expected US or SI``, or any sentence.
    """
    if JSON_ASKED.get():
        said = _SAID.fullmatch(text)
        parts = said.groupdict(default="") if said else {"where": "", "found": text, "expected": ""}
        nowhere = {"hint": "", "file": "", "line": None, "column": None}
        emit({"ok": False, "errors": [{**parts, **nowhere}]})
    else:
        typer.echo(text, err=True)
    raise typer.Exit(Exit.WRONG_INPUT)


def read(path: Path, as_json: bool) -> Document:
    """Read a job document; refuse one that is wrong."""
    from drainwright.errors import JobError
    from drainwright.job.reading import read_document

    try:
        return read_document(path)
    except JobError as error:
        refuse(error.problems, as_json)


@contextmanager
def hushed() -> Iterator[None]:
    """Keep what compiled libraries print from the output.

    HiGHS now and then prints a line of its own to the process's output that no option turns off; it would stand in
    the JSON.
    """
    sys.stdout.flush()
    try:
        kept = os.dup(1)
    except OSError:  # no output at all
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        _flush_c()
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _flush_c() -> None:
    """Empty the C library's buffers, so that nothing in them comes out later."""
    import ctypes

    with suppress(OSError, AttributeError, TypeError):  # where the C library is not the process's own
        ctypes.CDLL(None).fflush(None)


@contextmanager
def stages(document: Document, as_json: bool) -> Iterator[None]:
    """Turn what a stage raises into problems with their lines; a stage that broke down is named, to be reported."""
    from drainwright.errors import JobError, Problem, StageError

    try:
        yield
    except JobError as error:
        refuse(document.with_lines(error).problems, as_json)
    except StageError as error:
        if os.environ.get(DEBUG) == "1":
            raise
        problem = Problem(
            where="",
            found=f"values that the stage '{error.stage}' could not be carried through with ({error.__cause__})",
            expected="a design of any job that reads",
            hint="look for an odd value; this is a fault of Drainwright all the same: please report it, with the job "
            f"file and what {DEBUG}=1 shows",
            file=document.name,
        )
        refuse((problem,), as_json)


def options_sound(document: Document, as_json: bool) -> None:
    """Refuse a job whose offer has options with keys that lead nowhere or values that it does not take."""
    from drainwright.errors import JobError
    from drainwright.job.option_faults import option_faults

    faults = option_faults(document.job)
    if faults:
        refuse(document.with_lines(JobError(faults)).problems, as_json)


def designed(document: Document, as_json: bool) -> Design:
    """Carry a document through all stages."""
    from drainwright.design import design

    with stages(document, as_json), hushed():
        return design(document.job)


def done(design: Design) -> NoReturn:
    """End with the exit code of a design."""
    raise typer.Exit(Exit.SOUND if design.sound else Exit.FAILS)


def one_of(name: str, value: str | None, known: tuple[str | None, ...]) -> None:
    """Refuse an option that is none of the known words."""
    if value not in known:
        wrong(f"{name}: found {value!r}; expected {', '.join(word for word in known if word)}")


def spoken(name: str, text: str | None) -> float | None:
    """A length given with its unit. [m]"""
    from drainwright.quantities import QuantityError, parse

    if text is None:
        return None
    try:
        length = parse(text, "length")
    except QuantityError as error:
        wrong(f"{name}: {error}")
    if not length > 0.0:
        wrong(f"{name}: found {text!r}; expected a length above zero")
    return length


def free_folder(out: Path | None) -> None:
    """Refuse a folder to write into that is a file, or lies under one, before anything is computed."""
    there = None if out is None else next(one for one in (out, *out.absolute().parents) if one.exists())
    if there is not None and not there.is_dir():
        wrong(f"--to: found {there}, which is a file; expected a folder. Nothing was computed.")


def written_files(folder: Path, contents: dict[str, bytes]) -> list[Path]:
    """Write files into a folder, all of them or none."""
    from drainwright.paper.documents.writing import write_all

    try:
        folder.mkdir(parents=True, exist_ok=True)
        return write_all(folder, contents)
    except OSError as error:
        wrong(f"{folder}: {error.strerror or error}. Nothing was written.")


__all__ = [
    "AsJson",
    "Exit",
    "JobFile",
    "app",
    "designed",
    "done",
    "emit",
    "free_folder",
    "one_of",
    "options_sound",
    "read",
    "refuse",
    "spoken",
    "stages",
    "written_files",
    "wrong",
]  # fmt: skip
