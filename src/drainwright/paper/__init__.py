"""Drawings and documents: everything that is handed over."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drainwright.paper.documents.writing import write_papers

__all__ = ["write_papers"]


def __getattr__(name: str) -> object:
    """Load the wing when it is first asked for."""
    if name == "write_papers":
        from drainwright.paper.documents.writing import write_papers

        return write_papers
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
