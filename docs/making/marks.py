"""Small pieces of Markdown that the written pages share."""

from __future__ import annotations

import html
import inspect
import re
from collections.abc import Sequence

_MARKUP = re.compile(r"([\\`*_{}\[\]<>|$~#])")


def cell(text: str) -> str:
    """Plain text for one cell of a table: on one line, nothing read as markup."""
    return _MARKUP.sub(r"\\\1", " ".join(text.split()))


def plain(docstring: str) -> str:
    """A docstring as plain paragraphs; its double backticks stay code."""
    parts = re.split(r"(``[^`]+``)", inspect.cleandoc(docstring))
    told = "".join(part[1:-1] if part.startswith("``") else _MARKUP.sub(r"\\\1", part) for part in parts)
    # A line that would be read as a list, a heading or a rule is none in a docstring.
    return re.sub(r"(?m)^(\s*)([-+=]|\d+[.)])(\s)", lambda found: f"{found[1]}\\{found[2]}{found[3]}", told)


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], align: str) -> str:
    """A pipe table: cells are Markdown already; ``align`` has ``l`` or ``r`` for each column."""
    rule = "|".join("---:" if side == "r" else ":---" for side in align)
    lines = [f"| {' | '.join(heads)} |", f"|{rule}|", *(f"| {' | '.join(row)} |" for row in rows)]
    return "\n".join(lines) + "\n"


def code(text: str) -> str:
    """A span of code, whatever is in it; for a cell the pipes are written out."""
    return f"<code>{html.escape(text).replace('|', '&#124;')}</code>" if "`" in text or "|" in text else f"`{text}`"


__all__ = ["cell", "code", "plain", "table"]
