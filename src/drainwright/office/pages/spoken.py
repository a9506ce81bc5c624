"""A page in the language of who reads it: every text of it by the catalogue of the crew's papers."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cache
from html import escape, unescape
from importlib.resources import files

from fastapi import Request

from drainwright.office.after_files import FILES
from drainwright.paper.documents.spanish import Translator, catalogue

KEPT = frozenset({"Drainwright", *FILES})  # the same in every language
LANGUAGES = {"en": "English", "es": "Español"}
#: What the scripts of a crew's pages say, with the names of what they fill in, and other pages or papers say too; what
#: the yard's pages alone say stands in a file of its own, lest single words of it reach into the papers.
SCRIPT_WORDS = (
    "A try to send it was made: if the office has it already, it hangs on the job and proves nothing.",
    "After the job",
    "After the job: {part}",
    "All sent",
    "Begun on this phone and not noted yet.",
    "Begun on this phone; the office does not have it yet.",
    "Buried lines",
    "Change",
    "Depth to its top",
    "Empty the form",
    "Found no picture; expected a photograph (JPEG, PNG or WebP).",
    "Found {found}; expected {expected}. {hint}",
    "Found {size} MB; the office takes 20 MB at most. Take it smaller.",
    "Keep both",
    "Kind",
    "Leave theirs",
    "Level",
    "Located by",
    "Look at them and choose",
    "Name",
    "No office just now.",
    "Not in the office",
    "Not kept",
    "Not taken by the office",
    "Not taken by the office: {why}",
    "Note",
    "Nothing on this phone",
    "Nothing waits for a choice.",
    "Now, by {who}:",
    "Office last seen {time}.",
    "Send",
    "Sending…",
    "Sign in",
    "Take it back",
    "Take mine",
    "Take out",
    "Take out the last entry",
    "Taken back: it never left this phone.",
    "Taken out: {what}",
    "The office has it: an entry of its own takes it out again.",
    "The office has no such job.",
    "The office may have it: an entry of its own takes it out again.",
    "They go to the office when there is a signal.",
    "This phone has no room left, and there is no signal. It still stands in the form: make room, or wait for a "
    "signal, then press the button again.",
    "This phone has no room left. What you just typed is still in the fields; make room, then press the button again.",
    "This phone says it is {phone}; the office said {office} when this page came. See that the day is right.",
    "This phone's browser refuses to keep anything. What you just typed is still in the fields; write it on paper too.",
    "Throw it away",
    "Throw mine away",
    "To",
    "Undo",
    "What was typed stays on this phone.",
    "Where",
    "Yard",
    "You are signed out. What was typed stays on this phone; it goes once you sign in again.",
    "Yours:",
    "assumed",
    "communication",
    "depth unknown",
    "electric",
    "exposed by hand",
    "gas",
    "irrigation",
    "irrigation control",
    "locate ticket",
    "low voltage lighting",
    "measured",
    "nothing",
    "oil",
    "owner says",
    "pool",
    "private locate",
    "propane",
    "reclaimed",
    "septic",
    "sewer",
    "stated",
    "storm drain",
    "takes back what the office may have",
    "unknown",
    "water",
    "{n} lines",
    "{n} not taken by the office",
    "{n} on this phone",
    "{place}, typed {time}",
)
_PIECES = re.compile(r"<!--.*?-->|<[^>]*>", re.DOTALL)
_TAG = re.compile(r"<(/?)([a-z0-9]+)")
_TOLD = re.compile(r'\b(aria-label|alt|placeholder|data-title)="([^"]*)"')
_AS_IT_IS = frozenset({"script", "style", "textarea", "pre", "code", "svg"})  # nothing that a person reads, or typed
_ALONE = frozenset({"area", "br", "hr", "img", "input", "link", "meta", "path", "circle"})  # tags that never end


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """A page in Spanish, and what of it stayed English since the catalogue has nothing for it."""

    text: str
    left: tuple[str, ...]


def language_of(request: Request) -> str:
    """The language asked for in the address, chosen on this device, or set by the person; English where it is none."""
    who = getattr(request.state, "who", None)
    asked = (request.query_params.get("lang"), request.cookies.get("lang"), who.language if who else "")
    return next((one for one in asked if one in LANGUAGES), "en")


def spoken(page: str, names: Collection[str]) -> Spoken:
    """A page in Spanish.

    What stands in an element that says ``translate="no"``, in a field or in code stays as it is. A text without Spanish
    stays too, and is marked as English for whoever has it read out.

    Parameters
    ----------
    page : str
        As HTML of this app.
    names : collection of str
        Names and what was typed: they stay.
    """
    translator = Translator(frozenset(names) | KEPT)
    made = "".join(_told(page, translator))
    return Spoken(text=made, left=tuple(translator.missing))


def _told(page: str, translator: Translator) -> Iterator[str]:
    shut: list[str] = []  # elements that stay as they are, the innermost last
    at, bare = 0, False  # bare: where no element can stand
    for piece in _PIECES.finditer(page):
        text = page[at : piece.start()]
        yield text if shut else _said(text, translator, bare)
        at = piece.end()
        tag = _TAG.match(piece[0])
        if tag is None:
            yield piece[0]
            continue
        ends, name = bool(tag[1]), tag[2]
        bare = name in ("option", "title") and not ends
        if shut:
            if name == shut[-1]:
                shut.pop() if ends else shut.append(name)
            yield piece[0]
            continue
        if not ends and name not in _ALONE and (name in _AS_IT_IS or ' translate="no"' in piece[0]):
            shut.append(name)
        yield _TOLD.sub(lambda one: f'{one[1]}="{_attribute(one[2], translator)}"', piece[0])
    yield page[at:]


def _attribute(text: str, translator: Translator) -> str:
    plain = unescape(text)
    return escape(translator.say(plain)) if plain.strip() else text


def _said(text: str, translator: Translator, bare: bool) -> str:
    plain = re.sub(r"\s+", " ", unescape(text)).strip()
    if not re.search(r"[^\W\d_]", plain):
        return text
    known = len(translator.missing)
    said = escape(translator.say(plain), quote=False)
    if len(translator.missing) > known and not bare:
        said = f'<span lang="en">{said}</span>'
    lead, tail = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
    return f"{lead}{said}{tail}"


def in_language(language: str) -> Callable[[str], str]:
    """Says words of the program in a language."""
    return (lambda words: catalogue().get(words, words)) if language == "es" else str


def script_words(language: str) -> dict[str, str]:
    """What the scripts of a page say, in a language."""
    return _yard_words() | {one: _in_spanish(one) for one in SCRIPT_WORDS} if language == "es" else {}


@cache
def _yard_words() -> dict[str, str]:
    text = files("drainwright.paper").joinpath("data", "spanish_yard.json").read_text(encoding="utf-8")
    read: dict[str, str] = json.loads(text)
    return read


def _in_spanish(words: str) -> str:
    known = catalogue()
    return known[words] if words in known else f"{known[words.removesuffix('.')]}."  # it keeps no full stop


__all__ = ["LANGUAGES", "SCRIPT_WORDS", "Spoken", "in_language", "language_of", "script_words", "spoken"]
