"""A job beside its plan, and what it teaches: on the block-wall house with its invented book and actuals."""

from __future__ import annotations

import csv
import dataclasses
import datetime
import io
import json
import math
import re
import shutil
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import openpyxl
import pytest
from typer.testing import CliRunner

from drainwright.build import build_side
from drainwright.build.book import book_for
from drainwright.build.model import Build
from drainwright.cli import app
from drainwright.errors import InputError, JobError
from drainwright.field import survey
from drainwright.field.model import Site
from drainwright.job.actuals import ActualsDocument, read_actuals, read_actuals_text
from drainwright.job.book_file import BookDocument, read_book, read_book_text
from drainwright.job.book_text import undone
from drainwright.job.firm import PriceBook
from drainwright.job.model import Job
from drainwright.job.reading import read_job
from drainwright.learning import learn as learning
from drainwright.learning.compare import compared
from drainwright.learning.hangs_on import hangs_on, hours_of
from drainwright.learning.learn import learn, noise
from drainwright.learning.model import Comparison, TaskRow
from drainwright.learning.slips import without_words
from drainwright.paper.actuals_files import HEADS, comparison_file
from drainwright.system import lay_out
from drainwright.system.model import System
from drainwright.water import inflows

HOUSE = Path(__file__).parents[2] / "examples" / "block-wall-house"
DAY = datetime.date(2026, 4, 27)
DONE = "schema_version: 1\njob: D-0117\nfinished: 2026-04-24\n"
RUN = CliRunner()


@cache
def house() -> tuple[Job, Site, System, Build]:
    """The house, laid out and planned with the demonstration's book."""
    job = read_job(HOUSE / "job.yaml")
    site = survey(job)
    system = lay_out(site, inflows(site))
    return job, site, system, build_side(site, system)


@cache
def shares() -> dict[str, dict[str, float]]:
    """Which rates its tasks hang on; they are the same for every book, but for how much."""
    _, site, system, build = house()
    return hangs_on(site, system, PriceBook(), book_for(PriceBook()).rates, build.plan)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """The house laid out once, and its shares found once."""
    job, site, system, _ = house()

    def laid_out(_job: Job, book: BookDocument) -> tuple[Site, System]:
        own = job.model_copy(update={"price_book": PriceBook(book=book.book)})
        return dataclasses.replace(site, job=own), system

    monkeypatch.setattr(learning, "_laid_out", laid_out)
    monkeypatch.setattr(learning, "hangs_on", lambda *_: shares())


def book() -> BookDocument:
    return read_book(HOUSE / "book" / "prices.yaml")


def actuals() -> ActualsDocument:
    return read_actuals(HOUSE / "book" / "actuals.yaml")


def beside(written: str | None = None) -> Comparison:
    job, _, _, build = house()
    document = actuals() if written is None else read_actuals_text(written)
    return compared(job, build, book_for(PriceBook()), document)


def test_what_is_invented_is_named_and_nothing_else() -> None:
    """A firm's own job at its own wage once ended "Invented prices or actuals: an example."."""
    job, _, _, build = house()
    written = actuals()
    real = replace(written, actuals=written.actuals.model_copy(update={"invented": False}))
    book, used = book_for(PriceBook()), sorted({line.key for line in build.price.lines})
    kept = {key: replace(item, invented=False) for key, item in book.items.items()}
    known = [key for key in used if key in kept]
    kept[known[0]] = replace(kept[known[0]], invented=True)
    mine = replace(book, items=kept, invented_shares=False)
    [told] = compared(job, build, mine, real).invented_of
    assert told.startswith("One price of the plan is invented")
    assert f"({known[0]})" in told
    none = {key: replace(item, invented=False) for key, item in kept.items()}
    assert compared(job, build, replace(mine, items=none), real).invented_of == ()
    [example] = compared(job, build, replace(mine, items=none), written).invented_of
    assert example == "The actuals say that they are invented: an example."
    first, shares_told, prices = compared(job, build, book, written).invented_of
    assert (first, shares_told.startswith("Invented: labour.wage")) == (example, True)
    assert f"and {len(known) - 5} more." in prices


# -- beside the plan ------------------------------------------------------------------------------------------


