"""Malformed price books and actuals, each told with its line and what would be right; books beside a job."""

from __future__ import annotations

import datetime
import json
import re
from contextlib import suppress
from decimal import Decimal
from pathlib import Path
from threading import Barrier, Thread

import pytest
from hypothesis import given
from hypothesis.strategies import binary, text
from jsonschema import Draft202012Validator

from drainwright.errors import JobError, Problem
from drainwright.job import read_text, to_json
from drainwright.job.actuals import read_actuals, read_actuals_text
from drainwright.job.book_csv import price_edits
from drainwright.job.book_file import read_book, read_book_text
from drainwright.job.book_saving import save_book
from drainwright.job.book_starter import new_book_text
from drainwright.job.demonstration import demonstration_data
from drainwright.job.schema import book_schema
from drainwright.job.writing import job_from_json

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
EXAMPLE = Path(__file__).parents[2] / "examples" / "block-wall-house" / "book"
BOOK = """\
schema_version: 1
name: Firm
dated: 2026-01-05
items:
  stone.57: {price: 58.00, dated: 2026-02-10}
rates:
  dig.firm: 0.70
"""
ACTUALS = """\
schema_version: 1
job: D-1
finished: 2026-04-24
work:
  - {task: trench, hours: 31.5}
purchases:
  - {item: stone.57, quantity: 8, price: 61.50, date: 2026-04-15}
"""
HEAD = "schema_version: 1\nname: Firm\ndated: 2026-01-05\n"
DONE = "schema_version: 1\njob: D-1\nfinished: 2026-04-24\n"

