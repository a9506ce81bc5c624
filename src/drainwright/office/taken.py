"""What a job took, as its actuals are kept: read, saved on what they were made of, without prices for a crew."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass

from drainwright.job.actuals import Actuals, read_actuals_text
from drainwright.office.people.roles import Act, may
from drainwright.office.store.files import ACTUALS, attach, of_kind
from drainwright.office.store.opening import Store
from drainwright.office.who import Who

NAME, YAML = "actuals.yaml", "application/yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What is noted of a job."""

    number: int  # of the saving; 0: nothing was saved ever
    text: str
    who: str


def taken(store: Store, firm: str, id: str) -> Taken | None:
    """The newest actuals of a job; None where nothing is noted.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    number, found, content = of_kind(store, firm, id, ACTUALS)
    return None if found is None else Taken(number=number, text=content.decode("utf-8"), who=found.who)


def reads_prices(who: Who) -> bool:
    """Whether somebody may read what things cost."""
    return may(who.role, Act.PRICES, who.scope)


def told(who: Who, kept: Taken | None) -> str:
    """The actuals as somebody may read them: without purchases for who may not read prices."""
    if kept is None or reads_prices(who):
        return kept.text if kept else ""
    return written(read_actuals_text(kept.text).actuals.model_copy(update={"purchases": ()}))


def keep(store: Store, who: Who, id: str, base: int | None, text: str) -> int:
    """Save the actuals of a job; of who may not read prices, the purchases stay as they were.

    Parameters
    ----------
    store : Store
        Where.
    who : Who
        Saves them.
    id : str
        Of the job.
    base : int, optional
        Number of the saving that the text was made of; left out: whatever stands.
    text : str
        As ``drainwright actuals`` reads it.

    Returns
    -------
    int
        Number of this saving.

    Raises
    ------
    JobError
        If the text is no actuals.
    NotThereError
        If the firm has no such job.
    CameBetween
        If another saving came between.
    """
    kept = taken(store, who.firm, id)
    if not reads_prices(who):
        before = read_actuals_text(kept.text).actuals.purchases if kept else ()
        actuals = read_actuals_text(text).actuals.model_copy(update={"purchases": before})
        text = written(actuals)
    read_actuals_text(text)
    data, told_by = text.encode(), who.name
    attach(store, who.firm, id, data, name=NAME, media_type=YAML, who=told_by, kind=ACTUALS, after=base)
    return of_kind(store, who.firm, id, ACTUALS)[0] if base is None else base + 1


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


__all__ = ["NAME", "YAML", "Taken", "keep", "reads_prices", "taken", "told", "written"]
