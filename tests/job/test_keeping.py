"""A changed document keeps the lines that were not changed as they were typed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from drainwright.job.keeping import with_typed_lines
from drainwright.job.loading import load
from drainwright.job.reading import read_document
from drainwright.job.writing import _dump, _yaml, changed

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
TYPED = """# A lot.
title:   "Wet floor"
symptoms:
  - {what: water, where: north wall, height: 3 in,
     sign: water on floor, spot: floor edge}

works:
  outlets: [ OUT,  IN ]   # two
  runs:
    - {name: A, from: X,
       to: Y}
    - {name: B, from: Y, to: Z}

# what the owner asks
criteria:
  power_cut:    4 h
"""


class Paper:
    """A document of a text."""

    is_json = False

    def __init__(self, text: str) -> None:
        self.text = text


def says(text: str) -> object:
    """What a text says, as the job's own reader has it."""
    return load(text, "job.yaml").record


def written(change: Any) -> str:
    """The text after a change of its tree."""
    yaml = _yaml(TYPED)
    paper: Any = Paper(TYPED)
    plain, tree = _dump(yaml.load(TYPED), paper.text, paper.is_json), yaml.load(TYPED)
    assert plain != TYPED  # the writer has a way of its own
    change(tree)
    text = with_typed_lines(TYPED, plain, _dump(tree, paper.text, paper.is_json), says)
    assert _yaml(text).load(text) == tree
    return text


def test_nothing_changed_gives_the_same_bytes() -> None:
    assert written(lambda tree: None) == TYPED


def test_a_value_changed_leaves_all_other_lines() -> None:
    text = written(lambda tree: tree["works"]["runs"][1].update(to="W"))
    assert text == TYPED.replace("to: Z}", "to: W}")


def test_what_follows_a_part_that_is_taken_out_stays() -> None:
    text = written(lambda tree: tree["works"].pop("runs"))
    first, after = TYPED.index("  runs:"), TYPED.index("\n# what the owner asks")
    assert text == TYPED[:first] + TYPED[after:]


def test_an_entry_more_is_the_only_line_more() -> None:
    text = written(lambda tree: tree["works"]["runs"].append({"name": "C"}))
    old, new = TYPED.splitlines(), text.splitlines()
    assert [line for line in new if line not in old] == ["    - name: C"]
    assert [line for line in old if line not in new] == []


@pytest.mark.parametrize("cut", range(1, 12))
def test_where_lines_cannot_be_matched_the_text_still_says_what_was_changed(cut: int) -> None:
    """Whatever stands in the file, the outcome says what the changed text says."""
    lines = TYPED.splitlines(keepends=True)
    typed = "".join(lines[:cut])
    text = with_typed_lines(typed, TYPED, TYPED.replace("4 h", "5 h"), says)
    assert _yaml(text).load(text) == _yaml(TYPED).load(TYPED.replace("4 h", "5 h"))


def test_a_document_is_changed_so() -> None:
    path = Path(__file__).resolve().parents[2] / "examples" / "block-wall-house" / "job.yaml"
    document = read_document(path)
    assert changed(document, lambda tree: None).text == document.text
    again = changed(document, lambda tree: tree["works"].pop("runs"))
    old = document.text.splitlines()
    start = old.index("  runs:")
    end = next(at for at in range(start + 1, len(old)) if not old[at].startswith("    "))
    assert again.text.splitlines() == old[:start] + old[end:]


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("**/job.yaml")), ids=lambda path: path.parent.name)
def test_a_tree_written_before_its_change_is_written_after_it_as_a_fresh_one_is(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    tree, fresh = _yaml(text).load(text), _yaml(text).load(text)
    _dump(tree, text, False)
    for one in (tree, fresh):
        one["notes"] = "changed"
        one.pop("customer", None)
    assert _dump(tree, text, False) == _dump(fresh, text, False)


def test_what_a_caller_does_to_a_reading_is_not_seen_by_the_next() -> None:
    first = load(TYPED, "job.yaml")
    first.record["works"].clear()
    again = load(TYPED, "job.yaml")
    assert again.record["works"]
    assert again.spots == first.spots
