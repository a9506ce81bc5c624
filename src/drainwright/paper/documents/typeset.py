"""Typst: a document of blocks to PDF bytes, the same bytes for the same document."""

from __future__ import annotations

import datetime
import json
from functools import lru_cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from drainwright.exchange.logos import logo_json
from drainwright.paper.documents.blocks import Document, plain

NO_DATE = datetime.date(2000, 1, 1)  # stands in the file's data where the job has no date


class SettingError(RuntimeError):
    """The template could not be set without a warning: a fault of this program, never of a job."""


@lru_cache(maxsize=1)
def _template() -> bytes:
    return files("drainwright.paper").joinpath("templates", "paper.typ").read_bytes()


@lru_cache(maxsize=1)
def font_folder() -> Path:
    """The folder of the font that papers and drawings use."""
    return Path(str(files("font_source_sans_pro").joinpath("files")))


@lru_cache(maxsize=1)
def _fonts() -> Any:
    """The fonts as the compiler reads them, once for all documents."""
    import typst

    return typst.Fonts(include_system_fonts=False, font_paths=[font_folder()])


def inputs(document: Document) -> dict[str, bytes]:
    """The files that the compiler sees: the template, the words as data, drawings and photographs."""
    told = plain(document)
    shown: dict[str, bytes] = {}
    if document.logo:
        told["logo"] = "logo.json"
        shown["logo.json"] = logo_json(document.logo)
    words = json.dumps(told, ensure_ascii=False, sort_keys=True).encode("utf-8", "replace")
    drawn = {name: svg.encode("utf-8", "replace") for name, svg in document.drawings}
    taken = {name: json.dumps(list(data)).encode() for name, data in document.photos}  # the compiler reads text alone
    return {"main.typ": _template(), "data.json": words, **drawn, **shown, **taken}


def to_pdf(document: Document, day: datetime.date | None) -> bytes:
    """Set a document.

    Parameters
    ----------
    document : Document
        What it says.
    day : datetime.date or None
        Date that the file carries (midnight UTC); a fixed one if None, so that equal jobs give equal bytes.

    Returns
    -------
    bytes
        A tagged PDF.

    Raises
    ------
    SettingError
        If Typst warns.
    """
    return set_pdf(document.name, inputs(document), day)


def set_pdf(name: str, shown: dict[str, bytes], day: datetime.date | None) -> bytes:
    """The same, from the files that ``inputs`` gives of a document of this name."""
    import typst

    stamp = datetime.datetime.combine(day or NO_DATE, datetime.time(), datetime.UTC)
    files_: Any = shown  # the binding takes such a mapping, its types do not say so
    pdf, warnings = typst.compile_with_warnings(
        files_, font_paths=_fonts(), ignore_system_fonts=True, timestamp=int(stamp.timestamp())
    )
    if warnings:
        raise SettingError(f"{name}: " + "; ".join(str(warning.message) for warning in warnings))
    return bytes(pdf)


__all__ = ["NO_DATE", "SettingError", "font_folder", "inputs", "set_pdf", "to_pdf"]
