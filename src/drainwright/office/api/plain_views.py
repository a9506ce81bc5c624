"""What the API asks of a design, as plain data: each a function of a module, so that a worker finds it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from functools import partial
from typing import Any

from drainwright.design import Design
from drainwright.errors import InputError, JobError
from drainwright.results import design_to_plain, plain


def summary(design: Design) -> dict[str, Any]:
    """What the first page tells."""
    from drainwright.office.views.first import first

    price = design.build.price
    told: dict[str, Any] = plain(first(design))
    return {**told, "total": str(price.total), "currency": price.currency, "working_days": design.build.plan.days}


def results(design: Design) -> dict[str, Any]:
    """Every result, in SI."""
    return design_to_plain(design)


def findings(design: Design) -> list[Any]:
    """All checks, also those that came out well."""
    found: list[Any] = plain(design.findings)
    return found


def answers(reader: str) -> partial[list[Any]]:
    """The view of the questions and answers, as one reader is told them."""
    return partial(_answers, reader=reader)


def _answers(design: Design, *, reader: str) -> list[Any]:
    from drainwright.paper.documents.told import crew_answers, customer_answers

    told = {"office": lambda one: one.answers, "customer": customer_answers, "crew": crew_answers}[reader]
    found: list[Any] = plain(told(design))
    return found


def storm(design: Design) -> list[dict[str, Any]]:
    """The cases of the storm test, without what they hold at each moment."""
    return [{name: value for name, value in plain(case).items() if not _long(value)} for case in design.storm.every]


def _long(value: Any) -> bool:
    """Whether a value is a series."""
    if isinstance(value, dict):
        return any(_long(one) for one in value.values())
    return isinstance(value, list) and (len(value) > 100 or any(_long(one) for one in value))


def storm_case(key: str) -> partial[dict[str, Any] | None]:
    """The view of one case with what would prevent its harm; None where there is none of that key."""
    return partial(_storm_case, key=key)


def _storm_case(design: Design, *, key: str) -> dict[str, Any] | None:
    from drainwright.design import remedies

    case = next((one for one in design.storm.every if one.key == key), None)
    return None if case is None else {"case": plain(case), "remedies": plain(remedies(design, key))}


def options(design: Design) -> dict[str, Any]:
    """The options of the offer, each designed."""
    from drainwright.offer import cheaper_basins
    from drainwright.offer import options as offered

    found = offered(design)
    return {
        "standing": plain(found.standing),
        "currency": design.build.price.currency,
        "packages": [
            {
                "key": one.key, "title": one.title, "words": one.words, "role": one.role, "holds": plain(one.holds),
                "changes": plain(dict(one.changes)), "total": plain(one.total), "sound": one.design.sound,
                "days": one.design.build.plan.days, "buys": plain(one.buys), "difference": plain(one.difference),
            }
            for one in found.every
        ],
        "refused": plain(found.refused),
        "cheaper_basins": plain(cheaper_basins(design)),
    }  # fmt: skip


def schemes(redraw: bool) -> partial[dict[str, Any]]:
    """The view of the schemes side by side."""
    return partial(_schemes, redraw=redraw)


def _schemes(design: Design, *, redraw: bool) -> dict[str, Any]:
    from drainwright.schemes import schemes as compared

    found = compared(design.job, redraw=redraw)
    return {
        "schemes": [
            {
                "key": one.key, "title": one.title, "summary": one.summary, "pros": plain(one.pros),
                "cons": plain(one.cons), "asks": plain(one.asks), "comparison": plain(one.comparison),
                "sound": one.design.sound, "works": one.works, "fault": one.fault, "helps": one.helps,
            }
            for one in found.schemes
        ],
        "how": found.how, "common": plain(found.common), "missing": plain(found.missing),
        "rankings": plain(found.rankings), "verdict": found.verdict, "notes": plain(found.notes),
    }  # fmt: skip


def changed(changes: Mapping[str, Any]) -> partial[dict[str, Any]]:
    """The view of what changes by dotted key come to."""
    return partial(_changed, changes=tuple(changes.items()))


def _changed(design: Design, *, changes: tuple[tuple[str, Any], ...]) -> dict[str, Any]:
    from drainwright.offer import what_if

    found: dict[str, Any] = plain(what_if(design, dict(changes))[1])
    return found


def paper_names(design: Design) -> list[str]:
    """The file names of all that is handed over."""
    from drainwright.office.views.drawings import sheets
    from drainwright.office.views.papers import NAMES

    more = [] if design.job.crew.start is None else ["reminders.ics"]
    return [*NAMES, *(f"{name}.svg" for name in sheets(design)), *more]


def days(design: Design) -> list[str]:
    """The crew's working days; none where no first day is set."""
    return [one.isoformat() for one in design.build.plan.dates]


def acceptance_of(by: str, on: str, chosen: tuple[str, ...], demonstration: bool) -> partial[dict[str, Any]]:
    """The view of what is accepted: the record, or why not."""
    return partial(_acceptance, by=by, on=on, chosen=chosen, demonstration=demonstration)


def _acceptance(
    design: Design, *, by: str, on: str, chosen: tuple[str, ...], demonstration: bool
) -> dict[str, Any]:  # fmt: skip
    from drainwright.offer import options as offered
    from drainwright.offer.record import acceptance, failing_words

    if not design.sound:
        return {"refused": f"found checks that fail ({failing_words(design)}); expected a design that may be signed"}
    found = offered(design) if design.job.offer.options else None
    try:
        day = datetime.date.fromisoformat(on)
        record = acceptance(design, found, by=by, on=day, chosen=chosen, signed=b"", demonstration=demonstration)
        return {"record": record}
    except InputError as error:
        return {"refused": str(error)}


def compared(text: str) -> partial[dict[str, Any]]:
    """The view that holds what a job took against its plan."""
    return partial(_compared, text=text)


def _compared(design: Design, *, text: str) -> dict[str, Any]:
    from drainwright.build.book import book_for
    from drainwright.job.actuals import read_actuals_text
    from drainwright.learning.compare import compared as held

    try:
        found = held(design.job, design.build, book_for(design.job.price_book), read_actuals_text(text))
    except JobError as error:
        return {"problems": plain(error.problems)}
    sums = ("planned_hours", "taken_hours", "planned_cost", "taken_cost", "difference", "untold_cost")
    return {**plain(found), **{name: plain(getattr(found, name)) for name in sums}}


__all__ = [
    "acceptance_of", "answers", "changed", "compared", "days", "findings", "options", "paper_names", "results",
    "schemes", "storm", "storm_case", "summary",
]  # fmt: skip
