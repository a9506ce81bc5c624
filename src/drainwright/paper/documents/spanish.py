"""Crew papers in Spanish: every text by a catalogue of templates, names and what the job's writer typed as they are."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any, Literal, TypeVar, get_args, get_origin

from pydantic import BaseModel

from drainwright.job.model import Job
from drainwright.job.values import LEVEL_WORDS
from drainwright.job.works import Stone
from drainwright.paper.sheet import clean

Thing = TypeVar("Thing")

_UNITS = (
    "ft|in|yd³|ft³|ft²|yd|m³|m²|m|mm|cm|L|gal|gpm|L/s|L/min|lb|kg|t|%|h|min|s|mil|W|hp|V|in/ft|mm/m|yd³/h|m³/h|ft²/h|"
    "m²/h|ft/h|m/h|°|psi|No|DN"
)
#: A field of a template by its kind: any text that has Spanish of its own, a number with its unit, one word, one
#: clause that begins with a word that is no unit.
_KINDS = {
    "": r".+?",
    "n": rf"[−±~]?\d(?:[\d/ -]|[.,:](?=\d)|(?:{_UNITS})(?![^\W\d_]))*(?<![ -])",
    "w": r"\w+",
    "t": rf"(?!(?:{_UNITS})(?![^\W\d_]))[^\W\d_][^,;:]*(?<!\.)",
}
_FIELD = re.compile(r"\{(\w+)(?::([nwt]))?\}")
_FIGURE = re.compile(
    rf"(?:[\d.,:/×+=()–±~−☐_·#°-]+|(?:{_UNITS})(?=$|[\s,;)/])|[A-Z]{{3}}-\d{{2}}|[\s,;()×+–…]+|°C|°F)+"
)
TOGETHER = 4  # letters by which templates are listed
_BREAKS = (". ", "; ", ": ", ", ", " and ", " or ", " (", " · ", " + ")
_JOINS = {" and ": " y ", " or ": " o "}
_AS_THEY_ARE = frozenset({"file", "weight", "colour", "swatch", "tone", "style", "align", "language", "drawings"})


@dataclass(frozen=True, slots=True)
class _Template:
    pattern: str
    names: tuple[str, ...]
    spanish: str
    head: str  # what every such text begins with
    tail: str  # and ends with
    sure: str  # the longest piece that stands in it

    def match(self, text: str) -> re.Match[str] | None:
        """The text's fields, where it is one of the template."""
        may = text.startswith(self.head) and text.endswith(self.tail) and self.sure in text
        return _compiled(self.pattern).fullmatch(text) if may else None


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern)  # when a text first asks: a job says but a part of the catalogue


@lru_cache(maxsize=1)
def catalogue() -> dict[str, str]:
    """English texts and their Spanish, with named fields; a last full stop is set as the text has it."""
    text = files("drainwright.paper").joinpath("data", "spanish.json").read_text(encoding="utf-8")
    read: dict[str, str] = json.loads(text)
    ends = {english for english, spanish in read.items() if english.endswith(".") and spanish.endswith(".")}
    return {(one[:-1] if one in ends else one): (other[:-1] if one in ends else other) for one, other in read.items()}


@lru_cache(maxsize=1)
def _templates() -> tuple[_Template, ...]:
    """The templates with fields, those that say most first."""
    found = []
    for english, spanish in catalogue().items():
        parts = list(_FIELD.finditer(english))
        if not parts:
            continue
        ends = [0, *(part.end() for part in parts)]
        starts = [*(part.start() for part in parts), len(english)]
        pieces = [english[end:start] for end, start in zip(ends, starts, strict=True)]
        pattern = re.escape(pieces[0])
        for part, piece in zip(parts, pieces[1:], strict=True):
            pattern += f"({_KINDS[part[2] or '']}){re.escape(piece)}"
        names = tuple(part[1] for part in parts)
        said = len(english) - sum(len(part[0]) for part in parts)
        sure = max(pieces, key=len)
        found.append((said, _Template(pattern, names, spanish, pieces[0], pieces[-1], sure)))
    found.sort(key=lambda item: -item[0])
    return tuple(template for _, template in found)


@lru_cache(maxsize=1)
def _by_letters() -> tuple[frozenset[int], dict[str, tuple[int, ...]]]:
    """Templates by letters that stand in each of their texts, those that stand in the fewest; and all without any."""
    templates = _templates()
    counts = Counter(letters for template in templates for letters in _letters(template.sure))
    found: dict[str, list[int]] = {}
    for number, template in enumerate(templates):
        if mine := _letters(template.sure):
            found.setdefault(min(mine, key=lambda letters: (counts[letters], letters)), []).append(number)
    listed = {letters: tuple(numbers) for letters, numbers in found.items()}
    return frozenset(range(len(templates))).difference(*listed.values()), listed


