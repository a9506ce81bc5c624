"""The example jobs that come with the program: to begin from, or to look at."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType

from drainwright.office.store.beside import BESIDE
from drainwright.office.store.files import attach
from drainwright.office.store.jobs import job, open_job
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Job
from drainwright.office.who import Who

JOB = "job.yaml"
LEFT_OUT = frozenset({JOB, "mended.yaml"})  # what is no file beside the job
_TITLE = re.compile(r"^title: *(.+)$", re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Example:
    """A whole job with the files beside it."""

    name: str
    title: str
    words: str  # what it shows, as its document begins
    text: str
    beside: Mapping[str, bytes]  # by the names that the document has for them


@cache
def examples() -> tuple[Example, ...]:
    """All of them by name; none where the program was installed without."""
    folder = _folder()
    if folder is None:
        return ()
    found = [one for one in folder.iterdir() if one.is_dir() and one.joinpath(JOB).is_file()]
    return tuple(_example(one) for one in sorted(found, key=lambda one: one.name))


def example_of(name: str) -> Example | None:
    """The example of a name."""
    return next((one for one in examples() if one.name == name), None)


def begin_example(store: Store, who: Who, example: Example) -> Job:
    """Open a job from an example, with the files beside it."""
    made = open_job(store, who.firm, example.text, who.name, f"the job was opened from the example {example.name}")
    for name, content in example.beside.items():
        attach(
            store, who.firm, made.id, content, name=name, media_type="application/octet-stream", who=who.name,
            kind=BESIDE,
        )  # fmt: skip
    return job(store, who.firm, made.id)


def _folder() -> Traversable | None:
    """In the installed program, else in the sources that it runs from."""
    inside = files("drainwright").joinpath("examples")
    beside = Path(__file__).resolve().parents[3] / "examples"
    return next((one for one in (inside, beside) if one.is_dir()), None)


def _example(folder: Traversable) -> Example:
    text = folder.joinpath(JOB).read_text(encoding="utf-8")
    head = [line.removeprefix("#").strip() for line in text.partition("\n\n")[0].splitlines() if line.startswith("#")]
    title = _TITLE.search(text)
    beside = dict(_files(folder, ""))
    return Example(
        name=folder.name, title=title[1].strip() if title else folder.name, words=" ".join(head), text=text,
        beside=MappingProxyType({name: content for name, content in beside.items() if name not in LEFT_OUT}),
    )  # fmt: skip


def _files(folder: Traversable, before: str) -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for one in sorted(folder.iterdir(), key=lambda one: one.name):
        if one.is_dir():
            found += _files(one, f"{before}{one.name}/")
        elif not one.name.startswith("."):
            found.append((f"{before}{one.name}", one.read_bytes()))
    return found


__all__ = ["Example", "begin_example", "example_of", "examples"]
