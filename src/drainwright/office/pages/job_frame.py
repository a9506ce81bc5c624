"""The frame of a job's pages: what is asked and kept, and what stands in where there is no answer."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from fastapi import HTTPException, Request
from markupsafe import Markup, escape
from starlette.responses import Response
from starlette.routing import Match

from drainwright import __version__
from drainwright.errors import Problem
from drainwright.office.answers.asking import Answered, Broke, Question, Refused, Reply, Shown, TooLong, View
from drainwright.office.answers.shown import Kept
from drainwright.office.answers.worker import digest
from drainwright.office.facts.spoken import page_of, spoken, told_apart
from drainwright.office.forms import token_of
from drainwright.office.pages.shell import page, template_texts, theme_of
from drainwright.office.people.roles import may, needed
from drainwright.office.questions import question_on
from drainwright.office.store.editing import NAME, said
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.jobs import job as stored_job
from drainwright.office.store.records import Job, Revision
from drainwright.office.store.revisions import revision
from drainwright.office.views.picking import part, sections
from drainwright.office.who import Asker, OpenStore

ASK_EACH_TIME = "private, no-cache"
PAGES = (  # below /jobs/{id}, and their names; those that the app does not serve are left out
    ("", "First page"), ("facts", "Facts"), ("yard", "Yard"), ("photos", "Photographs"), ("plan", "Plan"),
    ("water", "Water"), ("system", "Works"),
    ("storm", "Storm"), ("dig", "Dig"), ("price", "Price"), ("offer", "Offer"), ("papers", "Papers"),
    ("schemes", "Other ways"), ("what-if", "What if"), ("answers", "Questions"), ("worksheet", "Worksheet"),
    ("hours", "What it took"), ("after", "After"), ("history", "History"), ("text", "Document"),
)  # fmt: skip
_STEPS = re.compile(r"\bW (\d+)\b")


@dataclass(frozen=True, slots=True, kw_only=True)
class At:
    """The job that a page is about, in one of its states."""

    request: Request
    job: Job
    now: Revision
    question: Question

    @property
    def way(self) -> str:
        """The job's address."""
        return f"/jobs/{self.job.id}"


def at_job(job: str, request: Request, who: Asker, store: OpenStore) -> At:
    """The job of an address.

    Raises
    ------
    HTTPException
        404, where the firm has no such job.
    """
    try:
        found, now = stored_job(store, who.firm, job), revision(store, who.firm, job)
    except NotThereError:
        raise HTTPException(404, "There is no such job here.") from None
    return At(request=request, job=found, now=now, question=question_on(store, who.firm, job, now.text))


def kept_of(request: Request) -> Kept:
    """The app's kept answers."""
    if not hasattr(request.app.state, "shown"):
        request.app.state.shown = Kept(request.app.state.workers)
    kept: Kept = request.app.state.shown
    return kept


def tag_of(at: At, name: str, *more: object) -> str:
    """What tells this page from every other state of it: document, files, program, reader's light."""
    state = at.request.app.state
    if not hasattr(state, "frame_digest"):
        state.frame_digest = hashlib.sha256(b"".join(template_texts()) + state.assets.digest.encode()).hexdigest()
    told = (
        digest(at.question), name, at.now.number, at.job.stage, at.job.archived, __version__, state.frame_digest,
        theme_of(at.request), token_of(at.request), at.request.state.who.role, *more,
    )  # fmt: skip
    return f'"{hashlib.sha256(repr(told).encode()).hexdigest()[:32]}"'


def unchanged(at: At, tag: str) -> Response | None:
    """304 where the browser has this very page."""
    known = [one.strip().removeprefix("W/") for one in at.request.headers.get("if-none-match", "").split(",")]
    headers = {"etag": tag, "cache-control": ASK_EACH_TIME}
    return Response(status_code=304, headers=headers) if tag in known else None


def marked(response: Response, tag: str) -> Response:
    """The response with its tag."""
    response.headers["etag"] = tag
    response.headers["cache-control"] = ASK_EACH_TIME
    return response


async def asked(at: At, name: str, view: View[Shown]) -> Reply[Shown]:
    """A view of the job, kept or made."""
    return await kept_of(at.request).ask(at.question, name, view)


