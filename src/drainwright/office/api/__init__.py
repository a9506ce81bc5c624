"""The API, under /api/v1: all that the pages do, for programs."""

from __future__ import annotations

from fastapi import APIRouter


def make_router() -> APIRouter:
    """The routers of the API put together."""
    return APIRouter(prefix="/api/v1")


__all__ = ["make_router"]