def test_every_sum_is_the_exact_sum_of_its_lines() -> None:
    found = beside()
    rows = [*found.tasks, *found.items]
    told = [row for row in rows if row.difference is not None]
    assert found.difference == sum((row.difference or Decimal(0) for row in told), Decimal(0))
    assert found.planned_cost + found.untold_cost == house()[3].price.direct_cost
    assert found.taken_cost == found.planned_cost + found.difference
    for amount in (found.planned_cost, found.taken_cost, found.untold_cost, *(row.planned_cost for row in rows)):
        assert amount == amount.quantize(Decimal("0.01"))
    assert found.dearest[0].difference == max(row.difference or Decimal(0) for row in told)


def test_hours_of_days_are_added_and_paid_at_wage_and_burden() -> None:
    row = next(row for row in beside().tasks if row.key == "open")
    assert row.taken == 64.5
    assert row.done == 1.05
    assert row.taken_cost == Decimal("64.5") * Decimal("32.40")


def test_what_nobody_noted_is_not_counted_as_nothing() -> None:
    found = beside(DONE + "work:\n  - {task: trench-all, hours: 50}\n")
    told = [row.key for row in (*found.tasks, *found.items) if row.difference is not None]
    assert told == ["trench-all"]
    assert next(row for row in found.tasks if row.key == "open").taken is None
    assert found.planned_hours == next(row.planned for row in found.tasks if row.key == "trench-all")


def test_tenths_of_cents_do_not_creep_in() -> None:
    lines = "".join(
        f"  - {{item: fabric.nonwoven, quantity: 33.3, price: 0.215, date: 2026-04-{day:02}}}\n" for day in range(1, 21)
    )
    row = next(row for row in beside(DONE + f"purchases:\n{lines}").items if row.key == "fabric.nonwoven")
    assert row.bought_cost == 20 * Decimal("7.16")  # 33.3 x 0.215 = 7.1595, each line to the cent
    assert row.bought == 666.0


def test_loads_tell_amount_and_work_of_the_haul() -> None:
    found = beside(DONE + "loads: 8\nwork:\n  - {task: haul, hours: 20}\n")
    items = {row.key: row for row in found.items}
    assert items["haul.load"].bought == 8.0
    assert items["haul.load"].at_plan_price
    assert items["dump.load"].bought_cost == 8 * Decimal("65.00")
    haul = next(row for row in found.tasks if row.key == "haul")
    assert haul.done == pytest.approx(8 / items["haul.load"].planned)


def test_work_and_things_that_no_plan_had_are_told_apart() -> None:
    found = beside()
    assert found.tasks[-1].title == "broke out a buried step"
    assert found.tasks[-1].planned_cost == 0
    assert found.tasks[-1].ratio is None
    assert [(row.description, row.bought_cost) for row in found.items if not row.key] == [
        ("straw bales", Decimal("38.00"))
    ]
    assert next(row for row in found.items if row.key == "hire.breaker").planned == 0


@pytest.mark.parametrize(
    ("written", "where", "words"),
    [
        (DONE.replace("0117", "0118") + "loads: 1\n", "job", "another job's actuals"),
        (DONE + "work:\n  - {task: trenches, hours: 1}\n", "work[0].task", "Did you mean 'trench'?"),
        (DONE + "work:\n  - {task: open-even, hours: 1}\n", "work[0].task", "'other' with 'what'"),
        (DONE + "work:\n  - {task: backfill, hours: 8}\n", "work[0].task", "'backfill-all' for the hours of all"),
        (DONE + "work:\n  - {task: backfill-yard, hours: 8}\n  - {task: backfill-all, hours: 9}\n", "work[1].task",
         "beside backfill-yard"),
        (DONE + "purchases:\n  - {item: stome.57, quantity: 1, price: 1, date: 2026-04-01}\n", "purchases[0].item",
         "Did you mean 'stone.57'?"),
        (DONE + "loads: 3\npurchases:\n  - {item: haul.load, quantity: 2, price: 1, date: 2026-04-01}\n",
         "purchases[0].quantity", "3, as 'loads' says"),
        (DONE + "work:\n  - {task: trench-all, hours: 1, day: 2026-03-11}\n", "work[0].day", "a day from 2026-03-12"),
        (DONE + "loads: 1\nweather_days:\n  - {date: 2026-01-05}\n", "weather_days[0].date", "that of the visit"),
    ],
)  # fmt: skip
def test_what_does_not_belong_to_the_job_is_told_with_its_line(written: str, where: str, words: str) -> None:
    with pytest.raises(JobError) as caught:
        beside(written)
    (problem,) = caught.value.problems
    assert problem.where == where
    assert problem.line is not None
    assert words in str(problem)


