"""What the yard's devices keep of a job: its record, and what is still to be measured."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException
from pydantic import BaseModel

from drainwright.errors import Problem
from drainwright.office.answers.asking import Answered, Refused
from drainwright.office.pages.job_frame import At, asked, at_job
from drainwright.office.people.unpriced import blotted, job_without_costs, sees_prices
from drainwright.office.store import editing
from drainwright.office.views.first import first
from drainwright.office.views.model import First

router = APIRouter(tags=["yard"])


class Yard(BaseModel):
    """A job as a device keeps it."""

    revision: int
    record: dict[str, Any]


class Still(BaseModel):
    """What nobody measured yet and would change the answer, in words."""

    revision: int
    missing: list[str]


@router.get("/jobs/{job}/yard", summary="The job's record, to be kept on a device")
def record(at: Annotated[At, Depends(at_job)]) -> Yard:
    """The newest revision as plain data; without what things cost for who may not see it."""
    told = editing.said(at.now.text)
    return Yard(revision=at.now.number, record=told if sees_prices(at.request) else job_without_costs(told))


@router.get("/jobs/{job}/yard/still", summary="What is still to be measured")
async def still(at: Annotated[At, Depends(at_job)]) -> Still:
    """From the design where there is one; else the parts without which there is none."""
    reply = await asked(at, "first", first)
    if isinstance(reply, Answered):
        told = _of(reply.shown)
        seen = told if sees_prices(at.request) else [blotted(one) for one in told]
        return Still(revision=at.now.number, missing=seen)
    if isinstance(reply, Refused):
        return Still(revision=at.now.number, missing=[_told(one) for one in reply.problems])
    raise HTTPException(503, "The design gave no answer. Ask again later.")


def _told(problem: Problem) -> str:
    if problem.found == "nothing":
        return f"{problem.where}: nothing yet; expected {problem.expected}"
    return f"{problem.where}: found {problem.found}; expected {problem.expected}"


def _of(shown: First) -> list[str]:
    unmeasured = [
        f"{one.what}: {one.taken.rstrip('.')} ({one.known}). {one.otherwise}".strip() for one in shown.unmeasured
    ]
    return [*unmeasured, *(f"{question} {missing}" for _, question, missing in shown.missing)]


__all__ = ["Still", "Yard", "router"]