async def answered(
    at: At, here: str, template: str, name: str, view: View[Any], **more: Any
) -> Response:  # fmt: skip
    """The page of a view, or the page that says why there is none.

    Parameters
    ----------
    at : At
        The job.
    here : str
        The page, as ``PAGES`` names it.
    template : str
        File name among the templates.
    name : str
        Of the view with all that it depends on.
    view : Callable
        From the design to what the template shows as ``shown``.
    **more : Any
        What the template shows besides; it is part of the page's tag.
    """
    tag = tag_of(at, f"{template} {name}", sorted(more.items()))
    same = unchanged(at, tag)
    if same is not None:
        return same
    reply = await asked(at, name, view)
    if isinstance(reply, Answered):
        return marked(job_page(at, here, template, shown=reply.shown, **more), tag)
    missing = without_answer(at, here, reply)
    return marked(missing, tag) if isinstance(reply, Refused) else missing


def job_page(
    at: At, here: str, template: str, status: int = 200, *, names: Collection[str] = (), **more: Any
) -> Response:  # fmt: skip
    """A page of the job; ``names`` stay as they are where it is told in another language."""
    return page(
        at.request, template, status, job=at.job, now=at.now, way=at.way, at_page=here, pages=_offered(at),
        cited=_cited(at), part=part, sections=sections, kind_of=lambda block: type(block).__name__,
        names={at.job.title, at.job.number, *names}, **more,
    )  # fmt: skip


def refused(at: At, here: str, reply: Refused) -> Response:
    """The page of a document that cannot be designed: what is wrong, where, and where to mend it."""
    record = said(at.now.text)
    told = [(spoken(one, record), one, _line(at, one), _mended(at, one)) for one in told_apart(reply.problems)]
    return job_page(at, here, "problems.html", problems=told)


def without_answer(at: At, here: str, reply: Refused | Broke | TooLong) -> Response:
    """The page that says what of the document is to be mended, or that the program is at fault."""
    if isinstance(reply, Refused):
        return refused(at, here, reply)
    if isinstance(reply, TooLong):
        return job_page(at, here, "no_answer.html", 504, words=f"No answer came in {reply.seconds:.0f} s.", stage="")
    return job_page(at, here, "no_answer.html", 500, words=reply.words, stage=reply.stage)


def served(at: At) -> frozenset[str]:
    """Pages below the job that the app has."""
    app = at.request.app
    if not hasattr(app.state, "job_pages"):
        base = {"type": "http", "method": "GET", "headers": [], "root_path": ""}
        there = set()
        for page_path, _ in PAGES:
            scope = {**base, "path": f"/jobs/0{'/' if page_path else ''}{page_path}"}
            if any(route.matches(dict(scope))[0] is Match.FULL for route in app.routes):
                there.add(page_path)
        app.state.job_pages = frozenset(there)
    known: frozenset[str] = app.state.job_pages
    return known


def _offered(at: At) -> tuple[tuple[str, str], ...]:
    there, who = served(at), at.request.state.who
    return tuple(
        (path, name) for path, name in PAGES
        if path in there and may(who.role, needed("GET", f"{at.way}/{path}".rstrip("/")), who.scope)
    )  # fmt: skip


def _mended(at: At, problem: Problem) -> tuple[tuple[str, str], ...]:
    """Addresses and names of the pages on which a problem can be mended."""
    there = {path for path, _ in _offered(at)}
    page, name = page_of(problem.where)
    ways = [(f"{at.way}/{page}", name)] if page and page.partition("/")[0] in there else []
    return (*ways, (f"{at.way}/text", "the job’s document")) if "text" in there else tuple(ways)


def _line(at: At, problem: Problem) -> str:
    """The line of the document that a problem is about, for who may read the document."""
    if "text" not in dict(_offered(at)):
        return ""
    if problem.file not in ("", NAME):
        return ""
    lines = at.now.text.splitlines()
    return "" if problem.line is None or problem.line > len(lines) else lines[problem.line - 1].strip()


def _cited(at: At) -> Any:
    """The filter that makes ``W 12`` a way to the worksheet, for who may read it."""
    if "worksheet" not in dict(_offered(at)):
        return escape
    sheet = f"{at.way}/worksheet#step-"

    def cited(text: object) -> Markup:
        return Markup(
            _STEPS.sub(lambda found: f'<a class="step" href="{sheet}{found[1]}">{found[0]}</a>', escape(text))
        )

    return cited


__all__ = [
    "At", "answered", "asked", "at_job", "job_page", "kept_of", "marked", "refused", "tag_of", "unchanged",
    "without_answer",
]  # fmt: skip
