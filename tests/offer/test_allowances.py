"""Allowances: what is in the price and was not used is taken off with the last stage, to the cent."""

from __future__ import annotations

import datetime
import json
from decimal import Decimal
from pathlib import Path

import pytest
from pypdf import PdfReader

from drainwright.cli import app
from drainwright.design import Design, design
from drainwright.job import read_job
from drainwright.offer.bill import bill_of
from drainwright.offer.settling import settled
from drainwright.paper.documents.blocks import Table
from drainwright.paper.documents.change_order import change_order
from tests.offer.test_billing import RUN, SLOPING, invoiced

WITH = "\noffer:\n  allowances: [{what: root, quantity: 4}, {what: rock, quantity: 1}]\n"


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Design]:
    """A copy of an example whose price has four roots and a yard of rock in it, accepted and signed for."""
    folder = tmp_path_factory.mktemp("allowances")
    text = SLOPING.read_text(encoding="utf-8")
    assert "\noffer:" not in text
    (folder / "job.yaml").write_text(text + WITH, encoding="utf-8")
    return folder, design(read_job(folder / "job.yaml"))


def test_what_is_not_used_is_taken_off_and_what_is_beyond_needs_a_change_order(
    made: tuple[Path, Design],
) -> None:
    """A completion invoice once asked for the whole price, with rock and roots in it that nobody met."""
    folder, whole = made
    job, record = folder / "job.yaml", folder / "acceptance.json"
    done = RUN.invoke(app, [
        "accept", str(job), "--by", "R. Bramble", "--on", "2026-04-10", "--demonstration-prices",
    ])  # fmt: skip
    assert done.exit_code == 0, done.output
    bill = bill_of(whole)
    prices = {one.extra.what: one for one in whole.build.unit_prices}
    rock, root = prices["rock"], prices["root"]
    given = ("--accepted", str(record))
    deposit = bill.stages[0].amount
    early = invoiced(job, "signing", "1", *given, "--used", "rock=1")
    assert (early.exit_code, "expected it with 'completion'" in early.output) == (2, True)
    first = invoiced(job, "signing", "1", *given, "--change", "A; 2026-04-11; rock by hand, 2 yd3; 285.00; 0.00")
    assert first.exit_code == 0, first.output
    assert "'A' names rock, of which 1 yd³ is in the price: only what is beyond" in " ".join(first.output.split())

    last = ("completion", "2", *given, "--paid", str(deposit + 285))
    last += tuple(word for stage in bill.stages[1:] for word in ("--reached", stage.when))
    for more, says in (
        ((), "found nothing on 1 yd³ of rock and 4 of root"),
        (("--used", "rock=0.4"), "expected --used root=..., what was really used"),
        (("--used", "rock=0.4", "--used", "rock=0.4"), "each allowance of the price once"),
        (("--used", "rock=-1", "--used", "root=2"), "a quantity, zero or more"),
        (("--used", "gold=1"), "each allowance of the price once"),
    ):
        wrong = invoiced(job, *last, *more)
        assert (wrong.exit_code, (folder / "invoice-2.pdf").exists()) == (2, False)
        assert says in " ".join(wrong.output.split()), wrong.output

    good = invoiced(job, *last, "--used", "rock=0.4", "--used", "root=6")
    assert good.exit_code == 0, good.output
    cent = Decimal("0.01")
    off = (rock.before_tax * Decimal("0.6")).quantize(cent) + (rock.tax * Decimal("0.6")).quantize(cent)
    assert off > 100
    assert f"{bill.total - deposit - off} USD due" in good.output
    told = " ".join(good.output.split())
    assert "2 of root beyond the 4 in the price: charged by a signed change order alone" in told
    assert f"(--change), at ${root.total:,.2f} with tax each" in told
    said = " ".join(" ".join(page.extract_text() for page in PdfReader(folder / "invoice-2.pdf").pages).split())
    assert "1 yd³ in the price, 0.4 yd³ used; 0.6 yd³ taken off at" in said
    assert "4 in the price, 6 used; the 2 beyond it by signed change order alone" in said
    assert "Change orders and allowances together, with tax" in said

    kept = json.loads((folder / "acceptance.account.jsonl").read_text(encoding="utf-8").splitlines()[-1])
    assert [(one["number"], one.get("kind")) for one in kept["changes"]] == [
        ("allowance of rock", "allowance"), ("allowance of root", "allowance"),
    ]  # fmt: skip
    received = str(bill.total + 285 - off)
    after = ("completion", "3", *given, "--paid", received, "--change", "B; 2026-04-12; roots, 2 more; 100.00; 0.00")
    after += tuple(word for stage in bill.stages[1:] for word in ("--reached", stage.when))
    twice = invoiced(job, *after, "--used", "rock=0")
    assert (twice.exit_code, "expected it once" in twice.output) == (2, True)
    beyond = invoiced(job, *after)
    assert beyond.exit_code == 0, beyond.output
    assert "100.00 USD due" in beyond.output


def test_all_of_an_allowance_is_what_the_price_has_of_it(made: tuple[Path, Design]) -> None:
    _, whole = made
    bill = bill_of(whole)
    assert bill.allowances is not None
    none = {one.what: Decimal(0) for one in bill.allowances}
    off = settled(bill.allowances, none, datetime.date(2026, 5, 1), "USD")
    assert -sum(one.amount for one in off) == whole.build.price.allowances > 0


def test_a_change_order_says_what_of_it_is_in_the_price(made: tuple[Path, Design]) -> None:
    tables = [block for block in change_order(made[1], {}).blocks if isinstance(block, Table)]
    table = next(table for table in tables if len(table.columns) > 3)
    titles = [str(row[0]) for row in table.rows]
    assert sum("in the price)" in title for title in titles) == 2