# fmt: off
# ruff: noqa: E501  (a case a line)
BOOKS: tuple[tuple[str, str, int | None, str, tuple[str, ...]], ...] = (  # id, text, line, path, words
    ("empty", "", None, "", ("an empty document", "a price book: lines such as 'name: ...'")),
    ("comments", "# nothing\n", None, "", ("an empty document",)),
    ("list", "- a\n", 1, "", ("a list at the top", "a price book")),
    ("text", "prices\n", 1, "", ("'prices' at the top",)),
    ("version", HEAD.replace("1", "2", 1), 1, "schema_version", ("2", "expected 1")),
    ("no name", "schema_version: 1\ndated: 2026-01-05\n", None, "name", ("the key 'name'", "required")),
    ("no date", "schema_version: 1\nname: A\n", None, "dated", ("the key 'dated'",)),
    ("bad date", HEAD.replace("2026-01-05", "05.01.2026"), 3, "dated", ("'05.01.2026'", "a date between")),
    ("old date", HEAD.replace("2026", "1066"), 3, "dated", ("between 1900 and 2100",)),
    ("currency", HEAD + "currency: dollars\n", 4, "currency", ("'dollars'", "ISO 4217", "Did you mean 'USD'?")),
    ("currency of none", HEAD + "currency: QQQ\n", 4, "currency", ("'QQQ'", "such as USD or EUR")),
    ("currency near", HEAD + "currency: EURO\n", 4, "currency", ("Did you mean 'EUR'?",)),
    ("currency small", HEAD + "currency: cad\n", 4, "currency", ("Did you mean 'CAD'?",)),
    ("currency gone", HEAD + "currency: HRK\n", 4, "currency", ("HRK is withdrawn: EUR took its place",)),
    ("sign", HEAD + "labour: {wage: '€64.00'}\n", 4, "labour.wage", ("'€64.00'", "Write 64.00, without its currency")),
    ("code", HEAD + "items:\n  stone.57: 64 EUR\n", 5, "items.stone.57", ("'64 EUR'", "Write 64, without its currency")),
    ("dollars", HEAD + "currency: EUR\nitems:\n  alarm: {price: $12.50}\n", 6, "items.alarm.price", ("'$12.50'", "amount in EUR")),
    ("dollar", HEAD + "currency: EUR\nitems:\n  stone.57: $64\n", 6, "items.stone.57", ("'$64'", "without a sign")),
    ("wage", HEAD + "currency: GBP\nlabour: {wage: $24}\n", 5, "labour.wage", ("'$24'", "amount in GBP")),
    ("code first", HEAD + "items:\n  stone.57: EUR 1.064,50\n", 5, "items.stone.57", ("Write 1064.50, without",)),
    ("cents comma", HEAD + "items:\n  stone.57: '64,50'\n", 5, "items.stone.57", ("Write 64.50",)),
    ("thousands point", HEAD + "items:\n  stone.57: '1.064,00'\n", 5, "items.stone.57", ("Write 1064.00",)),
    ("either", HEAD + "items:\n  stone.57: '1,064'\n", 5, "items.stone.57", ("Write 1064 or 1.064",)),
    ("hours", HEAD + "items:\n  stone.57: 3 h\n", 5, "items.stone.57", ("'3 h'", "an amount such as 12.50")),
    ("key in two", HEAD + "waste:\n  stone:\n    57: 8 %\n", 5, "waste.stone",
     ("found a mapping", "one line: 'stone.57: ...'")),
    ("unknown key", HEAD + "itmes: {}\n", 4, "itmes", ("the unknown key 'itmes'", "Did you mean 'items'?")),
    ("unknown item", HEAD + "items:\n  stome.57: 60\n", 5, "items.stome.57", ("'stome.57'", "Did you mean 'stone.57'?")),
    ("negative", HEAD + "items:\n  stone.57: -1\n", 5, "items.stone.57", ("-1", "0 or more")),
    ("words", HEAD + "items:\n  stone.57: dear\n", 5, "items.stone.57", ("'dear'", "an amount such as 12.50")),
    ("no price", HEAD + "items:\n  stone.57: {dated: 2026-01-01}\n", 5, "items.stone.57.price", ("the key 'price'",)),
    ("null price", HEAD + "items:\n  stone.57:\n", 5, "items.stone.57", ("nothing", "a mapping")),
    ("true", HEAD + "items:\n  stone.57: true\n", 5, "items.stone.57", ("true", "a number")),
    ("infinite", HEAD + "items:\n  stone.57: .inf\n", 5, "items.stone.57", ("inf",)),
    ("item key", HEAD + "items:\n  stone.57: {price: 1, dat: 2026-01-01}\n", 5, "items.stone.57.dat", ("'dated'",)),
    ("unit", HEAD + "items:\n  stone.57: {price: 1, unit: ton}\n", 5, "items.stone.57.unit", ("'ton'", "'yd³'")),
    ("kind", HEAD + "items:\n  stone.57: {price: 1, category: hire}\n", 5, "items.stone.57.category", ("'material'",)),
    ("half new", HEAD + "items:\n  sand: {price: 1, unit: ton}\n", 5, "items.sand", ("without description and category",)),
    ("list of items", HEAD + "items: [1, 2]\n", 4, "items", ("a list", "a mapping")),
    ("unknown rate", HEAD + "rates:\n  dig.firmly: 1\n", 5, "rates.dig.firmly", ("Did you mean 'dig.firm'?",)),
    ("rate of none", HEAD + "rates:\n  dig.firm: 0\n", 5, "rates.dig.firm", ("0", "0.001 or more")),
    ("rate of next to none", HEAD + "rates:\n  dig.firm: 0.000001\n", 5, "rates.dig.firm", ("1e-06", "0.001")),
    ("rate nan", HEAD + "rates:\n  dig.firm: .nan\n", 5, "rates.dig.firm", ("nan",)),
    ("rate unit", HEAD + "rates:\n  dig.firm: {value: 1, unit: m3/h}\n", 5, "rates.dig.firm.unit", ("'yd³/h'",)),
    ("spread", HEAD + "rates:\n  dig.firm: {value: 1, spread: 0}\n", 5, "rates.dig.firm.spread", ("above 0",)),
    ("tie", HEAD + "rates:\n  coat: {value: 9, tied: {coat: 0.5}}\n", 5, "rates.coat.tied.coat", ("another rate",)),
    ("tie size", HEAD + "rates:\n  coat: {value: 9, tied: {parge: 2}}\n", 5, "rates.coat.tied.parge", ("1 or less",)),
    ("margin", HEAD + "shares: {profit_margin: 100 %}\n", 4, "shares.profit_margin", ("a mark-up is of the cost",)),
    ("bare share", HEAD + "shares: {overhead: 18}\n", 4, "shares.overhead", ("18",)),
    ("wage", HEAD + "labour: {wage: lots}\n", 4, "labour.wage", ("'lots'",)),
    ("waste", HEAD + "waste: {stone: 90 %}\n", 4, "waste.stone", ("0.5 or less",)),
    ("waste of pipe", HEAD + "waste:\n  pipe.d2729-4in.10ft: 5 %\n", 5, "waste.pipe.d2729-4in.10ft", ("piece by piece",)),
    ("waste of what", HEAD + "waste: {stones: 5 %}\n", 4, "waste.stones", ("Did you mean 'stone'?",)),
    ("tax", HEAD + "tax: {materials: 7 %}\n", 4, "tax.materials", ("'materials'", "Did you mean 'material'?")),
    ("age", HEAD + "stale_after: 0\n", 4, "stale_after", ("0", "1 or more")),
    ("age of what", HEAD + "stale_after: {stones: 9}\n", 4, "stale_after.stones", ("Did you mean 'stone'?",)),
    ("age words", HEAD + "stale_after: soon\n", 4, "stale_after", ("'soon'",)),
    ("twice", HEAD + "items:\n  alarm: 1\n  alarm: 2\n", 6, "items.alarm", ("again", "The first is on line 5")),
    ("anchor", HEAD + "items: &a {alarm: 1}\n", 4, "items", ("an anchor",)),
    ("tag", HEAD + "name2: !!python/object:os.system x\n", 4, "name2", ("a tag",)),
    ("tab", HEAD + "items:\n\talarm: 1\n", 5, "", ("a tab",)),
    ("two", HEAD + "---\n" + HEAD, 4, "", ("a second document", "one price book in a file")),
    ("control", HEAD + 'notes: "a\\u0000b"\n', 4, "notes", ("a control character",)),
    ("learnt id", HEAD + "learnt:\n  - {id: one, when: 2026-01-01, job: a, actuals: " + "0" * 64 + "}\n", 5,
     "learnt[0].id", ("'one'", "an id such as L1")),
    ("learnt hash", HEAD + "learnt:\n  - {id: L1, when: 2026-01-01, job: a, actuals: 00}\n", 5, "learnt[0].actuals", ()),
    ("learnt twice", HEAD + "learnt:\n" + 2 * ("  - {id: L1, when: 2026-01-01, job: a, actuals: '" + "0" * 64 + "'}\n"), 6,
     "learnt[1].id", ("L1 again",)),
)

