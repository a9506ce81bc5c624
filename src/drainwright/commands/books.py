"""Commands on the firm's price book, and on what jobs really took: book, actuals, learn."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from drainwright.commands.shared import AsJson, JobFile, app, designed, emit, hushed, read, refuse, stages, wrong

if TYPE_CHECKING:
    from drainwright.job.actuals import ActualsDocument
    from drainwright.job.book_file import BookDocument

book = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="The firm's price book: a file of its own.")
app.add_typer(book, name="book")

BookFile = Annotated[Path, typer.Argument(help="the price book (YAML)", show_default=False)]
ActualsFile = Annotated[Path, typer.Argument(help="what the job took (YAML)", show_default=False)]
Take = Annotated[list[str] | None, typer.Option(help="a task or item to take though it lies far off, or 'all'")]
Dated = Annotated[str | None, typer.Option("--on", help="the day, like 2026-03-02; left out: today")]


def _read_book(path: Path, as_json: bool) -> BookDocument:
    from drainwright.errors import JobError
    from drainwright.job.book_file import read_book

    try:
        return read_book(path)
    except JobError as error:
        refuse(error.problems, as_json)


def _read_actuals(path: Path, as_json: bool) -> ActualsDocument:
    from drainwright.errors import JobError
    from drainwright.job.actuals import read_actuals

    try:
        return read_actuals(path)
    except JobError as error:
        refuse(error.problems, as_json)


def _day(text: str | None) -> datetime.date:
    if text is None:
        return datetime.date.today()
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        wrong(f"--on: found {text!r}; expected a date, like 2026-03-02")


def _save(path: Path, text: str) -> None:
    from drainwright.job.writing import write_text

    with _written(path):
        write_text(path, text)


def _save_book(path: Path, read: BookDocument, text: str, as_json: bool) -> None:
    """Write a changed book; another writer's change since it was read is never lost."""
    from drainwright.errors import JobError
    from drainwright.job.book_saving import save_book

    with _written(path):
        try:
            save_book(path, read, text)
        except JobError as error:
            refuse(error.problems, as_json)


