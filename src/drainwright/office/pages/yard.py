"""The yard pages of a job: measuring with a phone, with a network or without."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends
from starlette.responses import HTMLResponse, Response

from drainwright.office.pages.job_frame import At, at_job, job_page

router = APIRouter(default_response_class=HTMLResponse, include_in_schema=False)


@router.get("/jobs/{job}/yard")
def yard(at: Annotated[At, Depends(at_job)]) -> Response:
    """One page for all that is measured; its parts stand behind the ``#``, so that one visit brings them all."""
    return job_page(at, "yard", "yard_job.html")


__all__ = ["router"]
