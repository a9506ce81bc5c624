"""Backups: a whole store as one SQLite file, whatever database it is in, and put back into either."""

from __future__ import annotations

import os
import sqlite3
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import sqlalchemy as sa

from drainwright.office.store import upgrading
from drainwright.office.store.editing import sha256
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store, open_store
from drainwright.office.store.tables import Base, BookRevisionRow, ContentRow, RevisionRow

_AT_ONCE = 200  # rows
_CONTENTS_AT_ONCE = 4
_DIGESTED = {RevisionRow.__tablename__: "text", BookRevisionRow.__tablename__: "text", ContentRow.__tablename__: "data"}


def back_up(store: Store, path: Path) -> Mapping[str, int]:
    """Write a store into one file, as it stands at one moment, while others go on working in it.

    Parameters
    ----------
    store : Store
        What to keep.
    path : Path
        A SQLite file to be made; it is there whole or not at all.

    Returns
    -------
    mapping of str to int
        How many rows of each table it has.

    Raises
    ------
    StoreError
        If there is such a file already, or it cannot be written.
    """
    if path.exists():
        raise StoreError(f"{path}: found a file of that name; expected a new one")
    handle, part = _beside(path)
    os.close(handle)
    try:
        if store.is_file:
            _copy_file(store, Path(part))
        else:
            _copy_rows(store, Path(part))
        counts = checked(Path(part))
        try:
            os.link(part, path)  # fails where somebody was quicker, unlike a renaming
        except OSError as error:
            raise StoreError(f"{path}: found {error.strerror}; expected a new file that can be written") from None
        return counts
    finally:
        for leftover in (part, f"{part}-wal", f"{part}-shm"):
            Path(leftover).unlink(missing_ok=True)


def put_back(path: Path, url: str) -> Mapping[str, int]:
    """Put a backup into an empty database, SQLite or PostgreSQL, all of it or nothing.

    Parameters
    ----------
    path : Path
        What ``back_up`` wrote; it is left as it is.
    url : str
        Address of the database.

    Returns
    -------
    mapping of str to int
        How many rows of each table were put back.

    Raises
    ------
    StoreError
        If the file is no whole backup, or the store has something in it already.
    """
    if not path.is_file():
        raise StoreError(f"{path}: found no such file; expected a backup")
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "backup.sqlite"
        _copied(path, copy)
        checked(copy, whole=False)
        source = open_store(f"sqlite:///{copy}")  # of an older Drainwright: the copy is brought up to date
        try:
            counts = checked(copy)
            target = open_store(url)
            try:
                with source.engine.connect() as old, target.engine.execution_options(writer=True).begin() as new:
                    if any(_count(new, table) for table in Base.metadata.sorted_tables):
                        raise StoreError("store: found one with something in it; expected an empty one: nothing is "
                                         "ever written over")  # fmt: skip
                    _insert_all(old, new)
            finally:
                target.close()
        finally:
            source.close()
    return counts


def checked(path: Path, *, whole: bool = True) -> Mapping[str, int]:
    """The number of rows of each table of a backup, every text and content held against its digest.

    Parameters
    ----------
    path : Path
        The file.
    whole : bool
        Whether it is in the newest format; if not, only what any format has is looked at.

    Raises
    ------
    StoreError
        If the file is no whole backup.
    """
    try:
        plain = _only_read(path)
        try:
            told = [row[0] for row in plain.execute("PRAGMA integrity_check(3)")]
            strays = plain.execute("PRAGMA foreign_key_check").fetchall()
        finally:
            plain.close()
    except sqlite3.Error as error:
        raise StoreError(f"{path}: found '{error}'; expected a backup of a store") from None
    if told != ["ok"] or strays:
        raise StoreError(f"{path}: found damage ({'; '.join(map(str, told + strays))[:200]}); expected a whole backup")
    engine = sa.create_engine("sqlite://", creator=lambda: _only_read(path), poolclass=sa.NullPool)
    if upgrading.format_of(engine) is None:
        raise StoreError(f"{path}: found an empty database; expected a backup of a store")
    if not whole:
        return {}
    with engine.connect() as connection:
        for name, column in _DIGESTED.items():
            _digests(connection, Base.metadata.tables[name], column, path)
        return {table.name: _count(connection, table) for table in Base.metadata.sorted_tables}


def _only_read(path: Path) -> sqlite3.Connection:
    return sqlite3.connect(f"file:{path.absolute().as_posix()}?mode=ro", uri=True)


def _beside(path: Path) -> tuple[int, str]:
    try:
        return tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    except OSError as error:
        raise StoreError(f"{path}: found {error.strerror}; expected a new file that can be written") from None


def _copy_file(store: Store, path: Path) -> None:
    """By SQLite's own online backup: one state of the file, whatever is written meanwhile."""
    source = store.engine.raw_connection()
    try:
        driver: Any = source.driver_connection
        target = sqlite3.connect(path)
        try:
            driver.backup(target)
            target.execute("PRAGMA journal_mode = DELETE").close()
        finally:
            target.close()
    finally:
        source.close()


def _copied(path: Path, copy: Path) -> None:
    try:
        source = _only_read(path)
        target = sqlite3.connect(copy)
        try:
            source.backup(target)
        finally:
            source.close()
            target.close()
    except sqlite3.Error as error:
        raise StoreError(f"{path}: found '{error}'; expected a backup of a store") from None


def _copy_rows(store: Store, path: Path) -> None:
    """Row by row, from one state of the store."""
    target = open_store(f"sqlite:///{path}")
    try:
        with store.reading() as session, target.engine.execution_options(writer=True).begin() as new:
            _insert_all(session.connection(), new)
        with target.engine.connect() as connection:
            connection.exec_driver_sql("COMMIT")  # a journal mode is set outside of transactions
            connection.exec_driver_sql("PRAGMA journal_mode = DELETE")
            connection.exec_driver_sql("BEGIN")
    finally:
        target.close()


def _insert_all(old: sa.Connection, new: sa.Connection) -> None:
    for table in Base.metadata.sorted_tables:
        many = _CONTENTS_AT_ONCE if table.name == ContentRow.__tablename__ else _AT_ONCE
        rows = old.execution_options(yield_per=many).execute(sa.select(table)).mappings()
        for part in rows.partitions(many):
            new.execute(sa.insert(table), [dict(row) for row in part])


def _digests(connection: sa.Connection, table: sa.Table, column: str, path: Path) -> None:
    rows = connection.execution_options(yield_per=_CONTENTS_AT_ONCE).execute(sa.select(table.c.sha256, table.c[column]))
    for digest, content in rows:
        if sha256(content) != digest:
            raise StoreError(f"{path}: found a {table.name} that does not bear its digest; expected a whole backup")


def _count(connection: sa.Connection, table: sa.Table) -> int:
    return connection.scalar(sa.select(sa.func.count()).select_from(table)) or 0


__all__ = ["back_up", "checked", "put_back"]
