"""The format of a store: which one it has, and the steps up and down."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import sqlalchemy as sa

from drainwright.office.store.errors import StoreError

FOLDER = Path(__file__).parent / "migrations"
_LOCK = 0x44574B53  # one at a time, of all that open a PostgreSQL store


def make_current(engine: sa.Engine) -> None:
    """Bring a store to the newest format that this program knows; an empty database becomes a store.

    Raises
    ------
    StoreError
        If the database holds something else, or a newer Drainwright wrote it.
    """
    with engine.connect() as connection:
        if _checked_format(connection) == formats()[-1]:
            return
    move(engine, formats()[-1])


def move(engine: sa.Engine, to: str) -> None:
    """Take a store up or down to a format, all the way or not at all.

    Parameters
    ----------
    engine : Engine
        Of the database.
    to : str
        One of ``formats()``.

    Raises
    ------
    StoreError
        If there is no such format, the database holds something else, or a newer Drainwright wrote it.
    """
    from alembic import command

    known = formats()
    if to not in known:
        raise StoreError(f"format: found {to!r}; expected one of {', '.join(known)}")
    with engine.execution_options(writer=True).begin() as connection:
        if engine.dialect.name == "postgresql":
            connection.execute(sa.text("SELECT pg_advisory_xact_lock(:lock)"), {"lock": _LOCK})
        found = _checked_format(connection)
        config = _config()
        config.attributes["connection"] = connection
        if found is None or known.index(found) < known.index(to):
            command.upgrade(config, to)
        elif found != to:
            command.downgrade(config, to)


def format_of(engine: sa.Engine) -> str | None:
    """The format of a store; None for an empty database.

    Raises
    ------
    StoreError
        If the database holds something else, or a newer Drainwright wrote it.
    """
    with engine.connect() as connection:
        return _checked_format(connection)


def formats() -> list[str]:
    """All formats that this program knows, the oldest first."""
    from alembic.script import ScriptDirectory

    return [step.revision for step in ScriptDirectory.from_config(_config()).walk_revisions()][::-1]


def _checked_format(connection: sa.Connection) -> str | None:
    from alembic.migration import MigrationContext

    found = MigrationContext.configure(connection).get_current_revision()
    if found is None and (tables := sa.inspect(connection).get_table_names()):
        raise StoreError(f"store: found a database with other tables ({', '.join(sorted(tables)[:3])}); expected a "
                         "store, or an empty database")  # fmt: skip
    known = formats()
    if found is not None and found not in known:
        raise StoreError(f"store: found format {found}; expected at most {known[-1]}: a newer Drainwright wrote it, "
                         "update this one to open it")  # fmt: skip
    return found


def _config() -> Any:
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(FOLDER).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


__all__ = ["format_of", "formats", "make_current", "move"]