def _letters(text: str) -> set[str]:
    return {text[at : at + TOGETHER] for at in range(len(text) - TOGETHER + 1)}


def _may_fit(text: str) -> Iterator[_Template]:
    """The templates whose text may be this one, those that say most first."""
    always, listed = _by_letters()
    numbers = always.union(*(listed[letters] for letters in listed.keys() & _letters(text)))
    templates = _templates()
    return (templates[number] for number in sorted(numbers))


@lru_cache(maxsize=16384)  # what one job's papers say, those of another say too
def _fits(text: str) -> tuple[tuple[_Template, tuple[str, ...]], ...]:
    """The templates whose text this is, each with its fields, those that say most first."""
    fitting = ((template, template.match(text)) for template in _may_fit(text))
    return tuple((template, match.groups()) for template, match in fitting if match is not None)


def typed_in(job: Job) -> frozenset[str]:
    """All texts of a job: its names and what its writer said in words."""
    return frozenset(_typed(job)) - {Stone().name} - LEVEL_WORDS  # the program's own words, though a job says them


def _typed(value: Any) -> Iterator[str]:
    if isinstance(value, Enum):
        return
    if isinstance(value, str):
        if value.strip():
            yield clean(value)
            yield from (clean(row) for row in value.splitlines() if row.strip())
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            if not _closed(field.annotation):
                yield from _typed(getattr(value, name))
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _typed(key)
            yield from _typed(item)
    elif isinstance(value, (list, tuple, set, frozenset)):
        for item in value:
            yield from _typed(item)


def _closed(annotation: Any) -> bool:
    """Whether a field takes words of a list alone."""
    return get_origin(annotation) is Literal or any(_closed(part) for part in get_args(annotation) if part is not str)


class Translator:
    """Says texts of one job's papers in Spanish.

    Parameters
    ----------
    names : frozenset of str
        What stays as it is: names of the job and of the design's places, and what was typed.

    Attributes
    ----------
    missing : dict
        Texts for which the catalogue has nothing; they were left in English.
    """

    def __init__(self, names: frozenset[str]) -> None:
        self.names = names
        self.missing: dict[str, None] = {}
        self._said: dict[str, str | None] = {}

    def say(self, text: str) -> str:
        """A text in Spanish; in English, and noted as missing, where the catalogue has nothing."""
        if not text.strip():
            return text
        said = self._find(text)
        if said is None:
            self.missing[text] = None
            return text
        return said

    def _find(self, text: str) -> str | None:
        if text not in self._said:
            self._said[text] = None  # a field is never the whole text again
            self._said[text] = self._whole(text)
        return self._said[text]

    def _whole(self, text: str) -> str | None:
        if self.names.issuperset(text.split("–")) or _FIGURE.fullmatch(text) or text in self.names:  # FD1–FD7
            return text
        known = catalogue().get(text)
        if known is not None:
            return known
        if text[:1].isupper() and text[0].lower() + text[1:] in self.names:  # at the head of a sentence
            return text
        if text[:1].isupper() and (known := catalogue().get(text[0].lower() + text[1:])) is not None:
            return known[0].upper() + known[1:]
        for template, parts in _fits(text):
            found: dict[str, str] = {}
            for name, part in zip(template.names, parts, strict=True):
                if (said := self._find(part)) is None:
                    break
                found[name] = said
            else:
                return template.spanish.format_map(found)
        return self._parts(text)

    def _parts(self, text: str) -> str | None:
        """A text by its sentences and clauses, each by itself."""
        if text[-1] in ".:,;)" and len(text) > 1 and (head := self._find(text[:-1])) is not None:
            return head + text[-1]
        for mark in _BREAKS:
            at = text.find(mark)
            while at > 0:
                left, right = text[:at], text[at + len(mark) :]
                if right and (one := self._find(left)) is not None and (other := self._find(right)) is not None:
                    return one + _JOINS.get(mark, mark) + other
                at = text.find(mark, at + 1)
        return None

    def blocks(self, thing: Thing) -> Thing:
        """Blocks with every text said in Spanish; file names and looks are left alone."""
        return self._walk(thing)  # type: ignore[no-any-return]

    def _walk(self, thing: Any) -> Any:
        if isinstance(thing, str):
            return self.say(thing)
        if isinstance(thing, tuple):
            return tuple(self._walk(item) for item in thing)
        if is_dataclass(thing) and not isinstance(thing, type):
            changed = {
                field.name: self._walk(getattr(thing, field.name))
                for field in fields(thing)
                if field.name not in _AS_THEY_ARE
            }
            return replace(thing, **changed)
        return thing


__all__ = ["Translator", "catalogue", "typed_in"]
