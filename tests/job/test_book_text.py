"""A price book changed line by line: what is not touched stays to the letter, and so does what is undone."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis.strategies import SearchStrategy, booleans, composite, integers, lists, sampled_from

from drainwright.errors import JobError
from drainwright.job.book_csv import price_edits, prices_csv
from drainwright.job.book_file import BookDocument, read_book_text
from drainwright.job.book_starter import new_book_text
from drainwright.job.book_text import Edit, entry_lines, undone, with_entries, with_learning
from drainwright.job.firm_book import Change, Learning

DAY = datetime.date(2026, 4, 15)
BOOK = """\
# our prices
schema_version: 1
name: Firm   # who
dated: 2026-01-05

items:
  # the yard
  stone.57: 58.00   # per yard
  haul.load: {price: 70.00, dated: 2026-01-02, source: "own truck"}  # diesel

  dump.load:
    price: 65    # the gate
    # asked twice
    dated: 2026-01-03
# rates below
rates:
  dig.firm: 0.70
  coat: {value: 80, note: 'by roller'}

# the end
"""
EDITS = (
    Edit("items", "stone.57", {"price": Decimal("61.50"), "dated": DAY, "source": "paid, to: the quarry"}),
    Edit("items", "haul.load", {"price": Decimal("72.00"), "dated": DAY}),
    Edit("items", "dump.load", {"price": Decimal("66.10"), "dated": DAY, "source": "#1 \"gate\": a"}),
    Edit("items", "alarm", {"price": Decimal("80.00"), "dated": DAY}),
    Edit("rates", "dig.firm", {"value": 0.731234, "learnt_from": ("D-1", "null"), "tied": {"coat": -0.25}}),
    Edit("rates", "parge", {"value": 41.0, "dated": DAY}),
)  # fmt: skip


def learnt(book: BookDocument, edits: Sequence[Edit], number: int = 1) -> BookDocument:
    """The book with edits, and the record of them."""
    changed, lines = with_entries(book, edits)
    changes = tuple(
        Change(
            key=f"{edit.section}.{edit.key}", before=1, after=2, observed=3, weight=0.5, why="a: b", was=was, now=now
        )
        for edit, (was, now) in zip(edits, lines, strict=True)
    )
    record = Learning(id=f"L{number}", when=DAY, job=f"D-{number}", actuals=f"{number:064d}", changes=changes)
    return with_learning(changed, record)


def test_entries_say_what_they_were_given_and_nothing_else_moves() -> None:
    before = read_book_text(BOOK)
    after, lines = with_entries(before, EDITS)
    items, rates = after.book.items, after.book.rates
    assert items["stone.57"].price == Decimal("61.50")
    assert items["stone.57"].source == "paid, to: the quarry"
    assert items["haul.load"].source == "own truck"
    assert items["dump.load"].source == '#1 "gate": a'
    assert items["alarm"].dated == DAY
    assert rates["dig.firm"].value == 0.731234
    assert rates["dig.firm"].learnt_from == ("D-1", "null")
    assert rates["dig.firm"].tied == {"coat": -0.25}
    assert rates["coat"] == before.book.rates["coat"]
    for comment in (
        "# our prices",
        "# who",
        "# the yard",
        "# per yard",
        "# diesel",
        "# the gate",
        "# asked twice",
        "# the end",
    ):
        assert comment in after.text
    untouched = {line for edit in EDITS for line in (entry_lines(before, edit.section, edit.key) or "").split("\n")}
    for line in BOOK.splitlines():
        assert line in untouched or line in after.text.splitlines()
    assert lines[3] == (None, "  alarm: {price: 80.00, dated: 2026-04-15}")
    assert "price: 61.50" in after.text


@composite
def books(draw: SearchStrategy) -> str:  # type: ignore[type-arg]
    """Books written in all ways: line ends, a last line without one, comments, indents, sections left out or empty."""
    indent = " " * draw(integers(1, 5))
    entries = draw(lists(sampled_from([
        f"{indent}stone.57: 58.00   # per yard", f"{indent}haul.load: {{price: 70.00, source: 'a, b'}}",
        f"{indent}dump.load:\n{indent}  price: 65\n\n{indent}  # why\n{indent}  dated: 2026-01-03",
        f"{indent}alarm: {{price: 9,\n{indent}  dated: 2026-01-01}}",
    ]), unique=True))  # fmt: skip
    rates = draw(
        lists(sampled_from([f"{indent}dig.firm: 0.70", f"{indent}coat: {{value: 80}}  # roller"]), unique=True)
    )
    parts = ["# head", "schema_version: 1", "name: Firm", "dated: 2026-01-05"]
    if entries or draw(booleans()):
        parts += ["items:   # ours", *(f"{indent}# above" for _ in range(draw(integers(0, 1)))), *entries]
    if draw(booleans()):
        parts += ["", "# between"]
    if rates or draw(booleans()):
        parts += ["rates:", *rates]
    if draw(booleans()):
        parts += ["notes: the end", "", "# last"]
    text = "\n".join(parts) + ("\n" if draw(booleans()) else "")
    return text.replace("\n", "\r\n") if draw(booleans()) else text


@settings(max_examples=60)
@given(books(), lists(sampled_from(EDITS), unique_by=lambda edit: edit.key, min_size=1), lists(
    sampled_from(EDITS), unique_by=lambda edit: edit.key, min_size=1))  # fmt: skip
def test_undoing_what_was_learnt_gives_the_very_same_text(text: str, first: list[Edit], second: list[Edit]) -> None:
    book = read_book_text(text)
    one = learnt(book, first)
    two = learnt(one, second, 2)
    assert [learning.id for learning in two.book.learnt] == ["L1", "L2"]
    assert undone(two)[0].text == one.text
    assert undone(undone(two)[0])[0].text == text


def test_an_earlier_learning_is_undone_by_its_id_where_nothing_came_after_on_its_entries() -> None:
    book = read_book_text(BOOK)
    two = learnt(learnt(book, EDITS[:1]), EDITS[1:2], 2)
    back, learning = undone(two, "L1")
    assert learning.id == "L1"
    assert entry_lines(back, "items", "stone.57") == "  stone.57: 58.00   # per yard"
    assert back.book.items["haul.load"].price == Decimal("72.00")
    assert undone(back)[0].text == BOOK


def test_a_later_learning_on_the_same_entry_is_undone_first() -> None:
    two = learnt(learnt(read_book_text(BOOK), EDITS[:2]), EDITS[:1], 2)
    with pytest.raises(JobError, match=r"stone\.57 changed again by L2; .*Undo L2 first"):
        undone(two, "L1")


@pytest.mark.parametrize("edit", [("61.50", "62.50"), ("dated: 2026-04-15, source", "source"), ("# per", "# by the")])
def test_what_was_changed_by_hand_since_is_not_overwritten(edit: tuple[str, str]) -> None:
    after = learnt(read_book_text(BOOK), EDITS)
    head, _, record = after.text.partition("learnt:")
    assert edit[0] in head
    touched = read_book_text(head.replace(*edit, 1) + "learnt:" + record)
    with pytest.raises(JobError, match=r"items\.stone\.57 changed by hand since") as caught:
        undone(touched)
    assert len(caught.value.problems) == 1
    assert caught.value.problems[0].line == 8


def test_hand_edits_elsewhere_stay() -> None:
    after = learnt(read_book_text(BOOK), EDITS)
    touched = read_book_text(after.text.replace("# the end", "# the very end").replace("value: 80", "value: 85"))
    back, _ = undone(touched)
    assert back.text == BOOK.replace("# the end", "# the very end").replace("value: 80", "value: 85")


def test_nothing_to_undo_is_told() -> None:
    for wanted in (None, "L7"):
        with pytest.raises(JobError, match="nothing learnt; expected a job learnt from") as caught:
            undone(read_book_text(BOOK), wanted)
        assert "none" not in str(caught.value)
    with pytest.raises(JobError, match="no learning L7; expected one of: L1"):
        undone(learnt(read_book_text(BOOK), EDITS), "L7")


@pytest.mark.parametrize(
    "text",
    [
        BOOK.replace("dig.firm: 0.70\n  coat: {value: 80, note: 'by roller'}", "{dig.firm: 0.70}").replace(
            "rates:\n  {", "rates: {"
        ),
        BOOK.replace("rates:\n  dig.firm: 0.70\n  coat: {value: 80, note: 'by roller'}", "rates: {}"),
        BOOK.replace(
            "rates:\n  dig.firm: 0.70\n  coat: {value: 80, note: 'by roller'}", "rates: {\n  dig.firm: 0.70\n  }"
        ),
    ],
)
def test_entries_within_braces_are_refused_not_mangled(text: str) -> None:
    book = read_book_text(text)
    with pytest.raises(JobError, match="braces"):
        with_entries(book, EDITS)


def test_a_book_in_json_is_not_changed() -> None:
    book = read_book_text('{"schema_version": 1, "name": "A", "dated": "2026-01-01"}', "prices.json")
    with pytest.raises(JobError, match="a book in JSON"):
        with_entries(book, EDITS)


def test_the_starter_takes_what_is_learnt_and_gives_it_back() -> None:
    text = new_book_text(DAY)
    after = learnt(read_book_text(text), EDITS)
    assert set(after.book.items) == {edit.key for edit in EDITS if edit.section == "items"}
    assert undone(after)[0].text == text


# -- as a table -----------------------------------------------------------------------------------------------


def test_prices_go_out_and_come_back_unchanged() -> None:
    for text in (BOOK, new_book_text(DAY), with_entries(read_book_text(BOOK), EDITS)[0].text):
        book = read_book_text(text)
        assert price_edits(book, prices_csv(book.book)) == ()


def test_a_table_changes_the_prices_that_it_gives() -> None:
    book = read_book_text(BOOK)
    table = (
        "Source,KEY,price,dated,unit\nquarry,stone.57,$61.5,2026-04-15,yd³\n# a comment\n"
        "invented,alarm,79.00,,each\n,dump.load,65,2026-01-03,\n"
    )
    edits = price_edits(book, table)
    assert [edit.key for edit in edits] == ["stone.57"]
    after = with_entries(book, edits)[0].book.items["stone.57"]
    assert (after.price, after.dated, after.source) == (Decimal("61.5"), DAY, "quarry")


def test_a_table_may_write_powers_as_they_are_typed() -> None:
    book = read_book_text(BOOK)
    table = "key,price,dated,unit\nstone.57,61.50,2026-04-15,yd3\nfabric.nonwoven,0.31,2026-04-15,ft2\n"
    assert [edit.key for edit in price_edits(book, table)] == ["stone.57", "fabric.nonwoven"]
    with pytest.raises(JobError, match="yd³"):
        price_edits(book, table.replace("yd3", "m3"))


def test_a_table_may_bring_a_new_item() -> None:
    table = "key,price,dated,description,category,unit\nsand.ton,31.00,2026-04-15,washed sand,material,ton\n"
    after = with_entries(read_book_text(BOOK), price_edits(read_book_text(BOOK), table))[0]
    assert after.book.items["sand.ton"].unit == "ton"


HEADS = "key,price,dated,source,unit\n"


@pytest.mark.parametrize(
    ("table", "line", "words"),
    [
        ("", None, "headings without key, price, dated"),
        ("key;price;dated\n", None, "commas between the cells"),
        ("key,price\n", None, "headings without dated"),
        ("key,price,dated,cost\n", 1, "the heading 'cost'"),
        ("key,price,dated,dated\n", 1, "a heading twice"),
        (HEADS + "stome.57,1,2026-01-01,,\n", 2, "Did you mean 'stone.57'?"),
        (HEADS + ",1,2026-01-01,,\n", 2, "an item of the price book"),
        (HEADS + "stone.57,dear,2026-01-01,,\n", 2, "the price 'dear'"),
        (HEADS + "stone.57,,2026-01-01,,\n", 2, "an amount such as 12.50"),
        (HEADS + 'stone.57,"61,50",2026-01-01,,\n', 2, "A point, not a comma"),
        (HEADS + "stone.57,-1,2026-01-01,,\n", 2, "the price '-1'"),
        (HEADS + "stone.57,99999999,2026-01-01,,\n", 2, "the price '99999999'"),
        (HEADS + "stone.57,1,15.4.2026,,\n", 2, "a date written like 2026-03-02"),
        (HEADS + "stone.57,1,,,\n", 2, "the date ''"),
        (HEADS + "stone.57,1,2026-01-01,,ton\n", 2, "expected 'yd³'"),
        (HEADS + "stone.57,1,2026-01-01,,,,x\n", 2, "7 cells"),
        (HEADS + "alarm,1,2026-01-01,,\nalarm,2,2026-01-01,,\n", 3, "'alarm' again"),
        (HEADS + "alarm,81.00,2026-01-01,invented,each\n", 2, "whose price it is, in place of 'invented'"),
        (HEADS + f"alarm,1,2026-01-01,{'a' * 201},each\n", 2, "at most 200 characters"),
        (HEADS + 'alarm,1,2026-01-01,"a\n', 2, "a row that cannot be read"),
        (HEADS + "alarm,1,2026-01-01,a\x00,each\n", 2, "a control character"),
    ],
)
def test_a_wrong_table_is_told_by_its_rows(table: str, line: int | None, words: str) -> None:
    with pytest.raises(JobError) as caught:
        price_edits(read_book_text(BOOK), table)
    said = [str(problem) for problem in caught.value.problems]
    assert any(words in text for text in said), said
    assert line is None or caught.value.problems[0].line == line


def test_no_cell_goes_out_as_a_formula() -> None:
    text = BOOK.replace('source: "own truck"', 'source: "=HYPERLINK(1)"')
    assert '," =HYPERLINK(1)' in prices_csv(read_book_text(text).book) or ", =HYPERLINK(1)" in prices_csv(
        read_book_text(text).book
    )
    assert price_edits(read_book_text(text), prices_csv(read_book_text(text).book)) == ()
