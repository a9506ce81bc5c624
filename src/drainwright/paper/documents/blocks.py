"""What a document says, as blocks of plain data. A template sets them; it knows nothing of drains."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Literal, TypeAlias

from drainwright.job.accent import PLAIN_ACCENT
from drainwright.paper.sheet import clean

Tone: TypeAlias = Literal["plain", "caution", "fails", "invented"]
Style: TypeAlias = Literal["body", "lead", "soft", "strong"]
Align: TypeAlias = Literal["left", "right", "center"]

LONG_WORD = 28  # a longer run without spaces may be broken anywhere
LONG_CELL = 500  # a row with a longer text may be broken over pages
BREAK = "\u200b"  # zero-width space: a place where a line may end


def line(text: str) -> str:
    """Make any text one line that is safe to set: no control characters, single spaces, long words breakable."""
    return " ".join(_breakable(word) for word in clean(text).split())


def lines(text: str) -> tuple[str, ...]:
    """The lines of a longer text, each made safe; empty ones left out."""
    return tuple(part for part in (line(row) for row in text.splitlines()) if part)


def _breakable(word: str) -> str:
    if len(word) <= LONG_WORD:
        return word
    return BREAK.join(word[start : start + 12] for start in range(0, len(word), 12))


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A cell that is more than its text."""

    text: str
    weight: Literal["regular", "semibold"] = "regular"
    colour: str = ""  # of the text
    swatch: str = ""  # a patch of this colour before the text
    span: int = 1
    size: float = 1.0  # over the table's size


Row: TypeAlias = Sequence[str | Cell]


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading; level 1 opens a part."""

    text: str
    level: int = 1
    new_page: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Plain words."""

    text: str
    style: Style = "body"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bullets:
    """A list."""

    items: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """A box that must not be missed."""

    tone: Tone
    title: str
    items: tuple[str, ...] = ()
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Short values with their names, side by side."""

    items: tuple[tuple[str, str], ...]
    columns: int = 2
    wide: tuple[tuple[str, str], ...] = ()  # below them, each across all columns


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table: its head, its share of the width ("auto" or a number of parts), its side."""

    head: str
    width: float = 0.0  # parts; 0 for as wide as it needs
    align: Align = "left"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table; its head is repeated on each page."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    size: float = 0.9  # over the document's size
    tall: bool = False  # rows with room to write in
    tight: bool = False  # rows close together, for long lists
    total: bool = False  # the last row is a sum
    groups: tuple[tuple[str, int], ...] = ()  # heads over several columns, each with its count of them


@dataclass(frozen=True, slots=True, kw_only=True)
class Log:
    """An empty table to write in: the rest of the page, or a whole one where fewer than nine rows have room."""

    title: str
    columns: tuple[Column, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """A drawing on a page of its own."""

    file: str  # name of the SVG
    title: str
    alt: str
    width: float  # true size [mm]
    height: float  # [mm]
    whole: bool = False  # the page is the sheet
    upright: bool = False  # on an upright page
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """A code to point a phone at, beside its words."""

    file: str  # name of the SVG
    title: str
    text: str
    alt: str
    size: float = 30.0  # of its side [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checks:
    """Boxes to tick."""

    items: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoBoxes:
    """Places for photographs, two abreast."""

    captions: tuple[str, ...]
    height: float = 58.0  # [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """One photograph."""

    file: str  # name among the document's photographs
    caption: str
    alt: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Shots:
    """Photographs, two abreast."""

    items: tuple[Shot, ...]
    height: float = 58.0  # at most [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """One thing to measure, to sign and to photograph."""

    number: str
    what: str
    measure: str
    wanted: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Slots:
    """Things to measure, each with room to write and a numbered place for its photograph."""

    heads: tuple[str, str, str, str]  # over what, wanted, the room to write, the photograph
    items: tuple[Slot, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Abreast:
    """Drawings side by side on one page."""

    title: str
    plates: tuple[Plate, ...]
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signatures:
    """Lines to sign on."""

    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """One use of a formula."""

    number: str
    where: str
    text: str  # numbers put in, and the result


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A formula with its uses."""

    title: str
    expression: str
    kind: str  # "formula" or "method"
    units: str
    source: str
    uses: tuple[Use, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """A list of the document's parts with their pages."""

    depth: int = 2
    columns: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Keep:
    """Blocks that stay together on a page."""

    blocks: tuple[Block, ...]
    leads: bool = False  # they go with the first rows of the table that follows


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPage:
    """The rest begins on a new page."""


Block: TypeAlias = (
    Heading | Paragraph | Bullets | Notice | Facts | Table | Log | Plate | Abreast | Code | Checks | PhotoBoxes | Shots
    | Slots    | Signatures | Formula | Contents | Keep | NewPage
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A paper before it is set."""

    name: str  # of the file, without ending
    title: str
    kind: str  # "Proposal", "Crew packet": stands in the footer
    job: str  # "D-0117"
    author: str  # the firm
    masthead: tuple[str, ...]  # firm and contact, the name first
    subject: tuple[str, ...]  # lines under the title
    paper: Literal["us-letter", "a4"]
    size: float  # of the text [pt]
    invented: bool
    blocks: tuple[Block, ...]
    drawings: tuple[tuple[str, str], ...] = ()  # file name and SVG
    photos: tuple[tuple[str, bytes], ...] = ()  # name and JPEG
    language: Literal["en", "es"] = "en"  # of the words that the template adds
    accent: str = PLAIN_ACCENT
    logo: str = ""  # of the firm, as a data URI
    told_as: str = ""  # the file's title in a reader's window; left out: ``title``


APART = ("drawings", "logo", "photos")  # a document's files, not words


def plain(value: Any) -> Any:
    """Blocks as data for the template; every text is made safe on the way."""
    if isinstance(value, str):
        return line(value)
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        data: dict[str, Any] = {
            field.name: plain(getattr(value, field.name))
            for field in dataclasses.fields(value)
            if not (isinstance(value, Document) and field.name in APART)
        }
        data["is"] = type(value).__name__
        if isinstance(value, Table):
            data["long"] = [
                any(len(cell if isinstance(cell, str) else cell.text) > LONG_CELL for cell in row) for row in value.rows
            ]
        return data
    return value


__all__ = [
    "Abreast", "Block", "Bullets", "Cell", "Checks", "Code", "Column", "Contents", "Document", "Facts", "Formula",
    "Heading", "Keep", "Log", "NewPage", "Notice", "Paragraph", "PhotoBoxes", "Plate", "Row", "Signatures", "Slot",
    "Slots", "Table", "Use", "line", "lines", "plain",
]  # fmt: skip
