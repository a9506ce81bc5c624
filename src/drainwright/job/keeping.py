"""Keep the lines of a document as they were typed, where a change leaves them alone."""

from __future__ import annotations

from collections.abc import Callable
from difflib import SequenceMatcher

from drainwright.errors import JobError


def with_typed_lines(typed: str, plain: str, changed: str, load: Callable[[str], object]) -> str:
    """The changed text with all lines as they were typed that the change did not touch.

    Parameters
    ----------
    typed : str
        The document as it stands in its file.
    plain : str
        The same, written back unchanged: a writer folds and quotes in its own way.
    changed : str
        Written back with the change.
    load : callable
        Gives what a text says, to compare; raises ``JobError`` where it cannot be read.

    Returns
    -------
    str
        It says the same as ``changed``. Blank lines and comments after a part that was taken out stay.

    Notes
    -----
    Where typed and written lines cannot be told apart surely, the text is ``changed`` itself.
    """
    old, middle, new = (text.splitlines(keepends=True) for text in (typed, plain, changed))
    spans = [(b, e, c, d) for _, c, d, b, e in SequenceMatcher(None, old, middle, autojunk=False).get_opcodes()]
    found: list[str] = []
    for tag, low, high, first, last in SequenceMatcher(None, middle, new, autojunk=False).get_opcodes():
        if tag == "equal":
            found += _typed(spans, old, middle, low, high)
        else:
            found += new[first:last]
            tail = _tail(middle[low:high])
            fresh = new[first:last]
            found += [] if fresh[len(fresh) - len(tail) :] == tail else tail
    text = "".join(found)
    return text if text == changed or _same(text, changed, load) else changed


def _same(text: str, changed: str, load: Callable[[str], object]) -> bool:
    """Whether both say the same; lines of lists that stand in by different widths may not even be read together."""
    try:
        return load(text) == load(changed)
    except JobError:
        return False


def _typed(spans: list[tuple[int, int, int, int]], old: list[str], middle: list[str], low: int, high: int) -> list[str]:
    """Lines ``low`` to ``high`` of the plain text as they were typed, where the whole of a fold lies among them."""
    found: list[str] = []
    for first, last, start, end in spans:
        same = end - start == last - first and old[start:end] == middle[first:last]
        if same:
            a, b = max(first, low), min(last, high)
            found += middle[a:b] if a < b else []
        elif low <= first and last <= high:
            found += old[start:end]
        else:
            a, b = max(first, low), min(last, high)
            found += middle[a:b] if a < b else []
    return found


def _tail(lines: list[str]) -> list[str]:
    """Blank lines and comments that end a stretch of lines."""
    count = 0
    while count < len(lines) and (not (bare := lines[-1 - count].strip()) or bare.startswith("#")):
        count += 1
    return lines[len(lines) - count :] if count else []


__all__ = ["with_typed_lines"]
