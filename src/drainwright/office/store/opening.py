"""Open a store: a database by its address, brought up to date."""

from __future__ import annotations

import os
import sqlite3
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import sqlalchemy as sa
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, OperationalError
from sqlalchemy.orm import Session

from drainwright.office.store import upgrading
from drainwright.office.store.errors import StoreError

WAIT = 30  # for another writer of a file [s]


@dataclass(frozen=True, slots=True)
class Store:
    """An open store; the functions of this package take it first, and the firm's id next."""

    engine: sa.Engine

    @property
    def is_file(self) -> bool:
        """Whether it is a SQLite file."""
        return self.engine.dialect.name == "sqlite"

    @contextmanager
    def reading(self) -> Iterator[Session]:
        """A session that sees one state of the store throughout."""
        options = {} if self.is_file else {"isolation_level": "REPEATABLE READ"}
        with _busy(), Session(self.engine.execution_options(**options)) as session, session.begin():
            yield session

    @contextmanager
    def writing(self) -> Iterator[Session]:
        """A session whose changes are kept when it ends well, all of them or none."""
        with _busy(), Session(self.engine.execution_options(writer=True)) as session, session.begin():
            yield session

    def close(self) -> None:
        """Let go of the database."""
        self.engine.dispose()


def open_store(url: str) -> Store:
    """The store at an address, made or brought up to date where it needs it.

    Parameters
    ----------
    url : str
        ``sqlite:///path/to/store.sqlite`` or ``postgresql+psycopg://person@host/database``.

    Returns
    -------
    Store
        Ready to be used by several threads at once.

    Raises
    ------
    StoreError
        If the address leads to no such database, to one of something else, or to a store of a newer Drainwright.
    """
    store = connected(url)
    try:
        with _busy():
            upgrading.make_current(store.engine)
    except BaseException:
        store.close()
        raise
    return store


def connected(url: str) -> Store:
    """The store at an address as it stands.

    Raises
    ------
    StoreError
        If it is no address of a database that can hold one.
    """
    try:
        address = sa.make_url(url)
    except ArgumentError:
        raise StoreError(f"store: found {url!r}; expected sqlite:///FILE or postgresql+psycopg://...") from None
    if address.get_backend_name() not in ("sqlite", "postgresql"):
        raise StoreError(f"store: found {address.drivername!r}; expected sqlite or postgresql+psycopg")
    try:
        if address.get_backend_name() == "postgresql":
            return Store(sa.create_engine(address, pool_pre_ping=True))
        return Store(_file_engine(address))
    except (ImportError, NoSuchModuleError) as error:
        raise StoreError(f"store: found no driver ({error}); expected the extra 'drainwright[postgres]'") from None


def _file_engine(address: sa.URL) -> sa.Engine:
    if not address.database or address.database == ":memory:":
        raise StoreError("store: found no file; expected sqlite:///FILE")
    path = Path(address.database)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_RDWR, 0o600))  # for its owner alone
    except OSError as error:
        raise StoreError(f"{path}: found {error.strerror}; expected a file that can be written") from None
    engine = sa.create_engine(address, connect_args={"timeout": WAIT})

    @sa.event.listens_for(engine, "connect")
    def _set_up(connection: Any, _: Any) -> None:
        connection.isolation_level = None  # transactions are begun below, not by the driver
        _write_ahead(connection)
        for pragma in ("synchronous = FULL", "foreign_keys = ON", "trusted_schema = OFF"):
            connection.execute(f"PRAGMA {pragma}").close()

    @sa.event.listens_for(engine, "begin")
    def _begin(connection: sa.Connection) -> None:
        writer = connection.get_execution_options().get("writer", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writer else "BEGIN")

    return engine


def _write_ahead(connection: Any) -> None:
    """Set a file's journal, waiting for others that open it: SQLite does not wait by itself at this change."""
    until = time.monotonic() + WAIT
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL").close()
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.01)


@contextmanager
def _busy() -> Iterator[None]:
    """Tell in plain words that a database is not there, is none, or is held by another."""
    try:
        yield
    except OperationalError as error:
        raise StoreError(f"store: found '{_first(error)}'; expected a database that answers; nothing changed") from None
    except DBAPIError as error:
        if "not a database" in str(error.orig):
            raise StoreError("store: found a file of another kind; expected a store") from None
        raise


def _first(error: DBAPIError) -> str:
    return str(error.orig).strip().splitlines()[0]


def default_url() -> str:
    """Where a person's own store is: in the folder for data that the system gives them."""
    given = os.environ.get("DRAINWRIGHT_STORE")
    if given:
        return given
    home = Path.home()
    if sys.platform == "darwin":
        folder = home / "Library" / "Application Support"
    elif sys.platform == "win32":
        folder = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    else:
        folder = Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share")
    return f"sqlite:///{folder / 'drainwright' / 'store.sqlite'}"


__all__ = ["Store", "connected", "default_url", "open_store"]
