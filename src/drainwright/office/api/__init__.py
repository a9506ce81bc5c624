"""The API, under /api/v1: all that the pages do, for programs."""

from __future__ import annotations

from fastapi import APIRouter

from drainwright.office.api import (
    after,
    answers,
    attachments,
    catalogues,
    documents,
    firm,
    jobs,
    offers,
    operations,
    rain,
    taken,
    yard,
)
from drainwright.office.api.shared import REFUSALS


def make_router() -> APIRouter:
    """The routers of the API put together."""
    whole = APIRouter(prefix="/api/v1", responses=REFUSALS)
    for part in (
        jobs, documents, operations, attachments, answers, offers, rain, firm, catalogues, taken, after, yard,
    ):  # fmt: skip
        whole.include_router(part.router)
    return whole


__all__ = ["make_router"]