def test_works_of_a_kind_are_noted_each_or_together() -> None:
    """Backfill is two works here; hours of one are never held against the hours of both."""
    plan = {task.key: task.hours for task in house()[3].plan.tasks}
    both = {row.key: row for row in beside(DONE + "work:\n  - {task: backfill-all, hours: 20}\n").tasks}
    assert both["backfill-all"].planned == plan["backfill"] + plan["backfill-yard"]
    assert both["backfill-all"].title.endswith(", both works")
    assert "(" not in both["backfill-all"].title
    for noted, key in (("backfill-yard", "backfill-yard"), ("backfill-first", "backfill")):
        one = {row.key: row for row in beside(DONE + f"work:\n  - {{task: {noted}, hours: 8}}\n").tasks}
        assert (one[key].taken, one[key].planned) == (8.0, plan[key])
        assert [row.key for row in one.values() if row.taken is not None] == [key]
    parts = "work:\n  - {task: backfill, hours: 8}\n  - {task: backfill-yard, hours: 7}\n"
    each = beside(DONE + parts)
    assert each.planned_hours == pytest.approx(plan["backfill"] + plan["backfill-yard"])
    for found in (beside(DONE + "work:\n  - {task: backfill-all, hours: 20}\n"), each):
        assert found.planned_cost + found.untold_cost == house()[3].price.direct_cost


@pytest.mark.usefixtures("quick")
def test_a_part_teaches_by_its_own_planned_hours() -> None:
    """The part took just what it was planned to: the rate stays, and is surer."""
    plan = {task.key: task.hours for task in house()[3].plan.tasks}
    work = f"work:\n  - {{task: backfill-first, hours: {plan['backfill']}}}\n"
    found = learn(book(), house()[0], read_actuals_text(DONE + work), DAY)
    assert found.rates
    for moved in found.rates:
        assert moved.after.value == pytest.approx(moved.before.value, rel=1e-9)
        assert moved.after.unsure < moved.before.unsure


@pytest.mark.parametrize("days", ["[2026-04-20]", "[{date: 2026-04-20}]", "[{date: 2026-04-20, what: rain}]"])
def test_a_day_lost_is_its_date(days: str) -> None:
    assert beside(f"{DONE}loads: 1\nweather_days: {days}\n").lost_days == 1


@pytest.mark.parametrize("line", ["weather_days: 2", "days_lost: 1", "weather_days: 2026-04-20"])
def test_the_form_of_days_lost_is_told(line: str) -> None:
    with pytest.raises(JobError, match=r"weather_days: \[2026-12-11\]"):
        read_actuals_text(f"{DONE}loads: 1\n{line}\n")


def test_only_working_days_are_lost_to_the_weather() -> None:
    assert (beside().lost_days, beside().free_days) == (1, ())  # the example's own is a Thursday
    days = "weather_days: [{date: 2026-04-18}, {date: 2026-04-20}, {date: 2026-04-20}]\n"  # a Saturday, a Monday
    found = beside(DONE + "loads: 1\n" + days)
    assert (found.lost_days, found.free_days) == (1, (datetime.date(2026, 4, 18),))


def test_the_comparison_goes_out_as_a_table_and_a_workbook() -> None:
    found = beside()
    rows = list(csv.reader(io.StringIO(comparison_file(found, ".csv").decode())))
    assert tuple(rows[0]) == HEADS
    assert len(rows) == 1 + len(found.tasks) + len(found.items)
    told = sum((Decimal(row[9]) for row in rows[1:] if row[9]), Decimal(0))
    assert told == found.difference
    sheet = openpyxl.load_workbook(io.BytesIO(comparison_file(found, ".xlsx"))).active
    assert sheet is not None
    assert sheet.max_row == len(rows)
    assert comparison_file(found, ".xlsx") == comparison_file(found, ".xlsx")
    with pytest.raises(InputError, match=r"\.csv or \.xlsx"):
        comparison_file(found, ".pdf")


def test_no_cell_is_a_formula() -> None:
    found = beside(DONE + "purchases:\n  - {what: '=1+1', quantity: 1, price: 1, date: 2026-04-01}\n")
    assert comparison_file(found, ".csv").decode().splitlines()[-1].startswith("bought,, =1+1,")
    sheet = openpyxl.load_workbook(io.BytesIO(comparison_file(found, ".xlsx"))).active
    assert sheet is not None
    assert [cell.data_type for cell in list(sheet.rows)[-1][:3]] == ["s", "s", "s"]


