"""Changed texts say what they should, and keep what was typed."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.office.store.comparing import compare, same
from drainwright.office.store.editing import Operation, edited, merged_lines, operated, perform, said
from drainwright.office.store.paths import Named, parsed, written
from tests.office.records import RECORDS
from tests.office.records import edited as another

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def typed(record: dict[str, Any]) -> str:
    from ruamel.yaml import YAML

    stream = io.StringIO()
    YAML().dump(record, stream)
    return f"# typed by hand\n{stream.getvalue()}"


@settings(max_examples=60)
@given(st.data())
def test_a_text_is_changed_to_say_another_record(data: st.DataObject) -> None:
    old = {"title": "x", **data.draw(RECORDS)}
    new = data.draw(another(old))
    if not new:
        return
    text = typed(old)
    assert same(said(text), old)
    made = edited(text, compare(old, new), new)
    assert same(said(made), new)


@pytest.mark.parametrize("name", ["sloping-lot", "block-wall-house", "metric-basement"])
def test_a_part_of_an_example_changes_and_all_other_lines_stay(name: str) -> None:
    text = (EXAMPLES / name / "job.yaml").read_text(encoding="utf-8")
    record = said(text)
    edit = Operation(id="a", path="title", value="Another title")
    perform(record, edit)
    made = operated(text, [edit], record)
    before, after = text.splitlines(), made.splitlines()
    assert len(before) == len(after)
    assert [n for n, (one, other) in enumerate(zip(before, after, strict=True)) if one != other] == [
        next(n for n, line in enumerate(before) if line.startswith("title:"))
    ]


def test_a_row_is_put_back_at_its_place_with_the_comments_of_the_others() -> None:
    text = "survey:\n  level_book:\n  - {point: A}  # first\n  - {point: B}  # second\n"
    record = said(text)
    edit = Operation(id="a", path="survey.level_book[+1]", value={"point": "NEW"}, was=None)
    perform(record, edit)
    assert [one["point"] for one in record["survey"]["level_book"]] == ["A", "NEW", "B"]
    made = operated(text, [edit], record)
    assert [line.partition("#")[2] for line in made.splitlines()[2:]] == [" first", "", " second"]
    beyond = Operation(id="b", path=f"survey.level_book[+{10**30}]", value={"point": "LAST"})
    perform(record, beyond)
    assert record["survey"]["level_book"][-1] == {"point": "LAST"}
    assert written(parsed("survey.level_book[+1]")) == "survey.level_book[+1]"
    assert parsed(written((*parsed("trees"), Named("+1")))) == (*parsed("trees"), Named("+1"))


def test_a_text_whose_lists_stand_in_by_different_widths_is_changed() -> None:
    text = (
        "trees:  # as the surveyor indents\n  - name: maple\n"
        "works:\n  runs:\n  - name: FD1\n    beside:\n    - south\n  - name: DL\n"
    )
    record = said(text)
    edit = Operation(id="a", path="works.runs[+]", value={"name": "YD1"})
    perform(record, edit)
    made = operated(text, [edit], record)
    assert said(made) == record
    assert "# as the surveyor indents" in made


LINES = st.lists(st.sampled_from("abcd"), max_size=8).map(lambda lines: "".join(f"{line}\n" for line in lines))


@given(LINES, LINES, LINES)
def test_lines_brought_together_keep_the_laws(base: str, one: str, other: str) -> None:
    assert merged_lines(base, one, base) == one
    assert merged_lines(base, base, other) == other
    assert merged_lines(base, one, other) == merged_lines(base, other, one)
