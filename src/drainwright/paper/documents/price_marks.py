"""Whose the prices of the cost sheet are, in words: line by line, and counted."""

from __future__ import annotations

from collections import Counter

from drainwright.build.whose import Marked, Whose, marked_lines, marked_shares
from drainwright.design import Design

FIRM: Whose = "firm's"


def mark_words(one: Marked) -> str:
    """``own, 2026-02-10``, ``OLD: own, 2025-02-10``, ``job's, 2026-03-12``, ``demonstration``."""
    if one.dated is not None:
        told = f"{'own' if one.whose == FIRM else one.whose}, {one.dated.isoformat()}"
        return f"OLD: {told}" if one.old else told
    return {"sheet's": "pump's sheet", "example's": "invented book"}.get(one.whose, "demonstration")


def price_words(design: Design) -> tuple[str, ...]:
    """How many prices are whose, how many of them old, and the same of the wage and the shares."""
    lines = marked_lines(design.job, design.build)
    count = Counter(one.whose for one in lines)
    named = {
        FIRM: "the firm's own", "job's": "the job's own", "sheet's": "of the pump's sheet",
        "example's": "of a book that says it is invented", "demonstration's": "of the demonstration book, invented",
    }  # fmt: skip
    told = ", ".join(f"{count[whose]} {words}" for whose, words in named.items() if count[whose])
    old = sum(one.old for one in lines)
    aged = f" {old} of them {'is' if old == 1 else 'are'} old: ask again." if old else ""
    own, other = (", ".join(name.replace("_", " ") for name in names) for names in marked_shares(design.job))
    shares = [f"the firm's own: {own}"] if own else []
    shares += [f"not the firm's, and invented: {other}"] if other else []
    return (
        f"Prices from {design.build.price.book}. Lines of what is bought, hired and paid: {len(lines)}; {told}.{aged}",
        f"Of the wage and the shares {'; '.join(shares)}.",
    )


__all__ = ["mark_words", "price_words"]
