"""How often something may be tried: counted in the store, so that several processes of one office share the count."""

from __future__ import annotations

import datetime
import math

import sqlalchemy as sa

from drainwright.office.store.editing import sha256
from drainwright.office.store.opening import Store
from drainwright.office.store.tables import AttemptRow, now


def tried(store: Store, what: str, most: int, within: datetime.timedelta) -> int:
    """Count one try, and say how long to wait where there were too many.

    Parameters
    ----------
    store : Store
        Where it is counted.
    what : str
        What is tried and by whom, like ``sign in: ash@example.org``; only its digest is kept.
    most : int
        Tries that are allowed in the time.
    within : timedelta
        Counted from the first try; then counting begins anew.

    Returns
    -------
    int
        Seconds to wait; 0 where this try is allowed.
    """
    from sqlalchemy.dialects import postgresql, sqlite

    insert = sqlite.insert if store.is_file else postgresql.insert
    at = now()
    over = AttemptRow.ends <= at
    made = insert(AttemptRow).values(key=sha256(what), count=1, ends=at + within)
    counted = made.on_conflict_do_update(
        index_elements=[AttemptRow.key],
        set_={
            "count": sa.case((over, 1), else_=AttemptRow.count + 1),
            "ends": sa.case((over, made.excluded.ends), else_=AttemptRow.ends),
        },
    ).returning(AttemptRow.count, AttemptRow.ends)
    with store.writing() as session:
        count, ends = session.execute(counted).one()
    if count == 1:
        _forget_old(store, at)
    return 0 if count <= most else max(1, math.ceil((ends - at).total_seconds()))


def forget(store: Store, what: str) -> None:
    """Begin counting anew, as after a sign-in that was right."""
    with store.writing() as session:
        session.execute(sa.delete(AttemptRow).where(AttemptRow.key == sha256(what)))


def _forget_old(store: Store, at: datetime.datetime) -> None:
    """Throw away counts that have run out; those that another process is at are left to it."""
    with store.writing() as session:
        old = sa.select(AttemptRow.key).where(AttemptRow.ends <= at).limit(1000).with_for_update(skip_locked=True)
        session.execute(sa.delete(AttemptRow).where(AttemptRow.key.in_(session.scalars(old).all())))


__all__ = ["forget", "tried"]