# -- which rates a task hangs on ------------------------------------------------------------------------------


def test_shares_of_a_sum_of_rates_are_one_together() -> None:
    """Hours that are a sum of amounts over rates: the shares are the parts of the sum."""
    for task in ("pipe", "bed", "stone", "haul", "clean"):
        assert math.fsum(shares()[task].values()) == pytest.approx(1.0, abs=0.01)
    assert 0.97 < shares()["basin"]["basin-large"] < 1  # the rest is the stone under it, too little to be listed
    assert shares()["open"]["dig.firm"] == pytest.approx(1.0, abs=0.01)
    assert shares()["open"]["roots.many"] == pytest.approx(1.0, abs=0.01)  # times all of it
    assert 0 < shares()["open"]["tolerance-zone"] < 1


def test_the_shares_tell_what_another_rate_makes_of_the_hours() -> None:
    """A tenth slower by the shares, and by the plan made anew."""
    _, site, system, build = house()
    own = PriceBook(rates={"load": book_for(PriceBook()).rate("load") / 1.1})
    there = site.job.model_copy(update={"price_book": own})
    after = hours_of(build_side(dataclasses.replace(site, job=there), system).plan.tasks)["haul"]
    before = hours_of(build.plan.tasks)["haul"]
    assert after / before == pytest.approx(1 + 0.1 * shares()["haul"]["load"], abs=2e-3)


def test_waits_and_definitions_are_not_learnt() -> None:
    every = {key for keys in shares().values() for key in keys}
    assert not every & {"recoat-wait", "cure-wait", "parge-wait", "roots.none"}


def test_noise_is_of_hours_their_rounding_and_the_amount() -> None:
    row = TaskRow(key="a", title="A", planned=1.0, taken=10.0, done=1.0, done_told=True, planned_cost=Decimal(0),
                  taken_cost=Decimal(0))  # fmt: skip
    assert noise(row, 0.1) == pytest.approx(math.sqrt(0.1**2 + (0.25 / math.sqrt(12) / 10) ** 2 + 0.05**2))


def test_the_waste_of_fabric_lengthens_its_strips() -> None:
    """It is sold by the roll, so that the waste told is what the rolls leave."""
    _, site, system, _ = house()
    bought = []
    for waste in ("0 %", "50 %"):
        own = PriceBook.model_validate({"book": {"schema_version": 1, "name": "A", "dated": "2026-01-01",
                                                 "waste": {"fabric": waste}}})  # fmt: skip
        there = dataclasses.replace(site, job=site.job.model_copy(update={"price_book": own}))
        lines = build_side(there, system).takeoff.lines
        bought.append(next(line for line in lines if line.key == "fabric.nonwoven"))
    assert bought[0].net == bought[1].net
    assert bought[1].quantity > bought[0].quantity
    assert bought[1].quantity >= 1.5 * bought[1].net


# -- learning -------------------------------------------------------------------------------------------------


@pytest.mark.usefixtures("quick")
def test_the_example_is_learnt_and_undone_to_the_letter() -> None:
    before = book()
    found = learn(before, house()[0], actuals(), DAY)
    after = found.document
    assert after.book.items["stone.57"].price == Decimal("61.50")
    assert after.book.items["stone.57"].dated == datetime.date(2026, 4, 15)
    assert after.book.items["stone.57"].source == "paid to quarry, job D-0117"
    farthest = max(abs(math.log(moved.observed / moved.before.value)) for moved in found.rates)
    for moved in found.rates:
        low, high = sorted((moved.before.value, moved.observed))
        if moved.alone:
            assert low <= moved.after.value <= high
        else:  # one lump of hours taught several rates at once: each as far as they hang together
            assert abs(math.log(moved.after.value / moved.before.value)) <= farthest
        assert after.book.rates[moved.before.key].learnt_from == ("D-0117",)
    assert after.book.rates["dig.firm"].source == "our last jobs"
    record = after.book.learnt[-1]
    assert record == found.learning
    assert {change.key.split(".")[0] for change in record.changes} == {"rates", "items"}
    assert all(change.why for change in record.changes)
    assert undone(after)[0].text == before.text


