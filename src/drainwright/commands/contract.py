"""Commands of the contract: what was accepted, and whether the job still is that."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from drainwright.commands.shared import (
    AsJson,
    Exit,
    JobFile,
    app,
    designed,
    emit,
    hushed,
    options_sound,
    read,
    stages,
    wrong,
)

if TYPE_CHECKING:
    from drainwright.design import Design
    from drainwright.job.reading import Document
    from drainwright.offer.bill import Bill
    from drainwright.offer.model import OptionSet

MOST_TOLD = 3
Demonstration = Annotated[
    bool,
    typer.Option("--demonstration-prices", help="go on at the demonstration's prices or rates, and mark it"),
]
Record = Annotated[Path, typer.Argument(help="the record of the acceptance (JSON)", show_default=False)]


@app.command(epilog="Example: drainwright accept job.yaml --by 'M. Tamarind' --options battery --on 2026-03-20")
def accept(
    job: JobFile,
    by: Annotated[str, typer.Option(help="who accepts, as signed")],
    on: Annotated[str, typer.Option(help="the day, like 2026-03-20")],
    options: Annotated[str, typer.Option(help="keys of the options that are accepted, with commas")] = "",
    proposal: Annotated[Path | None, typer.Option(help="the proposal's PDF that was signed")] = None,
    to: Annotated[Path | None, typer.Option(help="file to write; default: acceptance.json beside the job")] = None,
    demonstration_prices: Demonstration = False,
) -> None:
    """Write down that the offer is accepted: who, when, which options, and the mark of all that is offered."""
    from drainwright.offer.record import NAME, acceptance, failing_words, never_billed, run_out, write_acceptance

    day = _day(on)
    if not by.strip():
        _refused("--by: found nothing; expected a name")
    document = read(job, False)
    base, found = _offered(document, as_json=False)
    if not base.sound:
        _refused(f"{job}: found checks that fail ({failing_words(base)}); expected a design that may be signed")
    chosen = tuple(key.strip() for key in options.split(",") if key.strip())
    signed = b""
    if proposal is not None:
        try:
            signed = proposal.read_bytes()
        except OSError as error:
            _refused(f"--proposal: found {proposal}: {error.strerror}; expected the PDF that was signed")
        if not signed.startswith(b"%PDF-"):
            _refused(f"--proposal: found {proposal}, which is no PDF; expected the PDF that was signed")
    path = to or job.parent / NAME
    try:
        record = acceptance(
            base, found, by=by.strip(), on=day, chosen=chosen, signed=signed, demonstration=demonstration_prices
        )
        write_acceptance(path, record)
    except ValueError as error:
        _refused(str(error))
    except FileExistsError:
        _refused(f"{path} exists already; an acceptance is never written over")
    except OSError as error:
        _refused(f"{path}: {error.strerror}")
    if late := run_out(base, day):
        typer.echo(f"Look: {late}.", err=True)
    for told in never_billed(base):
        typer.echo(f"Look: {told}.", err=True)
    if record["bill"]["invented"]:
        typer.echo("Look: the price rests on demonstration prices; the record says which.", err=True)
    typer.echo(f"Wrote {path}. The offer's mark is {record['mark']}.")


@app.command(epilog="Example: drainwright accepted job.yaml acceptance.json")
def accepted(job: JobFile, record: Record, as_json: AsJson = False) -> None:
    """Say whether the job still is what was accepted, and if not, what changed."""
    from drainwright.offer.accepting import changes, mark_of, offered
    from drainwright.offer.record import read_acceptance

    try:
        signed = read_acceptance(record)
    except ValueError as error:
        _refused(str(error))
    document = read(job, as_json)
    base, found = _offered(document, as_json)
    now = offered(base, found)
    mark = mark_of(now)
    changed = changes(signed["offered"], now)
    if as_json:
        emit(
            {
                "same": mark == signed["mark"], "accepted": signed["mark"], "now": mark,
                "changes": [{"key": key, "accepted": old, "now": new} for key, old, new in changed],
            }
        )  # fmt: skip
    elif mark == signed["mark"]:
        typer.echo(f"The job is what {signed['by']} accepted on {signed['on']} (mark {mark}).")
    else:
        typer.echo(f"The job is no longer what {signed['by']} accepted on {signed['on']}:")
        for key, old, new in changed:
            typer.echo(f"  {key}: {old} -> {new}")
    raise typer.Exit(Exit.SOUND if mark == signed["mark"] else Exit.FAILS)


@app.command(epilog="Example: drainwright invoice job.yaml --stage signing --number 2026-014 --on 2026-03-20")
def invoice(
    job: JobFile,
    stage: Annotated[str, typer.Option(help="one of the job's stages, like signing")],
    number: Annotated[str, typer.Option(help="of the invoice")],
    on: Annotated[str, typer.Option(help="its date, like 2026-03-20")],
    paid: Annotated[str, typer.Option(help="received so far, like 7500.00")] = "0.00",
    change: Annotated[
        list[str] | None,
        typer.Option(
            help="a signed change order asked for with it; may be repeated: 'number; date; words; amount; tax'"
        ),
    ] = None,
    reached: Annotated[list[str] | None, typer.Option(help="a stage whose work stands; may be repeated")] = None,
    used: Annotated[
        list[str] | None,
        typer.Option(help="with completion, what was used of each allowance in the price: rock=0.4; may be repeated"),
    ] = None,
    record: Annotated[Path | None, typer.Option("--accepted", help="the record of the acceptance")] = None,
    to: Annotated[Path | None, typer.Option(help="file to write; default: invoice-<number>.pdf beside the job")] = None,
    taken_back: Annotated[
        bool, typer.Option("--taken-back", help="a payment was returned: less is paid than the last invoice says")
    ] = False,
    demonstration_prices: Demonstration = False,
) -> None:
    """Write the invoice of one stage: never ahead of the work, never more than the place allows."""
    import re

    from drainwright.offer.account import fresh, in_turn, note, overpaid, read_account
    from drainwright.offer.bill import asked_bill
    from drainwright.offer.invoicing import change_order_of, due
    from drainwright.offer.record import lies_beside, not_before_visit, own_prices
    from drainwright.offer.settling import look, settled
    from drainwright.paper.documents.invoice import invoice as paper
    from drainwright.paper.documents.typeset import to_pdf
    from drainwright.paper.documents.writing import write_file

    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9._-]{0,39}", number):
        _refused(f"--number: found {number!r}; expected letters, digits, dots and dashes, like 2026-014")
    day = _day(on)
    received = _amount("--paid", paid)
    if received < 0:
        _refused(f"--paid: found {paid!r}; expected zero or more")
    document = read(job, False)
    base, found = _offered(document, as_json=False)
    path = to or job.parent / f"invoice-{number}.pdf"
    if path.exists():
        _refused(f"{path} exists already; an invoice is never written over")
    if record is None and (beside := lies_beside(document.job, job.parent)):
        _refused(f"--accepted: found none, while {beside} lies there; expected --accepted {beside}")
    try:
        not_before_visit(base, day)
        signed, account = None, None
        if record is None:
            bill = asked_bill(base)
        else:
            signed, bill = _signed(record, base, found, day)
            account = read_account(record, signed["mark"])
        if not demonstration_prices:
            own_prices(bill)
        over = Decimal("0.00") if account is None else overpaid(account, received, number=number, on=day)
        named = [change_order_of(text) for text in change or ()]
        if late := next((one for one in named if one.on > day), None):
            _refused(f"--change: found {late.number!r} of {late.on}, after the invoice's date; expected a signed one")
        new = tuple(named) if account is None else fresh(account, named)
        found_used: dict[str, Decimal] = {}
        if not (account and any(one.allowance for one in account.changes)):
            found_used = _used(bill, stage, used or ())
            new = (*new, *settled(bill.allowances or (), found_used, day, bill.currency)) if found_used else new
        elif used:
            _refused("--used: found it again; expected it once: the account has what was used of each allowance")
        if account is not None:
            names = [one.when for one in bill.stages]
            in_turn(account, names, stage, number=number, paid=received, changed=bool(new), taken_back=taken_back)
        asked = due(
            bill, stage, paid=received, changes=(*(account.changes if account else ()), *new),
            reached=tuple(reached or ()), all_known=bool(account and account.entries),  # type: ignore[arg-type]
            asked_before=account.asked if account else (),
        )  # fmt: skip
        pdf = to_pdf(paper(base, bill, asked, number=number, on=day, record=signed), day)
        if account is not None:
            note(account, asked, new, number=number, on=day)
        write_file(path.parent, path.name, pdf)
    except ValueError as error:
        _refused(str(error))
    except OSError as error:
        _refused(f"{path}: {error.strerror}")
    for line in look(bill.allowances or (), new, found_used, bill.currency):
        typer.echo(f"{line}.", err=True)
    if over > 0:
        typer.echo(
            f"--paid: found {over} {bill.currency} more than all invoices so far ask for: an overpayment, credited on "
            "this one. Look whether it is a slip.", err=True,
        )  # fmt: skip
    typer.echo(f"Wrote {path}: {asked.due} {bill.currency} due.")


def _used(bill: Bill, stage: str, used: Sequence[str]) -> dict[str, Decimal]:
    """What was used of the price's allowances, asked for with the last stage; none before it."""
    from drainwright.offer.settling import used_of

    if stage == bill.stages[-1].when:
        return used_of(used, bill.allowances or ())
    if used:
        _refused(
            f"--used: found {used[0]!r} with {stage!r}; expected it with {bill.stages[-1].when!r}, when all is done"
        )
    return {}


