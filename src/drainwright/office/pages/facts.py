"""Forms for the parts of a job that are neither measured in the yard nor drawn on the plan."""

from __future__ import annotations

import math
import uuid
from collections.abc import Mapping
from dataclasses import replace
from typing import Annotated, Any, NamedTuple

from fastapi import APIRouter, Depends, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import InputError, JobError, Problem
from drainwright.office.facts.filled import Edit, edits_of, only_changed
from drainwright.office.facts.model import BASES, TIMES
from drainwright.office.facts.sheets import SHEETS, nodes_on
from drainwright.office.facts.shown import Told, shown
from drainwright.office.facts.spoken import spoken, title_of, told_apart
from drainwright.office.pages.document import problems_of
from drainwright.office.pages.fields import Form, Sent, first_told
from drainwright.office.pages.history import value_words
from drainwright.office.pages.job_frame import At, at_job, job_page
from drainwright.office.people.unpriced import sees_prices
from drainwright.office.plan.bare import known_points
from drainwright.office.questions import question_on
from drainwright.office.rain import ReadBack, bring, read_back
from drainwright.office.store import editing, revisions
from drainwright.office.store.comparing import reached
from drainwright.office.store.editing import operated, perform, said
from drainwright.office.store.errors import Conflict, StoreError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Revision
from drainwright.office.who import Asker, OpenStore, Who, store_of
from drainwright.quantities import convert, write

YEAR = TIMES[0][0]


class RainFile(NamedTuple):
    """The rain file that a job names, in words."""

    read: ReadBack
    periods: list[str]
    rows: list[tuple[str, list[str]]]


router = APIRouter(prefix="/jobs/{job}/facts", default_response_class=HTMLResponse, include_in_schema=False)
AtJob = Annotated[At, Depends(at_job)]


@router.get("")
def overview(at: AtJob) -> Response:
    """Every form, with what is still missing on it; and what is missing elsewhere."""
    record = said(at.now.text)
    missing = [spoken(one, record) for one in told_apart(problems_of(at.question))]
    counts = {name: sum(one.page.partition("#")[0] == f"facts/{name}" for one in missing) for name in SHEETS}
    return job_page(at, "facts", "facts.html", sheets=SHEETS.values(), missing=missing, counts=counts)


@router.get("/{sheet}")
def form_page(at: AtJob, sheet: str, saved: int | None = None) -> Response:
    """A form as the newest revision fills it."""
    _known(sheet)
    told = Told(record=said(at.now.text), texts={}, problems=problems_of(at.question), units=_units(at.now.text))
    return _page(at, sheet, told, base=at.now.number, saved=saved)


@router.post("/rain/file")
def bring_rain(at: AtJob, who: Asker, store: OpenStore, form: Form) -> Response:
    """Take in a rain table as a file; what cannot be read of it is told with its line and column."""
    brought = form.files.get("file")
    if brought is None:
        return _rain(at, "Found no file; expected a table of depths (.csv).")
    try:
        made = bring(store, who.firm, at.job.id, brought.name, brought.content, who.name)
    except JobError as error:
        return _rain(at, first_told(error))
    return RedirectResponse(f"{at.way}/facts/rain?saved={made.number}", 303)


def _rain(at: At, amiss: str) -> Response:
    """The form of the rain with what is wrong with the file that came."""
    told = Told(record=said(at.now.text), texts={}, problems=problems_of(at.question), units=_units(at.now.text))
    return _page(at, "rain", told, 422, base=at.now.number, file_amiss=amiss)


@router.post("/{sheet}")
def save(request: Request, at: AtJob, who: Asker, store: OpenStore, sheet: str, form: Form) -> Response:
    """Save what was changed on a form; where somebody else changed the same, both are shown and nothing is lost."""
    _known(sheet)
    before = revisions.revision(store, who.firm, at.job.id, form.number("base"))
    nodes, old = nodes_on(sheet, sees_prices(request)), said(before.text)
    edits = edits_of(nodes, old, form.texts)
    if not edits:
        return RedirectResponse(f"{at.way}/facts/{sheet}", 303)
    try:
        judged = _judged(store, who, at, before, edits)
        if any(_refuses(one, edits) for one in judged):
            told = Told(record=old, texts=form.texts, problems=judged, units=_units(before.text))
            return _page(at, sheet, told, 422, base=before.number, form=form.text("form"))
        operations = [edit.operation(form.text("form")) for edit in edits]
        words = f"{SHEETS[sheet].title.lower()}: {_changed(edits, old)}"[:400]
        made = revisions.apply(store, who.firm, at.job.id, before.number, operations, who.name, words)
    except Conflict as conflict:
        return _both(request, at, sheet, form, conflict, edits)
    except (InputError, StoreError) as error:
        told = Told(record=old, texts=form.texts, problems=(), units=_units(before.text))
        return _page(at, sheet, told, 422, base=before.number, form=form.text("form"), amiss=f"{error}")
    return RedirectResponse(f"{at.way}/facts/{sheet}?saved={made.number}", 303)


def _known(sheet: str) -> None:
    if sheet not in SHEETS:
        raise HTTPException(404, f"Found {sheet!r}; expected one of {', '.join(SHEETS)}.")


