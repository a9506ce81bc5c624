"""What a design has computed, kept for the next that is like it: ``design(job, like=before)``.

A piece of work is known by all that it is made of, to the last bit, so that what is kept is what would be made. Each
design has a store of its own; a design that is like another looks there too, and keeps only what it used or made
itself. Nothing is kept where no store is open.
"""

from __future__ import annotations

import hashlib
import io
import pickle
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from types import MappingProxyType
from typing import Any, NamedTuple, TypeAlias, TypeVar

Made = TypeVar("Made")
Key: TypeAlias = tuple[str, bytes]  # kind and parts


class Part(NamedTuple):
    """What a piece of work may read of something large, and what tells that from any other."""

    of: Any
    mark: bytes


class Kept:
    """A store of finished pieces; a copy sent elsewhere is empty."""

    def __init__(self) -> None:
        self.pieces: dict[Key, Any] = {}
        self.within: dict[Key, list[Key]] = {}  # pieces that were asked for while a piece was made
        self.making: list[list[Key]] = []  # those of the pieces that are being made, the innermost last
        self.parts: dict[tuple[int, Callable[[Any], Any]], tuple[Any, Part]] = {}  # with what they are of, by its id

    def take(self, key: Key, before: Kept) -> None:
        """Take a piece over, with those that it was made of: the next design may ask for these alone."""
        self.pieces[key] = before.pieces[key]
        self.within[key] = before.within[key]
        for inner in before.within[key]:
            if inner not in self.pieces:
                self.take(inner, before)

    def make(self, key: Key, make: Callable[[], Any]) -> None:
        """Make a piece."""
        inner: list[Key] = []
        self.making.append(inner)
        try:
            self.pieces[key] = make()
        finally:
            self.making.pop()
        self.within[key] = inner

    def __reduce__(self) -> tuple[type[Kept], tuple[()]]:
        return Kept, ()


_open: ContextVar[tuple[Kept, Kept | None] | None] = ContextVar("kept", default=None)


@contextmanager
def keeping(before: Kept | None = None, store: Kept | None = None) -> Iterator[Kept]:
    """Keep what is made inside the block.

    Parameters
    ----------
    before : Kept, optional
        Where to look, too.
    store : Kept, optional
        Where to keep; a new one if left out.
    """
    own = Kept() if store is None else store
    token = _open.set((own, before))
    try:
        yield own
    finally:
        _open.reset(token)


class _Namer(pickle.Pickler):
    """Writes records by their values alone: which fields were given, and what is shared, makes no difference."""

    def reducer_override(self, thing: object) -> Any:
        """A record of the job as its type and its values, a thing of many as what it is made of; else as usual."""
        if hasattr(type(thing), "made_of"):
            return tuple, ((type(thing).__qualname__, *thing.made_of),)  # type: ignore[attr-defined]
        if isinstance(thing, MappingProxyType):
            return dict, (dict(thing),)
        if hasattr(type(thing), "model_fields"):
            return tuple, ((type(thing).__qualname__, *vars(thing).items()),)
        return NotImplemented


def by_value(parts: object) -> bytes:
    """The bytes that tell parts of other values apart, to the last bit; those of equal parts are equal."""
    written = io.BytesIO()
    namer = _Namer(written, protocol=5)
    namer.fast = True  # equal parts are written alike, whether or not they are the same object
    namer.dump(parts)
    return written.getvalue()


def kept(kind: str, parts: object, make: Callable[[], Made]) -> Made:
    """What is kept of this kind and these parts, else what ``make`` gives.

    Parameters
    ----------
    kind : str
        Which work it is.
    parts : object
        All that the work depends on: numbers, texts, arrays and tuples of them.
    make : callable
        Does the work. It records nothing on a worksheet, and nobody changes what it gives.
    """
    stores = _open.get()
    if stores is None:
        return make()
    own, before = stores
    key = kind, by_value(parts)
    if key not in own.pieces:
        if before is not None and key in before.pieces:
            own.take(key, before)
        else:
            own.make(key, make)
    if own.making:
        own.making[-1].append(key)
    found: Made = own.pieces[key]
    return found


def part_of(thing: Any, only: Callable[[Any], Any]) -> Part:
    """What a piece of work reads of something large: taken out once, and marked by its value once, for all pieces.

    Parameters
    ----------
    thing : object
        Say a site; nobody changes it.
    only : callable
        A function of a module: gives it without what the work must not read.

    Returns
    -------
    Part
        The work is done on ``of``, and ``mark`` is among its parts. Where no store is open the mark says nothing.
    """
    stores = _open.get()
    if stores is None:
        return Part(only(thing), b"")
    known = stores[0].parts
    if (id(thing), only) not in known:
        seen = only(thing)
        known[id(thing), only] = thing, Part(seen, hashlib.sha256(by_value(seen)).digest())
    return known[id(thing), only][1]


__all__ = ["Kept", "Part", "by_value", "keeping", "kept", "part_of"]