def _signed(record: Path, base: Design, found: OptionSet | None, day: datetime.date) -> tuple[dict[str, Any], Bill]:
    """An acceptance and what it lets be billed; what the design of today has otherwise is told."""
    from drainwright.offer.accepting import changes, offered
    from drainwright.offer.allowances import allowances_of
    from drainwright.offer.bill import asked_bill
    from drainwright.offer.record import accepted_design, billed, of_job, read_acceptance

    signed = read_acceptance(record)
    if not of_job(signed, base.job):
        _refused(f"{record}: found the acceptance of another job; expected that of this one")
    if day.isoformat() < signed["on"]:
        _refused(f"--on: found {day}, before the offer was accepted on {signed['on']}; expected a day on or after it")
    changed = changes(signed["offered"], offered(base, found))
    bill = billed(signed)
    if bill is None:
        if changed:
            _refused(
                f"{record}: found a record of an older kind, which keeps no amounts, while the job or its prices are "
                f"no longer what was accepted ({_parts(changed)}); expected the job and price book of that day"
            )
        typer.echo(f"{record} is of an older kind and keeps no amounts: billed by the design, which is the same.")
        return signed, asked_bill(accepted_design(base, found, tuple(signed["options"])))
    if bill.allowances is None:
        allowed = allowances_of(base.build.unit_prices)
        bill = replace(bill, allowances=allowed)
        if allowed:
            typer.echo(f"{record} does not keep the allowances of the price: they are the design's of today.", err=True)
    if changed:
        typer.echo(
            f"Billed as accepted on {signed['on']}; the design of today differs in {_parts(changed)} "
            f"(all of it: 'drainwright accepted').", err=True,
        )  # fmt: skip
    if scope := [item for item in changed if item[0].startswith("scope.")]:
        typer.echo(
            f"The scope changed since signing ({_parts(scope)}): what is done otherwise than signed needs a signed "
            "change order (--change).", err=True,
        )  # fmt: skip
    return signed, bill


def _parts(changed: Sequence[tuple[str, str, str]]) -> str:
    """What differs, the first few with both values."""
    told = [f"{key}: {old[:60]} -> {new[:60]}" for key, old, new in changed[:MOST_TOLD]]
    more = len(changed) - len(told)
    return "; ".join(told) + (f"; and {more} more" if more > 0 else "")


def _day(text: str) -> datetime.date:
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        _refused(f"--on: found {text!r}; expected a date like 2026-03-20")


def _amount(option: str, text: str) -> Decimal:
    import re

    if not re.fullmatch(r"-?[0-9]{1,9}(\.[0-9]{1,2})?", text):
        _refused(f"{option}: found {text!r}; expected an amount to the cent, like 7500.00")
    return Decimal(text).quantize(Decimal("0.01"))


def _offered(document: Document, as_json: bool) -> tuple[Design, OptionSet | None]:
    from drainwright.offer import options as offer_options

    options_sound(document, as_json)
    base = designed(document, as_json)
    with stages(document, as_json), hushed():
        found: Any = offer_options(base) if document.job.offer.options else None
    return base, found


def _refused(text: str) -> NoReturn:
    wrong(f"{text}. Nothing was written.")
