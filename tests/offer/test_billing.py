"""An invoice bills what was accepted, whatever the book says today, with every change order since, to the cent."""

from __future__ import annotations

import datetime
import json
import tempfile
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from typer.testing import CliRunner, Result

from drainwright.build.model import Payment
from drainwright.cli import app
from drainwright.design import Design, design
from drainwright.errors import InputError
from drainwright.job import read_job
from drainwright.job.offer import Milestone
from drainwright.offer.account import fresh, note, read_account
from drainwright.offer.bill import bill_from, bill_of, bill_record
from drainwright.offer.invoicing import ChangeOrder, due
from drainwright.offer.record import acceptance, read_acceptance, run_out

SLOPING = Path(__file__).parents[2] / "examples" / "sloping-lot" / "job.yaml"
RUN = CliRunner()
DAY = datetime.date(2026, 4, 10)


@cache
def made() -> Design:
    return design(read_job(SLOPING))


def invoiced(job: Path, stage: str, number: str, *more: str, on: str = "2026-04-12") -> Result:
    asked = ["invoice", str(job), "--stage", stage, "--number", number, "--on", on, "--demonstration-prices"]
    return RUN.invoke(app, [*asked, *more])


def accepted_job(folder: Path) -> tuple[Path, Path]:
    job, record = folder / "job.yaml", folder / "acceptance.json"
    job.write_text(SLOPING.read_text(encoding="utf-8"), encoding="utf-8")
    done = RUN.invoke(app, ["accept", str(job), "--by", "R. Bramble", "--on", "2026-04-10", "--demonstration-prices"])
    assert done.exit_code == 0, done.output
    return job, record


def test_a_bill_comes_back_from_its_record() -> None:
    bill = bill_of(made())
    assert bill_from(json.loads(json.dumps(bill_record(bill)))) == bill
    with pytest.raises(InputError, match="do not make the price"):
        bill_from(bill_record(bill) | {"total": "1.00"})
    with pytest.raises(InputError, match="'tax'"):
        bill_from({key: value for key, value in bill_record(bill).items() if key != "tax"})


def test_an_invoice_bills_what_was_accepted_and_loses_no_change_order(tmp_path: Path) -> None:
    job, record = accepted_job(tmp_path)
    price = bill_of(made())
    text = job.read_text(encoding="utf-8")
    job.write_text(text + "\nprice_book: {labour: 99.00}\n", encoding="utf-8")
    dearer = design(read_job(job)).build.price.total
    assert dearer != price.total

    bare = invoiced(job, "signing", "1")
    assert bare.exit_code == 2
    assert f"--accepted {record}" in bare.output
    early = invoiced(job, "signing", "1", "--accepted", str(record), on="2026-04-09")
    assert (early.exit_code, "before the offer was accepted on 2026-04-10" in early.output) == (2, True)

    first = invoiced(job, "signing", "1", "--accepted", str(record), "--change", "A; 2026-04-11; rock; 285.00; 18.53")
    assert first.exit_code == 0, first.output
    deposit = price.stages[0].amount
    assert f"{deposit + Decimal('303.53')} USD due" in first.output
    assert "the design of today differs in" in first.output
    assert "scope changed" not in first.output
    said = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / "invoice-1.pdf").pages).split())
    assert f"{price.total:,.2f}" in said
    assert f"{dearer:,.2f}" not in said

    every = [word for stage in price.stages[1:] for word in ("--reached", stage.when)]
    last = invoiced(
        job, "completion", "9", "--accepted", str(record), *every, "--paid", str(deposit + Decimal("303.53")),
        on="2026-05-20",
    )  # fmt: skip
    assert last.exit_code == 0, last.output
    assert f"{price.total - deposit} USD due" in last.output
    other = invoiced(job, "completion", "10", "--accepted", str(record), *every, "--change", "A; 2026-04-11; x; 1; 0",
                     on="2026-05-20")  # fmt: skip
    assert (other.exit_code, "another 'A'" in other.output) == (2, True)

    account = tmp_path / "acceptance.account.jsonl"
    account.write_text(account.read_text(encoding="utf-8").replace("285.00", "85.00"), encoding="utf-8")
    changed = invoiced(job, "completion", "11", "--accepted", str(record), *every)
    assert (changed.exit_code, "does not bear its mark" in changed.output) == (2, True)


