"""Write job documents: back to the file with their comments, as JSON, or with one value changed."""

from __future__ import annotations

import io
import json
import os
import re
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from drainwright.errors import JobError
from drainwright.job.keeping import with_typed_lines
from drainwright.job.loading import Part, load, refusal, short
from drainwright.job.model import Job
from drainwright.job.reading import read_text
from drainwright.job.versions import upgrade

if TYPE_CHECKING:
    from drainwright.job.reading import Document

_PART = re.compile(r"\[([0-9]+)\]|\.?([^.\[\]]+)")


def to_json(job: Job) -> str:
    """The job as a JSON document; ``job_from_json`` gives back the very same job."""
    return job.model_dump_json(indent=2, by_alias=True, exclude_unset=False) + "\n"


def job_from_json(text: str, name: str = "job.json") -> Job:
    """Read a job from JSON text, with the same errors as a file.

    Raises
    ------
    JobError
        Lists every fault that was found.
    """
    return read_text(text, name if name.lower().endswith(".json") else f"{name}.json").job


def write_document(document: Document, path: str | Path | None = None) -> Path:
    """Write the document's text, comments and all, so that a crash leaves the old file or the new one.

    Parameters
    ----------
    document : Document
        What to write.
    path : str | Path, optional
        Where to; the document's own file if left out. Its ending must fit the format of the text.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    JobError
        If there is no path, or a YAML text would get the ending ``.json`` or the other way about.
    """
    target = Path(path) if path is not None else document.path
    if target is None:
        raise refusal("no path", "the path of a job file", file=document.name)
    if (target.suffix.lower() == ".json") != document.is_json:
        raise refusal(f"the ending {target.suffix!r}", ".json" if document.is_json else ".yaml", file=str(target))
    write_text(target, document.text)
    return target


def write_text(path: Path, text: str) -> None:
    """Write a text file in one step: a temporary file in the same folder takes the place of the old one."""
    handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as stream:
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, path.stat().st_mode & 0o777 if path.exists() else 0o644)
        os.replace(temporary, path)
    except BaseException:
        Path(temporary).unlink(missing_ok=True)
        raise


def edit(document: Document, where: str, value: object) -> Document:
    """The document with one value changed (or one key or list entry added), validated again.

    Parameters
    ----------
    document : Document
        Left alone.
    where : str
        Path of the value, such as ``works.runs[2].pipe``; an index one past the end adds an entry.
    value : object
        A text, number, boolean, list or mapping, as it would stand in the document. ``None`` removes the key.

    Returns
    -------
    Document
        Read again from the changed text, in the current format.

    Raises
    ------
    JobError
        If the path leads nowhere, or the changed job is wrong.
    """
    tree = document.tree
    parts = _parts(where)
    at = tree
    for part in parts[:-1]:
        if not _holds(at, part):
            raise refusal(
                f"no {short(where)} in the document", "a path to a part of it", where=where, file=document.name
            )
        at = at[part]
    last = parts[-1]
    if isinstance(at, list) and last == len(at):
        at.append(value)
    elif not _holds(at, last) and not (isinstance(at, dict) and isinstance(last, str)):
        raise _no_such(where, document)
    elif value is None:
        at.pop(last, None) if isinstance(at, dict) else at.pop(last)
    else:
        at[last] = value
    return read_text(_dump(tree, document.text, document.is_json), document.name, document.folder)


def changed(document: Document, change: Callable[[Any], None]) -> Document:
    """The document with what ``change`` did to its tree, validated again.

    In YAML comments are kept, and each line that the change leaves alone is as it was typed.

    Parameters
    ----------
    document : Document
        Left alone.
    change : callable
        Changes the tree that it is given, in place.

    Returns
    -------
    Document
        Read again from the changed text, in the current format.

    Raises
    ------
    JobError
        If the changed job is wrong.
    """
    return read_text(changed_text(document.text, change, is_json=document.is_json), document.name, document.folder)


def changed_text(
    text: str, change: Callable[[Any], None], *, is_json: bool = False, is_job: bool = True
) -> str:  # fmt: skip
    """A document's text with what ``change`` did to its tree; the job need not be whole, and is not checked.

    In YAML comments are kept, and each line that the change leaves alone is as it was typed.

    Parameters
    ----------
    text : str
        A document that ``drainwright.job.loading.load`` takes.
    change : callable
        Changes the tree that it is given, in place.
    is_json : bool
        Whether the text is JSON.
    is_job : bool
        Whether it is a job document; a record beside a job has a format of its own, which stays.

    Returns
    -------
    str
        In the current format, where a job document tells its own.
    """
    tree = _tree(text, is_json) if is_job else _loaded(text, is_json)
    plain = "" if is_json else _dump(tree, text, is_json)
    change(tree)
    made = _dump(tree, text, is_json)
    return made if is_json else with_typed_lines(text, plain, made, lambda one: load(one, "").record)


def _no_such(where: str, document: Document) -> JobError:
    return refusal(f"no {short(where)} there", "a path to a part of the document", where=where, file=document.name)


def _parts(where: str) -> list[Part]:
    parts: list[Part] = []
    at = 0
    while at < len(where):
        match = _PART.match(where, at)
        if match is None:
            break
        parts.append(int(match[1]) if match[1] else match[2])
        at = match.end()
    if not parts or at < len(where):
        raise refusal(short(where), "a path such as 'works.runs[2].pipe'", where=where)
    return parts


def _holds(at: object, part: Part) -> bool:
    if isinstance(at, dict):
        return part in at
    return isinstance(at, list) and isinstance(part, int) and part < len(at)


def tree_of(document: Document) -> Any:
    """A fresh tree of a document's text in the current format: comments are kept in YAML."""
    return upgrade(_loaded(document.text, document.is_json))


def _loaded(text: str, is_json: bool) -> Any:
    return json.loads(text) if is_json else _yaml(text).load(text)


def _tree(text: str, is_json: bool) -> Any:
    """A tree in the current format; as it stands, where it has no format or an unknown one."""
    tree = _loaded(text, is_json)
    try:
        return upgrade(tree)
    except JobError:
        return tree


def _dump(tree: Any, text: str, is_json: bool) -> str:
    if is_json:
        return json.dumps(tree, indent=2) + "\n"
    stream = io.StringIO()
    _yaml(text).dump(tree, stream)
    return stream.getvalue()


def _yaml(text: str) -> Any:
    """A round-trip reader and writer that keeps comments, quotes and the indentation of lists in ``text``."""
    from ruamel.yaml import YAML

    yaml = YAML(typ="rt")
    yaml.preserve_quotes = True
    yaml.width = 4096
    yaml.allow_unicode = True
    offset = _list_offset(text)
    yaml.indent(mapping=2, sequence=offset + 2, offset=offset)
    return yaml


def _list_offset(text: str) -> int:
    """How far the dashes of the first list stand in from their key; 2 if there is no list."""
    key = 0
    for line in text.splitlines():
        bare = line.lstrip(" ")
        if bare.startswith("- "):
            return max(0, len(line) - len(bare) - key)
        if bare and not bare.startswith("#"):
            key = len(line) - len(bare)
    return 2


__all__ = ["changed", "changed_text", "edit", "job_from_json", "to_json", "tree_of", "write_document", "write_text"]