@pytest.mark.usefixtures("quick")
def test_no_job_is_learnt_twice() -> None:
    once = learn(book(), house()[0], actuals(), DAY).document
    with pytest.raises(JobError, match="these very actuals, learnt on 2026-04-27 as L1"):
        learn(once, house()[0], actuals(), DAY)
    other = read_actuals_text(DONE + "work:\n  - {task: trench-all, hours: 40}\n")
    with pytest.raises(JobError, match=r"other actuals of job D-0117.*Undo L1 first"):
        learn(once, house()[0], other, DAY)
    assert learn(undone(once)[0], house()[0], other, DAY).learning.id == "L1"


@pytest.mark.usefixtures("quick")
def test_what_lies_far_off_is_named_and_only_taken_when_asked() -> None:
    slip = read_actuals_text(DONE + "work:\n  - {task: clean, hours: 55}\n  - {task: parge, hours: 11}\n")
    found = learn(book(), house()[0], slip, DAY)
    assert [change.key for change in found.learning.changes] == ["rates.parge"]
    (text,) = found.learning.not_taken
    assert text.startswith("clean: 55 h for 5.53 h planned, 9.9 times longer")
    assert "--take clean" in text
    for take in (("clean",), ("all",)):
        keys = [change.key for change in learn(book(), house()[0], slip, DAY, take).learning.changes]
        assert keys == ["rates.clean", "rates.parge"]
    with pytest.raises(JobError, match="stone to take"):
        learn(book(), house()[0], slip, DAY, ("stone",))


def slip_lines(*lines: str, work: str = "") -> str:
    return DONE + work + "purchases:\n" + "".join(f"  - {{{line}, date: 2026-04-15}}\n" for line in lines)


@pytest.mark.parametrize("times", [10, 0.1, 7, 0.14])
def test_a_figure_many_times_off_the_plan_is_marked_whichever_way(times: float) -> None:
    stone = next(row for row in beside().items if row.key == "stone.57")
    each = next(line.unit_price for line in house()[3].price.lines if line.key == "stone.57")
    clean = next(row for row in beside().tasks if row.key == "clean")
    way = "more" if times > 1 else "less"
    for kind, hours, quantity, price in (
        ("hours", clean.planned * times, stone.planned, float(each)),
        ("quantity", clean.planned, stone.planned * times, float(each)),
        ("price", clean.planned, stone.planned, float(each) * times),
    ):
        written = slip_lines(
            f"item: stone.57, quantity: {quantity:.4f}, price: {price:.2f}",
            work=f"work:\n  - {{task: clean, hours: {hours:.3f}}}\n",
        )
        (one,) = beside(written).slips
        assert one.kind == kind
        assert re.search(rf"times {way}; a slip of the point, or another unit\?", one.words)
        assert f"planned {each:.2f}" in one.words.replace("$", "") or kind != "price"
        told = comparison_file(beside(written), ".csv").decode()
        assert told.count("a slip of the point") == 1


def test_the_sum_is_told_without_what_looks_like_a_slip_too() -> None:
    stone = next(row for row in beside().items if row.key == "stone.57")
    each = next(line.unit_price for line in house()[3].price.lines if line.key == "stone.57")
    lines = (
        f"item: stone.57, quantity: {stone.planned}, price: {each / 10:.2f}",
        "item: alarm, quantity: 3, price: 200",
    )
    found = beside(slip_lines(*lines))
    sure = found.without_slips
    assert [row.key for row in sure.items if row.bought is not None] == ["alarm"]
    assert sure.taken_cost == Decimal("600.00")
    assert found.difference < sure.difference
    (words,) = without_words(found)
    assert "Without the lines to look at again: $600.00 for" in words
    assert without_words(sure) == ()


def test_what_is_not_many_times_off_is_not_marked() -> None:
    assert not beside().slips
    assert not beside(
        slip_lines("item: alarm, quantity: 3, price: 200", "item: permit.electrical, quantity: 1, price: 0")
    ).slips