def _judged(store: Store, who: Who, at: At, before: Revision, edits: list[Edit]) -> tuple[Problem, ...]:
    """The faults of the job with what was typed; what is taken out still stands, so that numbers lead to the form."""
    made = [edit.operation("") for edit in edits if edit.last < 2]
    record = said(before.text)
    for one in made:
        perform(record, one)
    return problems_of(question_on(store, who.firm, at.job.id, operated(before.text, made, record)))


def _refuses(problem: Problem, edits: list[Edit]) -> bool:
    """Whether a fault lies in what was typed; that other parts are still missing is no reason."""
    return problem.found != "nothing" and any(
        problem.where == edit.where or problem.where.startswith((f"{edit.where}.", f"{edit.where}["))
        for edit in edits if edit.last < 2
    )  # fmt: skip


def _changed(edits: list[Edit], record: Mapping[str, Any]) -> str:
    words = list(dict.fromkeys(title_of(edit.where, record).rpartition(", ")[2] for edit in edits))
    return ", ".join(words[:4]).lower() + (f" and {len(words) - 4} more" if len(words) > 4 else "")


def _both(request: Request, at: At, sheet: str, form: Sent, conflict: Conflict, edits: list[Edit]) -> Response:
    """The form with what the other saved, and with mine in the entries that I changed."""
    theirs, nodes = said(conflict.theirs.text), nodes_on(sheet, sees_prices(request))
    mine = only_changed(nodes, said(conflict.base.text), form.texts)
    name = conflict.theirs.who or "Somebody"
    notes, both = {}, []
    for edit in edits:
        now = _standing(theirs, edit.path)
        if edit.path in conflict.overlapping:
            notes[edit.path] = f"{name} saved {value_words(now)} meanwhile. Yours stands here: save to keep yours."
            both.append((title_of(edit.where, theirs), value_words(now), value_words(edit.value)))
    problems = problems_of(replace(at.question, text=conflict.theirs.text))
    told = Told(record=theirs, texts=mine, problems=problems, units=_units(conflict.theirs.text), notes=notes)
    return _page(at, sheet, told, 409, base=conflict.theirs.number, both=both, other=name)


def _standing(record: dict[str, Any], path: str) -> Any:
    try:
        return reached(record, editing.settled(record, path))
    except ValueError:
        return None


def _units(text: str) -> Any:
    return "SI" if said(text).get("units") == "SI" else "US"


def _page(
    at: At, sheet: str, told: Told, status: int = 200, *, base: int, form: str = "", saved: int | None = None,
    amiss: str = "", both: list[tuple[str, str, str]] | None = None, other: str = "", file_amiss: str = "",
) -> Response:  # fmt: skip
    names = list(SHEETS)
    told = replace(told, lines=_lengths(told) if sheet == "walls" else {})
    after = names[names.index(sheet) + 1 :][:1]
    return job_page(
        at, "facts", "facts_form.html", status, sheet=SHEETS[sheet], sheets=SHEETS.values(), base=base,
        parts=shown(nodes_on(sheet, sees_prices(at.request)), told), form=form or str(uuid.uuid4()), saved=saved,
        amiss=amiss, both=both or [], other=other, bases=BASES, points=_points(told.record),
        after=SHEETS[after[0]] if after else None, file_amiss=file_amiss, file=_file(at, sheet, told),
    )  # fmt: skip


def _file(at: At, sheet: str, told: Told) -> RainFile | None:
    """The rain file that the job names, as it reads."""
    who = at.request.state.who
    found = read_back(store_of(at.request), who.firm, at.job.id, told.record) if sheet == "rain" else None
    if found is None:
        return None
    return RainFile(
        read=found,
        periods=[f"{years / YEAR:g} years" for years in found.return_periods],
        rows=[(_time(duration), [_depth(one, told.units) for one in depths]) for duration, depths in found.rows],
    )


def _depth(depth: float, units: str) -> str:
    """With the digits that a table has."""
    unit = "in" if units == "US" else "mm"
    return f"{convert(depth, 'length', 'US' if units == 'US' else 'SI', unit):.3g} {unit}"


def _time(seconds: float) -> str:
    size, unit = next((one for one in TIMES if seconds >= one[0]), TIMES[-1])
    return f"{seconds / size:.4g} {unit}"


def _lengths(told: Told) -> dict[str, str]:
    """How long each wall is, where its ends are known."""
    house = told.record.get("house")
    walls = house.get("walls") if isinstance(house, Mapping) else None
    known = known_points(told.record)
    found = {}
    for number, one in enumerate(walls if isinstance(walls, list) else []):
        ends = [known.get(str(one.get(key))) for key in ("from", "to")] if isinstance(one, Mapping) else [None]
        if all(ends):
            length = math.dist(*(end for end in ends if end is not None))
            found[f"house.walls[{number}]"] = write(length, "length", "SI" if told.units == "SI" else "US")
    return found


def _points(record: Mapping[str, Any]) -> list[str]:
    """Names of the measured points."""
    survey = record.get("survey")
    survey = survey if isinstance(survey, Mapping) else {}
    walk = survey.get("perimeter")
    walk = walk if isinstance(walk, Mapping) else {}
    corners = [walk.get("start"), *(leg.get("to") for leg in _records(walk.get("legs")))]
    names = [*corners, *(one.get("name") for one in _records(survey.get("points")))]
    return list(dict.fromkeys(one for one in names if isinstance(one, str)))


def _records(value: object) -> list[Mapping[str, Any]]:
    return [one for one in value if isinstance(one, Mapping)] if isinstance(value, list) else []


__all__ = ["router"]