@contextmanager
def _written(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        wrong(f"{path}: {error.strerror}. Nothing was written.")


@book.command("new", epilog="Example: drainwright book new prices.yaml")
def new_book(path: BookFile, on: Dated = None) -> None:
    """Write a commented price book to fill in. Never overwrites a file."""
    from drainwright.job.book_starter import new_book_text

    text = new_book_text(_day(on))
    try:
        with path.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        wrong(f"{path} exists already; choose another name. Nothing was written.")
    except OSError as error:
        wrong(f"{path}: {error.strerror}. Nothing was written.")
    typer.echo(f"Wrote {path}. Put your prices in, then: drainwright book check {path}")


@book.command("check", epilog="Example: drainwright book check examples/block-wall-house/prices.yaml")
def check_book(path: BookFile, on: Dated = None, as_json: AsJson = False) -> None:
    """Read a price book and report all that is wrong with it, what is missing, old, or of another size than usual."""
    from drainwright.build.book import book_for, missing_shares
    from drainwright.build.sizes import odd_sizes
    from drainwright.build.stale import too_old
    from drainwright.job.firm import PriceBook
    from drainwright.learning.resting import other_rates

    document = _read_book(path, as_json)
    day = _day(on)
    whole = book_for(PriceBook(book=document.book))
    if as_json:
        from drainwright.results import plain

        emit(
            {
                "ok": True, "errors": [], "name": document.book.name, "prices": len(document.book.items),
                "rates": len(document.book.rates), "invented_shares": whole.invented_shares,
                "invented_rates": list(other_rates(PriceBook(book=document.book))),
                "invented_prices": [key for key, item in whole.items.items() if item.invented],
                "missing_shares": list(missing_shares(PriceBook(book=document.book))),
                "learnt": [one.id for one in document.book.learnt],
                "too_old": plain(too_old(whole, document.book.items, day)),
                "odd_sizes": plain(odd_sizes(whole, document.book.items)),
            }
        )  # fmt: skip
        return
    from drainwright.terminal_book import show_book

    show_book(document, whole, day)


@book.command("schema", epilog="Example: drainwright book schema > prices.schema.json")
def book_schema_() -> None:
    """Print the JSON Schema of the price book."""
    from drainwright.job.schema import book_schema

    emit(book_schema())


@book.command("export", epilog="Example: drainwright book export prices.yaml --to prices.csv")
def export_book(
    path: BookFile, to: Annotated[Path | None, typer.Option(help="file to write; left out: printed")] = None
) -> None:
    """Write every price as CSV: key, description, unit, price, dated, source."""
    from drainwright.job.book_csv import prices_csv

    text = prices_csv(_read_book(path, False).book)
    if to is None:
        typer.echo(text, nl=False)
        return
    _save(to, text)
    typer.echo(f"Wrote {to}")


@book.command("import", epilog="Example: drainwright book import prices.yaml quote.csv")
def import_book(
    path: BookFile,
    table: Annotated[Path, typer.Argument(help="prices (CSV with the columns of 'book export')", show_default=False)],
    on: Annotated[
        str | None, typer.Option("--on", help="the day of every changed price that has no new date of its own")
    ] = None,
    source: Annotated[
        str, typer.Option("--source", help="whose prices they are, where a changed row does not say it itself")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Take prices from a CSV table into the book; all other lines stay as they were typed."""
    from drainwright.build.book import book_for
    from drainwright.build.sizes import odd_prices
    from drainwright.errors import JobError
    from drainwright.job.book_csv import price_edits
    from drainwright.job.book_text import with_entries
    from drainwright.job.firm import PriceBook
    from drainwright.job.loading import decode, read_bytes

    document = _read_book(path, as_json)
    day = None if on is None else _day(on)
    try:
        text = decode(read_bytes(table, "a table of prices (.csv)"), str(table))
        edits = price_edits(document, text, str(table), on=day, source=source)
        changed, _ = with_entries(document, edits)
    except JobError as error:
        refuse(error.problems, as_json)
    if edits:
        _save_book(path, document, changed.text, as_json)
    odd = tuple(odd_prices(book_for(PriceBook(book=changed.book)), (edit.key for edit in edits)))
    if as_json:
        from drainwright.results import plain

        emit({"ok": True, "changed": [edit.key for edit in edits], "odd_sizes": plain(odd)})
        return
    many = "1 price" if len(edits) == 1 else f"{len(edits)} prices"
    typer.echo(f"{many} changed in {path}" if edits else f"Every price of {table} stands in {path} already")
    if odd:
        from drainwright.terminal_book import show_odd

        show_odd(changed, odd)


@book.command("undo", epilog="Example: drainwright book undo prices.yaml")
def undo_book(
    path: BookFile,
    wanted: Annotated[str | None, typer.Option("--id", help="of the learning; left out: the last")] = None,
    as_json: AsJson = False,
) -> None:
    """Take the last learning back: every entry that it changed is as it was, to the letter."""
    from drainwright.errors import JobError
    from drainwright.job.book_text import undone

    document = _read_book(path, as_json)
    try:
        before, learning = undone(document, wanted)
    except JobError as error:
        refuse(error.problems, as_json)
    _save_book(path, document, before.text, as_json)
    if as_json:
        emit({"ok": True, "undone": learning.id, "changed": [one.key for one in learning.changes]})
        return
    from drainwright.terminal_book import show_undone

    show_undone(learning, path)


@app.command(epilog="Example: drainwright actuals examples/block-wall-house/job.yaml actuals.yaml --to beside.xlsx")
def actuals(
    job: JobFile,
    taken: ActualsFile,
    to: Annotated[Path | None, typer.Option(help="also write the lines to this file (.csv or .xlsx)")] = None,
    as_json: AsJson = False,
) -> None:
    """Hold what a job really took against its plan, takeoff and price, line by line."""
    from drainwright.build.book import book_for
    from drainwright.errors import JobError
    from drainwright.learning.compare import compared

    if to is not None and to.suffix.lower() not in (".csv", ".xlsx"):
        wrong(f"--to: found {str(to)!r}; expected a name that ends in .csv or .xlsx")
    noted = _read_actuals(taken, as_json)
    document = read(job, as_json)
    result = designed(document, as_json)
    try:
        found = compared(result.job, result.build, book_for(result.job.price_book), noted)
    except JobError as error:
        refuse(error.problems, as_json)
    if to is not None:
        from drainwright.paper.actuals_files import comparison_file
        from drainwright.paper.documents.writing import write_all

        try:
            write_all(to.parent, {to.name: comparison_file(found, to.suffix.lower())})
        except OSError as error:
            wrong(f"{to}: {error.strerror}. Nothing was written.")
    if as_json:
        from drainwright.results import plain

        sums = ("planned_hours", "taken_hours", "planned_cost", "taken_cost", "difference", "untold_cost")
        emit({**plain(found), **{name: plain(getattr(found, name)) for name in sums}})
        return
    from drainwright.terminal_book import show_comparison

    show_comparison(found, to)


@app.command(epilog="Example: drainwright learn prices.yaml my-job.yaml actuals.yaml --dry-run")
def learn(
    path: BookFile,
    job: JobFile,
    taken: ActualsFile,
    take: Take = None,
    on: Dated = None,
    dry: Annotated[bool, typer.Option("--dry-run", help="say what would be learnt, and write nothing")] = False,
    as_json: AsJson = False,
) -> None:
    """Learn from a done job: rates drawn towards what was seen, prices as last paid; all of it can be undone."""
    from drainwright.errors import JobError
    from drainwright.learning.learn import learn as learnt

    day = _day(on)
    prices, noted = _read_book(path, as_json), _read_actuals(taken, as_json)
    document = read(job, as_json)
    with stages(document, as_json), hushed():
        try:
            found = learnt(prices, document.job, noted, day, tuple(take or ()))
        except JobError as error:
            if any(problem.file for problem in error.problems):
                refuse(error.problems, as_json)
            raise
    if not dry and found.learning.changes:
        _save_book(path, prices, found.document.text, as_json)
    if as_json:
        emit(
            {"ok": True, "written": not dry and bool(found.learning.changes), **found.learning.model_dump(mode="json")}
        )
        return
    from drainwright.terminal_book import show_learnt

    show_learnt(found, path, dry=dry)