@pytest.mark.usefixtures("quick")
def test_nothing_is_learnt_of_a_marked_figure_until_somebody_says_it_is_right() -> None:
    unsure = book().text.replace("rates:", "rates:\n  clean: {value: 40, unsure: 0.9}", 1)
    assert unsure != book().text
    firm = read_book_text(unsure)
    written = read_actuals_text(
        slip_lines("item: stone.57, quantity: 120, price: 61.50", work="work:\n  - {task: clean, hours: 36}\n")
    )
    found = learn(firm, house()[0], written, DAY)
    assert not found.learning.changes
    assert [one.partition(":")[0] for one in found.learning.not_taken] == ["clean", "stone.57"]
    assert all("--take" in one for one in found.learning.not_taken)
    keys = [one.key for one in learn(firm, house()[0], written, DAY, ("clean", "stone.57")).learning.changes]
    assert keys == ["rates.clean", "items.stone.57"]


@pytest.mark.usefixtures("quick")
def test_where_all_lies_far_off_the_book_stays_as_it_was() -> None:
    slip = read_actuals_text(DONE + "work:\n  - {task: clean, hours: 55}\n")
    found = learn(book(), house()[0], slip, DAY)
    assert found.document.text == book().text
    assert found.learning.not_taken


def bought(*lines: str) -> ActualsDocument:
    return read_actuals_text(DONE + "purchases:\n" + "".join(f"  - {{{line}}}\n" for line in lines))


@pytest.mark.usefixtures("quick")
def test_the_latest_price_paid_stands_and_is_no_average() -> None:
    found = learn(
        book(), house()[0],
        bought(
            "item: alarm, quantity: 1, price: 90, date: 2026-04-10",
            "item: alarm, quantity: 1, price: 84, date: 2026-04-12",
            "item: alarm, quantity: 1, price: 85.50, date: 2026-04-12",
            "item: alarm, quantity: 1, price: 70, date: 2026-04-01",
        ), DAY,
    )  # fmt: skip
    assert found.document.book.items["alarm"].price == Decimal("85.50")
    assert found.prices[0].before == Decimal("79.00")


@pytest.mark.usefixtures("quick")
def test_a_price_of_another_size_and_one_older_than_the_book_are_named() -> None:
    firm = read_book_text(book().text.replace("invented: true", "invented: false"))
    found = learn(
        firm, house()[0],
        bought(
            "item: stone.57, quantity: 1, price: 60, date: 2026-02-09",
            "item: alarm, quantity: 1, price: 791, date: 2026-04-01",
            "item: haul.load, quantity: 7, price: 75, date: 2026-04-01",
        ), DAY,
    )  # fmt: skip
    assert [change.key for change in found.learning.changes] == ["items.haul.load"]
    old, strange = found.learning.not_taken
    assert "before the book's price of 2026-02-10" in old
    assert "more than 5 times off" in strange


@pytest.mark.usefixtures("quick")
def test_a_job_that_took_what_was_planned_leaves_the_rates_and_makes_them_surer() -> None:
    hours = {row.key: row.planned for row in beside().tasks if row.key in ("clean", "parge")}
    work = "".join(f"  - {{task: {key}, hours: {taken}}}\n" for key, taken in hours.items())
    found = learn(book(), house()[0], read_actuals_text(f"{DONE}work:\n{work}"), DAY)
    for moved in found.rates:
        assert moved.after.value == pytest.approx(moved.before.value, rel=1e-9)
        assert moved.after.unsure < moved.before.unsure


def test_the_whole_way_without_a_short_cut() -> None:
    """Laid out anew with the book, its shares found with it: the same as with those of the demonstration's, nearly."""
    found = learn(book(), house()[0], read_actuals_text(DONE + "work:\n  - {task: clean, hours: 7}\n"), DAY)
    (moved,) = found.rates
    assert moved.before.key == "clean"
    assert moved.observed == pytest.approx(40.0 * 5.53 / 7, rel=0.01)
    [row] = [row for row in found.comparison.tasks if row.key == "clean"]
    assert moved.weight == pytest.approx(0.09 / (0.09 + 0.0625 + noise(row, 0.1) ** 2), rel=0.02)


# -- the commands ---------------------------------------------------------------------------------------------


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    shutil.copy(HOUSE / "job.yaml", tmp_path)
    shutil.copytree(HOUSE / "firm", tmp_path / "firm")
    shutil.copy(HOUSE / "book" / "prices.yaml", tmp_path)
    shutil.copy(HOUSE / "book" / "actuals.yaml", tmp_path)
    return tmp_path