JOBS: tuple[tuple[str, str, int | None, str, tuple[str, ...]], ...] = (
    ("empty", "", None, "", ("a file of actuals: lines such as 'job: ...'",)),
    ("nothing", DONE, None, "", ("neither work, loads nor purchases",)),
    ("no job", DONE.replace("job: D-1\n", "") + "loads: 1\n", None, "job", ("the key 'job'",)),
    ("number", DONE.replace("D-1", "117") + "loads: 1\n", 2, "job", ("117", "Put it in quotes")),
    ("no end", DONE.replace("finished: 2026-04-24\n", "") + "loads: 1\n", None, "finished", ("the key 'finished'",)),
    ("loads", DONE + "loads: 1.5\n", 4, "loads", ("1.5", "a whole number")),
    ("minus loads", DONE + "loads: -1\n", 4, "loads", ("-1", "0 or more")),
    ("hours", DONE + "work:\n  - {task: trench, hours: 0}\n", 5, "work[0].hours", ("above 0",)),
    ("hours words", DONE + "work:\n  - {task: trench, hours: 3 h}\n", 5, "work[0].hours", ("'3 h'", "a number")),
    ("hours huge", DONE + "work:\n  - {task: trench, hours: 1e9}\n", 5, "work[0].hours", ("5000 or less",)),
    ("no task", DONE + "work:\n  - {hours: 3}\n", 5, "work[0].task", ("the key 'task'",)),
    ("done", DONE + "work:\n  - {task: trench, hours: 3, done: 0}\n", 5, "work[0].done", ("0.05 or more",)),
    ("done twice", DONE + "work:\n" + 2 * "  - {task: trench, hours: 3, done: 1}\n", 6, "work[1].done", ("'trench' again",)),
    ("late", DONE + "work:\n  - {task: a, hours: 3, day: 2026-05-01}\n", 5, "work[0].day", ("up to 'finished'",)),
    ("other", DONE + "work:\n  - {task: other, hours: 3}\n", 5, "work[0]", ("other work without 'what'",)),
    ("other done", DONE + "work:\n  - {task: other, what: a, hours: 3, done: 1}\n", 5, "work[0]", ("'done' at other",)),
    ("bought what", DONE + "purchases:\n  - {quantity: 1, price: 1, date: 2026-04-01}\n", 5, "purchases[0]", ("neither",)),
    ("bought both", DONE + "purchases:\n  - {item: a, what: b, quantity: 1, price: 1, date: 2026-04-01}\n", 5,
     "purchases[0]", ("both 'item' and 'what'",)),
    ("bought none", DONE + "purchases:\n  - {item: a, quantity: 0, price: 1, date: 2026-04-01}\n", 5,
     "purchases[0].quantity", ("above 0",)),
    ("paid back", DONE + "purchases:\n  - {item: a, quantity: 1, price: -1, date: 2026-04-01}\n", 5,
     "purchases[0].price", ("0 or more",)),
    ("no day", DONE + "purchases:\n  - {item: a, quantity: 1, price: 1}\n", 5, "purchases[0].date", ("the key 'date'",)),
    ("bad day", DONE + "purchases:\n  - {item: a, quantity: 1, price: 1, date: April}\n", 5, "purchases[0].date", ()),
    ("weather", DONE + "loads: 1\nweather_days:\n  - {date: 2026-05-02}\n", 6, "weather_days[0].date", ("up to",)),
    ("within", DONE + "loads: 1\nhours_within: 10\n", 5, "hours_within", ("10",)),
    ("unknown", DONE + "loads: 1\npurchase: []\n", 5, "purchase", ("Did you mean 'purchases'?",)),
)
# fmt: on


