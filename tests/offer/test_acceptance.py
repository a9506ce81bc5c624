"""An acceptance is tied to what was offered: a change of it has another mark, another layout of the file has not."""

from __future__ import annotations

import datetime
import hashlib
import json
import re
from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design, design
from drainwright.errors import InputError
from drainwright.job import read_job, read_text
from drainwright.job.writing import to_json
from drainwright.offer.accepting import canonical, changes, mark_of, offered
from drainwright.offer.bill import bill_of, stage_taxes
from drainwright.offer.invoicing import ChangeOrder, change_order_of, due
from drainwright.offer.record import never_billed, read_acceptance, write_acceptance
from drainwright.paper.documents.blocks import Keep, Table
from drainwright.paper.documents.invoice import invoice
from drainwright.paper.documents.offer_blocks import payment_blocks

SLOPING = Path(__file__).parents[2] / "examples" / "sloping-lot" / "job.yaml"
RUN = CliRunner()


@cache
def made() -> Design:
    return design(read_job(SLOPING))


def mark(one: Design) -> str:
    return mark_of(offered(one, None))


def test_the_mark_is_the_hash_of_the_canonical_form() -> None:
    # Secure Hash Standard, FIPS 180-4, example of the one-block message "abc" (from memory): ba7816bf...f20015ad.
    assert hashlib.sha256(b"abc").hexdigest().startswith("ba7816bf")
    assert canonical({"b": "1", "a": "\u00b3"}) == b'{"a":"\xc2\xb3","b":"1"}'
    assert mark(made()) == hashlib.sha256(canonical(offered(made(), None))).hexdigest()


def test_no_number_is_left_raw() -> None:
    def walk(value: Any) -> None:
        assert not isinstance(value, float | int) or isinstance(value, bool)
        for part in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
            walk(part)

    walk(offered(made(), None))


def test_another_layout_of_the_document_is_the_same_offer() -> None:
    again = design(read_text(to_json(made().job), "job.json").job)
    assert mark(again) == mark(made())


def changed(**parts: Any) -> Design:
    return replace(made(), job=made().job.model_copy(update=parts))


def test_every_change_of_the_offer_has_another_mark() -> None:
    job, build = made().job, made().build
    firm, price = job.firm, build.price
    dearer = replace(price.lines[3], amount=price.lines[3].amount + Decimal("0.01"))
    run = made().system.runs[0]
    walls = tuple(wall.model_copy(update={"open_and_coat": not wall.open_and_coat}) for wall in job.house.walls)
    first = replace(build.payments[0], amount=build.payments[0].amount - Decimal("0.01"))
    others = {
        "terms": changed(firm=firm.model_copy(update={"terms": "Other terms."})),
        "warranty": changed(firm=firm.model_copy(update={"warranty": "None."})),
        "exclusions": changed(firm=firm.model_copy(update={"exclusions": ("Rock.",)})),
        "valid days": changed(offer=job.offer.model_copy(update={"valid_days": 7})),
        "scope.walls": changed(house=job.house.model_copy(update={"walls": walls})),
        "price.lines": replace(
            made(),
            build=replace(build, price=replace(price, lines=(*price.lines[:3], dearer, *price.lines[4:]))),
        ),
        "price.total": replace(made(), build=replace(build, price=replace(price, total=price.total + 1))),
        "stages": replace(made(), build=replace(build, payments=(first, *build.payments[1:]))),
        "scope.runs": replace(
            made(),
            system=replace(
                made().system, runs=(replace(run, invert_lower=run.invert_lower - 0.01), *made().system.runs[1:])
            ),
        ),
    }
    before = offered(made(), None)
    for key, other in others.items():
        assert mark(other) != mark(made()), key
        told = changes(before, offered(other, None))
        assert told, key
        assert all(where.startswith(key) for where, _, _ in told), (key, told)
    assert len({mark(other) for other in others.values()}) == len(others)


def test_a_line_that_falls_away_moves_no_other() -> None:
    """Lines were held against each other by their numbers: one less, and all behind it were told twice."""
    before = offered(made(), None)
    lines = list(before["price"]["lines"].items())
    names = [key.partition(" ")[2] for key, _ in lines]
    fewer = {f"{number:03d} {name}": line for number, (name, (_, line)) in enumerate(
        ((name, item) for place, (name, item) in enumerate(zip(names, lines, strict=True)) if place != 3), start=1
    )}  # fmt: skip
    after = {**before, "price": {**before["price"], "lines": fewer}}
    [(key, was, now)] = changes(before, after)
    assert key == f"price.lines.{names[3]}"
    assert (was != now, now) == (True, "not there")
    twice = {"price": {"lines": {"001 a": [1], "002 a": [2]}}}
    assert changes(twice, {"price": {"lines": {"001 b": [0], "002 a": [1], "003 a": [3]}}}) == (
        ("price.lines.a (2)[0]", "2", "3"), ("price.lines.b", "not there", "[0]"),
    )  # fmt: skip