@pytest.mark.usefixtures("quick")
def test_learn_and_undo_by_the_command_line(folder: Path) -> None:
    files = [str(folder / name) for name in ("prices.yaml", "job.yaml", "actuals.yaml")]
    before = (folder / "prices.yaml").read_bytes()
    dry = RUN.invoke(app, ["learn", *files, "--on", "2026-04-27", "--dry-run"])
    assert dry.exit_code == 0
    assert "Nothing was written" in dry.output
    assert (folder / "prices.yaml").read_bytes() == before
    told = RUN.invoke(app, ["learn", *files, "--on", "2026-04-27", "--json"])
    assert told.exit_code == 0
    assert json.loads(told.output)["written"] is True
    again = RUN.invoke(app, ["learn", *files])
    assert again.exit_code == 2
    assert "learnt on 2026-04-27 as L1" in again.output
    back = RUN.invoke(app, ["book", "undo", files[0]])
    assert back.exit_code == 0
    assert "stone.57" in back.output
    assert (folder / "prices.yaml").read_bytes() == before
    assert RUN.invoke(app, ["book", "undo", files[0]]).exit_code == 2
    assert sorted(path.name for path in folder.iterdir()) == ["actuals.yaml", "firm", "job.yaml", "prices.yaml"]


def test_book_new_check_export_import(tmp_path: Path) -> None:
    path, table = tmp_path / "prices.yaml", tmp_path / "prices.csv"
    assert RUN.invoke(app, ["book", "new", str(path), "--on", "2026-03-01"]).exit_code == 0
    assert RUN.invoke(app, ["book", "new", str(path)]).exit_code == 2
    assert RUN.invoke(app, ["book", "export", str(path), "--to", str(table)]).exit_code == 0
    same = RUN.invoke(app, ["book", "import", str(path), str(table)])
    assert "stands in" in same.output
    table.write_text("key,price,dated,source\nstone.57,61.50,2026-03-01,quarry\n", encoding="utf-8")
    assert RUN.invoke(app, ["book", "import", str(path), str(table)]).output.startswith("1 price changed")
    found = RUN.invoke(app, ["book", "check", str(path), "--on", "2026-12-01", "--json"])
    assert [one["key"] for one in json.loads(found.output)["too_old"]] == ["stone.57"]
    shown = RUN.invoke(app, ["book", "check", str(path), "--on", "2026-12-01"])
    assert "1 price of its own" in shown.output
    assert "0 rates of its own" in shown.output
    assert "stone.57: 2026-03-01, 275 days (180 allowed)" in shown.output
    table.write_text("key,price,dated\nstome.57,1,2026-03-01\n", encoding="utf-8")
    wrong = RUN.invoke(app, ["book", "import", str(path), str(table)])
    assert wrong.exit_code == 2
    assert "prices.csv:2" in wrong.output
    assert json.loads(RUN.invoke(app, ["book", "schema"]).output)["title"] == "Drainwright price book"


def test_slips_of_the_decimal_point_are_named_with_their_line(tmp_path: Path) -> None:
    path, table = tmp_path / "prices.yaml", tmp_path / "prices.csv"
    text = (HOUSE / "book" / "prices.yaml").read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    assert "another size" not in RUN.invoke(app, ["book", "check", str(path)]).output
    path.write_text(text.replace("wage: 24.00", "wage: 3150").replace("tax: 7 %", "tax: 0.7 %"), encoding="utf-8")
    line = text.split("wage:")[0].count("\n") + 1
    told = RUN.invoke(app, ["book", "check", str(path)])
    assert told.exit_code == 0
    said = " ".join(told.output.split())
    assert f"prices.yaml:{line}: labour.wage: $3,150.00 an hour; usual is $6.00 to $96.00 an hour" in said
    assert "shares.sales_tax: 0.7 %; usual is 1 % to 30 %" in said
    found = json.loads(RUN.invoke(app, ["book", "check", str(path), "--json"]).output)
    assert [one["where"] for one in found["odd_sizes"]] == ["labour.wage", "shares.sales_tax"]
    table.write_text("key,price,dated,source\nfabric.nonwoven,22.00,2026-03-01,quote\n", encoding="utf-8")
    told = RUN.invoke(app, ["book", "import", str(path), str(table)])
    assert told.exit_code == 0
    line = text.split("fabric.nonwoven")[0].count("\n") + 1
    assert f"prices.yaml:{line}: items.fabric.nonwoven: $22.00 a unit" in " ".join(told.output.split())


