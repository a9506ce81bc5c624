"""The papers of a job: listed by reader, made in the worker, kept by digest, one by one or all as a ZIP."""

from __future__ import annotations

import io
import zipfile
from pathlib import PurePosixPath
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException
from starlette.responses import HTMLResponse, Response

from drainwright.office.answers.asking import Answered
from drainwright.office.pages.job_frame import (
    At,
    asked,
    at_job,
    job_page,
    kept_of,
    marked,
    tag_of,
    unchanged,
    without_answer,
)  # fmt: skip
from drainwright.office.people.unpriced import may_read_paper, reads_paper
from drainwright.office.views.first import first
from drainwright.office.views.papers import NAMES, READERS, paper
from drainwright.office.who import Asker

TYPES = {
    ".pdf": "application/pdf", ".csv": "text/csv; charset=utf-8", ".json": "application/json", ".dxf": "image/vnd.dxf",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip
OLDEST = (1980, 1, 1, 0, 0, 0)  # a ZIP's first day: equal papers give equal files
AtJob = Annotated[At, Depends(at_job)]

router = APIRouter(prefix="/jobs/{job}", default_response_class=HTMLResponse, include_in_schema=False)


@router.get("/papers")
async def papers_page(at: AtJob) -> Response:
    """All papers by reader, with the size of those that are made already."""
    sizes = {name: _size(at, name) for name in NAMES}
    tag = tag_of(at, "papers", sorted(sizes.items()))
    same = unchanged(at, tag)
    if same is not None:
        return same
    reply = await asked(at, "first", first)
    if not isinstance(reply, Answered):
        return without_answer(at, "papers", reply)
    return marked(job_page(at, "papers", "papers.html", shown=reply.shown, readers=_for(at), sizes=sizes), tag)


@router.get("/papers.zip")
async def all_papers(at: AtJob, who: Asker) -> Response:
    """All papers together."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        for name in NAMES:
            content = await _content(at, name)
            if isinstance(content, Response):
                return content
            if content is not None:
                packed.writestr(zipfile.ZipInfo(name, OLDEST), content)
    return _file(f"{_stem(at)}-revision-{at.now.number}.zip", made.getvalue(), "application/zip", attached=True)


@router.get("/papers/{name}")
async def one_paper(at: AtJob, name: str, download: bool = False) -> Response:
    """One paper, to be read in the browser or taken along."""
    if name not in NAMES:
        raise HTTPException(404, "There is no such paper.")
    may_read_paper(at.request, name)
    tag = tag_of(at, f"paper {name} {download}")
    same = unchanged(at, tag)
    if same is not None:
        return same
    content = await _content(at, name)
    if isinstance(content, Response):
        return content
    if content is None:
        raise HTTPException(404, "This job has no such paper.")
    ending = PurePosixPath(name).suffix
    return marked(_file(name, content, TYPES[ending], attached=download or ending not in (".pdf", ".json")), tag)


async def _content(at: At, name: str) -> bytes | Response | None:
    """A paper's content; None where the job has no such paper; a page where there is no answer."""
    reply = await asked(at, f"paper {name}", paper(name))
    if not isinstance(reply, Answered):
        return without_answer(at, "papers", reply)
    return None if reply.shown is None else reply.shown.content


def _for(at: At) -> list[tuple[str, list[tuple[str, str]]]]:
    """The papers by reader, those that who asks may read."""
    shown = [(reader, [one for one in papers if reads_paper(at.request, one[0])]) for reader, papers in READERS]
    return [one for one in shown if one[1]]


def _size(at: At, name: str) -> str:
    """How large a paper is; empty where it is not made yet."""
    reply = kept_of(at.request).has(at.question, f"paper {name}")
    if not isinstance(reply, Answered) or reply.shown is None:
        return ""
    return f"{max(1, round(len(reply.shown.content) / 1000)):,} kB"


def _stem(at: At) -> str:
    """The job's number or title as part of a file name."""
    words = at.job.number.strip() or at.job.title.strip() or "job"
    return "".join(sign if sign.isascii() and (sign.isalnum() or sign in "-_") else "-" for sign in words)[:60]


def _file(name: str, content: bytes, kind: str, *, attached: bool) -> Response:
    headers = {"content-disposition": f'{"attachment" if attached else "inline"}; filename="{name}"'}
    return Response(content, media_type=kind, headers=headers)


__all__ = ["router"]