def test_the_last_digits_of_another_machine_do_not_count() -> None:
    runs = tuple(replace(run, length=run.length * (1 + 1e-12)) for run in made().system.runs)
    assert mark(replace(made(), system=replace(made().system, runs=runs))) == mark(made())


def test_a_record_that_somebody_changed_is_refused(tmp_path: Path) -> None:
    told = offered(made(), None)
    record = {
        "form": 1, "by": "A", "on": "2026-03-20", "options": [], "total": "1", "currency": "USD", "proposal": None,
        "mark": mark_of(told), "offered": told,
    }  # fmt: skip
    path = tmp_path / "acceptance.json"
    write_acceptance(path, record)
    assert read_acceptance(path) == record
    with pytest.raises(FileExistsError):
        write_acceptance(path, record)
    assert [one.name for one in tmp_path.iterdir()] == ["acceptance.json"]
    path.write_text(json.dumps(record | {"offered": told | {"terms": "Other."}}), encoding="utf-8")
    with pytest.raises(InputError, match="does not bear its mark"):
        read_acceptance(path)
    path.write_text("{}", encoding="utf-8")
    with pytest.raises(InputError, match="another kind"):
        read_acceptance(path)


def test_commands(tmp_path: Path) -> None:
    text = SLOPING.read_text(encoding="utf-8")
    job, record = tmp_path / "job.yaml", tmp_path / "acceptance.json"
    job.write_text(text, encoding="utf-8")
    asked = ["accept", str(job), "--by", "R. Bramble", "--demonstration-prices", "--on", "2026-04-20"]
    wrong = RUN.invoke(app, [*asked[:-1], "soon"])
    assert wrong.exit_code == 2
    assert "'soon'" in wrong.output
    none = RUN.invoke(app, [*asked, "--options", "tower"])
    assert none.exit_code == 2
    assert "'tower'" in none.output
    early = RUN.invoke(app, [*asked[:-1], "2026-04-01"])
    assert early.exit_code == 2
    assert "--on: found 2026-04-01, before the visit of 2026-04-02" in early.output
    assert not record.exists()
    assert RUN.invoke(app, asked).exit_code == 0
    bill = ["invoice", str(job), "--stage", "signing", "--number", "1", "--accepted", str(record)]
    bill += ["--demonstration-prices", "--on"]
    sooner = RUN.invoke(app, [*bill, "2026-04-19"])
    assert sooner.exit_code == 2
    assert "before the offer was accepted on 2026-04-20" in sooner.output
    again = RUN.invoke(app, asked)
    assert again.exit_code == 2
    assert "never written over" in again.output
    job.write_text("# a comment more\n" + text, encoding="utf-8")
    assert RUN.invoke(app, ["accepted", str(job), str(record)]).exit_code == 0
    job.write_text(text.replace("name: Example Drainage Company", "terms: Other., name: Example Drainage Company"))
    other = RUN.invoke(app, ["accepted", str(job), str(record)])
    assert other.exit_code == 1
    assert "terms:  -> Other." in other.output


def test_stages_make_the_price_and_its_tax_to_the_cent() -> None:
    build = made().build
    names = [item.when for item in build.payments]
    asked, paid = [], Decimal("0.00")
    for name in names:
        one = due(bill_of(made()), name, paid=paid, reached=names)
        asked.append(one.due)
        paid += one.due
    assert sum(asked) == build.price.total
    assert sum(stage_taxes(bill_of(made()))) == build.price.tax
    assert all(amount == amount.quantize(Decimal("0.01")) for amount in asked)


def test_an_invoice_stays_within_the_place_and_behind_the_work() -> None:
    build = made().build
    first, last = build.payments[0], build.payments[-1]
    assert due(bill_of(made()), "signing").due == first.amount
    with pytest.raises(InputError, match="not said to stand"):
        due(bill_of(made()), "completion")
    with pytest.raises(InputError, match="expected at most"):
        due(bill_of(made()), "signing", paid=first.amount + 1)
    with pytest.raises(InputError, match="'soon'"):
        due(bill_of(made()), "soon")
    greedy = replace(first, amount=build.price.total, paid=build.price.total)
    over = replace(made(), build=replace(build, payments=(greedy, *build.payments[1:])))
    with pytest.raises(InputError, match="a deposit of"):
        due(bill_of(over), "signing")
    early = replace(build.payments[1], share=Decimal("0.99"), done=Decimal("0.10"))
    ahead = replace(made(), build=replace(build, payments=(first, early, last)))
    with pytest.raises(InputError, match="a rule of the place"):
        due(bill_of(ahead), early.when, reached=(early.when,))
    [told] = never_billed(ahead)
    assert f"the stage '{early.when}' asks for 99 % by then, and no invoice is written for more than 10 %" in told
    assert never_billed(made()) == ()
    words = "you pay for nothing that does not stand yet"
    assert words in repr(payment_blocks(made()))
    assert words not in repr(payment_blocks(ahead))
    rock = change_order_of("1; 2026-03-19; rock; 12.00; 0.50")
    assert due(bill_of(made()), "signing", changes=[rock]).due == first.amount + Decimal("12.50")
    with pytest.raises(InputError, match="'1' twice"):
        due(bill_of(made()), "signing", changes=[rock, rock])