def test_an_invoice_follows_the_last_and_tells_an_overpayment(tmp_path: Path) -> None:
    job, record = accepted_job(tmp_path)
    bill, given = bill_of(made()), ("--accepted", str(record))
    deposit = bill.stages[0].amount
    assert invoiced(job, "signing", "1", *given).exit_code == 0
    every = [word for stage in bill.stages[1:] for word in ("--reached", stage.when)]
    back = invoiced(job, "completion", "2", *given, *every, on="2026-04-11")
    assert (back.exit_code, (tmp_path / "invoice-2.pdf").exists()) == (2, False)
    said = " ".join(back.output.split())
    assert "--on: found 2026-04-11, before invoice 1 of 2026-04-12; expected a day on or after it" in said

    over = invoiced(job, "completion", "2", *given, *every, "--paid", str(deposit + Decimal("100.00")))
    assert over.exit_code == 0, over.output
    assert "found 100.00 USD more than all invoices so far ask for: an overpayment, credited" in over.output
    assert f"{bill.total - deposit - Decimal('100.00')} USD due" in over.output
    (tmp_path / "invoice-2.pdf").unlink()
    again = invoiced(job, "completion", "2", *given, *every, "--paid", str(deposit + Decimal("100.00")))
    assert (again.exit_code, "overpayment" in again.output) == (0, False)


def test_a_stage_is_asked_for_once_in_its_turn_and_with_all_that_it_takes_in(tmp_path: Path) -> None:
    """Slips of a tired person: each is refused before anything is written."""
    job, record = accepted_job(tmp_path)
    bill, given = bill_of(made()), ("--accepted", str(record))
    names = [stage.when for stage in bill.stages]
    deposit = str(bill.stages[0].amount)
    assert len(names) >= 3
    assert invoiced(job, names[0], "1", *given).exit_code == 0

    def refused(stage: str, *more: str, says: str) -> None:
        found = invoiced(job, stage, "9", *given, *more)
        assert (found.exit_code, (tmp_path / "invoice-9.pdf").exists()) == (2, False)
        assert says in " ".join(found.output.split()), found.output

    only_last = ("--reached", names[-1], "--paid", deposit)
    refused(names[-1], *only_last, says=f"which asks for {names[1]!r}")
    refused(names[0], "--paid", deposit, says=f"--stage: found {names[0]!r}, which invoice 1 of 2026-04-12 asks for;")
    second = invoiced(job, names[1], "2", *given, "--reached", names[1], "--paid", deposit)
    assert second.exit_code == 0, second.output
    refused(names[0], "--paid", deposit, says=f"which invoice 2 of 2026-04-12 asks for with {names[1]!r}")
    refused(names[2], "--reached", names[2], "--paid", "1.00", says=f"less than the {deposit} of invoice 2")
    every = [word for name in names[2:] for word in ("--reached", name)]  # the second was said to stand before
    last = invoiced(job, names[-1], "3", *given, *every, "--paid", "1.00", "--taken-back")
    assert last.exit_code == 0, last.output
    refused(names[-1], *every, "--paid", "1.00", says="asks for; expected a later stage, or a change order")
    late = invoiced(job, names[-1], "4", *given, *every, "--paid", "1.00", "--change", "B; 2026-04-11; rock; 285; 0")
    assert late.exit_code == 0, late.output


def test_a_change_of_scope_asks_for_a_change_order(tmp_path: Path) -> None:
    job, record = accepted_job(tmp_path)
    kept = json.loads(record.read_text(encoding="utf-8"))
    text = job.read_text(encoding="utf-8")
    assert "open_and_coat: true" in text
    job.write_text(text.replace("open_and_coat: true", "open_and_coat: false", 1), encoding="utf-8")
    asked = invoiced(job, "signing", "1", "--accepted", str(record))
    assert asked.exit_code == 0, asked.output
    assert "needs a signed change order" in asked.output
    assert f"{kept['bill']['stages'][0]['amount']} USD due" in asked.output


def test_a_record_without_amounts_is_told(tmp_path: Path) -> None:
    job, record = accepted_job(tmp_path)
    kept = json.loads(record.read_text(encoding="utf-8"))
    old = {key: value for key, value in kept.items() if not key.startswith("bill")}
    record.write_text(json.dumps(old), encoding="utf-8")
    same = invoiced(job, "signing", "1", "--accepted", str(record))
    assert same.exit_code == 0, same.output
    assert "older kind and keeps no amounts" in same.output
    job.write_text(job.read_text(encoding="utf-8") + "\nprice_book: {labour: 99.00}\n", encoding="utf-8")
    other = invoiced(job, "signing", "2", "--accepted", str(record))
    assert (other.exit_code, "keeps no amounts" in other.output) == (2, True)
    record.write_text(json.dumps(kept | {"bill": kept["bill"] | {"total": "1.00"}}), encoding="utf-8")
    with pytest.raises(InputError, match="does not bear its mark"):
        read_acceptance(record)


def test_an_acceptance_has_its_day() -> None:
    before = made().job.date
    assert before is not None
    with pytest.raises(InputError, match="before the visit of"):
        acceptance(made(), None, by="R", on=before - datetime.timedelta(days=1), chosen=(), signed=b"")
    last = before + datetime.timedelta(days=made().job.offer.valid_days)
    assert run_out(made(), last) == ""
    assert last.isoformat() in run_out(made(), last + datetime.timedelta(days=1))