def test_a_table_edited_as_exported_takes_its_date_and_source_from_the_options(tmp_path: Path) -> None:
    path, table = tmp_path / "prices.yaml", tmp_path / "prices.csv"
    assert RUN.invoke(app, ["book", "new", str(path), "--on", "2026-03-01"]).exit_code == 0
    assert RUN.invoke(app, ["book", "export", str(path), "--to", str(table)]).exit_code == 0
    rows = table.read_text(encoding="utf-8").splitlines()
    assert sum(row.startswith("alarm,") for row in rows) == 1
    edited = [row.replace(",79.00,", ",81.00,") if row.startswith("alarm,") else row for row in rows]
    table.write_text("\n".join(edited) + "\n", encoding="utf-8")
    alone = RUN.invoke(app, ["book", "import", str(path), str(table)])
    assert alone.exit_code == 2
    assert "--source gives it for all changed rows" in alone.output
    half = RUN.invoke(app, ["book", "import", str(path), str(table), "--source", "counter list"])
    assert "--on gives it for all changed rows" in half.output
    words = ["book", "import", str(path), str(table), "--on", "2026-04-15", "--source", "counter list"]
    assert RUN.invoke(app, words).output.startswith("1 price changed")
    item = read_book(path).book.items
    assert set(item) == {"alarm"}
    assert (item["alarm"].price, item["alarm"].dated, item["alarm"].source) == (
        Decimal("81.00"), datetime.date(2026, 4, 15), "counter list",
    )  # fmt: skip
    table.write_text("key,price,dated,source\nalarm,83.00,2026-04-15,counter list\n", encoding="utf-8")
    assert RUN.invoke(app, [*words[:5], "2026-06-01"]).output.startswith("1 price changed")  # the date was the old one
    assert read_book(path).book.items["alarm"].dated == datetime.date(2026, 6, 1)
    assert RUN.invoke(app, [*words[:5], "June"]).exit_code == 2


@pytest.mark.parametrize("words", [["book", "check"], ["book", "export"], ["book", "undo"]])
def test_a_wrong_book_gives_two_and_no_trace(words: list[str], tmp_path: Path) -> None:
    path = tmp_path / "prices.yaml"
    path.write_text("items: [", encoding="utf-8")
    result = RUN.invoke(app, [*words, str(path)])
    assert result.exit_code == 2
    assert "prices.yaml" in result.output
    assert "Traceback" not in result.output


def test_actuals_by_the_command_line(folder: Path) -> None:
    words = ["actuals", str(folder / "job.yaml"), str(folder / "actuals.yaml")]
    assert RUN.invoke(app, [*words, "--to", str(folder / "a.pdf")]).exit_code == 2
    told = RUN.invoke(app, [*words, "--json", "--to", str(folder / "a.csv")])
    assert told.exit_code == 0, told.output
    shown = RUN.invoke(app, words).output
    assert "$560.00*" in shown
    assert "* no purchase is noted: the amount at the plan's price" in shown
    (folder / "actuals.yaml").write_text(DONE + "loads: 1\nweather_days: [{date: 2026-04-18}]\n", encoding="utf-8")
    assert "does not work then: 2026-04-18" in " ".join(RUN.invoke(app, words).output.split())
    found = json.loads(told.output)
    assert Decimal(found["taken_cost"]) - Decimal(found["planned_cost"]) == Decimal(found["difference"])
    assert (folder / "a.csv").read_text(encoding="utf-8").startswith("kind,key,what")


def test_book_check_names_the_missing_shares(tmp_path: Path) -> None:
    path = tmp_path / "prices.yaml"
    path.write_text(
        "schema_version: 1\nname: Firm\ndated: 2026-01-05\nlabour: {wage: 30}\n"
        "shares: {overhead: 18 %, contingency: 5 %, sales_tax: 7 %}\n",
        encoding="utf-8",
    )
    shown = " ".join(RUN.invoke(app, ["book", "check", str(path), "--on", "2026-02-01"]).output.split())
    assert "Rates that still are invented: " in shown
    assert "Missing: labour.burden, shares.profit_margin; the demonstration's stand, invented." in shown
    found = json.loads(RUN.invoke(app, ["book", "check", str(path), "--on", "2026-02-01", "--json"]).output)
    assert set(found["invented_rates"]) == set(book_for(PriceBook()).rates)
    assert "stone.57" in found["invented_prices"]
    assert found["missing_shares"] == ["labour.burden", "shares.profit_margin"]