def told(problems: tuple[Problem, ...], line: int | None, where: str, words: tuple[str, ...]) -> None:
    said = [str(problem) for problem in problems]
    here = [problem for problem in problems if problem.where == where]
    assert here, said
    if line is not None:
        assert line in [problem.line for problem in here], said
    for word in words:
        assert any(word in str(problem) for problem in here), (word, said)
    for problem in problems:
        assert problem.found
        assert problem.expected
        assert problem.file


@pytest.mark.parametrize(("written", "line", "where", "words"), [case[1:] for case in BOOKS], ids=[c[0] for c in BOOKS])
def test_a_wrong_book_is_told(written: str, line: int | None, where: str, words: tuple[str, ...]) -> None:
    with pytest.raises(JobError) as caught:
        read_book_text(written)
    told(caught.value.problems, line, where, words)


@pytest.mark.parametrize(("written", "line", "where", "words"), [case[1:] for case in JOBS], ids=[c[0] for c in JOBS])
def test_wrong_actuals_are_told(written: str, line: int | None, where: str, words: tuple[str, ...]) -> None:
    with pytest.raises(JobError) as caught:
        read_actuals_text(written)
    told(caught.value.problems, line, where, words)


def test_the_cases_start_from_what_is_right() -> None:
    assert len(BOOKS) + len(JOBS) >= 40
    assert read_book_text(BOOK).book.items["stone.57"].price == Decimal("58.0")
    assert read_book_text(HEAD).book.items == {}
    assert read_actuals_text(ACTUALS).actuals.work[0].hours == 31.5
    assert read_actuals_text(DONE + "loads: 1\n").actuals.loads == 1


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(JobError) as caught:
        read_book_text(HEAD + "items:\n  stone.57: -1\n  alarm: x\nrates:\n  coat: 0\n")
    assert [problem.line for problem in caught.value.problems] == [5, 6, 8]


