"""Commands on the store: backup, restore, its format."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from drainwright.commands.shared import AsJson, Exit, app, emit

store_app = typer.Typer(
    name="store", no_args_is_help=True, rich_markup_mode=None, help="The store of jobs: its format, up and down."
)
app.add_typer(store_app)

StoreUrl = Annotated[
    str | None,
    typer.Option("--store", help="sqlite:///FILE or postgresql+psycopg://...; default: DRAINWRIGHT_STORE, or your own"),
]


@contextmanager
def refusing() -> Iterator[None]:
    """Tell what the store refuses, and stop."""
    from drainwright.office.store.errors import StoreError

    try:
        yield
    except StoreError as error:
        typer.echo(f"{error}.", err=True)
        raise typer.Exit(Exit.WRONG_INPUT) from None


def _address(url: str | None) -> str:
    from drainwright.office.store.opening import default_url

    return url or default_url()


def _there(url: str | None) -> str:
    """The address of a store that must be there already: a file is not made by asking for it."""
    import sqlalchemy as sa

    from drainwright.office.store.errors import StoreError

    address = _address(url)
    if address.startswith("sqlite:"):
        path = Path(sa.make_url(address).database or "")
        if not path.is_file():
            raise StoreError(f"{path}: found no such file; expected a store")
    return address


@app.command(epilog="Example: drainwright backup drainwright-2026-04-02.backup")
def backup(
    file: Annotated[Path, typer.Argument(help="the file to write; never over another", show_default=False)],
    store: StoreUrl = None,
    as_json: AsJson = False,
) -> None:
    """Write the whole store into one file, checked, while others go on working in it."""
    with refusing():
        from drainwright.office.store.backing import back_up
        from drainwright.office.store.opening import open_store

        opened = open_store(_there(store))
        try:
            counts = back_up(opened, file)
        finally:
            opened.close()
    if as_json:
        emit({"ok": True, "file": str(file), "rows": dict(counts)})
        return
    typer.echo(f"Wrote {file}: {_told(counts['job'], 'job')}, {_told(counts['revision'], 'revision')}, "
               f"{_told(counts['content'], 'photo or paper', 'photos and papers')}; every digest holds.")  # fmt: skip


@app.command(epilog="Example: drainwright restore drainwright-2026-04-02.backup --store sqlite:///new.sqlite")
def restore(
    file: Annotated[Path, typer.Argument(help="what 'drainwright backup' wrote", show_default=False)],
    store: StoreUrl = None,
    as_json: AsJson = False,
) -> None:
    """Put a backup into an empty store, in SQLite or PostgreSQL; nothing is ever written over."""
    with refusing():
        from drainwright.office.store.backing import put_back

        counts = put_back(file, _address(store))
    if as_json:
        emit({"ok": True, "file": str(file), "rows": dict(counts)})
        return
    typer.echo(f"Put back {_told(counts['job'], 'job')} with {_told(counts['revision'], 'revision')}.")


@store_app.command("upgrade", epilog="Example: drainwright store upgrade")
def upgrade(store: StoreUrl = None) -> None:
    """Bring a store to the format of this program; opening it does the same."""
    from drainwright.office.store import upgrading

    _moved(store, upgrading.formats()[-1])


@store_app.command("downgrade", epilog="Example: drainwright store downgrade 0001 --give-up")
def downgrade(
    to: Annotated[str, typer.Argument(help="the format to go back to", show_default=False)],
    store: StoreUrl = None,
    give_up: Annotated[bool, typer.Option("--give-up", help="what the older format has no room for is lost")] = False,
) -> None:
    """Take a store back to an older format, for an older program. Make a backup first."""
    if not give_up:
        typer.echo("An older format has no room for all that is kept, and the rest is lost. Make a backup, then say "
                   "--give-up. Nothing was changed.", err=True)  # fmt: skip
        raise typer.Exit(Exit.WRONG_INPUT)
    _moved(store, to)


def _moved(store: str | None, to: str) -> None:
    with refusing():
        from drainwright.office.store import upgrading
        from drainwright.office.store.opening import connected

        opened = connected(_there(store))
        try:
            before = upgrading.format_of(opened.engine)
            upgrading.move(opened.engine, to)
        finally:
            opened.close()
    typer.echo(f"The store has format {to}." if before == to else f"The store went from format {before} to {to}.")


def _told(count: int, one: str, many: str = "") -> str:
    return f"{count} {one if count == 1 else many or f'{one}s'}"


__all__ = ["StoreUrl", "refusing"]
