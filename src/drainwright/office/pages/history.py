"""What became of a job: its revisions, any two of them compared, an old one restored; and how far the job is."""

from __future__ import annotations

import re

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.office.pages.fields import Form
from drainwright.office.pages.job_frame import at_job, job_page
from drainwright.office.pages.jobs import STAGE_WORDS
from drainwright.office.store import diary, jobs, revisions
from drainwright.office.store.comparing import Change
from drainwright.office.store.packing import pack
from drainwright.office.store.people import customers
from drainwright.office.store.pricing import reprice
from drainwright.office.store.records import STAGES
from drainwright.office.who import Asker, OpenStore

router = APIRouter(prefix="/jobs/{id}", default_response_class=HTMLResponse, include_in_schema=False)

BACK = ("after/proof", "after/visits", "after/season")  # pages besides this one that offer a stage
MOST_WORDS = 160  # signs of a value that the comparison shows


@router.get("/history")
def history(request: Request, who: Asker, store: OpenStore, id: str) -> Response:
    """The revisions, the diary, and where the job stands in the office."""
    known = [("", "nobody of the list")]
    known += [(one.id, one.name) for one in customers(store, who.firm)]
    return job_page(
        at_job(id, request, who, store), "history", "history.html", revisions=revisions.history(store, who.firm, id),
        diary=diary.diary(store, who.firm, id), customers=known,
        stages=[(stage, STAGE_WORDS[stage]) for stage in STAGES], waits_for=jobs.waiting(store, who.firm, id),
    )  # fmt: skip


@router.get("/compare")
def compare(
    request: Request, who: Asker, store: OpenStore, id: str, old: int | None = None, new: int | None = None
) -> Response:
    """Two revisions held against each other, in words."""
    job = jobs.job(store, who.firm, id)
    new = job.head if new is None else new
    old = max(1, new - 1) if old is None else old
    changes = revisions.compare(store, who.firm, id, old, new)
    texts = [revisions.revision(store, who.firm, id, number) for number in (old, new)]
    rows = [(part_words(one.path), *change_words(one)) for one in changes]
    return job_page(
        at_job(id, request, who, store), "history", "compare.html", old=texts[0], new=texts[1], rows=rows,
        other_layout=not changes and texts[0].text != texts[1].text,
        numbers=[(str(number), f"revision {number}") for number in range(job.head, 0, -1)],
    )  # fmt: skip


@router.post("/restore")
def restore(who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Make an old revision the newest."""
    revisions.restore(store, who.firm, id, form.number("number"), who.name)
    return RedirectResponse(f"/jobs/{id}/history", 303)


@router.post("/repriced")
def repriced(who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Price the job with the newest price book: a revision of its own."""
    reprice(store, who.firm, id, who.name)
    return RedirectResponse(f"/jobs/{id}", 303)


@router.get("/revisions/{number}.yaml")
def download(who: Asker, store: OpenStore, id: str, number: int) -> Response:
    """One revision's document."""
    found = revisions.revision(store, who.firm, id, number)
    name = f"{file_name(jobs.job(store, who.firm, id).number or 'job')}-r{number}.yaml"
    return attached(found.text.encode("utf-8"), "application/yaml", name)


@router.get("/whole.zip")
def whole(who: Asker, store: OpenStore, id: str) -> Response:
    """The whole job in one file: every revision, photo and paper."""
    name = f"{file_name(jobs.job(store, who.firm, id).number or 'job')}.zip"
    return attached(pack(store, who.firm, id), "application/zip", name)


@router.post("/office")
def office(who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Say how far the job is, whose it is, or lay it away."""
    if "stage" in form.texts:
        stage = next((one for one in STAGES if one == form.text("stage")), None)
        if stage is None:
            raise HTTPException(422, f"stage: found {form.text('stage')!r}; expected one of {', '.join(STAGES)}")
        jobs.move_on(store, who.firm, id, stage, who.name, form.text("why"))
    if "customer" in form.texts:
        jobs.give_customer(store, who.firm, id, form.text("customer") or None, who.name)
    if "away" in form.texts:
        jobs.lay_away(store, who.firm, id, who.name, archived=form.text("away") == "yes")
    if words := form.lines("note").strip():
        diary.note(store, who.firm, id, who.name, "note", " ".join(words.split()))
    back = form.text("back") if form.text("back") in BACK else "history"
    return RedirectResponse(f"/jobs/{id}/{back}", 303)


def part_words(path: str) -> str:
    """A path as it is read aloud: ``house.walls[south].footing_bottom`` is house, wall south, footing bottom."""
    words: list[str] = []
    for step in re.findall(r'\[("(?:[^"\\]|\\.)*"|[^\]]*)\]|([^.\[\]]+)', path):
        entry, key = step
        if entry:
            words[-1:] = [f"{words[-1].removesuffix('s')} {entry.strip(chr(34))}" if words else entry]
        else:
            words.append(key.replace("_", " "))
    return ", ".join(words) or "the whole document"


def change_words(change: Change) -> tuple[str, str]:
    """What stood and what stands."""
    if change.kind == "order":
        return "in the order " + ", ".join(change.old), "in the order " + ", ".join(change.new)
    return (
        "" if change.kind == "added" else value_words(change.old),
        "" if change.kind == "removed" else value_words(change.new),
    )


def value_words(value: object) -> str:
    """A value of a record in one short line."""
    match value:
        case None:
            said = "nothing"
        case bool():
            said = "yes" if value else "no"
        case dict():
            said = "; ".join(f"{str(key).replace('_', ' ')}: {value_words(one)}" for key, one in value.items())
        case list():
            said = ", ".join(value_words(one) for one in value)
        case _:
            said = str(value)
    return said if len(said) <= MOST_WORDS else said[: MOST_WORDS - 1] + "…"


def file_name(text: str) -> str:
    """A text as part of a file's name anywhere."""
    return re.sub(r"[^A-Za-z0-9._-]+", "-", text).strip("-.") or "job"


def attached(content: bytes, kind: str, name: str) -> Response:
    """A file to be kept, never shown in the page."""
    return Response(content, media_type=kind, headers={"content-disposition": f'attachment; filename="{name}"'})


__all__ = ["attached", "change_words", "file_name", "part_words", "router", "value_words"]