@given(text(max_size=60))
def test_no_text_breaks_the_readers(written: str) -> None:
    for read in (read_book_text, read_actuals_text):
        for start in ("", HEAD, DONE):
            with suppress(JobError):
                read(start + written)


@given(binary(max_size=40))
def test_no_file_breaks_the_readers(data: bytes) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "a.yaml"
        path.write_bytes(HEAD.encode() + data)
        for read in (read_book, read_actuals):
            with suppress(JobError):
                read(path)


def test_a_file_that_is_not_there_is_told(tmp_path: Path) -> None:
    with pytest.raises(JobError, match="no such file; expected a price book"):
        read_book(tmp_path / "none.yaml")
    with pytest.raises(JobError, match="no such file; expected a file of actuals"):
        read_actuals(tmp_path / "none.yaml")


def test_the_digest_is_of_what_is_said_not_of_how() -> None:
    one, other = read_actuals_text(ACTUALS), read_actuals_text(ACTUALS.replace("31.5", "31.50") + "# a comment\n")
    assert one.digest == other.digest
    assert one.digest != read_actuals_text(ACTUALS.replace("31.5", "31.6")).digest


def test_the_starter_reads_and_gives_no_invented_price_as_the_firm_s() -> None:
    book = read_book_text(new_book_text(datetime.date(2026, 3, 1))).book
    assert book.items == {}
    assert book.rates == {}
    assert book.labour.wage is None


def test_the_starter_with_every_line_taken_in_is_the_demonstration() -> None:
    """Each line that is commented out reads once its # is taken away."""
    whole = re.sub(r"^  # (?!--)(\S+: )", r"  \1", new_book_text(datetime.date(2026, 3, 1)), flags=re.MULTILINE)
    book = read_book_text(whole).book
    data = demonstration_data()
    assert {key: entry.price for key, entry in book.items.items()} == {
        key: Decimal(item["price"]) for key, item in data["items"].items()
    }
    assert {key: rate.value for key, rate in book.rates.items()} == {
        key: rate["value"] for key, rate in data["rates"].items()
    }
    assert book.waste == pytest.approx(data["waste"])


def plain(written: str) -> object:
    """The document as JSON would hold it: dates as text."""
    from ruamel.yaml import YAML

    return json.loads(json.dumps(YAML(typ="safe", pure=True).load(written), default=str))


@pytest.mark.parametrize(
    "written", [BOOK, new_book_text(datetime.date(2026, 3, 1)), (EXAMPLE / "prices.yaml").read_text(encoding="utf-8")]
)
def test_the_schema_takes_what_the_reader_takes(written: str) -> None:
    Draft202012Validator.check_schema(book_schema())
    assert list(Draft202012Validator(book_schema()).iter_errors(plain(written))) == []
    assert list(Draft202012Validator(book_schema()).iter_errors({"schema_version": 1, "name": "", "dated": 1})) != []


# -- beside a job ---------------------------------------------------------------------------------------------


def test_a_job_reads_the_book_that_it_names(tmp_path: Path) -> None:
    (tmp_path / "prices.yaml").write_text(BOOK, encoding="utf-8")
    job = read_text(SMALL + "price_book: {file: prices.yaml, rates: {coat: 70}}\n", folder=tmp_path).job
    assert job.price_book.file is None
    assert job.price_book.book == read_book_text(BOOK).book
    assert job.price_book.rates == {"coat": 70}
    assert job_from_json(to_json(job)) == job


