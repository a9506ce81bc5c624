"""Stores are opened, brought up to date and taken back; what is no store is refused."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest
import sqlalchemy as sa

from drainwright.office.store import upgrading
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store, connected, open_store
from drainwright.office.store.tables import Base


def test_the_steps_lead_to_the_tables_that_the_program_uses(store: Store) -> None:
    from alembic.autogenerate import compare_metadata
    from alembic.migration import MigrationContext

    with store.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []


def test_a_store_of_a_newer_program_is_refused(store: Store, url: str) -> None:
    with store.engine.execution_options(writer=True).begin() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(StoreError, match="a newer Drainwright wrote it"):
        open_store(url)


def test_a_database_of_something_else_is_refused(url: str) -> None:
    other = connected(url)
    with other.engine.execution_options(writer=True).begin() as connection:
        connection.execute(sa.text("CREATE TABLE apples (id INTEGER)"))
    with pytest.raises(StoreError, match=r"other tables \(apples\)"):
        open_store(url)
    other.close()


def test_many_open_a_new_store_at_once(url: str) -> None:
    found: list[str | None] = []

    def opened() -> None:
        store = open_store(url)
        found.append(upgrading.format_of(store.engine))
        store.close()

    threads = [threading.Thread(target=opened) for _ in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert found == [upgrading.formats()[-1]] * 6


def test_another_that_writes_a_new_file_is_waited_for(tmp_path: Path) -> None:
    """SQLite itself does not wait where a journal is changed and another holds the file for writing."""
    path = tmp_path / "store.sqlite"
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    threading.Timer(0.3, other.rollback).start()
    store = open_store(f"sqlite:///{path}")
    assert upgrading.format_of(store.engine) == upgrading.formats()[-1]
    store.close()
    other.close()


def test_what_is_no_store_is_told(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("not a database, but long enough to be taken for one\n" * 40)
    for url, words in (
        ("", "sqlite:///FILE"),
        ("mysql://localhost/x", "expected sqlite or postgresql"),
        ("sqlite://", "found no file"),
        (f"sqlite:///{tmp_path / 'notes.txt'}", "a file of another kind"),
        (f"sqlite:///{tmp_path / 'notes.txt' / 'x'}", "expected a file that can be written"),
        ("postgresql+psycopg://planner@127.0.0.1:1/none", "expected a database that answers"),
    ):
        with pytest.raises(StoreError, match=words):
            open_store(url)


def test_a_file_is_its_owner_s_alone_and_kept_with_care(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "store.sqlite"
    store = open_store(f"sqlite:///{path}")
    assert path.stat().st_mode & 0o077 == 0
    with store.engine.connect() as connection:
        told = [
            connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        ]
    assert told == ["wal", 2, 1]
    store.close()
