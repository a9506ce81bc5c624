"""Paths to the parts of a record: ``house.walls[south].footing_depth``, with list entries by their names."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence
from typing import Any, NamedTuple, TypeAlias

from drainwright.errors import InputError
from drainwright.job.loading import short

KEYS = ("name", "key", "point", "to", "line")  # what an entry may be named by: the first that names all of its list
_QUOTED = r'"(?:[^"\\]|\\.)*"'
_KEY = re.compile(rf'\.?(?:({_QUOTED})|([^.\[\]"]+))')
_ENTRY = re.compile(rf'\[(?:([0-9]+)|(\+[0-9]*)|({_QUOTED})|([^\]"]+))\]')
_BARE_KEY = re.compile(r'[^.\[\]"\\]+')
_BARE_NAME = re.compile(r'(?!\+[0-9]*$)(?![0-9]+$)[^\]"\\]+')


class Named(NamedTuple):
    """The entry of a list that bears a name."""

    name: str
    field: str = ""  # the key that holds the name; empty: found in the list


class Append(NamedTuple):
    """The place after the last entry of a list, whichever that is; or before one of them."""

    before: int | None = None  # where a list is shorter, its end


Step: TypeAlias = str | int | Named | Append
Steps: TypeAlias = tuple[Step, ...]


def parsed(path: str) -> Steps:
    """The steps of a path.

    Parameters
    ----------
    path : str
        Keys with dots between them; entries of lists in brackets, by name, by number from 0, or ``+`` for a new one
        at the end (``+2``: before the one that has number 2 now). Keys and names with signs of their own stand in
        quotes: ``prices."stone.57"``, ``walls["2"]``.

    Returns
    -------
    tuple
        Its steps.

    Raises
    ------
    InputError
        If it is no such path.
    """
    steps: list[Step] = []
    at = 0
    while at < len(path):
        if match := _ENTRY.match(path, at):
            number, plus, quoted, bare = match.groups()
            steps.append(
                int(number)
                if number
                else Append(int(plus[1:]) if plus[1:] else None)
                if plus
                else Named(_said(quoted) if quoted else bare)
            )
        elif (match := _KEY.match(path, at)) and (at > 0) == (path[at] == "."):
            steps.append(_said(match[1]) if match[1] else match[2])
        else:
            break
        at = match.end()
    if not steps or at < len(path) or not isinstance(steps[0], str):
        raise InputError(f"path: found {short(path)}; expected a path such as 'house.walls[south].footing_bottom'")
    return tuple(steps)


def written(steps: Sequence[Step]) -> str:
    """A path in words; ``parsed`` gives the same steps back (without the fields of names)."""
    text = ""
    for step in steps:
        match step:
            case Append(before=before):
                text += "[+]" if before is None else f"[+{before}]"
            case Named(name=name):
                text += f"[{name if _BARE_NAME.fullmatch(name) else _quoted(name)}]"
            case int():
                text += f"[{step}]"
            case _:
                text += ("." if text else "") + (step if _BARE_KEY.fullmatch(step) else _quoted(step))
    return text


def naming(entries: Sequence[Any]) -> str:
    """The key that tells the entries of a list apart; empty if none does."""
    for field in KEYS:
        names = [one.get(field) if isinstance(one, dict) else None for one in entries]
        if names and all(isinstance(name, str) and name for name in names) and len(set(names)) == len(names):
            return field
    return ""


def place_in(at: Any, step: Step) -> str | int | None:
    """The key or number that a step leads to in a mapping or list; None where nothing stands."""
    if isinstance(at, dict):
        return step if isinstance(step, str) and step in at else None
    if not isinstance(at, list):
        return None
    if isinstance(step, int):
        return step if step < len(at) else None
    if isinstance(step, str):  # works.runs.FD1, as a person may write it
        step = Named(step)
    if isinstance(step, Named):
        fields = (step.field or naming(at),)
        for field in fields if fields[0] else KEYS:
            found = [n for n, one in enumerate(at) if isinstance(one, dict) and one.get(field) == step.name]
            if len(found) == 1:
                return found[0]
    return None


def _said(quoted: str) -> str:
    try:
        return str(json.loads(quoted))
    except ValueError:
        raise InputError(f"path: found {short(quoted)}; expected a text in quotes as JSON writes it") from None


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


__all__ = ["KEYS", "Append", "Named", "Step", "Steps", "naming", "parsed", "place_in", "written"]
