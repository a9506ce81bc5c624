"""The office's pages put together."""

from __future__ import annotations

from fastapi import APIRouter

from drainwright.office.pages import (
    after,
    book,
    calendar,
    customers,
    document,
    facts,
    firm,
    history,
    jobs,
    learning,
    offer,
    photos,
    pipes,
    pumps,
    taken,
)


def make_router() -> APIRouter:
    """The routers of the jobs' and the firm's pages."""
    router = APIRouter()
    for part in (
        jobs, history, document, facts, customers, book, pumps, pipes, firm, offer, photos, taken, learning, after,
        calendar,
    ):  # fmt: skip
        router.include_router(part.router)
    return router


__all__ = ["make_router"]
