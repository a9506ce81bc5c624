"""The API, under /api/v1: all that the pages do, for programs."""

from __future__ import annotations

from fastapi import APIRouter

from drainwright.office.api import operations


def make_router() -> APIRouter:
    """The routers of the API put together."""
    router = APIRouter(prefix="/api/v1")
    for part in (operations,):
        router.include_router(part.router)
    return router


__all__ = ["make_router"]