def test_a_wrong_book_beside_a_job_is_told_with_its_own_line(tmp_path: Path) -> None:
    (tmp_path / "prices.yaml").write_text(HEAD + "items:\n  stome.57: 60\n  alarm: x\n", encoding="utf-8")
    with pytest.raises(JobError) as caught:
        read_text(SMALL + "price_book: {file: prices.yaml}\n", folder=tmp_path)
    assert str(caught.value).startswith("prices.yaml:6: items.alarm: found")
    (tmp_path / "prices.yaml").write_text(HEAD + "items:\n  stome.57: 60\n", encoding="utf-8")
    with pytest.raises(JobError, match=r"prices\.yaml:5: items\.stome\.57: .*Did you mean 'stone\.57'"):
        read_text(SMALL + "price_book: {file: prices.yaml}\n", folder=tmp_path)


@pytest.mark.parametrize("name", ["../prices.yaml", "/etc/passwd", "none.yaml", "", "a\\b", "C:prices.yaml"])
def test_a_book_lies_beside_its_job(name: str, tmp_path: Path) -> None:
    (tmp_path / "job").mkdir()
    (tmp_path / "prices.yaml").write_text(BOOK, encoding="utf-8")
    with pytest.raises(JobError, match=r"price_book\.file"):
        read_text(SMALL + f"price_book: {{file: {name!r}}}\n", folder=tmp_path / "job")


def test_a_job_has_one_book() -> None:
    with pytest.raises(JobError, match="both 'file' and 'book'"):
        read_text(SMALL + "price_book: {file: a.yaml, book: {schema_version: 1, name: A, dated: 2026-01-01}}\n")


def test_of_two_writers_neither_loses_a_price(tmp_path: Path) -> None:
    """Both read the same book: the second to save is refused by name, and the first one's price stands."""
    path = tmp_path / "prices.yaml"
    path.write_text(BOOK, encoding="utf-8")
    one, two = read_book(path), read_book(path)
    save_book(path, one, one.text.replace("58.00", "61.00"))
    with pytest.raises(JobError, match=r"items\.stone\.57") as refused:
        save_book(path, two, two.text.replace("0.70", "0.80"))
    assert refused.value.problems[0].file == str(path)
    assert path.read_text(encoding="utf-8") == BOOK.replace("58.00", "61.00")
    again = read_book(path)
    save_book(path, again, again.text.replace("0.70", "0.80"))
    assert path.read_text(encoding="utf-8") == BOOK.replace("58.00", "61.00").replace("0.70", "0.80")


def test_a_comment_of_the_other_writer_is_not_lost_either(tmp_path: Path) -> None:
    path = tmp_path / "prices.yaml"
    path.write_text(BOOK, encoding="utf-8")
    read = read_book(path)
    path.write_text("# asked by telephone\n" + BOOK, encoding="utf-8")
    with pytest.raises(JobError, match="comments or layout only"):
        save_book(path, read, read.text.replace("58.00", "61.00"))
    path.write_text("items: [", encoding="utf-8")
    with pytest.raises(JobError, match="no longer a price book"):
        save_book(path, read, BOOK)
    path.unlink()
    with pytest.raises(JobError, match="no such file"):
        save_book(path, read, BOOK)


def _adds(path: str, number: int, start: Barrier) -> None:
    """Adds one note, reading again as often as the other was quicker."""
    start.wait()
    for turn in range(10):
        while True:
            read = read_book(path)
            with suppress(JobError):
                save_book(path, read, f"{read.text}# {number}.{turn}\n")
                break


def test_two_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    path = tmp_path / "prices.yaml"
    path.write_text(BOOK, encoding="utf-8")
    start = Barrier(2)
    writers = [Thread(target=_adds, args=(str(path), number, start)) for number in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join()
    notes = path.read_text(encoding="utf-8").removeprefix(BOOK).split("\n")[:-1]
    assert sorted(notes) == sorted(f"# {number}.{turn}" for number in range(2) for turn in range(10))


def test_a_dollar_s_sign_in_a_table_for_other_money_is_refused() -> None:
    table = "key,price,dated,source\nalarm,$12.50,2026-04-01,counter\n"
    with pytest.raises(JobError, match="amount in EUR"):
        price_edits(read_book_text(HEAD + "currency: EUR\n"), table)
    assert price_edits(read_book_text(HEAD + "currency: CAD\n"), table)
