"""What a job took, as its actuals are kept: read, saved on what they were made of, without prices for a crew."""

from __future__ import annotations

import json
from collections.abc import Iterator

from drainwright.job.actuals import Actuals, read_actuals_text
from drainwright.office.people.roles import Act, may
from drainwright.office.store.books import TAKEN, save_the_book, the_book
from drainwright.office.store.jobs import job
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.who import Who


def taken(store: Store, firm: str, id: str) -> BookRevision | None:
    """The newest actuals of a job; None where nothing is noted.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    job(store, firm, id)
    return the_book(store, firm, TAKEN, id)


def reads_prices(who: Who) -> bool:
    """Whether somebody may read what things cost."""
    return may(who.role, Act.BOOK, who.scope)


def told(who: Who, kept: BookRevision | None) -> str:
    """The actuals as somebody may read them: without purchases for who may not read prices."""
    if kept is None or reads_prices(who):
        return kept.text if kept else ""
    return written(read_actuals_text(kept.text).actuals.model_copy(update={"purchases": ()}))


def keep(store: Store, who: Who, id: str, base: int, text: str) -> BookRevision:
    """Save the actuals of a job; of who may not read prices, the purchases stay as they were.

    Raises
    ------
    JobError
        If the text is no actuals.
    NotThereError
        If the firm has no such job.
    StaleBook
        If another revision came between.
    """
    kept = taken(store, who.firm, id)
    if not reads_prices(who):
        before = read_actuals_text(kept.text).actuals.purchases if kept else ()
        actuals = read_actuals_text(text).actuals.model_copy(update={"purchases": before})
        text = written(actuals)
    read_actuals_text(text)
    return save_the_book(store, who.firm, TAKEN, base, text, who.name, "what the job took", name=id)


def written(actuals: Actuals) -> str:
    """Actuals as a document, a line for each row."""
    return "".join(_lines(actuals))


def _lines(actuals: Actuals) -> Iterator[str]:
    record = actuals.model_dump(mode="json", exclude_defaults=True)
    for name, value in ({"schema_version": 1} | record).items():
        if isinstance(value, list):
            yield f"{name}:\n"
            for row in value:
                yield f"  - {json.dumps(row, ensure_ascii=False)}\n"
        else:
            yield f"{name}: {json.dumps(value, ensure_ascii=False)}\n"


__all__ = ["keep", "reads_prices", "taken", "told", "written"]
