"""Backups go from either database into either; formats go up and down with all that is in them."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest
import sqlalchemy as sa
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.office.store import backing, diary, files, jobs, revisions, upgrading
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store, connected, open_store
from drainwright.office.store.tables import Base
from tests.office.conftest import Addresses
from tests.office.full import PHOTO, YARD, filled

RUN = CliRunner()


def everything(store: Store) -> dict[str, list[dict[str, object]]]:
    with store.engine.connect() as connection:
        return {
            table.name: sorted((dict(row) for row in connection.execute(sa.select(table)).mappings()), key=str)
            for table in Base.metadata.sorted_tables
        }


@pytest.mark.parametrize("into", ["sqlite", "postgresql"])
def test_a_backup_is_put_back_into_either_database(
    addresses: Addresses, into: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    store = open_store(addresses())
    firm, job = filled(store)
    kept = everything(store)
    assert all(kept.values()), "nothing of each kind would prove nothing"
    path = tmp_path / "store.backup"
    counts = backing.back_up(store, path)
    assert counts == {name: len(rows) for name, rows in kept.items()}
    with pytest.raises(StoreError, match="a file of that name"):
        backing.back_up(store, path)
    before = path.read_bytes()
    url = f"sqlite:///{tmp_path / 'new.sqlite'}"
    if into == "postgresql":
        import uuid

        import psycopg

        server = request.getfixturevalue("server")
        name = f"t{uuid.uuid4().hex}"
        with psycopg.connect(f"{server.replace('+psycopg', '')}postgres", autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}")
        url = server + name
    assert backing.put_back(path, url) == counts
    assert path.read_bytes() == before
    other = open_store(url)
    assert everything(other) == kept
    assert files.content(other, firm, files.attachments(other, firm, job)[0].id) == PHOTO
    assert revisions.save(other, firm, job, 5, YARD, "Ash").number == 6  # work goes on there
    with pytest.raises(StoreError, match="something in it"):
        backing.put_back(path, url)
    store.close()
    other.close()
    assert sorted(one.name for one in tmp_path.glob("*.part*")) == []


def test_a_damaged_backup_is_refused(tmp_path: Path) -> None:
    store = open_store(f"sqlite:///{tmp_path / 'a.sqlite'}")
    filled(store)
    path = tmp_path / "b.backup"
    backing.back_up(store, path)
    store.close()
    good = path.read_bytes()
    for number, (change, words) in enumerate((
        ("UPDATE revision SET text = 'title: x' WHERE number = 1", "does not bear its digest"),
        ("UPDATE content SET data = x'00'", "does not bear its digest"),
        ("DELETE FROM firm", "found damage"),
        ("UPDATE alembic_version SET version_num = '9999'", "a newer Drainwright"),
        ("DROP TABLE alembic_version", "other tables"),
    )):  # fmt: skip
        path.write_bytes(good)
        with sqlite3.connect(path) as connection:
            connection.execute(change)
        connection.close()
        target = tmp_path / f"t{number}.sqlite"
        with pytest.raises(StoreError, match=words):
            backing.put_back(path, f"sqlite:///{target}")
        assert not target.exists()
    for data in (b"", b"no database", good[: len(good) // 2]):
        path.write_bytes(data)
        with pytest.raises(StoreError):
            backing.put_back(path, f"sqlite:///{tmp_path / 't.sqlite'}")
    with pytest.raises(StoreError, match="no such file"):
        backing.put_back(tmp_path / "none", f"sqlite:///{tmp_path / 't.sqlite'}")


def test_a_backup_is_one_moment_while_others_write(store: Store, tmp_path: Path) -> None:
    firm = jobs.add_firm(store, "Example Drainage Company").id
    job = jobs.open_job(store, firm, YARD, "Ash").id
    stop = threading.Event()

    def writer() -> None:
        number = 1
        while not stop.is_set():
            number = revisions.save(store, firm, job, number, f"{YARD}notes: {number}\n", "Ash").number

    thread = threading.Thread(target=writer)
    thread.start()
    try:
        for turn in range(3):
            path = tmp_path / f"{turn}.backup"
            backing.back_up(store, path)
            copy = open_store(f"sqlite:///{path}")
            head = jobs.job(copy, firm, job).head
            assert [one.number for one in revisions.history(copy, firm, job)] == list(range(head, 0, -1))
            copy.close()
    finally:
        stop.set()
        thread.join()


def test_formats_go_up_and_down_with_what_is_in_them(url: str) -> None:
    store = open_store(url)
    firm, job = filled(store)
    kept = everything(store)
    later = {"attempt", "invitation", "operation", "reminder", "token"}
    upgrading.move(store.engine, "0001")
    assert upgrading.format_of(store.engine) == "0001"
    assert later.isdisjoint(sa.inspect(store.engine).get_table_names())
    with store.engine.connect() as connection:
        texts = connection.execute(sa.text("SELECT number, text FROM revision")).all()
    assert sorted(tuple(row) for row in texts) == sorted((row["number"], row["text"]) for row in kept["revision"])
    store.close()
    again = open_store(url)  # brought up by itself
    assert upgrading.format_of(again.engine) == upgrading.formats()[-1]
    found = everything(again)
    for name, rows in kept.items():
        if name in later:
            assert found[name] == []
        elif name == "revision":
            assert found[name] == sorted(({**row, "operations": []} for row in rows), key=str)
        elif name == "person":
            assert any(row["language"] == "es" for row in rows)
            assert found[name] == sorted(({**row, "language": ""} for row in rows), key=str)
        else:
            assert found[name] == rows
    assert revisions.save(again, firm, job, 5, YARD, "Ash").number == 6
    assert diary.reminders(again, firm, job) == ()
    again.close()


def test_a_step_that_fails_leaves_the_store_as_it_was(url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    from alembic import op

    store = open_store(url)
    filled(store)
    upgrading.move(store.engine, "0001")

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("the power went")

    monkeypatch.setattr(op, "add_column", broken)  # the last thing of the second step
    with pytest.raises(RuntimeError):
        upgrading.move(store.engine, "0002")
    monkeypatch.undo()
    assert upgrading.format_of(store.engine) == "0001"
    assert "reminder" not in sa.inspect(store.engine).get_table_names()
    store.close()
    open_store(url).close()


def test_the_commands(addresses: Addresses, tmp_path: Path) -> None:
    url, empty = addresses(), addresses()
    store = open_store(url)
    filled(store)
    store.close()
    path = tmp_path / "jobs.backup"
    told = RUN.invoke(app, ["backup", str(path), "--store", url])
    assert (told.exit_code, told.stdout) == (
        0, f"Wrote {path}: 1 job, 5 revisions, 2 photos and papers; every digest holds.\n"
    )  # fmt: skip
    told = RUN.invoke(app, ["backup", str(path), "--store", url])
    assert (told.exit_code, "a file of that name" in told.stderr) == (2, True)
    told = RUN.invoke(app, ["restore", str(path), "--store", empty])
    assert (told.exit_code, told.stdout) == (0, "Put back 1 job with 5 revisions.\n")
    told = RUN.invoke(app, ["store", "downgrade", "0001", "--store", empty])
    assert (told.exit_code, "--give-up" in told.stderr) == (2, True)
    told = RUN.invoke(app, ["store", "downgrade", "0001", "--give-up", "--store", empty])
    assert (told.exit_code, told.stdout) == (0, "The store went from format 0004 to 0001.\n")
    told = RUN.invoke(app, ["store", "upgrade", "--store", empty])
    assert (told.exit_code, told.stdout) == (0, "The store went from format 0001 to 0004.\n")
    told = RUN.invoke(app, ["store", "downgrade", "7", "--give-up", "--store", empty])
    assert (told.exit_code, "expected one of 0001, 0002, 0003, 0004" in told.stderr) == (2, True)


def test_a_command_makes_no_store_by_asking_for_it(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'none.sqlite'}"
    for words in (["backup", str(tmp_path / "b")], ["store", "upgrade"]):
        told = RUN.invoke(app, [*words, "--store", url])
        assert (told.exit_code, "no such file" in told.stderr) == (2, True)
    assert list(tmp_path.iterdir()) == []


def test_a_person_s_own_store_is_where_the_system_keeps_data(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from drainwright.office.store.opening import default_url

    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.delenv("DRAINWRIGHT_STORE", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert default_url() == f"sqlite:///{tmp_path}/drainwright/store.sqlite"
    monkeypatch.setenv("DRAINWRIGHT_STORE", "sqlite:///x")
    assert default_url() == "sqlite:///x"
    connected(f"sqlite:///{tmp_path / 'a' / 'b.sqlite'}").close()
