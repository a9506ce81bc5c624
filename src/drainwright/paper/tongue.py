"""The tongue of a drawing: its words are said in it before they are measured, so that they find places of their own."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

Speaker = Callable[[str], str]

_speaker: ContextVar[Speaker | None] = ContextVar("speaker", default=None)


class Said(str):
    """A text that is in the drawing's tongue already: a line of a wrapped one is not said again."""

    __slots__ = ()


@contextmanager
def speaking(say: Speaker) -> Iterator[None]:
    """Within it, whatever is measured or drawn is said by ``say``; only in this thread."""
    token = _speaker.set(say)
    try:
        yield
    finally:
        _speaker.reset(token)


def said(text: str) -> str:
    """The text as it is drawn."""
    speaker = _speaker.get()
    return text if speaker is None or isinstance(text, Said) else Said(speaker(text))


def as_said(text: str) -> str:
    """A piece of a text that was said; it is not said again."""
    return text if _speaker.get() is None else Said(text)


__all__ = ["Said", "Speaker", "as_said", "said", "speaking"]
