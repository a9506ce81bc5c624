"""What the store refuses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from drainwright.errors import DrainError

if TYPE_CHECKING:
    from drainwright.office.store.records import Revision


class StoreError(DrainError, ValueError):
    """The store cannot do what was asked; nothing was changed."""


class NotThereError(StoreError):
    """The firm has no such thing, whoever else may."""

    def __init__(self, what: str, name: str) -> None:
        super().__init__(f"found no {what} {name!r} of this firm; expected one of its own")


class Conflict(StoreError):  # noqa: N818  (it is no fault, but a question to a person)
    """Another revision came between: shows what it was made of, what stands, and what was to be saved."""

    def __init__(
        self, base: Revision, theirs: Revision, mine: str, theirs_changed: tuple[str, ...],
        mine_changed: tuple[str, ...], overlapping: tuple[str, ...],
    ) -> None:  # fmt: skip
        self.base = base
        self.theirs = theirs
        self.mine = mine  # the text that was to be saved
        self.theirs_changed = theirs_changed  # paths
        self.mine_changed = mine_changed
        self.overlapping = overlapping  # empty: 'merge' brings the two together
        both = f"; both changed {', '.join(overlapping)}" if overlapping else "; the two can be merged"
        super().__init__(
            f"revision {theirs.number} by {theirs.who} came after revision {base.number}, which this was made on{both}"
        )


__all__ = ["Conflict", "NotThereError", "StoreError"]
