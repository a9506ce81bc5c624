"""Nobody signs or bills at invented prices unknowingly: each is named, and the way on is asked for by name."""

from __future__ import annotations

import json
import tempfile
from functools import cache
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from drainwright.build.book import SHARES, demonstration_book
from drainwright.cli import app
from drainwright.design import Design, design
from drainwright.errors import InputError
from drainwright.job import read_job
from drainwright.learning.invented import entries
from drainwright.offer.bill import asked_bill, bill_from, bill_record
from drainwright.offer.record import own_prices, read_acceptance

SLOPING = Path(__file__).parents[2] / "examples" / "sloping-lot" / "job.yaml"
RUN = CliRunner()
FLAG = "--demonstration-prices"


def book(*, rates: bool) -> str:
    """A job's own price book with every price and share, and every rate where asked for."""
    usual = demonstration_book()
    shares = {"labour": 31.0} | {name: float(getattr(usual, name)) for name in SHARES if name != "wage"}
    told = shares | {"prices": {key: float(item.price) for key, item in usual.items.items()}}
    if rates:
        told |= {"rates": {key: rate.value for key, rate in usual.rates.items()}}
    return f"\nprice_book: {json.dumps(told)}\n"


@cache
def made(more: str = "") -> Design:
    with tempfile.TemporaryDirectory() as folder:
        return design(read_job(job_in(Path(folder), more)))


def job_in(folder: Path, more: str = "") -> Path:
    job = folder / "job.yaml"
    job.write_text(SLOPING.read_text(encoding="utf-8") + more, encoding="utf-8")
    return job


def test_each_invented_wage_share_price_and_rate_is_named() -> None:
    told = entries(made())
    assert {one.key for one in told if one.part == "wage and shares"} == set(SHARES)
    assert {one.key for one in told if one.part == "prices"} == {
        line.key for line in made().build.price.lines if line.category != "labour"
    }
    assert {"dig.firm", "set-up", "finish"} <= {one.key for one in told if one.part == "rates"}
    assert all(one.words and one.figure for one in told)


def test_rates_alone_make_an_invented_price() -> None:
    told = entries(made(book(rates=False)))
    assert {one.part for one in told} <= {"rates", "waits and hire", "surprises"}
    assert not made(book(rates=False)).build.price.invented
    with pytest.raises(InputError, match=r"setting up the job \(set-up\): 4 h/job"):
        own_prices(asked_bill(made(book(rates=False))))


def test_a_price_of_the_firm_s_own_is_not_held_up(tmp_path: Path) -> None:
    own = asked_bill(made(book(rates=True)))
    assert (own.invented, own.demonstration) == (False, ())
    own_prices(own)
    done = RUN.invoke(app, ["accept", str(job_in(tmp_path, book(rates=True))), "--by", "R", "--on", "2026-04-20"])
    assert done.exit_code == 0, done.output
    assert "demonstration" not in done.output


def test_an_acceptance_and_an_invoice_are_refused_until_asked_for_by_name(tmp_path: Path) -> None:
    job, record, paper = job_in(tmp_path), tmp_path / "acceptance.json", tmp_path / "i.pdf"
    accept = ["accept", str(job), "--by", "R. Bramble", "--on", "2026-04-20"]
    bill = ["invoice", str(job), "--stage", "signing", "--number", "1", "--on", "2026-04-21", "--to", str(paper)]
    for asked in (accept, bill):
        refused = RUN.invoke(app, asked)
        assert refused.exit_code == 2, refused.output
        for words in ("wage (wage): $24.00 an hour", "(dig.firm):", FLAG, "Nothing was written"):
            assert words in refused.output
        assert [one.name for one in tmp_path.iterdir()] == ["job.yaml"]
    done = RUN.invoke(app, [*accept, FLAG])
    assert done.exit_code == 0, done.output
    assert "rests on demonstration prices" in done.output
    kept = read_acceptance(record)["bill"]
    assert kept["demonstration prices"] == list(map(str, entries(made())))
    again = RUN.invoke(app, [*bill, "--accepted", str(record)])
    assert again.exit_code == 2, again.output
    assert not paper.exists()
    done = RUN.invoke(app, [*bill, "--accepted", str(record), FLAG])
    assert done.exit_code == 0, done.output
    said = " ".join(" ".join(page.extract_text() for page in PdfReader(paper).pages).split())
    assert f"{len(entries(made()))} of its prices, rates and shares are the demonstration's" in said


def test_a_record_of_an_older_kind_is_held_up_too() -> None:
    bill = asked_bill(made())
    assert bill_from(bill_record(bill)) == bill
    older = {key: value for key, value in bill_record(bill).items() if key != "demonstration prices"}
    with pytest.raises(InputError, match="does not list them"):
        own_prices(bill_from(older))


def test_every_rate_has_plain_words() -> None:
    titles = [rate.title for rate in demonstration_book().rates.values()]
    assert all(titles)
    assert len({*titles}) == len(titles)
    assert read_job(SLOPING).demonstration
