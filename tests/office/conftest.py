"""Both databases under the same tests: a SQLite file, and a PostgreSQL server of our own; the app in a browser."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from drainwright.office.app import make_app
from drainwright.office.settings import Settings
from drainwright.office.store.opening import Store, open_store

from .browser import Served, chromium, serving

if TYPE_CHECKING:
    from playwright.sync_api import Browser


def _programs() -> Path | None:
    """The newest PostgreSQL of this machine."""
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"), key=lambda path: float(path.parts[-3]))
    if found:
        return found[-1].parent
    there = shutil.which("initdb")
    return Path(there).parent if there else None


def _as_postgres(*command: object) -> None:
    """Run a program of the server; root may not, and becomes the user postgres for it."""
    before = ["runuser", "-u", "postgres", "--"] if os.geteuid() == 0 else []
    subprocess.run([*before, *map(str, command)], check=True, capture_output=True, cwd="/")


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The address of a server with no database of ours yet, up to the name of one."""
    programs = _programs()
    if programs is None:
        if os.environ.get("DRAINWRIGHT_CI"):
            raise RuntimeError("PostgreSQL is missing: install it where all tests must run")
        pytest.skip("PostgreSQL is not installed on this machine")
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    base = Path(tempfile.mkdtemp(prefix="drainwright-pg-", dir="/tmp"))
    folder = base / "data"
    try:
        if os.geteuid() == 0:
            shutil.chown(base, "postgres", "postgres")
        _as_postgres(
            programs / "initdb", "-D", folder, "-A", "trust", "-U", "planner", "--locale=C.UTF-8", "-E", "UTF8"
        )
        options = f"-c listen_addresses=127.0.0.1 -p {port} -c unix_socket_directories={folder} -c fsync=off"
        _as_postgres(programs / "pg_ctl", "-D", folder, "-w", "-l", folder / "log", "-o", options, "start")
        try:
            yield f"postgresql+psycopg://planner@127.0.0.1:{port}/"
        finally:
            _as_postgres(programs / "pg_ctl", "-D", folder, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(base, ignore_errors=True)


Addresses = Callable[[], str]


@pytest.fixture(params=["sqlite", "postgresql"])
def addresses(request: pytest.FixtureRequest, tmp_path: Path) -> Addresses:
    """Gives the address of an empty database, as often as asked."""
    if request.param == "sqlite":
        return lambda: f"sqlite:///{tmp_path / uuid.uuid4().hex}.sqlite"
    server: str = request.getfixturevalue("server")

    def made() -> str:
        import psycopg

        name = f"t{uuid.uuid4().hex}"
        with psycopg.connect(f"{server.replace('+psycopg', '')}postgres", autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}")
        return server + name

    return made


@pytest.fixture
def url(addresses: Addresses) -> str:
    """The address of an empty database."""
    return addresses()


@pytest.fixture
def store(url: str) -> Iterator[Store]:
    """An empty store."""
    store = open_store(url)
    yield store
    store.close()


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """A browser for the tests of a module."""
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """The app on a store of its own, for the tests of a module."""
    url = f"sqlite:///{tmp_path_factory.mktemp('served') / 'store.sqlite'}"
    open_store(url).close()
    with serving(make_app(Settings(store=url, workers=1))) as found:
        yield found


@pytest.fixture
def kept(served: Served) -> Iterator[Store]:
    """The store of the app that is served."""
    found = open_store(served.app.state.settings.store)
    yield found
    found.close()
