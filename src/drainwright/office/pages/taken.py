"""What a job took: hours, loads, purchases and days lost, entered after the work and held against the plan."""

from __future__ import annotations

import datetime
import hashlib
import re
from collections.abc import Iterator
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import JobError, Problem
from drainwright.job.actuals import Actuals, read_actuals_text
from drainwright.job.loading import decode
from drainwright.office.answers.asking import Answered, Refused
from drainwright.office.pages.fields import Faults, Form, Sent, first_told, sentence, told
from drainwright.office.pages.history import attached
from drainwright.office.pages.job_frame import At, asked, at_job, job_page, without_answer
from drainwright.office.store.files import CameBetween
from drainwright.office.taken import Taken, keep, reads_prices, taken, written
from drainwright.office.views.taken import Beside, beside, beside_file
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(prefix="/jobs/{id}/hours", default_response_class=HTMLResponse, include_in_schema=False)

FREE = 4  # rows to fill in, besides those that are filled
MOST_ROWS = 400
PARTS = {  # the rows of the form, with their fields
    "work": ("task", "hours", "day", "done", "what", "note"),
    "purchases": ("item", "what", "quantity", "price", "date", "supplier", "note"),
}
NUMBERS = frozenset({"hours", "done", "quantity"})
_ROW = re.compile(r"(work|purchases):([0-9]{1,3}):([a-z]+)")
_AT = re.compile(r"(work|purchases|weather_days)\[([0-9]+)\](?:\.([a-z]+))?")
TYPES = {
    ".csv": "text/csv; charset=utf-8",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


@router.get("")
async def page_of(request: Request, who: Asker, store: OpenStore, id: str, saved: int | None = None) -> Response:
    """What is noted, rows to note more, and all of it beside the plan."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    kept = await run_in_threadpool(taken, store, who.firm, id)
    return await _page(at, who, kept, Sent(_texts(at, kept), {}), Faults(), saved=saved)


@router.post("")
async def note(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Save what was noted."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    kept = await run_in_threadpool(taken, store, who.firm, id)
    faults = Faults()
    record, rows = _record(at, form, faults)
    if kept is not None:
        before = read_actuals_text(kept.text).actuals
        record |= {"invented": before.invented, "hours_within": before.hours_within}
        if not reads_prices(who):
            record["purchases"] = [one.model_dump(mode="json", exclude_defaults=True) for one in before.purchases]
    if not faults:
        try:
            text = _text(record)
            made = await run_in_threadpool(keep, store, who, id, form.number("base"), text)
            return RedirectResponse(f"/jobs/{id}/hours?saved={made}", 303)
        except JobError as error:
            for one in error.problems:
                faults.add(_field(one, rows), sentence(told(one)))
        except CameBetween as late:
            faults.add("book", f"{late}. Yours is still here: look, and save again.")
            again = Sent({**form.texts, "base": str(late.there)}, {})
            return await _page(at, who, await run_in_threadpool(taken, store, who.firm, id), again, faults, 409)
    return await _page(at, who, kept, form, faults, 422)


@router.post("/file")
async def bring(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Take what the job took from a file, as the command line keeps it."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    kept = await run_in_threadpool(taken, store, who.firm, id)
    faults, brought = Faults(), form.files.get("file")
    if brought is None:
        faults.add("file", "Found no file; expected what the job took (.yaml).")
    else:
        try:
            text = decode(brought.content, brought.name)
            made = await run_in_threadpool(keep, store, who, id, form.number("base"), text)
            return RedirectResponse(f"/jobs/{id}/hours?saved={made}", 303)
        except JobError as error:
            faults.add("file", first_told(error))
        except CameBetween as late:
            faults.add("book", f"{late}. Look, and take the file in again.")
            kept = await run_in_threadpool(taken, store, who.firm, id)
            return await _page(at, who, kept, Sent(_texts(at, kept), {}), faults, 409)
    return await _page(at, who, kept, Sent(_texts(at, kept), {}), faults, 422)


@router.get("/actuals.yaml")
def as_document(who: Asker, store: OpenStore, id: str) -> Response:
    """What is noted, as the command line takes it."""
    kept = taken(store, who.firm, id)
    if kept is None or not reads_prices(who):
        raise HTTPException(404 if kept is None else 403, "Nothing is noted yet." if kept is None else _NO_PRICES)
    return attached(kept.text.encode(), "application/yaml", "actuals.yaml")


@router.get("/beside{ending}")
async def as_table(request: Request, who: Asker, store: OpenStore, id: str, ending: str) -> Response:
    """The comparison as a table."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    kept = await run_in_threadpool(taken, store, who.firm, id)
    if ending not in TYPES or kept is None:
        raise HTTPException(404)
    if not reads_prices(who):
        raise HTTPException(403, _NO_PRICES)
    reply = await asked(at, f"beside{ending} {_digest(kept.text)}", beside_file(kept.text, ending))
    if not isinstance(reply, Answered):
        return without_answer(at, "hours", reply)
    return attached(reply.shown, TYPES[ending], f"beside{ending}")


_NO_PRICES = "It takes leave to see prices, which this role does not give. Ask an owner of the firm."


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _name(at: At) -> str:
    """What a job's actuals call it."""
    return at.job.number or at.job.id


def _texts(at: At, kept: Taken | None) -> dict[str, str]:
    """The form as it stands."""
    if kept is None:
        return {"base": "0", "finished": datetime.date.today().isoformat()}
    actuals = read_actuals_text(kept.text).actuals
    texts = {"base": str(kept.number), "finished": actuals.finished.isoformat(), "notes": actuals.notes}
    texts["loads"] = "" if actuals.loads is None else str(actuals.loads)
    texts["weather_days"] = "\n".join(f"{one.date.isoformat()} {one.what}".strip() for one in actuals.weather_days)
    for part, fields in PARTS.items():
        for number, row in enumerate(getattr(actuals, part)):
            for field in fields:
                value = getattr(row, field)
                if value is not None:
                    texts[f"{part}:{number}:{field}"] = f"{value:g}" if isinstance(value, float) else str(value)
    return texts


def _record(at: At, form: Sent, faults: Faults) -> tuple[dict[str, Any], dict[str, list[int]]]:
    """What was typed as actuals, and which row of the form each entry stands in."""
    record: dict[str, Any] = {"job": _name(at), "finished": form.text("finished"), "notes": form.lines("notes").strip()}
    if loads := form.text("loads"):
        record["loads"] = int(loads) if loads.isascii() and loads.isdigit() and len(loads) < 7 else loads
    record["weather_days"] = [
        {"date": day, "what": what.strip()}
        for day, _, what in (line.strip().partition(" ") for line in form.lines("weather_days").split("\n"))
        if day
    ]
    rows: dict[str, list[int]] = {}
    for part, fields in PARTS.items():
        record[part], rows[part] = [], []
        for number in _numbers(form, part):
            row = {field: form.text(f"{part}:{number}:{field}") for field in fields}
            if any(value for field, value in row.items() if field != "task"):
                record[part].append({field: _value(field, value) for field, value in row.items() if value})
                rows[part].append(number)
                if part == "work" and not row["task"]:
                    faults.add(f"work:{number}:task", "Found no task; expected one of the plan, or other work.")
    return record, rows


def _numbers(form: Sent, part: str) -> list[int]:
    found = {int(match[2]) for name in form.texts if (match := _ROW.fullmatch(name)) and match[1] == part}
    return sorted(found)[:MOST_ROWS]


def _value(field: str, text: str) -> Any:
    if field in NUMBERS:
        try:
            return float(text)
        except ValueError:
            return text
    return text


def _text(record: dict[str, Any]) -> str:
    """The record as a document; raises where it is no actuals, its problems by path."""
    from pydantic import ValidationError

    from drainwright.job.explain import problems_of

    plain = {"schema_version": 1} | {name: value for name, value in record.items() if value not in ("", [], None)}
    try:
        return written(Actuals.model_validate(plain, context={"document": True}))
    except ValidationError as error:
        raise JobError(problems_of(error, Actuals, plain, "", {})) from None


def _field(problem: Problem, rows: dict[str, list[int]]) -> str:
    """The field of the form that a problem is about."""
    match = _AT.match(problem.where)
    if match is None:
        return problem.where or "finished"
    if match[1] == "weather_days":
        return "weather_days"
    number = rows[match[1]][int(match[2])]
    return f"{match[1]}:{number}:{match[3] or PARTS[match[1]][0]}"


def _rows(form: Sent, faults: Faults, part: str) -> Iterator[tuple[int, dict[str, str], dict[str, str]]]:
    """Rows of the form with what is wrong in them, and free ones."""
    numbers = _numbers(form, part)
    filled = [n for n in numbers if any(form.text(f"{part}:{n}:{field}") for field in PARTS[part] if field != "task")]
    first = max(filled, default=-1) + 1
    for number in (*filled, *range(first, first + FREE)):
        names = {field: f"{part}:{number}:{field}" for field in PARTS[part]}
        yield (
            number,
            {field: form.text(name) for field, name in names.items()},
            {f: faults[n] for f, n in names.items()},
        )


async def _page(
    at: At, who: Who, kept: Taken | None, form: Sent, faults: Faults, status: int = 200, *,
    saved: int | None = None,
) -> Response:  # fmt: skip
    prices, text = reads_prices(who), kept.text if kept else ""
    reply = await asked(at, f"beside {prices} {_digest(text)}", beside(text, prices=prices))
    shown = reply.shown if isinstance(reply, Answered) else Beside(tasks=(), items=())
    problems = reply.problems if isinstance(reply, Refused) else shown.problems
    return job_page(
        at, "hours", "taken.html", status, shown=shown, problems=problems, form=form, faults=faults, prices=prices,
        work=list(_rows(form, faults, "work")), purchases=list(_rows(form, faults, "purchases")), saved=saved,
        noted=kept is not None, planned=isinstance(reply, Answered),
    )  # fmt: skip


__all__ = ["router"]