cents = st.integers(-500_000, 500_000).map(lambda value: Decimal(value) / 100)


@settings(max_examples=60)
@given(st.lists(st.tuples(cents, st.integers(0, 100)), max_size=6), st.integers(0, 100))
def test_an_invoice_adds_up_line_by_line(pairs: list[tuple[Decimal, int]], share: int) -> None:
    """The lines as they are printed: stage, stages before, change orders with their tax, less what is paid."""
    changes = [
        ChangeOrder(
            number=f"{number}", on=datetime.date(2026, 3, 1), words="rock", amount=amount.quantize(Decimal("0.01")),
            tax=(amount * part / 1000).quantize(Decimal("0.01")),
        )
        for number, (amount, part) in enumerate(pairs)
    ]  # fmt: skip
    names = [item.when for item in made().build.payments]
    asked_for = made().build.payments[-1].paid + sum((one.total for one in changes), Decimal(0))
    paid = max((asked_for * share / 100).quantize(Decimal("0.01")), Decimal("0.00"))
    if asked_for < 0:
        with pytest.raises(InputError, match="--paid"):
            due(bill_of(made()), names[-1], paid=paid, changes=changes, reached=names, all_known=True)
        return
    one = due(bill_of(made()), names[-1], paid=paid, changes=changes, reached=names, all_known=True)
    paper = invoice(made(), bill_of(made()), one, number="7", on=datetime.date(2026, 3, 20), record=None)
    (table,) = (
        block for keep in paper.blocks if isinstance(keep, Keep) for block in keep.blocks if isinstance(block, Table)
    )
    rows = [(str(row[0]), amount_in(str(row[1]))) for row in table.rows]
    lines = [
        amount for what, amount in rows
        if what.startswith(("Stage", "Change order ", "    sales tax on change order", "Paid"))
    ]  # fmt: skip
    assert sum(lines, Decimal(0)) == rows[-1][1] == one.due
    assert len([what for what, _ in rows if what.startswith("Change order ")]) == len(changes)
    together = [amount for what, amount in rows if what.startswith("Change orders together")]
    assert together == ([one.changed] if len(changes) > 1 else [])


def amount_in(text: str) -> Decimal:
    """``-$1,234.50`` as a number."""
    number = Decimal(re.sub(r"[^0-9.]", "", text))
    return -number if re.search(r"[-\u2212]", text) else number


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1; 2026-03-19; rock; 12.00", "number; date"),
        ("; 2026-03-19; rock; 12.00; 0.00", "number; date"),
        ("1; yesterday; rock; 12.00; 0.00", "its date second"),
        ("1; 2026-03-19; rock; 12.005; 0.00", "to the cent"),
        ("1; 2026-03-19; rock; 12.00; -1.00", "of the amount's sign"),
        ("1; 2026-03-19; rock; 12.00; 13.00", "smaller"),
    ],
)
def test_a_change_order_that_cannot_be_read_is_refused(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        change_order_of(text)


def test_words_of_a_change_order_may_hold_a_semicolon() -> None:
    one = change_order_of("CO-3; 2026-03-19; less pipe; shorter way; -120.00; -7.80")
    assert (one.words, one.total) == ("less pipe; shorter way", Decimal("-127.80"))


def test_the_invoice_command_never_writes_over(tmp_path: Path) -> None:
    path = tmp_path / "invoice.pdf"
    asked = ["invoice", str(SLOPING), "--stage", "signing", "--number", "7", "--demonstration-prices"]
    asked += ["--on", "2026-04-20", "--to", str(path)]
    done = RUN.invoke(app, asked)
    assert done.exit_code == 0, done.output
    assert path.read_bytes().startswith(b"%PDF-")
    assert RUN.invoke(app, asked).exit_code == 2
    early = RUN.invoke(app, [*asked[:-3], "2026-04-01", "--to", str(tmp_path / "e.pdf")])
    assert (early.exit_code, "before the visit of 2026-04-02" in early.output) == (2, True)
    other = [*asked[:-1], str(tmp_path / "c.pdf")]
    late = RUN.invoke(app, [*other, "--change", "1; 2026-04-21; rock; 12.00; 0.00"])
    assert (late.exit_code, "after the invoice's date" in late.output) == (2, True)
    both = RUN.invoke(
        app, [*other, "--change", "1; 2026-04-19; rock; 12.00; 0.78", "--change", "2; 2026-04-20; less; -5; 0"]
    )
    assert both.exit_code == 0, both.output
    said = " ".join(" ".join(page.extract_text() for page in PdfReader(tmp_path / "c.pdf").pages).split())
    assert "Change order 1, signed" in said
    assert "sales tax on change order 1 $0.78" in said
    assert "Change orders together, with tax $7.78" in said
    wrong = RUN.invoke(app, [*asked[:-1], str(tmp_path / "b.pdf"), "--paid", "0.001"])
    assert wrong.exit_code == 2
    assert "to the cent" in wrong.output