def test_an_offer_that_ran_out_is_told(tmp_path: Path) -> None:
    job = tmp_path / "job.yaml"
    job.write_text(SLOPING.read_text(encoding="utf-8"), encoding="utf-8")
    asked = ["accept", str(job), "--by", "R. Bramble", "--demonstration-prices", "--on"]
    early = RUN.invoke(app, [*asked, "2026-04-01"])
    assert (early.exit_code, "before the visit of 2026-04-02" in early.output) == (2, True)
    assert not (tmp_path / "acceptance.json").exists()
    late = RUN.invoke(app, [*asked, "2026-08-01"])
    assert late.exit_code == 0, late.output
    assert "stood for 30 days" in late.output


def test_a_final_invoice_that_leaves_out_change_orders_is_refused() -> None:
    bill = bill_of(made())
    names = [one.when for one in bill.stages]
    before = bill.total - bill.stages[-1].amount
    with pytest.raises(InputError, match="change order of the invoices before"):
        due(bill, names[-1], paid=before + Decimal("303.53"), reached=names)
    assert due(bill, names[-1], paid=before, reached=names).due == bill.stages[-1].amount


cents = st.integers(-50_000, 500_000).map(lambda value: Decimal(value) / 100)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(1, 900_000), min_size=2, max_size=5),
    st.lists(st.tuples(st.integers(0, 4), cents, st.integers(0, 100), st.booleans()), max_size=6),
)
def test_all_invoices_together_make_the_price_and_every_change(
    parts: list[int], orders: list[tuple[int, Decimal, int, bool]]
) -> None:
    """Each change order is named once, or again and again: stages and changes are billed once each, to the cent."""
    amounts = [Decimal(part) / 100 for part in parts]
    total = sum(amounts, Decimal(0)).quantize(Decimal("0.01"))
    middle: tuple[Milestone, ...] = ("start", "walls coated", "drains laid", "pump running")
    whens: tuple[Milestone, ...] = (*middle[: len(parts) - 1], "completion")
    stages, paid = [], Decimal("0.00")
    for when, amount in zip(whens, amounts, strict=True):
        paid += amount.quantize(Decimal("0.01"))
        stages.append(Payment(when=when, amount=amount, paid=paid, share=paid / total, done=Decimal(1)))
    bill = replace(bill_of(made()), total=total, tax=Decimal("0.00"), stages=tuple(stages))
    with tempfile.TemporaryDirectory() as folder:
        record = Path(folder) / "acceptance.json"
        billed = Decimal("0.00")
        named_before: list[ChangeOrder] = []
        every: list[ChangeOrder] = []
        for at, stage in enumerate(bill.stages):
            new = [
                ChangeOrder(
                    number=str(number), on=DAY, words="rock", amount=amount.quantize(Decimal("0.01")),
                    tax=(amount * part / 1000).quantize(Decimal("0.01")),
                )
                for number, (where, amount, part, _) in enumerate(orders)
                if min(where, len(parts) - 1) == at
            ]  # fmt: skip
            named = [*new, *(one for one in named_before if orders[int(one.number)][3])]
            account = read_account(record, "0" * 64)
            added = fresh(account, named)
            signed = (*account.changes, *added)
            if stage.paid + sum((one.total for one in signed), Decimal(0)) < billed:  # changes take off what was paid
                with pytest.raises(InputError, match="--paid"):
                    due(bill, stage.when, paid=billed, changes=signed, reached=whens, all_known=True)
                return
            known = bool(account.entries)
            asked = due(bill, stage.when, paid=billed, changes=signed, reached=whens, all_known=known)
            note(account, asked, added, number=str(at), on=DAY)
            billed += asked.due
            named_before += new
            every += new
        assert billed == total + sum((one.total for one in every), Decimal(0))


def test_an_invoice_is_noted_once(tmp_path: Path) -> None:
    bill, record = bill_of(made()), tmp_path / "acceptance.json"
    order = ChangeOrder(number="1", on=DAY, words="rock", amount=Decimal("5.00"), tax=Decimal("0.00"))
    for _ in range(2):  # the second time as after a write of the paper that failed
        account = read_account(record, "a" * 64)
        new = fresh(account, [order])
        asked = due(bill, "signing", changes=(*account.changes, *new), all_known=bool(account.entries))
        note(account, asked, new, number="7", on=DAY)
    account = read_account(record, "a" * 64)
    assert (len(account.entries), account.changes) == (1, (order,))
    with pytest.raises(InputError, match="--number"):
        note(account, replace(asked, paid=Decimal("1.00")), (), number="7", on=DAY)
    with pytest.raises(InputError, match="line 1"):
        read_account(record, "b" * 64)
