"""What a form sent, kept as it was typed, so that a refused form comes back filled in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Annotated, TypeAlias

from fastapi import Depends, HTTPException, Request
from starlette.datastructures import UploadFile

from drainwright.errors import JobError, Problem
from drainwright.office.forms import MOST_FIELDS, MOST_TEXT

MOST_FILE = 40_000_000  # bytes of one file that is brought


@dataclass(frozen=True, slots=True)
class Brought:
    """A file that came with a form."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Sent:
    """The texts and files of a form."""

    texts: Mapping[str, str]
    files: Mapping[str, Brought]

    def text(self, name: str) -> str:
        """A field in one line, without spaces around it; empty where it was not sent."""
        return " ".join(self.texts.get(name, "").split())

    def lines(self, name: str) -> str:
        """A field of several lines, with plain line ends."""
        return self.texts.get(name, "").replace("\r\n", "\n").replace("\r", "\n")

    def number(self, name: str) -> int:
        """A field that the page itself filled with a whole number.

        Raises
        ------
        HTTPException
            422, where it is none.
        """
        given = self.text(name)
        if not given.isascii() or not given.isdigit() or len(given) > 9:
            raise HTTPException(422, f"{name}: found {given!r}; expected a whole number")
        return int(given)


async def sent(request: Request) -> Sent:
    """Read the form of a request.

    Raises
    ------
    HTTPException
        413, where a file is too large.
    """
    form = await request.form(max_fields=MOST_FIELDS, max_part_size=MOST_TEXT)
    texts: dict[str, str] = {}
    files: dict[str, Brought] = {}
    for name, value in form.multi_items():
        if isinstance(value, UploadFile):
            content = await value.read(MOST_FILE + 1)
            await value.close()
            if len(content) > MOST_FILE:
                raise HTTPException(413, f"{value.filename}: expected at most {MOST_FILE // 1_000_000} MB")
            if value.filename or content:
                files[name] = Brought(value.filename or "", content)
        else:
            texts[name] = value
    return Sent(texts, files)


Form: TypeAlias = Annotated[Sent, Depends(sent)]


@dataclass(slots=True)
class Faults:
    """What is wrong in a form, beside the field where it stands."""

    by_field: dict[str, str] = field(default_factory=dict)

    def add(self, name: str, words: str) -> None:
        """Tell a fault of a field; the first one stays."""
        self.by_field.setdefault(name, words)

    def __getitem__(self, name: str) -> str:
        return self.by_field.get(name, "")

    def __bool__(self) -> bool:
        return bool(self.by_field)


def told(problem: Problem) -> str:
    """A problem of a document in one sentence, without its place."""
    hint = f" ({problem.hint})" if problem.hint else ""
    return f"found {problem.found}; expected {problem.expected}{hint}"


def sentence(words: str) -> str:
    """Words as a sentence: names in them stay as they are."""
    return f"{words[:1].upper()}{words[1:]}."


def first_told(error: JobError) -> str:
    """The first problems of an error, with their lines."""
    lines = [f"{f'line {one.line}: ' if one.line else ''}{one.where}: {told(one)}" for one in error.problems[:3]]
    more = len(error.problems) - len(lines)
    return " · ".join([*lines, *([f"and {more} more"] if more else [])])


__all__ = ["Brought", "Faults", "Form", "Sent", "first_told", "sent", "sentence", "told"]
